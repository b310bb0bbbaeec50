#include "mechanics/lobe_cautions.hpp"

#include "mechanics/contour_faults.hpp"

#include <fmt/format.h>

namespace phasewright {

namespace {

std::string evened_out_words(const ValveMotion& motion) {
  return fmt::format("the {} lobe's table is uneven: its rows were moved by up to {:g} mm before a lobe came of them; "
                     "read it again if you can",
                     to_word(motion.kind()), motion.evened_out_mm());
}

} // namespace

std::optional<std::string> lobe_caution(const ValveMotion& motion) {
  const LobeContour& contour = motion.contour();
  if (!(contour.least_convex_radius_mm() < pointed_radius_mm)) return std::nullopt;
  return fmt::format("the {} lobe comes to a point: radius of curvature {:.2f} mm, {}", to_word(motion.kind()),
                     contour.least_convex_radius_mm(),
                     place_on_lobe(contour, motion.gear(), contour.least_convex_at_rad()));
}

std::vector<std::string> lobe_cautions(const Engine& engine) {
  std::vector<std::string> cautions;
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
      if (!(kind == ValveKind::inlet ? engine.camshafts[i].inlet : engine.camshafts[i].exhaust)) continue;
      const Result<ValveMotion> motion = ValveMotion::make(engine.camshafts[i], i, kind);
      if (!motion) continue;
      if (motion->evened_out_mm() > 0.0) cautions.push_back(evened_out_words(*motion));
      if (std::optional<std::string> caution = lobe_caution(*motion)) cautions.push_back(*std::move(caution));
    }
  }
  return cautions;
}

} // namespace phasewright
