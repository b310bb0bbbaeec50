#include "mechanics/gap_cautions.hpp"

#include "geometry/angle.hpp"
#include "mechanics/valve_gear.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// How far a shut head's edge stands from the cylinder's axis, at its farthest.
double head_reach_mm(const Valve& valve) {
  const double radius_mm = valve.head_mm / 2.0;
  const double across_mm = std::fabs(valve.offset_mm.y) + radius_mm * cos_deg(valve.inclination_deg);
  const double along_mm = std::fabs(valve.offset_mm.x) + radius_mm;
  const double round_mm = std::hypot(valve.offset_mm.x, valve.offset_mm.y) + radius_mm;
  return std::min(round_mm, std::hypot(across_mm, along_mm));
}

void add_valve(const Engine& engine, const std::optional<Valve>& valve, const char* kind,
               std::vector<std::string>& cautions) {
  if (!valve) return;
  const double bore_mm = std::max(engine.block.bore_mm, engine.block.gasket_bore_mm);
  if (const double out_mm = head_reach_mm(*valve) - bore_mm / 2.0; out_mm > 0.0)
    cautions.push_back(fmt::format("the {0} valve's head reaches {1:.1f} mm past the bore, where there is no piston to "
                                   "come near: check valve.{0}.offset_mm and head_mm",
                                   kind, out_mm));
}

// Where a pocket shallower than a dish cuts through the dish's wall and leaves a thin rim, the search for the nearest
// place can miss it.
void add_crossing(const Engine& engine, const std::optional<Valve>& valve, const char* kind,
                  std::vector<std::string>& cautions) {
  const Crown& crown = engine.block.crown;
  if (!valve || crown.shape != CrownShape::dished || !(valve->pocket.radius_mm > 0.0)) return;
  const double aside_mm = std::hypot(valve->offset_mm.x, valve->offset_mm.y);
  const bool crosses = std::fabs(aside_mm - valve->pocket.radius_mm) < crown.radius_mm &&
                       aside_mm + valve->pocket.radius_mm > crown.radius_mm;
  if (crosses && valve->pocket.depth_mm < crown.height_mm)
    cautions.push_back(
        fmt::format("the {} valve's pocket cuts through the dish's wall: where that leaves a thin rim, the "
                    "distance in any direction may be given too great; the one along the axis is not",
                    kind));
}

void add_gear(const Camshaft& camshaft, std::size_t index, ValveKind kind, std::vector<std::string>& cautions) {
  if (!(kind == ValveKind::inlet ? camshaft.inlet : camshaft.exhaust)) return;
  const Result<ValveMotion> motion = ValveMotion::make(camshaft, index, kind);
  if (motion && !(motion->greatest_valve_lift_mm() > 0.0))
    cautions.push_back(fmt::format("the {} valve never opens: its lash of {:g} mm is all its lobe gives", to_word(kind),
                                   motion->gear().lash_mm));
}

} // namespace

std::vector<std::string> gap_cautions(const Engine& engine) {
  std::vector<std::string> cautions;
  if (engine.block.crown_cc < 0.0 && engine.block.crown.shape != CrownShape::domed)
    cautions.push_back(
        fmt::format("block.crown_cc says that the piston has a dome of {:g} cc, but block.crown does not "
                    "say how it stands: clearances are reckoned without it, and are too great",
                    -engine.block.crown_cc));
  add_valve(engine, engine.inlet_valve, "inlet", cautions);
  add_valve(engine, engine.exhaust_valve, "exhaust", cautions);
  add_crossing(engine, engine.inlet_valve, "inlet", cautions);
  add_crossing(engine, engine.exhaust_valve, "exhaust", cautions);
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i)
    for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust})
      add_gear(engine.camshafts[i], i, kind, cautions);
  return cautions;
}

} // namespace phasewright
