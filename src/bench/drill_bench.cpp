#include "bench/drill_bench.hpp"

#include "bench/align.hpp"
#include "bench/drill_card.hpp"
#include "bench/drill_random.hpp"
#include "bench/reading_model.hpp"
#include "geometry/angle.hpp"
#include "mechanics/strand.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// What tells one instrument's errors from another's.
enum Instrument { wheel = 1, on_tappet = 10, on_valve = 20, clearance = 30, lash = 40, gap = 50, end_float = 60 };

int kind_index(ValveKind valve) {
  return valve == ValveKind::inlet ? 0 : 1;
}

} // namespace

double step_of_limit(double limit) {
  const double decade = std::pow(10.0, std::floor(std::log10(limit) + 1e-9));
  for (const double times : {5.0, 2.0})
    if (times * decade <= limit * (1.0 + 1e-9)) return times * decade;
  return decade;
}

double tilt_limit_mm(const Engine& engine) {
  const Loop& loop = engine.loops[0];
  return 2.0 * pitch_radius_mm(loop.chain.pitch_mm, loop.sprockets.front().teeth) / tilt_limit_per;
}

DrillBench::DrillBench(const Drill& drill)
    : truth_(drill.truth), card_(drill.card), instruments_(drill.given.instruments), ask_(drill.ask) {}

// Steps and errors together stay within the limit.
double DrillBench::read(double truth, double limit, int instrument, int number) const {
  const double step = step_of_limit(limit);
  DrillRandom random({ask_.seed, static_cast<std::uint64_t>(ask_.level), 3, static_cast<std::uint64_t>(instrument),
                      static_cast<std::uint64_t>(number)});
  const double steps = std::round((truth + random.within(limit - step / 2.0)) / step);
  // Written with as many digits as its steps have.
  const double per_mm = std::round(1.0 / step * 1e6) / 1e6;
  return per_mm >= 1.0 && per_mm == std::round(per_mm) ? steps / per_mm : steps * step;
}

double DrillBench::wheel_deg(const ReadingAt& at) const {
  const double shown_deg = at.crank_deg + truth_->wheel_zero_deg + truth_->wheel_moved_deg;
  return wrap_720(read(shown_deg, instruments_.wheel_deg, wheel, at.number));
}

PistonStop DrillBench::piston_stop(int rod) const {
  const SliderCrank& crank = truth_->mechanism.slider_crank();
  return *phasewright::piston_stop(crank, stop_shares.at(static_cast<std::size_t>(rod)) * crank.travel_mm());
}

double DrillBench::indicator_mm(ValveKind valve, int cylinder, CheckAt where, const ReadingAt& at) const {
  const Mechanism& mechanism = truth_->mechanism;
  const ValveMotion& motion = *mechanism.motion(valve);
  const double camshaft_rad =
      mechanism.drive().camshaft_rad(radians(at.crank_deg), motion.camshaft_index(), at.turning);
  const double from_nose_rad =
      motion.from_nose_rad(camshaft_rad, cylinder_delay_deg(mechanism.engine().block, cylinder));
  const double lift_mm =
      where == CheckAt::tappet ? motion.tappet_lift_mm(from_nose_rad) : motion.valve_lift_mm(from_nose_rad);
  return read(lift_mm, instruments_.indicator_mm, (where == CheckAt::tappet ? on_tappet : on_valve) + kind_index(valve),
              at.number);
}

std::optional<double> DrillBench::clearance_mm(ValveKind valve, const ReadingAt& at) const {
  if (!card_->gaps || !card_->gaps->has(valve)) return std::nullopt;
  // Turned back the camshaft hangs behind: the piston is where the crank is, the valve where the camshaft is.
  const ValveMotion& motion = *truth_->mechanism.motion(valve);
  const double drawn_mm = card_->gaps->mounted_on(truth_->mechanism).at(valve, at.crank_deg);
  double hangs_mm = 0.0;
  if (at.turning == Turning::backward) {
    const Drive& drive = truth_->mechanism.drive();
    const auto lift_mm = [&](Turning turning) {
      return motion.valve_lift_mm(
          motion.from_nose_rad(drive.camshaft_rad(radians(at.crank_deg), motion.camshaft_index(), turning), 0.0));
    };
    hangs_mm = lift_mm(Turning::forward) - lift_mm(Turning::backward);
  }
  const double gap_mm = drawn_mm + hangs_mm + truth_->gap_mm[static_cast<std::size_t>(kind_index(valve))];
  return std::max(0.0, read(gap_mm, instruments_.indicator_mm, clearance + kind_index(valve), at.number));
}

double DrillBench::lash_mm(ValveKind valve, int cylinder, const ReadingAt& at) const {
  const Mechanism& mechanism = truth_->mechanism;
  const ValveMotion& motion = *mechanism.motion(valve);
  const double camshaft_rad =
      mechanism.drive().camshaft_rad(radians(at.crank_deg), motion.camshaft_index(), at.turning);
  const double taken_mm = motion.with_lash(0.0).valve_lift_mm(
      motion.from_nose_rad(camshaft_rad, cylinder_delay_deg(mechanism.engine().block, cylinder)));
  const double left_mm = motion.gear().lash_mm - taken_mm;
  if (left_mm <= 0.0) return 0.0;
  return std::max(0.0, read(left_mm, instruments_.feeler_mm, lash + kind_index(valve), at.number));
}

double DrillBench::gap_mm(const std::string& under, Edge edge, int number) const {
  const bool crank = under == truth_->mechanism.engine().loops[0].sprockets.front().name;
  const double behind_mm = truth_->behind_mm + (edge == Edge::far_edge ? 0.5 : -0.5) * truth_->tilt_mm;
  const double room_mm = std::max(0.0, crank ? behind_mm : -behind_mm);
  const int which = gap + (crank ? 0 : 2) + (edge == Edge::far_edge ? 1 : 0);
  return std::max(0.0, read(room_mm, instruments_.feeler_mm, which, number));
}

double DrillBench::float_mm(const std::string& camshaft, int number) const {
  return std::max(0.0, read(truth_->float_mm.at(camshaft), instruments_.indicator_mm, end_float, number));
}

std::optional<MarkCount> DrillBench::count_at(const std::string& camshaft) const {
  const Engine& engine = truth_->mechanism.engine();
  const std::vector<Sprocket>& sprockets = engine.loops[0].sprockets;
  for (std::size_t i = 1; i < sprockets.size(); ++i)
    if (sprockets[i].camshaft == camshaft) return pins_between(mark_places(engine, truth_->mechanism.drive()), i, 0);
  return std::nullopt;
}

std::optional<int> DrillBench::pins(const std::string& camshaft, double crank_deg) const {
  const std::optional<MarkCount> count = count_at(camshaft);
  if (!count) return std::nullopt;
  const double at_deg = wrap_720(crank_deg);
  const auto within = [&](double deg) { return deg >= count->from_crank_deg && deg <= count->to_crank_deg; };
  return within(at_deg) || within(at_deg + 720.0) ? std::optional(count->pins) : std::nullopt;
}

} // namespace phasewright
