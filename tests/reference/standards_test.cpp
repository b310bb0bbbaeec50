#include "geometry/angle.hpp"
#include "mechanics/crank.hpp"
#include "mechanics/lobe.hpp"
#include "mechanics/strand.hpp"
#include "mechanics/valve_gear.hpp"
#include "mechanics/volumes.hpp"
#include "parts/chain_table.hpp"
#include "parts/key_table.hpp"
#include "reference/drives.hpp"
#include "support/catch.hpp"

#include <array>
#include <cmath>

using namespace phasewright;
using namespace phasewright::testing;

// ISO 606 annex A (normative) tables pitch circle diameters for unit pitch; its formula is d = p / sin(180 deg / z).
// Figures derived independently with 30-digit arithmetic, as the table itself was not at hand.
TEST_CASE("pitch circle diameters are those of ISO 606 annex A", "[standards]") {
  struct Row {
    int teeth;
    double unit_diameter;
  };
  static constexpr std::array rows{
      Row{6, 2.0},
      Row{9, 2.92380440016},
      Row{12, 3.86370330516},
      Row{17, 5.44219115175},
      Row{18, 5.75877048314},
      Row{19, 6.07553382097},
      Row{20, 6.3924532215},
      Row{21, 6.70950613981},
      Row{23, 7.3439421961},
      Row{25, 7.97872975556},
      Row{30, 9.56677223351},
      Row{34, 10.8379514475},
  };
  for (const Row& row : rows)
    CHECK_THAT(2.0 * pitch_radius_mm(1.0, row.teeth), WithinAbs(row.unit_diameter, 6e-12 * row.unit_diameter));
  // Diameters printed in a textbook: Bhandari, Design of Machine Elements (author's name from memory), example 14.4.
  CHECK_THAT(2.0 * pitch_radius_mm(19.05, 17), WithinAbs(103.673741, 5e-7));
  CHECK_THAT(2.0 * pitch_radius_mm(19.05, 34), WithinAbs(206.462975, 5e-7));
  CHECK_THAT(2.0 * pitch_radius_mm(31.75, 23), WithinAbs(233.17, 5e-3));
}

// GOST 13568-97 annex A, table A.1, which reproduces ISO 606:1994: p, d1, b1, pt, h2. 08A by ANSI B29.1 (roller 0.312
// in, pin 0.156 in). The bush chains 04C and 06C: pitch and bush by ANSI B29.1.
TEST_CASE("chain dimensions are the standards'", "[standards]") {
  struct Row {
    const char* number;
    double pitch, roller, inner_width, transverse_pitch, plate_height;
  };
  static constexpr std::array rows{Row{"05B", 8.0, 5.0, 3.0, 5.64, 7.11}, Row{"06B", 9.525, 6.35, 5.72, 10.24, 8.26},
                                   Row{"08B", 12.7, 8.51, 7.75, 13.92, 11.81},
                                   Row{"08A", 12.7, 7.92, 7.85, 14.38, 12.07}};
  for (const Row& row : rows) {
    INFO(row.number);
    const std::optional<ChainNumber> found = find_chain(row.number);
    REQUIRE(found.has_value());
    CHECK(found->size.pitch_mm == row.pitch);
    CHECK(found->size.roller_mm == row.roller);
    CHECK(found->size.inner_width_mm == row.inner_width);
    CHECK(found->size.transverse_pitch_mm == row.transverse_pitch);
    CHECK(found->size.plate_height_mm == row.plate_height);
  }
  CHECK(find_chain("08B")->size.pin_mm == 4.45);
  // Inch chains in thousandths of an inch, rounded to 0.01 mm.
  CHECK_THAT(find_chain("08A")->size.roller_mm, WithinAbs(0.312 * 25.4, 0.006));
  CHECK_THAT(find_chain("08A")->size.pin_mm, WithinAbs(0.156 * 25.4, 0.02));
  CHECK_THAT(find_chain("04C")->size.pitch_mm, WithinAbs(0.250 * 25.4, 1e-9));
  CHECK_THAT(find_chain("06C")->size.pitch_mm, WithinAbs(0.375 * 25.4, 1e-9));
  CHECK_THAT(find_chain("06C")->size.pin_mm, WithinAbs(0.141 * 25.4, 0.02));
  CHECK_THAT(find_chain("06C")->size.transverse_pitch_mm, WithinAbs(0.399 * 25.4, 0.006));
}

// DIN 6888:1956-08 prints the key's chord L, which is 2 sqrt(h (D - h)), and keyway depths of series A; t1 + t2 - h =
// 0.2 mm.
TEST_CASE("half-round keys and keyways are those of DIN 6888", "[standards]") {
  struct Row {
    KeySize key;
    double chord, shaft_depth, hub_depth;
  };
  static constexpr std::array rows{
      Row{{1.0, 1.4, 4.0}, 3.82, 1.0, 0.6},   Row{{1.5, 2.6, 7.0}, 6.76, 2.0, 0.8},
      Row{{2.0, 2.6, 7.0}, 6.76, 1.8, 1.0},   Row{{2.0, 3.7, 10.0}, 9.66, 2.9, 1.0},
      Row{{2.5, 3.7, 10.0}, 9.66, 2.9, 1.0},  Row{{3.0, 3.7, 10.0}, 9.66, 2.5, 1.4},
      Row{{3.0, 5.0, 13.0}, 12.65, 3.8, 1.4}, Row{{3.0, 6.5, 16.0}, 15.72, 5.3, 1.4},
      Row{{4.0, 5.0, 13.0}, 12.65, 3.5, 1.7}, Row{{4.0, 6.5, 16.0}, 15.72, 5.0, 1.7},
      Row{{4.0, 7.5, 19.0}, 18.57, 6.0, 1.7},
  };
  CHECK(keyways().size() == rows.size());
  for (const Row& row : rows) {
    INFO(to_text(row.key));
    const std::optional<Keyway> keyway = find_keyway(row.key);
    REQUIRE(keyway.has_value());
    const KeySize key = keyway->key;
    CHECK_THAT(2.0 * std::sqrt(key.height_mm * (key.diameter_mm - key.height_mm)), WithinAbs(row.chord, 0.006));
    CHECK(keyway->shaft_depth_mm == row.shaft_depth);
    CHECK(keyway->hub_depth_mm == row.hub_depth);
    CHECK_THAT(keyway->shaft_depth_mm + keyway->hub_depth_mm - key.height_mm, WithinAbs(0.2, 1e-12));
  }
}

// Dead centres, stroke and drops derived independently from the slider-crank's closed form with 30-digit arithmetic.
// The program is given the stroke, to 12 digits, and finds the throw.
TEST_CASE("offset slider-cranks have the tabled dead centres, stroke and drops", "[crank]") {
  struct Row {
    double throw_mm, rod, offset, tdc, bdc, stroke;
    std::array<double, 7> drops;
  };
  static constexpr std::array after_tdc_deg{1.0, 10.0, 30.0, 60.0, 90.0, 120.0, 150.0};
  static constexpr std::array rows{
      Row{40.0,
          120.0,
          0.0,
          0.0,
          180.0,
          80.0,
          {0.00812278752783, 0.808883138256, 7.03738818663, 25.1087470692, 46.8629150102, 65.1087470692,
           76.3194204894}},
      Row{40.0,
          120.0,
          5.0,
          1.79078465933,
          183.583321698,
          80.0782588038,
          {0.00812527901954, 0.807816683786, 7.00402037991, 24.889256962, 46.3834978847, 64.551275728, 75.9796119387}},
      Row{40.0,
          120.0,
          -5.0,
          -1.79078465933,
          176.416678302,
          80.0782588038,
          {0.00812823533588, 0.810750774944, 7.07844792411, 25.363100098, 47.4209778973, 65.7808491557, 76.7876490165}},
      Row{44.5,
          150.0,
          1.5,
          0.441874145123,
          180.814659385,
          89.0048798984,
          {0.00878801412475, 0.874904816944, 7.61268866327, 27.2302782106, 51.1324495007, 71.6415096965,
           84.6036338704}},
      Row{45.0,
          138.5,
          0.8,
          0.249791655654,
          180.49023725,
          90.001678645,
          {0.00908026787302, 0.904050363313, 7.86312948739, 28.0603553408, 52.4364976322, 73.00368042, 85.7507699829}},
      Row{40.0,
          120.0,
          20.0,
          7.18075578146,
          194.477512186,
          81.2854117397,
          {0.0081810084524, 0.809408222091, 6.9483500503, 24.4237120533, 45.3708805182, 63.5067862296, 75.6983136301}},
  };
  for (const Row& row : rows) {
    INFO("throw " << row.throw_mm << ", rod " << row.rod << ", offset " << row.offset);
    const SliderCrank crank(row.stroke, row.rod, row.offset);
    CHECK_THAT(crank.throw_mm(), WithinAbs(row.throw_mm, 2e-10));
    CHECK_THAT(crank.travel_mm(), WithinAbs(row.stroke, 2e-10));
    CHECK_THAT(crank.throw_at_tdc_deg(), WithinAbs(row.tdc, 2e-10));
    CHECK_THAT(crank.bdc_deg() + crank.throw_at_tdc_deg(), WithinAbs(row.bdc, 1e-9));
    for (std::size_t i = 0; i < after_tdc_deg.size(); ++i)
      CHECK_THAT(crank.drop_mm(after_tdc_deg[i]), WithinAbs(row.drops[i], 2e-10));
  }
}

// A worksheet's printed answers: crank / rod = 1/2, throw 45 degrees past the line, 1 rad/s: rod at 159.295 degrees,
// turning at 0.378 rad/s, slider at 9.744 in/s (with a 10 in crank, inferred from it).
TEST_CASE("the slider-crank gives a printed worksheet's answers", "[crank]") {
  const SliderCrank crank(20.0, 20.0, 0.0);
  constexpr double h_deg = 1e-3;
  const auto height = [&](double deg) { return 30.0 - crank.drop_mm(deg); };
  const double rod_deg = 180.0 - degrees(std::acos((height(45.0) - 10.0 * std::cos(radians(45.0))) / 20.0));
  CHECK_THAT(rod_deg, WithinAbs(159.295, 5e-4));
  const auto lean_rad = [&](double deg) { return std::acos((height(deg) - 10.0 * std::cos(radians(deg))) / 20.0); };
  const double h_rad = radians(h_deg);
  CHECK_THAT((lean_rad(45.0 + h_deg) - lean_rad(45.0 - h_deg)) / (2.0 * h_rad), WithinAbs(0.378, 5e-4));
  CHECK_THAT((crank.drop_mm(45.0 + h_deg) - crank.drop_mm(45.0 - h_deg)) / (2.0 * h_rad), WithinAbs(9.744, 5e-4));
}

// Second method: the gudgeon pin where the rod's circle about the crank pin cuts the cylinder's line, found by halving;
// dead centres where that point is highest and lowest, found by thirds. No formula for the drop, the dead centres or
// the throw.
TEST_CASE("the piston's path is the circle's cut with the line", "[crank]") {
  std::mt19937 random(20);
  for (int i = 0; i < 100; ++i) {
    const double stroke = between(random, 40.0, 160.0);
    const double rod = stroke * between(random, 1.2, 2.5);
    const double offset = between(random, -0.15, 0.15) * stroke;
    const SliderCrank crank(stroke, rod, offset);
    const auto pin_height = [&](double throw_deg) {
      const glm::dvec2 big_end =
          crank.throw_mm() * glm::dvec2{std::sin(radians(throw_deg)), std::cos(radians(throw_deg))};
      double low = big_end.y, high = big_end.y + rod;
      for (int step = 0; step < 80; ++step) {
        const double middle = 0.5 * (low + high);
        (std::hypot(offset - big_end.x, middle - big_end.y) < rod ? low : high) = middle;
      }
      return 0.5 * (low + high);
    };
    const auto extreme_deg = [&](double near_deg, double sign) {
      double low = near_deg - 60.0, high = near_deg + 60.0;
      for (int step = 0; step < 200; ++step) {
        const double a = low + (high - low) / 3.0, b = high - (high - low) / 3.0;
        (sign * pin_height(a) < sign * pin_height(b) ? low : high) =
            sign * pin_height(a) < sign * pin_height(b) ? a : b;
      }
      return 0.5 * (low + high);
    };
    const double tdc_deg = extreme_deg(0.0, 1.0), bdc_deg = extreme_deg(180.0, -1.0);
    CHECK_THAT(pin_height(tdc_deg) - pin_height(bdc_deg), WithinAbs(stroke, 1e-10));
    CHECK_THAT(tdc_deg, WithinAbs(crank.throw_at_tdc_deg(), 2e-5)); // a top is flat: known to the root of rounding
    CHECK_THAT(bdc_deg - tdc_deg, WithinAbs(crank.bdc_deg(), 2e-5));
    for (int k = 0; k < 20; ++k) {
      const double crank_deg = between(random, -720.0, 1440.0);
      CHECK_THAT(crank.drop_mm(crank_deg),
                 WithinAbs(pin_height(tdc_deg) - pin_height(crank_deg + crank.throw_at_tdc_deg()), 1e-10));
    }
  }
}

// 1 + (ratio - 1) y / S, y the exact drop at inlet closing after the true BDC. Figures derived independently.
TEST_CASE("effective compression follows the piston at inlet closing", "[volumes]") {
  struct Row {
    double ratio, stroke, rod, offset, closes_abdc, effective;
  };
  static constexpr std::array rows{
      Row{9.0, 90.0, 138.5, 0.0, 0.0, 9.0},           Row{9.0, 90.0, 138.5, 0.0, 40.0, 8.335660891},
      Row{9.0, 90.0, 138.5, 0.0, 60.0, 7.497413265},  Row{9.0, 90.001678645, 138.5, 0.8, 60.0, 7.493614414},
      Row{10.5, 89.0, 150.0, 0.0, 70.0, 8.009340231}, Row{8.5, 80.0, 120.0, 0.0, 50.0, 7.533400339},
  };
  for (const Row& row : rows) {
    Block block;
    block.bore_mm = block.gasket_bore_mm = 83.0;
    block.stroke_mm = row.stroke;
    block.rod_mm = row.rod;
    block.pin_offset_mm = row.offset;
    block.chamber_cc = pi / 4.0 * 8.3 * 8.3 * row.stroke / 10.0 / (row.ratio - 1.0);
    const double bdc_deg = SliderCrank(block).bdc_deg();
    const Compression found = compression(block, bdc_deg + row.closes_abdc);
    CHECK_THAT(found.static_ratio, WithinAbs(row.ratio, 1e-9));
    CHECK_THAT(found.effective_ratio, WithinAbs(row.effective, 2e-9));
  }
}

// Peak factors of the 4-5-6-7 polynomial: velocity 2.1875 h/b, acceleration 7.5132 h/b^2, jerk 52.5 h/b^3 (cam texts;
// from memory, derived again from the polynomial with 30-digit arithmetic: 7.5131884).
TEST_CASE("the 4-5-6-7 lobe has the textbooks' peak factors on both flanks", "[cam law]") {
  const double lift = 8.3, flank_rad = radians(71.0);
  const LobeProfile lobe = *LobeProfile::make(LobePolynomial{lift, 4.0 * 71.0, {}}, "lobe");
  for (const double side : {-1.0, 1.0}) {
    double velocity = 0.0, acceleration = 0.0, jerk = 0.0;
    for (int i = 1; i < 20000; ++i) {
      const double rad = side * flank_rad * i / 20000.0;
      constexpr double h = 1e-5;
      velocity = std::fmax(velocity, std::fabs(lobe.at(rad).per_rad_mm));
      acceleration = std::fmax(acceleration, std::fabs(lobe.at(rad).per_rad2_mm));
      jerk = std::fmax(jerk, std::fabs(lobe.at(rad + h).per_rad2_mm - lobe.at(rad - h).per_rad2_mm) / (2.0 * h));
    }
    CHECK_THAT(velocity * flank_rad / lift, WithinAbs(2.1875, 1e-7));
    CHECK_THAT(acceleration * flank_rad * flank_rad / lift, WithinAbs(7.5131884, 1e-6));
    CHECK_THAT(jerk * flank_rad * flank_rad * flank_rad / lift, WithinAbs(52.5, 1e-5));
  }
}

// A clamped cubic spline is off by at most 5/384 h^4 M, its slope by h^3 M / 24, its bend by 3/8 h^2 M, M the greatest
// fourth derivative (Hall and Meyer, J. Approximation Theory 16, 1976; from memory). Of 4-5-6-7, M = 840 lift /
// flank^4.
TEST_CASE("a table of the law, a row each degree, follows it as closely as a spline must", "[cam law]") {
  const double lift = 6.9, flank_rad = radians(75.0), h = radians(1.0);
  const LobeProfile law = *LobeProfile::make(LobePolynomial{lift, 300.0, {}}, "lobe");
  LobeTable table;
  for (int deg = -75; deg <= 75; ++deg) {
    table.cam_deg.push_back(deg);
    table.lift_mm.push_back(law.lift_mm(radians(deg)));
  }
  const LobeProfile spline = *LobeProfile::make(table, "lobe");
  const double fourth = 840.0 * lift / std::pow(flank_rad, 4);
  double worst_lift = 0.0, worst_slope = 0.0, worst_bend = 0.0;
  for (int i = -8000; i <= 8000; ++i) {
    const LiftState a = law.at(radians(0.01 * i)), b = spline.at(radians(0.01 * i));
    worst_lift = std::fmax(worst_lift, std::fabs(a.lift_mm - b.lift_mm));
    worst_slope = std::fmax(worst_slope, std::fabs(a.per_rad_mm - b.per_rad_mm));
    worst_bend = std::fmax(worst_bend, std::fabs(a.per_rad2_mm - b.per_rad2_mm));
  }
  CHECK(worst_lift < 5.0 / 384.0 * std::pow(h, 4) * fourth);
  CHECK(worst_slope < std::pow(h, 3) * fourth / 24.0);
  CHECK(worst_bend < 3.0 / 8.0 * h * h * fourth);
  CHECK_THAT(spline.greatest_lift_mm(), WithinAbs(lift, worst_lift));
}

// A textbook's exercise: a flat face moved 50 mm out and back in simple harmonic motion by a cam of 25 mm least radius.
// The cam is a circle of 50 mm about a point 25 mm off the shaft. What is left is the spline's error through rows a
// degree apart, 5/384 h^4 25 mm = 3e-8 mm; along the face it does no more, as the circle runs along it there.
TEST_CASE("harmonic motion of a flat face is made by an eccentric circle", "[cam law]") {
  LobeTable table;
  for (int deg = -180; deg <= 180; ++deg) {
    table.cam_deg.push_back(deg);
    table.lift_mm.push_back(25.0 * (1.0 + std::cos(radians(deg))));
  }
  ValveGear gear;
  gear.base_radius_mm = 25.0;
  gear.lobe = table;
  const LobeProfile lobe = *LobeProfile::make(gear.lobe, "lobe");
  const std::vector<glm::dvec2> outline = LobeContour::make(gear, lobe, "lobe")->outline_mm(1000);
  REQUIRE(outline.size() == 1000);
  double widest_mm = 0.0;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    CHECK_THAT(length2(outline[i] - glm::dvec2{0.0, 25.0}), WithinAbs(50.0, 5e-8));
    widest_mm = std::fmax(widest_mm, std::fabs(lobe.at(turn_rad * static_cast<double>(i) / 1000.0).per_rad_mm));
  }
  CHECK_THAT(2.0 * widest_mm, WithinAbs(50.0, 1e-4)); // the face the exercise asks for
}
