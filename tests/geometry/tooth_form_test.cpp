#include "geometry/angle.hpp"
#include "geometry/tooth_form.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <vector>

using namespace phasewright;

namespace {

struct Size {
  double pitch_mm, roller_mm, width_mm;
};
// ISO 606 05B, 06B, 08B, 12B: p, d1, b1.
const Size sizes[] = {{8.0, 5.0, 3.0}, {9.525, 6.35, 5.72}, {12.7, 8.51, 7.75}, {19.05, 12.07, 11.68}};

double distance_to_edge(glm::dvec2 p, glm::dvec2 a, glm::dvec2 b) {
  const glm::dvec2 way = b - a;
  const double share = std::fmin(1.0, std::fmax(0.0, dot2(p - a, way) / dot2(way, way)));
  return length2(p - a - share * way);
}

bool cross_each_other(glm::dvec2 a, glm::dvec2 b, glm::dvec2 c, glm::dvec2 d) {
  const auto side = [](glm::dvec2 p, glm::dvec2 q, glm::dvec2 r) { return cross2(q - p, r - p); };
  return side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0;
}

} // namespace

TEST_CASE("tooth of a handbook example", "[tooth_form]") {
  // Bhandari, Design of Machine Elements, ch. 14, example 14.5: 12B (p 19.05, d1 12.07, b1 11.68 mm), 17 teeth, every
  // size being the mean of its greatest and least value.
  const ToothForm form = tooth_form(19.05, 12.07, 11.68, 1, 17);
  CHECK_THAT(2.0 * form.pitch_radius_mm, WithinAbs(103.673741, 5e-7));
  CHECK_THAT(2.0 * form.tip_radius_mm, WithinAbs(112.138521, 5e-7));
  CHECK_THAT(2.0 * form.gap_bottom_radius_mm, WithinAbs(91.324764, 5e-7));
  CHECK_THAT(form.flank_radius_mm, WithinAbs(36.403120, 5e-7));
  CHECK_THAT(form.side_radius_mm, WithinAbs(19.05, 1e-12));
  CHECK_THAT(form.width_mm, WithinAbs(11.096, 5e-7));
  CHECK_THAT(form.side_relief_mm, WithinAbs(2.381250, 5e-7));
}

TEST_CASE("tip diameter of a published worked example", "[tooth_form]") {
  // A sprocket worked out on a general engineering page (zjtcn.com/zhishi): z 23, p 31.75, d1 19.05 mm gives d 233.17
  // and d_a,max 253.8 mm.
  const ToothForm form = tooth_form(31.75, 19.05, 19.56, 1, 23);
  CHECK_THAT(2.0 * form.pitch_radius_mm, WithinAbs(233.17, 0.005));
  CHECK_THAT(2.0 * form.greatest_tip_radius_mm, WithinAbs(253.8, 0.05));
}

TEST_CASE("a roller touches its seat and cuts nothing", "[tooth_form]") {
  for (const Size& size : sizes) {
    for (const GapForm gap : {GapForm::smallest, GapForm::mean, GapForm::largest}) {
      for (int teeth = 6; teeth <= 200; teeth += teeth < 50 ? 1 : 7) {
        const ToothForm form = tooth_form(size.pitch_mm, size.roller_mm, size.width_mm, 1, teeth, gap);
        const std::vector<glm::dvec2> half = half_gap_mm(form, 40, 40);
        // A roller that lies on the bottom of the gap; the seat is a little wider than it (r_i = 0.505 d1 at least).
        const glm::dvec2 roller{0.0, form.gap_bottom_radius_mm + size.roller_mm / 2.0};
        double nearest_mm = 1e9;
        for (std::size_t i = 0; i + 1 < half.size(); ++i)
          nearest_mm = std::fmin(nearest_mm, distance_to_edge(roller, half[i], half[i + 1]));
        // Chords of the seating arc cut off less than this.
        const double chord_mm = form.seating_radius_mm * (1.0 - std::cos(form.seating_rad / 160.0));
        REQUIRE(nearest_mm <= size.roller_mm / 2.0 + 1e-9);
        REQUIRE(nearest_mm >= size.roller_mm / 2.0 - chord_mm - 1e-9);
      }
    }
  }
}

TEST_CASE("seat and flank meet without a corner", "[tooth_form]") {
  for (const Size& size : sizes) {
    for (const int teeth : {6, 9, 17, 38, 120, 200}) {
      const ToothForm form = tooth_form(size.pitch_mm, size.roller_mm, size.width_mm, 1, teeth);
      const int points = 2000;
      const std::vector<glm::dvec2> half = half_gap_mm(form, points, points);
      const auto at = static_cast<std::size_t>(points);
      const glm::dvec2 before = half[at] - half[at - 1];
      const glm::dvec2 after = half[at + 1] - half[at];
      const double corner_rad = std::asin(cross2(before, after) / (length2(before) * length2(after)));
      CHECK_THAT(corner_rad, WithinAbs(0.0, 2e-3));
    }
  }
}

TEST_CASE("the outline runs once round, between gap and tip, and never crosses itself", "[tooth_form]") {
  for (const GapForm gap : {GapForm::smallest, GapForm::mean, GapForm::largest}) {
    for (int teeth = 6; teeth <= 200; teeth += teeth < 40 ? 1 : 20) {
      const ToothForm form = tooth_form(9.525, 6.35, 5.72, 1, teeth, gap);
      const std::vector<glm::dvec2> outline = tooth_outline_mm(form);
      double twice_area = 0.0;
      double least_mm = 1e9;
      double greatest_mm = 0.0;
      for (std::size_t i = 0; i < outline.size(); ++i) {
        const glm::dvec2 next = outline[(i + 1) % outline.size()];
        REQUIRE(length2(next - outline[i]) > 1e-6);
        // Every point stands further round than the one before: a ray from the centre meets the outline once.
        REQUIRE(cross2(outline[i], next) > 0.0);
        twice_area += cross2(outline[i], next);
        least_mm = std::fmin(least_mm, length2(outline[i]));
        greatest_mm = std::fmax(greatest_mm, length2(outline[i]));
      }
      CHECK_THAT(least_mm, WithinAbs(form.gap_bottom_radius_mm, 1e-9));
      CHECK(greatest_mm <= form.tip_radius_mm + 1e-9);
      CHECK(greatest_mm > form.pitch_radius_mm);
      CHECK(twice_area > turn_rad * form.gap_bottom_radius_mm * form.gap_bottom_radius_mm * 0.99 *
                             std::sin(turn_rad / teeth) * teeth / turn_rad);
      CHECK(twice_area < turn_rad * form.tip_radius_mm * form.tip_radius_mm);
    }
  }
  const std::vector<glm::dvec2> outline = tooth_outline_mm(tooth_form(9.525, 6.35, 5.72, 1, 7));
  const std::size_t n = outline.size();
  int crossings = 0;
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t j = i + 2; j < n; ++j)
      crossings += cross_each_other(outline[i], outline[(i + 1) % n], outline[j], outline[(j + 1) % n]) ? 1 : 0;
  CHECK(crossings == 0);
}

TEST_CASE("every gap is the first one turned", "[tooth_form]") {
  const ToothForm form = tooth_form(9.525, 6.35, 5.72, 1, 19);
  const std::vector<glm::dvec2> outline = tooth_outline_mm(form);
  REQUIRE(outline.size() % 19 == 0);
  const std::size_t step = outline.size() / 19;
  for (std::size_t i = 0; i < step; ++i) {
    for (std::size_t gap = 0; gap < 19; ++gap) {
      const double rad = turn_rad * static_cast<double>(gap) / 19.0;
      const glm::dvec2 p = outline[i];
      const glm::dvec2 turned{p.x * std::cos(rad) - p.y * std::sin(rad), p.x * std::sin(rad) + p.y * std::cos(rad)};
      REQUIRE_THAT(length2(turned - outline[i + gap * step]), WithinAbs(0.0, 1e-9));
    }
  }
}

TEST_CASE("the side is relieved toward the tip only", "[tooth_form]") {
  const ToothForm form = tooth_form(9.525, 6.35, 5.72, 1, 19);
  CHECK_THAT(form.width_mm, WithinAbs(0.93 * 5.72, 1e-12));
  CHECK_THAT(half_width_at_mm(form, form.gap_bottom_radius_mm), WithinAbs(form.width_mm / 2.0, 1e-12));
  CHECK_THAT(half_width_at_mm(form, form.tip_radius_mm), WithinAbs(form.width_mm / 2.0 - form.side_relief_mm, 1e-9));
  double before_mm = form.width_mm;
  for (int i = 0; i <= 100; ++i) {
    const double width_mm = half_width_at_mm(form, std::lerp(form.gap_bottom_radius_mm, form.tip_radius_mm, i / 100.0));
    CHECK(width_mm <= before_mm);
    CHECK(width_mm > 0.0);
    before_mm = width_mm;
  }
}
