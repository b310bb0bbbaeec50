#include "bench/reading_model.hpp"

#include "geometry/angle.hpp"
#include "mechanics/events.hpp"
#include "mechanics/judgement.hpp"

#include <boost/math/tools/roots.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// How fast the lift that the indicator shows changes where the camshaft stands with the crank at `crank_deg`.
double mm_per_crank_deg(const Mechanism& mechanism, const ValveMotion& gear, CheckAt at, double behind_deg,
                        double crank_deg, Turning turning) {
  const auto camshaft_rad = [&](double deg) {
    return mechanism.drive().camshaft_rad(radians(deg), gear.camshaft_index(), turning);
  };
  const double from_nose_rad = gear.from_nose_rad(camshaft_rad(crank_deg), behind_deg);
  const double per_cam_rad_mm =
      at == CheckAt::tappet ? gear.lobe().at(from_nose_rad).per_rad_mm : gear.valve_state(from_nose_rad).per_rad_mm;
  // The chain's polygons let the camshaft run up to a few percent faster or slower than half the crank.
  constexpr double step_deg = 0.01;
  const double cam_rad = camshaft_rad(crank_deg + step_deg) - camshaft_rad(crank_deg - step_deg);
  return per_cam_rad_mm * cam_rad / (2.0 * step_deg);
}

} // namespace

double FlankPair::duration_deg() const {
  return wrap_720(closes.crank_deg - opens.crank_deg);
}

double FlankPair::middle_deg() const {
  return wrap_720(opens.crank_deg + duration_deg() / 2.0);
}

CheckAt reading_at(const Engine& engine, const LobeReading& reading) {
  if (reading.at) return *reading.at;
  for (const Camshaft& camshaft : engine.camshafts)
    if (reading.valve == ValveKind::inlet ? camshaft.inlet.has_value() : camshaft.exhaust.has_value())
      return camshaft.check_at;
  return CheckAt::tappet;
}

std::optional<FlankPair> foretell_pair(const Mechanism& mechanism, const LobeReading& reading, Turning turning,
                                       double extra_phase_deg) {
  const Engine& engine = mechanism.engine();
  const ValveMotion* gear = mechanism.motion(reading.valve);
  if (gear == nullptr ||
      std::ranges::find(engine.block.firing_order, reading.cylinder) == engine.block.firing_order.end())
    return std::nullopt;
  const CheckAt at = reading_at(engine, reading);
  const std::optional<OpenSpan> span =
      open_span(mechanism, reading.valve, reading.cylinder, reading.lift_mm,
                at == CheckAt::tappet ? LiftedAt::tappet : LiftedAt::valve, turning, extra_phase_deg);
  if (!span) return std::nullopt;
  const double behind_deg = cylinder_delay_deg(engine.block, reading.cylinder) - extra_phase_deg;
  const auto flank = [&](double crank_deg) {
    return Flank{crank_deg, mm_per_crank_deg(mechanism, *gear, at, behind_deg, crank_deg, turning)};
  };
  return FlankPair{flank(span->opens_deg), flank(span->closes_deg)};
}

std::string lobe_words(const Engine& engine, const LobeReading& reading) {
  return fmt::format("{} {} of No. {} at {:.2f} mm", to_word(reading.valve),
                     reading_at(engine, reading) == CheckAt::tappet ? "tappet" : "valve", reading.cylinder,
                     reading.lift_mm);
}

std::optional<std::array<double, 2>> foretell_stop(const SliderCrank& crank, double drop_mm) {
  if (!(drop_mm > 0.0 && drop_mm < crank.travel_mm())) return std::nullopt;
  const auto at_deg = [&](double highest_deg, double lowest_deg) {
    boost::uintmax_t steps = 200;
    const auto [low, high] = boost::math::tools::toms748_solve(
        [&](double deg) { return crank.drop_mm(deg) - drop_mm; }, std::min(highest_deg, lowest_deg),
        std::max(highest_deg, lowest_deg), boost::math::tools::eps_tolerance<double>(50), steps);
    return 0.5 * (low + high);
  };
  return std::array{at_deg(0.0, -crank.up_stroke_deg()), at_deg(0.0, crank.down_stroke_deg())};
}

} // namespace phasewright
