#include "cli/cautions.hpp"

#include "cli/words.hpp"
#include "geometry/angle.hpp"
#include "mechanics/valve_gear.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright::cli {

namespace {

// A nose sharper than about this does not last under its follower: common practice, no source.
constexpr double least_lasting_radius_mm = 1.0;

void add_lobe_caution(const Camshaft& camshaft, std::size_t index, ValveKind kind, std::vector<std::string>& cautions) {
  const Result<ValveMotion> motion = ValveMotion::make(camshaft, index, kind);
  if (!motion) return; // the answer itself says so, where it needs the lobe
  const LobeContour& contour = motion->contour();
  if (!(contour.least_convex_radius_mm() < least_lasting_radius_mm)) return;
  const double at_deg = degrees(contour.least_convex_at_rad());
  cautions.push_back(fmt::format("the {} lobe is pointed: its outline's radius comes down to {} mm, {} cam degrees {} "
                                 "its nose; less than about {} mm would not last",
                                 to_word(kind), fixed(contour.least_convex_radius_mm(), 2), fixed(std::fabs(at_deg), 1),
                                 at_deg < 0.0 ? "before" : "past", least_lasting_radius_mm));
}

} // namespace

std::vector<std::string> cautions_over(const Opened& opened) {
  std::vector<std::string> cautions = opened.cautions;
  for (std::size_t i = 0; i < opened.engine->camshafts.size(); ++i) {
    const Camshaft& camshaft = opened.engine->camshafts[i];
    if (camshaft.inlet) add_lobe_caution(camshaft, i, ValveKind::inlet, cautions);
    if (camshaft.exhaust) add_lobe_caution(camshaft, i, ValveKind::exhaust, cautions);
  }
  return cautions;
}

} // namespace phasewright::cli
