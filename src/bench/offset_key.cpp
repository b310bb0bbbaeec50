#include "bench/offset_key.hpp"

#include "bench/figure_words.hpp"
#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright {

double key_step_mm(double shaft_diameter_mm, double key_deg) {
  return shaft_diameter_mm / 2.0 * sin_deg(key_deg);
}

std::string key_words(KeyAt at, double advance_deg) {
  const char* shaft = at == KeyAt::crank ? "crank" : "cam";
  if (advance_deg == 0.0) return fmt::format("{} key straight", shaft);
  const char* half = at == KeyAt::crank ? "sprocket" : "shaft";
  return fmt::format("{} key {}, {} half {}", shaft, key_angle_text(advance_deg), half,
                     advance_deg > 0.0 ? "leading" : "trailing");
}

int step_side(KeyAt at, double advance_deg, Rotation rotation) {
  if (advance_deg == 0.0) return 0;
  const int ahead = (advance_deg > 0.0) == (at == KeyAt::crank) ? 1 : -1;
  return rotation == Rotation::clockwise ? ahead : -ahead;
}

std::string step_words(KeyAt at, double advance_deg, Rotation rotation, double shaft_diameter_mm) {
  const int side = step_side(at, advance_deg, rotation);
  if (side == 0) return {};
  const double step_mm = std::fabs(key_step_mm(shaft_diameter_mm, advance_deg));
  return fmt::format("upper half stepped {:.2f} mm ({:.0f} thou) {}, seen from the timing end", step_mm,
                     step_mm / 0.0254, side > 0 ? "clockwise" : "anticlockwise");
}

std::string step_caution(double key_width_mm, double step_mm) {
  if (!(std::fabs(step_mm) > key_width_mm / 2.0)) return {};
  return fmt::format(
      "that is more than half the key's width of {} mm, and leaves too little between its halves (common "
      "practice, no source)",
      key_width_mm);
}

} // namespace phasewright
