#include "bench/drill_readings.hpp"

#include "bench/drill_bench.hpp"
#include "bench/drill_card.hpp"
#include "bench/drill_random.hpp"
#include "bench/reading_model.hpp"
#include "geometry/angle.hpp"
#include "mechanics/judgement.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

constexpr int float_readings = 3;

// One hand that takes readings, one after the other.
class Hand {
public:
  Hand(const Drill& drill, Errors errors)
      : drill_(drill), card_(*drill.card), truth_(*drill.truth), bench_(drill), exact_(errors == Errors::none) {}

  void read_stop_and_lobes(Measured& into, Turning turning) {
    for (std::size_t i = 0; i < card_.layout.stop_deg.size(); ++i) {
      const PistonStop stop = bench_.piston_stop(static_cast<int>(i));
      std::array<double, 2> pair{stop.before_deg, stop.after_deg};
      // The wheel moved after the stop was read.
      for (double& deg : pair) deg = on_wheel(deg - truth_.wheel_moved_deg, turning);
      if (pair[0] > 360.0) pair[0] -= 720.0;
      into.stop_deg.push_back(pair);
    }
    for (LobeReading reading : card_.layout.lobe) {
      reading.opens_deg = flank_deg(reading, true, turning);
      reading.closes_deg = flank_deg(reading, false, turning);
      into.lobe.push_back(reading);
    }
  }

  void read_clearances(Measured& into) {
    for (ClearanceReading reading : card_.layout.clearance) {
      // The crank is set by the wheel, whose stop says how much it shows too much.
      const double set_deg = reading.crank_deg - truth_.wheel_moved_deg;
      const double error_deg = exact_ ? 0.0 : setting_error(card_.given.instruments.wheel_deg);
      reading.clearance_mm = exact_
                                 ? exact_clearance_mm(reading.valve, set_deg)
                                 : *bench_.clearance_mm(reading.valve, {set_deg + error_deg, Turning::forward, next()});
      into.clearance.push_back(reading);
    }
  }

  void read_rest(TakenReadings& into) {
    for (PinCount count : card_.layout.pins)
      if (const auto at = bench_.count_at(count.camshaft)) {
        count.pins = at->pins;
        into.measured.pins.push_back(count);
      }
    into.measured.gap = read_gap();
    if (!drill_.float_of.empty()) {
      into.measured.float_of = drill_.float_of;
      for (int i = 0; i < float_readings; ++i)
        into.measured.float_mm.push_back(exact_ ? truth_.float_mm.at(drill_.float_of)
                                                : bench_.float_mm(drill_.float_of, next()));
    }
    for (const ValveKind kind : valve_kinds)
      if (const ValveMotion* motion = truth_.mechanism.motion(kind)) {
        // Firing TDC finds both valves shut.
        const ReadingAt shut{360.0, Turning::forward, next()};
        into.lash.push_back({kind, exact_ ? motion->gear().lash_mm : bench_.lash_mm(kind, 1, shut)});
      }
  }

  void begin_at(int number) { number_ = number; }

private:
  int next() { return number_++; }

  double setting_error(double limit) {
    DrillRandom random(
        {drill_.ask.seed, static_cast<std::uint64_t>(drill_.ask.level), 4, static_cast<std::uint64_t>(number_)});
    return random.within(limit);
  }

  double on_wheel(double crank_deg, Turning turning) {
    if (exact_) return wrap_720(crank_deg + truth_.wheel_zero_deg + truth_.wheel_moved_deg);
    return bench_.wheel_deg({crank_deg, turning, next()});
  }

  // The crank is turned until the indicator shows the lift, which is off by what it may be.
  double flank_deg(const LobeReading& reading, bool opening, Turning turning) {
    LobeReading shown = reading;
    if (!exact_) shown.lift_mm += setting_error(card_.given.instruments.indicator_mm);
    const std::optional<FlankPair> pair = foretell_pair(truth_.mechanism, shown, turning);
    return on_wheel((opening ? pair->opens : pair->closes).crank_deg, turning);
  }

  double exact_clearance_mm(ValveKind kind, double crank_deg) const {
    return card_.gaps->mounted_on(truth_.mechanism).at(kind, crank_deg);
  }

  GapReading read_gap() {
    const std::vector<Sprocket>& sprockets = truth_.mechanism.engine().loops[0].sprockets;
    GapReading gap;
    gap.under = truth_.behind_mm >= 0.0 ? sprockets.front().name : sprockets[1].name;
    const double way = truth_.behind_mm >= 0.0 ? 1.0 : -1.0;
    const auto edge_mm = [&](Edge edge) {
      if (!exact_) return bench_.gap_mm(gap.under, edge, next());
      return std::max(0.0, way * (truth_.behind_mm + (edge == Edge::far_edge ? 0.5 : -0.5) * truth_.tilt_mm));
    };
    gap.near_mm = edge_mm(Edge::near_edge);
    gap.far_mm = edge_mm(Edge::far_edge);
    return gap;
  }

  const Drill& drill_;
  const DrillCard& card_;
  const DrillTruth& truth_;
  DrillBench bench_;
  bool exact_;
  int number_ = 0;
};

// Numbers of readings that no apprentice comes to: other hands' errors are their own.
constexpr int first_handed_on = 1'000'000;
constexpr int first_careful = 2'000'000;

} // namespace

void hand_on(Drill& drill) {
  Hand hand(drill, Errors::of_instruments);
  hand.begin_at(first_handed_on);
  hand.read_stop_and_lobes(drill.given.measured, drill.truth->turning);
}

TakenReadings careful_readings(const Drill& drill, Errors errors) {
  TakenReadings taken;
  taken.measured.with = drill.given.fitted;
  Hand hand(drill, errors);
  hand.begin_at(first_careful);
  if (drill.handed_on && errors == Errors::of_instruments) {
    taken.measured.stop_deg = drill.given.measured.stop_deg;
    taken.measured.lobe = drill.given.measured.lobe;
  } else {
    hand.read_stop_and_lobes(taken.measured, drill.truth->turning);
  }
  hand.read_clearances(taken.measured);
  hand.read_rest(taken);
  return taken;
}

} // namespace phasewright
