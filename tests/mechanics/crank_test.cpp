#include "geometry/angle.hpp"
#include "mechanics/crank.hpp"
#include "support/catch.hpp"

#include <cmath>

using namespace phasewright;

TEST_CASE("dead centres land exactly", "[crank]") {
  const SliderCrank crank(87.0, 152.0, 0.0);
  CHECK(crank.drop_mm(0.0) == 0.0);
  CHECK(crank.drop_mm(180.0) == 87.0);
  CHECK(crank.drop_mm(720.0) == 0.0);
  CHECK(crank.travel_mm() == 87.0);
  CHECK(crank.bdc_deg() == 180.0);
  CHECK(crank.throw_mm() == 43.5);
}

TEST_CASE("with an offset pin the stroke is still what the file says, and its ends are the highest and lowest",
          "[crank]") {
  for (const double offset_mm : {-6.0, -0.8, 1.5, 9.0}) {
    const SliderCrank crank(90.0, 140.0, offset_mm);
    CHECK_THAT(crank.travel_mm(), WithinAbs(90.0, 1e-11));
    CHECK(crank.throw_mm() < 45.0);
    CHECK_THAT(crank.drop_mm(0.0), WithinAbs(0.0, 1e-12));
    CHECK_THAT(crank.drop_mm(crank.bdc_deg()), WithinAbs(90.0, 1e-11));
    for (double deg = 0.0; deg < 360.0; deg += 0.5) {
      CHECK(crank.drop_mm(deg) >= 0.0);
      CHECK(crank.drop_mm(deg) <= 90.0 + 1e-11);
    }
    // + offset stands on the side of the throw just after TDC: the way down is the longer one.
    CHECK((crank.bdc_deg() > 180.0) == (offset_mm > 0.0));
  }
}

// Second method: the gudgeon pin as the upper cut of the rod's circle with the cylinder's line.
TEST_CASE("the piston follows the rod's circle", "[crank]") {
  const double rod_mm = 130.0, offset_mm = 2.5;
  const SliderCrank crank(80.0, rod_mm, offset_mm);
  const auto pin_height_mm = [&](double deg) {
    const double rad = radians(deg + crank.throw_at_tdc_deg());
    const double x = crank.throw_mm() * std::sin(rad), y = crank.throw_mm() * std::cos(rad);
    double low = y, high = y + rod_mm;
    for (int i = 0; i < 100; ++i) {
      const double middle = 0.5 * (low + high);
      (std::hypot(offset_mm - x, middle - y) < rod_mm ? low : high) = middle;
    }
    return low;
  };
  for (double deg = -360.0; deg <= 360.0; deg += 11.0)
    CHECK_THAT(crank.drop_mm(deg), WithinAbs(pin_height_mm(0.0) - pin_height_mm(deg), 1e-10));
}

// Elementary: the dead centres lie where throw and rod are in one line, at asin(e / (l + r)) and 180 deg + asin(e / (l
// - r)) of the throw; figures worked out to 12 places apart from this program.
TEST_CASE("with an offset pin the strokes take different times", "[crank]") {
  struct Worked {
    double throw_mm, rod_mm, offset_mm, tdc_deg, bdc_deg, stroke_mm;
  };
  for (const Worked& worked : {Worked{40.0, 120.0, 5.0, 1.79078465933, 183.583321698, 80.0782588038},
                               Worked{45.0, 138.5, 0.8, 0.249791655654, 180.49023725, 90.001678645}}) {
    const SliderCrank crank(worked.stroke_mm, worked.rod_mm, worked.offset_mm);
    CHECK_THAT(crank.throw_mm(), WithinAbs(worked.throw_mm, 1e-8));
    CHECK_THAT(crank.throw_at_tdc_deg(), WithinAbs(worked.tdc_deg, 1e-8));
    CHECK_THAT(crank.down_stroke_deg(), WithinAbs(worked.bdc_deg - worked.tdc_deg, 1e-8));
    CHECK_THAT(crank.down_stroke_deg() + crank.up_stroke_deg(), WithinAbs(360.0, 1e-12));
    CHECK_THAT(crank.at(0.0).per_rad_mm, WithinAbs(0.0, 1e-12));
    CHECK_THAT(crank.at(crank.bdc_deg()).per_rad_mm, WithinAbs(0.0, 1e-12));
  }
}

// Second method: differences of the drop itself, and the rod's own triangle.
TEST_CASE("the piston's speed and acceleration are those of its drop", "[crank]") {
  for (const double offset_mm : {-6.0, 0.0, 2.5}) {
    const SliderCrank crank(80.0, 130.0, offset_mm);
    const double step_deg = 0.01;
    const double step_rad = radians(step_deg);
    for (double deg = -350.0; deg <= 350.0; deg += 17.0) {
      const PistonState state = crank.at(deg);
      const double before_mm = crank.drop_mm(deg - step_deg), after_mm = crank.drop_mm(deg + step_deg);
      CHECK(state.drop_mm == crank.drop_mm(deg));
      CHECK_THAT(state.per_rad_mm, WithinAbs((after_mm - before_mm) / (2.0 * step_rad), 1e-6));
      CHECK_THAT(state.per_rad2_mm,
                 WithinAbs((after_mm - 2.0 * state.drop_mm + before_mm) / (step_rad * step_rad), 1e-4));
      const double across_mm = crank.throw_mm() * std::sin(radians(deg + crank.throw_at_tdc_deg())) - offset_mm;
      CHECK_THAT(130.0 * std::sin(radians(state.rod_deg)), WithinAbs(across_mm, 1e-10));
    }
  }
}

// Elementary: at the dead centres of a crank without offset the piston's acceleration is r (1 + r / l) and, upward,
// r (1 - r / l). A printed worksheet on the slider-crank has, with r 10 in, l 20 in, 45 degrees and 1 rad/s, the rod at
// 159.295 degrees counted from the slider's way out and the piston at 9.744 in/s.
TEST_CASE("the piston moves as textbooks have it", "[crank]") {
  const SliderCrank crank(87.0, 152.0, 0.0);
  CHECK_THAT(crank.at(0.0).per_rad2_mm, WithinAbs(43.5 * (1.0 + 43.5 / 152.0), 1e-12));
  CHECK_THAT(crank.at(180.0).per_rad2_mm, WithinAbs(-43.5 * (1.0 - 43.5 / 152.0), 1e-12));
  const PistonState printed = SliderCrank(20.0, 20.0, 0.0).at(45.0);
  CHECK_THAT(printed.per_rad_mm, WithinAbs(9.744, 5e-4));
  CHECK_THAT(180.0 - printed.rod_deg, WithinAbs(159.295, 5e-4));
}
