// Sprockets and chains against tabled figures, worked examples, and measurements taken on the drawn outline.
#include "geometry/angle.hpp"
#include "parts/sprocket_sizes.hpp"
#include "reference/csv.hpp"
#include "support/catch.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <vector>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

Chain chain_of(const ChainSize& size, int rows = 1) {
  Chain chain;
  chain.pitch_mm = size.pitch_mm;
  chain.roller_mm = size.roller_mm;
  chain.inner_width_mm = size.inner_width_mm;
  chain.pin_mm = size.pin_mm;
  chain.plate_height_mm = size.plate_height_mm;
  chain.transverse_pitch_mm = size.transverse_pitch_mm;
  chain.rows = rows;
  return chain;
}

Chain chain_of(const char* iso606) {
  const std::optional<ChainNumber> found = find_chain(iso606);
  REQUIRE(found.has_value());
  return chain_of(found->size, found->rows);
}

double mean(SizeRange range) {
  return (range.least_mm + range.greatest_mm) / 2.0;
}

double distance_to_edge(glm::dvec2 p, glm::dvec2 a, glm::dvec2 b) {
  const glm::dvec2 way = b - a;
  const double share = std::clamp(dot2(p - a, way) / dot2(way, way), 0.0, 1.0);
  return length2(p - a - share * way);
}

// Nearest distance from a point to a closed outline.
double distance_to_outline(glm::dvec2 p, const std::vector<glm::dvec2>& outline) {
  double nearest_mm = 1e9;
  for (std::size_t i = 0; i < outline.size(); ++i)
    nearest_mm = std::min(nearest_mm, distance_to_edge(p, outline[i], outline[(i + 1) % outline.size()]));
  return nearest_mm;
}

// Where the centre of a pin comes to rest that is laid into a gap of the outline, pushed straight at the sprocket's
// axis.
glm::dvec2 pin_in_gap(const std::vector<glm::dvec2>& outline, const ToothForm& form, int gap, double pin_mm) {
  const glm::dvec2 out = unit_vector(pi / 2.0 + turn_rad * gap / form.teeth);
  std::vector<std::size_t> near;
  for (std::size_t i = 0; i < outline.size(); ++i)
    if (length2(outline[i] - form.pitch_radius_mm * out) < 2.0 * form.seating_radius_mm) near.push_back(i);
  double below_mm = form.gap_bottom_radius_mm;
  double above_mm = form.gap_bottom_radius_mm + pin_mm;
  for (int i = 0; i < 50; ++i) {
    const double at_mm = (below_mm + above_mm) / 2.0;
    double nearest_mm = 1e9;
    for (const std::size_t k : near)
      nearest_mm = std::min(nearest_mm, distance_to_edge(at_mm * out, outline[k], outline[(k + 1) % outline.size()]));
    (nearest_mm < pin_mm / 2.0 ? below_mm : above_mm) = at_mm;
  }
  return above_mm * out;
}

} // namespace

TEST_CASE("a sprocket's sizes are those worked out from the standard's formulas", "[sprocket]") {
  // ISO 606:2015, 5.3.2, 5.4.2, 5.5.2; ANSI B29.1 (turned diameter); the file says which formulas. Ten digits.
  const auto rows = read_table("sprockets.csv");
  CHECK(rows.size() == 6 * 14);
  for (const auto& row : rows) {
    const auto figure = [&row](const char* column) { return std::stod(row.at(column)); };
    const auto same = [&](double value, const char* column) {
      INFO(row.at("chain") << ", " << row.at("z") << " teeth, " << column);
      CHECK_THAT(value, WithinRel(figure(column), 6e-10));
    };
    const Chain chain = chain_of(row.at("chain").c_str());
    CHECK(chain.pitch_mm == figure("p"));
    CHECK(chain.roller_mm == figure("d1"));
    const SprocketSizes sizes = sprocket_sizes(chain, std::stoi(row.at("z")));
    same(sizes.pitch_diameter_mm, "d");
    same(sizes.tip_diameter_mm.least_mm, "da_min");
    same(sizes.tip_diameter_mm.greatest_mm, "da_max");
    same(sizes.root_diameter_mm, "df");
    same(sizes.smallest_gap.seating_radius_mm, "ri_min");
    same(sizes.largest_gap.seating_radius_mm, "ri_max");
    same(sizes.smallest_gap.flank_radius_mm, "re_smallest");
    same(sizes.largest_gap.flank_radius_mm, "re_largest");
    same(degrees(sizes.smallest_gap.seating_rad), "alpha_max_deg");
    same(degrees(sizes.largest_gap.seating_rad), "alpha_min_deg");
    same(sizes.over_pins_mm, "over_pins");
    same(sizes.caliper_mm, "caliper");
    same(sizes.turned_diameter_mm, "turned");
  }
}

TEST_CASE("pitch diameters for a pitch of 1 are the tabled ones, 6 to 120 teeth", "[sprocket]") {
  int teeth = 6;
  for (const auto& row : read_table("pitch_diameters.csv")) {
    REQUIRE(std::stoi(row.at("z")) == teeth);
    const double d = 2.0 * tooth_form(1.0, 0.65, 0.6, 1, teeth).pitch_radius_mm;
    CHECK_THAT(d, WithinRel(std::stod(row.at("d_12_digits")), 6e-12));
    CHECK_THAT(d, WithinAbs(std::stod(row.at("d_4_decimals")), 0.5001e-4));
    ++teeth;
  }
  CHECK(teeth == 121);
}

TEST_CASE("sprockets of printed worked examples", "[sprocket]") {
  // Bhandari, Design of Machine Elements (author's name from memory), example 14.4: p 19.05.
  CHECK_THAT(sprocket_sizes(chain_of("12B"), 17).pitch_diameter_mm, WithinAbs(103.673741, 5e-7));
  CHECK_THAT(sprocket_sizes(chain_of("12B"), 34).pitch_diameter_mm, WithinAbs(206.462975, 5e-7));
  // The same, example 14.5: 12B, 17 teeth, each size the mean of its greatest and least.
  const SprocketSizes sizes = sprocket_sizes(chain_of("12B"), 17);
  CHECK_THAT(mean(sizes.tip_diameter_mm), WithinAbs(112.138521, 5e-7));
  CHECK_THAT(sizes.pitch_diameter_mm - sizes.smallest_gap.seating_radius_mm - sizes.largest_gap.seating_radius_mm,
             WithinAbs(91.324764, 5e-7));
  CHECK_THAT((sizes.smallest_gap.flank_radius_mm + sizes.largest_gap.flank_radius_mm) / 2.0,
             WithinAbs(36.403120, 5e-7));
  CHECK_THAT(sizes.least_side_radius_mm, WithinAbs(19.05, 1e-12));
  CHECK_THAT(sizes.tooth_width_mm, WithinAbs(11.096, 5e-7));
  CHECK_THAT(mean(sizes.side_relief_mm), WithinAbs(2.381250, 5e-7));
  // b1 and b_f1 of that example leave this much side play.
  CHECK_THAT(side_play_mm(chain_of("12B")), WithinAbs(11.68 - 11.096, 5e-7));
  // A general engineering page's example: z 23, p 31.75, d1 19.05 mm.
  Chain big;
  big.pitch_mm = 31.75;
  big.roller_mm = 19.05;
  CHECK_THAT(sprocket_sizes(big, 23).pitch_diameter_mm, WithinAbs(233.17, 0.005));
  CHECK_THAT(sprocket_sizes(big, 23).tip_diameter_mm.greatest_mm, WithinAbs(253.8, 0.05));
}

TEST_CASE("teeth stand above the pitch polygon as the standard says", "[sprocket]") {
  // ISO 606, from memory: h_a from 0.5 (p - d1) to 0.625 p - 0.5 d1 + 0.8 p / z. Its 0.8 stands for pi / 4 and more, so
  // that the heights that follow from d_a agree to within 0.015 p / z from 9 teeth on.
  for (const ChainSize& size : chain_sizes()) {
    for (int teeth = 9; teeth <= 200; ++teeth) {
      const SizeRange height = sprocket_sizes(chain_of(size), teeth).tooth_height_mm;
      const double p = size.pitch_mm;
      CHECK_THAT(height.least_mm, WithinAbs(0.5 * (p - size.roller_mm), 0.015 * p / teeth));
      CHECK_THAT(height.greatest_mm, WithinAbs(0.625 * p - 0.5 * size.roller_mm + 0.8 * p / teeth, 0.015 * p / teeth));
    }
  }
}

TEST_CASE("a shroud at its limit clears the plates, and no more", "[sprocket]") {
  for (const ChainSize& size : chain_sizes()) {
    for (const int teeth : {9, 17, 19, 38, 76, 200}) {
      INFO(size.number << ", " << teeth << " teeth");
      const double shroud_mm = sprocket_sizes(chain_of(size), teeth).shroud_limit_mm;
      // A plate lies along a side of the pitch polygon and comes nearest to the axis in its middle. The corners of the
      // polygon and the distance from the axis to a side between them, by coordinates.
      const double radius_mm = size.pitch_mm / (2.0 * std::sin(pi / teeth));
      const glm::dvec2 first = radius_mm * unit_vector(0.0);
      const glm::dvec2 second = radius_mm * unit_vector(turn_rad / teeth);
      const double plate_mm = distance_to_edge({0.0, 0.0}, first, second) - size.plate_height_mm / 2.0;
      CHECK(plate_mm - shroud_mm / 2.0 > 0.38);
      CHECK(plate_mm - shroud_mm / 2.0 < 0.38 + 0.0201 * size.plate_height_mm);
      // ANSI B29.1, for chains of that series: p (cot(180 deg / z) - 1) - 0.76 mm, as a chain maker's engineering page
      // prints it. Their plates are 0.95 p high, so that it is the same limit within 0.02 p.
      if (size.number == "08A" || size.number == "10A" || size.number == "12A")
        CHECK_THAT(shroud_mm,
                   WithinAbs(size.pitch_mm * (1.0 / std::tan(pi / teeth) - 1.0) - 0.76, 0.02 * size.pitch_mm));
    }
  }
}

TEST_CASE("a new chain fits across its teeth with its side play", "[sprocket]") {
  // Tooth widths by ISO 606, from memory but for 0.95: 0.93 b1 and, for two and three rows, 0.91 b1 up to 12.7 mm
  // pitch, 0.95 and 0.93 above. b1 from the standard's table: 06B 5.72, 08B 7.75, 12B 11.68 mm.
  CHECK_THAT(side_play_mm(chain_of("06B-1")), WithinAbs(0.4004, 1e-9));
  CHECK_THAT(side_play_mm(chain_of("06B-2")), WithinAbs(0.5148, 1e-9));
  CHECK_THAT(side_play_mm(chain_of("08B-3")), WithinAbs(0.6975, 1e-9));
  CHECK_THAT(side_play_mm(chain_of("12B-2")), WithinAbs(0.8176, 1e-9));
  for (const ChainSize& size : chain_sizes()) {
    for (const int rows : {1, 2, 3}) {
      const Chain chain = chain_of(size, rows);
      // From the first row's left inner plate to the last row's right one, less the teeth's whole width.
      const double between_mm = (rows - 1) * size.transverse_pitch_mm + size.inner_width_mm;
      CHECK_THAT(between_mm - sprocket_sizes(chain, 19).width_over_rows_mm, WithinAbs(side_play_mm(chain), 1e-12));
      CHECK(side_play_mm(chain) > 0.0);
      // No tooth of one row meets the inner plates of the next, when the chain stands right over to one side.
      const double from_next_mm = size.transverse_pitch_mm - size.inner_link_width_mm / 2.0 -
                                  sprocket_sizes(chain, 19).tooth_width_mm / 2.0 - side_play_mm(chain) / 2.0;
      CHECK(from_next_mm > 0.0);
    }
  }
}

TEST_CASE("run-out allowed grows with the sprocket, within its bounds", "[sprocket]") {
  // ISO 606, 5.7 and 5.8, figures from memory: radial 0.0008 d_f + 0.08, from 0.15 to 0.76 mm; axial 0.0009 d_f + 0.08,
  // to 1.14 mm. The small engine sprocket is at the least radial one.
  const SprocketSizes small = sprocket_sizes(chain_of("06B"), 19);
  CHECK_THAT(small.radial_run_out_mm, WithinAbs(0.15, 1e-12));
  CHECK_THAT(small.axial_run_out_mm, WithinAbs(0.08 + 0.0009 * (57.8694596 - 6.35), 1e-8));
  const SprocketSizes large = sprocket_sizes(chain_of("12B"), 200);
  CHECK_THAT(large.radial_run_out_mm, WithinAbs(0.76, 1e-12));
  CHECK_THAT(large.axial_run_out_mm, WithinAbs(1.14, 1e-12));
}

TEST_CASE("chains' pin lengths and strengths are those printed", "[chain]") {
  // Chain makers' and handbook sheets as per ISO 606, DIN 8187 and BS 228. What else the table holds of these columns
  // is remembered and has nothing to be checked against but itself.
  CHECK(find_chain("05B")->size.pin_length_mm[0] == 8.6);
  CHECK(find_chain("06B")->size.pin_length_mm[0] == 13.5);
  CHECK(find_chain("08B")->size.pin_length_mm == PerRows{17.0, 31.0, 44.9});
  CHECK(find_chain("08B")->size.breaking_load_kn == PerRows{17.8, 31.1, 44.5});
  CHECK(find_chain("05B")->size.breaking_load_kn[1] == 7.8);
  CHECK(find_chain("05B")->size.breaking_load_kn[2] == 11.1);
  CHECK(find_chain("06B")->size.breaking_load_kn[0] == 8.9);
  CHECK(find_chain("04C")->size.breaking_load_kn[2] == 10.5);
  // 12B: Bhandari, Design of Machine Elements, example 14.5.
  CHECK(find_chain("12B")->size.pitch_mm == 19.05);
  CHECK(find_chain("12B")->size.roller_mm == 12.07);
  CHECK(find_chain("12B")->size.inner_width_mm == 11.68);
  // The bush chains by ANSI B29.1: bush 3.30 and 5.08 mm; nominal inner width 3.18 and 4.78 mm, of which the least is a
  // little under.
  CHECK(find_chain("04C")->size.roller_mm == 3.30);
  CHECK(find_chain("06C")->size.roller_mm == 5.08);
  CHECK_THAT(find_chain("04C")->size.inner_width_mm, WithinAbs(3.18 - 0.05, 0.051));
  CHECK_THAT(find_chain("06C")->size.inner_width_mm, WithinAbs(4.78 - 0.05, 0.051));
}

TEST_CASE("the wear rule 200 / z stands for rollers on the greatest tip circle", "[sprocket]") {
  // Chain makers' engineering pages: renew at 200 / z percent, z the teeth of the large sprocket. Side by side with the
  // elongation at which the rollers' centres reach the tip circle:
  //
  //   06B   z    least tip   greatest tip   200 / z
  //        19      4.10          9.60        10.53
  //        38      2.41          4.82         5.26
  //        76      1.29          2.41         2.63
  //
  // With tips as high as ISO 606 allows, a roller chain is there at 0.90 to 0.99 of the rule, and nearly so whatever
  // the teeth (pi / 2 (1.25 - d1 / p) for many); the bush chains 04C and 06C, thin for their pitch, at 1.12 to 1.15.
  // With tips as low as allowed, roller chains are there at 0.38 to 0.56 of it, bush chains at 0.59 to 0.73. So the
  // rule takes the teeth for tall, and a sprocket cut to the least tip circle is left sooner.
  for (const ChainSize& size : chain_sizes()) {
    const bool bush = size.number == "04C" || size.number == "06C";
    const double many = pi / 2.0 * (1.25 - size.roller_mm / size.pitch_mm);
    for (int teeth = 19; teeth <= 76; ++teeth) {
      INFO(size.number << ", " << teeth << " teeth");
      const ToothForm form = tooth_form(size.pitch_mm, size.roller_mm, size.inner_width_mm, 1, teeth);
      const double rule = 200.0 / teeth;
      const double least = elongation_at_height_percent(form, working_height_mm(form)) / rule;
      const double greatest = elongation_at_height_percent(form, greatest_working_height_mm(form)) / rule;
      CHECK(greatest > (bush ? 1.12 : 0.90));
      CHECK(greatest < (bush ? 1.15 : 0.99));
      CHECK_THAT(greatest, WithinRel(many, 0.005));
      CHECK(least > (bush ? 0.59 : 0.38));
      CHECK(least < (bush ? 0.73 : 0.56));
    }
  }
}

TEST_CASE("a chain elongated so far has its rollers' centres on the tip circle", "[sprocket]") {
  // The pitch circle of the longer pitch, by the standard's formula, is the tip circle of the sprocket.
  for (const ChainSize& size : chain_sizes()) {
    for (const int teeth : {9, 19, 38, 76}) {
      const ToothForm form = tooth_form(size.pitch_mm, size.roller_mm, size.inner_width_mm, 1, teeth);
      const auto circle_mm = [&](double percent) {
        return size.pitch_mm * (1.0 + percent / 100.0) / (2.0 * std::sin(pi / teeth));
      };
      CHECK_THAT(circle_mm(elongation_at_height_percent(form, working_height_mm(form))),
                 WithinAbs(form.least_tip_radius_mm, 1e-9));
      CHECK_THAT(circle_mm(elongation_at_height_percent(form, greatest_working_height_mm(form))),
                 WithinAbs(form.greatest_tip_radius_mm, 1e-9));
    }
  }
}

TEST_CASE("teeth reach the least tip circle before they come to a point", "[sprocket]") {
  // Else the working height would be less than the tip circle's.
  for (const ChainSize& size : chain_sizes())
    for (const GapForm gap : {GapForm::smallest, GapForm::mean, GapForm::largest})
      for (int teeth = 6; teeth <= 200; ++teeth) {
        ToothForm form = tooth_form(size.pitch_mm, size.roller_mm, size.inner_width_mm, 1, teeth, gap);
        form.tip_radius_mm = form.least_tip_radius_mm;
        INFO(size.number << ", " << teeth << " teeth");
        REQUIRE_FALSE(is_pointed(form));
      }
}

TEST_CASE("rollers on the pitch circle lie within the gaps of every outline", "[sprocket]") {
  for (const ChainSize& size : chain_sizes()) {
    for (const int teeth : {6, 7, 9, 12, 17, 18, 19, 20, 21, 23, 25, 34, 36, 38, 42, 76, 120, 200}) {
      const SprocketSizes sizes = sprocket_sizes(chain_of(size), teeth);
      for (const ToothForm& form : {sizes.smallest_gap, sizes.largest_gap}) {
        const std::vector<glm::dvec2> outline = tooth_outline_mm(form, 40, 20);
        for (const int gap : {0, 1, teeth / 2}) {
          INFO(size.number << ", " << teeth << " teeth, gap " << gap);
          const glm::dvec2 roller = form.pitch_radius_mm * unit_vector(pi / 2.0 + turn_rad * gap / teeth);
          const double clear_mm = distance_to_outline(roller, outline) - size.roller_mm / 2.0;
          REQUIRE(clear_mm >= -1e-9);
          // The seat follows the roller: at r_i it is as far away everywhere, less what chords of its arc cut off.
          REQUIRE_THAT(clear_mm, WithinAbs(form.seating_radius_mm - size.roller_mm / 2.0, 2e-4 * size.roller_mm));
        }
      }
    }
  }
}

TEST_CASE("pins laid into the outline's gaps measure what the formula says", "[sprocket]") {
  for (const ChainSize& size : chain_sizes()) {
    for (const int teeth : {9, 12, 17, 18, 19, 20, 21, 23, 38, 41}) {
      const SprocketSizes sizes = sprocket_sizes(chain_of(size), teeth);
      for (const ToothForm& form : {sizes.smallest_gap, sizes.largest_gap}) {
        INFO(size.number << ", " << teeth << " teeth, seat " << form.seating_radius_mm);
        const std::vector<glm::dvec2> outline = tooth_outline_mm(form, 300, 20);
        const auto over_pins_mm = [&](double pin_mm) {
          return length2(pin_in_gap(outline, form, 0, pin_mm) - pin_in_gap(outline, form, teeth / 2, pin_mm)) + pin_mm;
        };
        // The seat's chords lift a pin a little: by up to their depth, and more where the seat is steep.
        const double chords_mm = 1e-5 * size.roller_mm;
        // Pins that fill their seats lie with their centres on the pitch circle, as the rollers do.
        const double full_mm = 2.0 * form.seating_radius_mm;
        CHECK_THAT(over_pins_mm(full_mm), WithinAbs(sizes.over_pins_mm - sizes.measuring_pin_mm + full_mm, chords_mm));
        // Pins of d1 find the seats a little wide (r_i > d1 / 2) and sink by the difference, each toward the axis. The
        // formula reckons with the root diameter d - d1; the outline's is d - 2 r_i.
        const double sunk_mm = form.seating_radius_mm - size.roller_mm / 2.0;
        const double slant = teeth % 2 == 0 ? 1.0 : std::cos(pi / (2.0 * teeth));
        CHECK_THAT(over_pins_mm(sizes.measuring_pin_mm),
                   WithinAbs(sizes.over_pins_mm - 2.0 * sunk_mm * slant, chords_mm));
      }
    }
  }
}
