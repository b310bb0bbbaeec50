#include "geometry/angle.hpp"
#include "mechanics/crank.hpp"
#include "mechanics/volumes.hpp"
#include "reference/csv.hpp"
#include "reference/drives.hpp"
#include "support/catch.hpp"

#include <array>
#include <cmath>
#include <numbers>
#include <string>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

constexpr long double pi_long = std::numbers::pi_v<long double>;

// A slider-crank of its own, from the throw, in long double: the rod's foot on the cylinder's line.
struct Slider {
  long double throw_mm, rod_mm, offset_mm;

  [[nodiscard]] long double height_mm(long double throw_rad) const {
    const long double aside_mm = throw_mm * std::sin(throw_rad) - offset_mm;
    return throw_mm * std::cos(throw_rad) + std::sqrt((rod_mm - aside_mm) * (rod_mm + aside_mm));
  }
  // Where crank and rod are in line, folded out and in.
  [[nodiscard]] long double tdc_rad() const { return std::asin(offset_mm / (rod_mm + throw_mm)); }
  [[nodiscard]] long double stroke_mm() const {
    return height_mm(tdc_rad()) - height_mm(pi_long + std::asin(offset_mm / (rod_mm - throw_mm)));
  }
  [[nodiscard]] long double drop_mm(long double after_tdc_rad) const {
    return height_mm(tdc_rad()) - height_mm(tdc_rad() + after_tdc_rad);
  }
};

// Central differences of two widths, the error's first term taken out.
template <class Function>
long double slope(Function function, long double at, long double h) {
  const auto plain = [&](long double step) { return (function(at + step) - function(at - step)) / (2 * step); };
  return (4 * plain(h / 2) - plain(h)) / 3;
}
template <class Function>
long double bend(Function function, long double at, long double h) {
  const auto plain = [&](long double step) {
    return (function(at + step) - 2 * function(at) + function(at - step)) / (step * step);
  };
  return (4 * plain(h / 2) - plain(h)) / 3;
}

} // namespace

// data/slider_crank.csv. The program is given the stroke and finds the throw.
TEST_CASE("piston states have the tabled drops and dead centres", "[crank]") {
  for (auto& row : read_table("slider_crank.csv")) {
    const auto figure = [&row](const std::string& column) { return std::stod(row.at(column)); };
    INFO("throw " << figure("throw") << ", rod " << figure("rod") << ", offset " << figure("offset"));
    const SliderCrank crank(figure("stroke"), figure("rod"), figure("offset"));
    CHECK_THAT(crank.throw_mm(), WithinAbs(figure("throw"), 2e-10));
    CHECK_THAT(crank.throw_at_tdc_deg(), WithinAbs(figure("tdc_deg"), 2e-10));
    CHECK_THAT(crank.bdc_deg(), WithinAbs(figure("bdc_deg") - figure("tdc_deg"), 1e-9));
    CHECK_THAT(crank.at(0.0).per_rad_mm, WithinAbs(0.0, 1e-12));
    CHECK_THAT(crank.at(crank.bdc_deg()).per_rad_mm, WithinAbs(0.0, 1e-11));
    for (const int deg : {1, 10, 30, 60, 90, 120, 150})
      CHECK_THAT(crank.at(deg).drop_mm, WithinAbs(figure("drop_" + std::to_string(deg)), 2e-10));
  }
}

TEST_CASE("piston speed and acceleration are the path's differences in long double", "[crank]") {
  std::mt19937 random(90);
  double worst_speed = 0.0, worst_acceleration = 0.0;
  for (int i = 0; i < 100; ++i) {
    Slider slider{};
    slider.throw_mm = between(random, 20.0, 80.0);
    slider.rod_mm = slider.throw_mm * between(random, 2.5, 5.0);
    slider.offset_mm = slider.throw_mm * between(random, -0.3, 0.3);
    const SliderCrank crank(static_cast<double>(slider.stroke_mm()), static_cast<double>(slider.rod_mm),
                            static_cast<double>(slider.offset_mm));
    const auto drop = [&slider](long double rad) { return slider.drop_mm(rad); };
    for (int k = 0; k < 50; ++k) {
      const double crank_deg = between(random, -360.0, 720.0);
      const long double rad = crank_deg * pi_long / 180;
      const PistonState state = crank.at(crank_deg);
      const double size_mm = static_cast<double>(slider.throw_mm);
      CHECK_THAT(state.drop_mm, WithinAbs(static_cast<double>(drop(rad)), 1e-11));
      CHECK_THAT(state.drop_mm, WithinAbs(crank.drop_mm(crank_deg), 1e-12));
      const double speed = static_cast<double>(slope(drop, rad, 1e-3L));
      const double acceleration = static_cast<double>(bend(drop, rad, 2e-3L));
      worst_speed = std::fmax(worst_speed, std::fabs(state.per_rad_mm - speed) / size_mm);
      worst_acceleration = std::fmax(worst_acceleration, std::fabs(state.per_rad2_mm - acceleration) / size_mm);
      const long double throw_rad = slider.tdc_rad() + rad;
      const double lean_deg =
          static_cast<double>(std::atan2(slider.throw_mm * std::sin(throw_rad) - slider.offset_mm,
                                         slider.height_mm(throw_rad) - slider.throw_mm * std::cos(throw_rad)) *
                              180 / pi_long);
      CHECK_THAT(state.rod_deg, WithinAbs(lean_deg, 1e-10));
    }
  }
  CAPTURE(worst_speed, worst_acceleration);
  CHECK(worst_speed < 1e-11);
  CHECK(worst_acceleration < 1e-9);
}

// A worksheet's printed answers: crank / rod = 1/2, throw 45 degrees past the line, 1 rad/s: rod at 159.295 degrees,
// turning at 0.378 rad/s, slider at 9.744 in/s (with a 10 in crank, inferred from it).
TEST_CASE("piston states give a printed worksheet's answers", "[crank]") {
  const SliderCrank crank(20.0, 20.0, 0.0);
  const PistonState state = crank.at(45.0);
  CHECK_THAT(180.0 - state.rod_deg, WithinAbs(159.295, 5e-4));
  CHECK_THAT(state.per_rad_mm, WithinAbs(9.744, 5e-4));
  const long double turning =
      slope([&crank](long double deg) { return crank.at(static_cast<double>(deg)).rod_deg; }, 45.0L, 0.1L);
  CHECK_THAT(static_cast<double>(turning), WithinAbs(0.378, 5e-4));
}

// Norton, Design of Machinery, the slider-crank example: crank 40, coupler 120, offset -20, crank at 60 degrees:
// coupler at 152.91 degrees, slider at 126.84. From memory; arithmetic gone over.
TEST_CASE("piston states give the classic example of an offset slider-crank", "[crank]") {
  const Slider slider{40, 120, -20};
  const SliderCrank crank(static_cast<double>(slider.stroke_mm()), 120.0, -20.0);
  const PistonState state = crank.at(60.0 - crank.throw_at_tdc_deg());
  CHECK_THAT(180.0 - state.rod_deg, WithinAbs(152.91, 5e-3));
  CHECK_THAT(std::sqrt(160.0 * 160.0 - 20.0 * 20.0) - state.drop_mm, WithinAbs(126.84, 5e-3));
}

// data/effective_compression.csv.
TEST_CASE("effective ratios are those of the table", "[volumes]") {
  for (auto& row : read_table("effective_compression.csv")) {
    const auto figure = [&row](const std::string& column) { return std::stod(row.at(column)); };
    const Slider slider{figure("throw"), figure("rod"), figure("offset")};
    Block block;
    block.bore_mm = block.gasket_bore_mm = 81.0;
    block.stroke_mm = static_cast<double>(slider.stroke_mm());
    block.rod_mm = figure("rod");
    block.pin_offset_mm = figure("offset");
    block.chamber_cc = pi / 4.0 * 8.1 * 8.1 * block.stroke_mm / 10.0 / (figure("ratio") - 1.0);
    const Compression found = compression(block, SliderCrank(block).bdc_deg() + figure("closes_abdc_deg"));
    CHECK_THAT(found.static_ratio, WithinAbs(figure("ratio"), 1e-9));
    CHECK_THAT(found.effective_ratio, WithinAbs(figure("effective"), 2e-9));
  }
}

// Worked by hand: bore 82, stroke 84: swept 443.605 cc. Chamber 41.5, gasket 1.20 of 83.5 bore 6.571, deck 0.45 below
// the face 2.376, dish 3.2: 53.648 cc. Ratio 1 + 443.605 / 53.648 = 9.2689.
TEST_CASE("volumes and static ratio are those worked by hand", "[volumes]") {
  Block block;
  block.bore_mm = 82.0;
  block.stroke_mm = 84.0;
  block.rod_mm = 140.0;
  block.deck_mm = 0.45;
  block.gasket_mm = 1.2;
  block.gasket_bore_mm = 83.5;
  block.chamber_cc = 41.5;
  block.crown_cc = 3.2;
  CHECK_THAT(swept_cc(block), WithinAbs(443.605, 5e-4));
  CHECK_THAT(clearance_cc(block), WithinAbs(53.648, 5e-4));
  CHECK_THAT(compression(block, 180.0).static_ratio, WithinAbs(9.2689, 5e-5));
}

// ISO 2533, standard atmosphere: 101.325, 89.876 and 79.501 kPa at 0, 1000 and 2000 m (from memory; at geopotential
// heights the formula gives 89.8746 and 79.4952, at heights over the sea as tabled beside them a few pascals more).
TEST_CASE("the atmosphere is ISO 2533's", "[volumes]") {
  const auto kpa = [](double altitude_m) {
    return cranking_pressure(8.0, {.exponent = 1.3, .altitude_m = altitude_m}).atmosphere_kpa;
  };
  CHECK_THAT(kpa(0.0), WithinAbs(101.325, 1e-9));
  CHECK_THAT(kpa(1000.0), WithinAbs(89.876, 2e-3));
  CHECK_THAT(kpa(2000.0), WithinAbs(79.501, 7e-3));
}

TEST_CASE("cranking pressure is the polytropic law's", "[volumes]") {
  for (const double exponent : {1.0, 1.2, 1.3, 1.4})
    for (const double ratio : {1.0, 6.0, 8.0, 12.0}) {
      const CrankingPressure found = cranking_pressure(ratio, {.exponent = exponent, .altitude_m = 0.0});
      CHECK_THAT(found.absolute_kpa, WithinRel(101.325 * std::exp(exponent * std::log(ratio)), 1e-12));
      CHECK_THAT(found.gauge_kpa, WithinAbs(found.absolute_kpa - 101.325, 1e-9));
    }
}
