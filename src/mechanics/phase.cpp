#include "mechanics/phase.hpp"

#include <array>
#include <utility>

namespace phasewright {

Result<PhaseBreakdown> phase_breakdown(const Engine& engine, const Fitted& fitted, std::size_t camshaft) {
  // Each cause is put on top of those before it, so that what two causes do together falls to the later one and the
  // parts add up whatever they are.
  using Fit = void (*)(Fitted&, const Fitted&);
  static constexpr std::array<std::pair<const char*, Fit>, 8> causes{{
      {"lay", [](Fitted& to, const Fitted& from) { to.lay = from.lay, to.lay_of = from.lay_of; }},
      {"crank key", [](Fitted& to, const Fitted& from) { to.crank_key_deg = from.crank_key_deg; }},
      {"cam key",
       [](Fitted& to, const Fitted& from) { to.cam_key_deg = from.cam_key_deg, to.cam_key_of = from.cam_key_of; }},
      {"elongation", [](Fitted& to, const Fitted& from) { to.elongation_percent = from.elongation_percent; }},
      {"centre change", [](Fitted& to, const Fitted& from) { to.centre_change_mm = from.centre_change_mm; }},
      {"vernier",
       [](Fitted& to, const Fitted& from) {
         to.vernier = from.vernier, to.holes = from.holes, to.holes_of = from.holes_of;
       }},
      {"slots", [](Fitted& to, const Fitted& from) { to.slot_deg = from.slot_deg, to.slot_of = from.slot_of; }},
      {"found by readings",
       [](Fitted& to, const Fitted& from) { to.found_deg = from.found_deg, to.found_of = from.found_of; }},
  }};
  Result<Drive> whole = Drive::assemble(engine, fitted);
  if (!whole) return whole.problems();
  PhaseBreakdown breakdown;
  breakdown.camshaft = engine.camshafts.at(camshaft).name;
  breakdown.phase_deg = whole->phase_deg(camshaft);
  Fitted so_far;
  double before_deg = 0.0;
  for (const auto& [cause, fit] : causes) {
    fit(so_far, fitted);
    const double after_deg = Drive::phase_deg(engine, so_far, camshaft);
    breakdown.parts.push_back({cause, after_deg - before_deg});
    before_deg = after_deg;
  }
  return breakdown;
}

} // namespace phasewright
