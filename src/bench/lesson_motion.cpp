// Crank, pistons, valves and the room between them: quantities of a lesson.
#include "bench/clearance_read.hpp"
#include "bench/lesson_asked.hpp"
#include "bench/standing.hpp"

#include "geometry/angle.hpp"
#include "mechanics/events.hpp"

#include <algorithm>
#include <array>

namespace phasewright {

namespace {

using Q = LessonQuantity;

double angle_of(const CrankByHand& crank, double period_deg) {
  return period_deg == 720.0 ? wrap_720(crank.crank_deg) : wrap_360(crank.crank_deg);
}

// Signed, the shorter way round the cycle: -360 to 360.
double from_place(double crank_deg, double place_deg) {
  return wrap_720(crank_deg - place_deg + 360.0) - 360.0;
}

double camshaft_turned_deg(const Asked& asked) {
  const Drive& drive = asked.of.drive();
  const CrankByHand& crank = asked.moment.crank;
  return degrees(drive.camshaft_rad(radians(crank.crank_deg), asked.camshaft, crank.turning) -
                 drive.camshaft_rad(radians(asked.moment.turns.began_crank_deg), asked.camshaft,
                                    asked.moment.turns.began_turning));
}

std::string stroke_word(const Asked& asked) {
  static constexpr std::array words{"inlet", "compression", "power", "exhaust"};
  const double own_deg =
      wrap_720(asked.moment.crank.crank_deg - cylinder_delay_deg(asked.of.engine().block, asked.cylinder));
  return words[std::min<std::size_t>(static_cast<std::size_t>(own_deg / 180.0), 3)];
}

// The valve as the crank was turned to where it stands.
std::optional<ValvePose> valve_pose(const Asked& asked, ValveKind kind) {
  const Pose pose = asked.of.pose(asked.moment.crank.crank_deg, asked.moment.crank.turning);
  const auto found = std::ranges::find_if(
      pose.valves, [&](const ValvePose& valve) { return valve.valve == kind && valve.cylinder == asked.cylinder; });
  return found == pose.valves.end() ? std::nullopt : std::optional(*found);
}

constexpr const char* no_valve = "the engine has no such valve";

QuantityRead lift(const Asked& asked, ValveKind kind, double ValvePose::*where) {
  const std::optional<ValvePose> valve = valve_pose(asked, kind);
  return valve ? figure_of((*valve).*where) : unknown(no_valve);
}

// Of both valves' lifts.
template <class Join>
QuantityRead joined_lifts(const Asked& asked, Join join) {
  const std::optional<ValvePose> inlet = valve_pose(asked, ValveKind::inlet);
  const std::optional<ValvePose> exhaust = valve_pose(asked, ValveKind::exhaust);
  return inlet && exhaust ? figure_of(join(inlet->lift_mm, exhaust->lift_mm)) : unknown(no_valve);
}

QuantityRead from_centre(const Asked& asked, ValveKind kind) {
  const Result<Events> events = valve_events(asked.of);
  if (!events) return unknown(events.problems());
  for (const CamshaftEvents& camshaft : events->camshafts)
    if (const auto& found = kind == ValveKind::inlet ? camshaft.inlet : camshaft.exhaust)
      return figure_of(from_place(asked.moment.crank.crank_deg, found->centre_crank_deg));
  return unknown(no_valve);
}

enum class Room { here, least, from_least };

QuantityRead room(const Asked& asked, ValveKind kind, Room which) {
  const Result<ClearanceModel> model = clearance_as_read(asked.of, *asked.moment.build);
  if (!model) return unknown(model.problems());
  if (!model->has(kind)) return unknown(no_valve);
  if (which == Room::here) return figure_of(model->at(kind, asked.moment.crank.crank_deg));
  const LeastClearance least = model->least_axial(kind);
  return figure_of(which == Room::least ? least.least_mm
                                        : from_place(asked.moment.crank.crank_deg, least.at_crank_deg));
}

std::string safe_word(const Asked& asked) {
  const std::optional<bool> safe = standing_of(asked.of, *asked.moment.build).safe();
  return !safe ? "unknown" : *safe ? "yes" : "no";
}

} // namespace

std::optional<QuantityRead> read_motion(LessonQuantity what, const Asked& asked) {
  const LessonMoment& moment = asked.moment;
  switch (what) {
  case Q::crank_deg:
    return figure_of(angle_of(moment.crank, 720.0));
  case Q::crank_turned_deg:
    return figure_of(moment.turns.forward_deg - moment.turns.back_deg);
  case Q::turned_forward_deg:
    return figure_of(moment.turns.forward_deg);
  case Q::turned_back_deg:
    return figure_of(moment.turns.back_deg);
  case Q::camshaft_turned_deg:
    return figure_of(camshaft_turned_deg(asked));
  case Q::turning:
    return word_of(to_word(moment.crank.turning));
  case Q::hang_back_deg:
    return figure_of(moment.crank.turning == Turning::forward
                         ? 0.0
                         : asked.of.drive().hang_back(moment.crank.crank_deg, asked.camshaft).crank_deg);
  case Q::stroke:
    return word_of(stroke_word(asked));
  case Q::piston_drop_mm:
    return figure_of(asked.of.piston_drop_mm(asked.cylinder, moment.crank.crank_deg));
  default:
    return std::nullopt;
  }
}

std::optional<QuantityRead> read_valves(LessonQuantity what, const Asked& asked) {
  switch (what) {
  case Q::inlet_lift_mm:
    return lift(asked, ValveKind::inlet, &ValvePose::lift_mm);
  case Q::exhaust_lift_mm:
    return lift(asked, ValveKind::exhaust, &ValvePose::lift_mm);
  case Q::lesser_lift_mm:
    return joined_lifts(asked, [](double inlet, double exhaust) { return std::min(inlet, exhaust); });
  case Q::lifts_apart_mm:
    return joined_lifts(asked, [](double inlet, double exhaust) { return inlet - exhaust; });
  case Q::inlet_tappet_mm:
    return lift(asked, ValveKind::inlet, &ValvePose::tappet_mm);
  case Q::exhaust_tappet_mm:
    return lift(asked, ValveKind::exhaust, &ValvePose::tappet_mm);
  case Q::from_inlet_centre_deg:
    return from_centre(asked, ValveKind::inlet);
  case Q::from_exhaust_centre_deg:
    return from_centre(asked, ValveKind::exhaust);
  case Q::inlet_gap_mm:
    return room(asked, ValveKind::inlet, Room::here);
  case Q::exhaust_gap_mm:
    return room(asked, ValveKind::exhaust, Room::here);
  case Q::inlet_least_mm:
    return room(asked, ValveKind::inlet, Room::least);
  case Q::exhaust_least_mm:
    return room(asked, ValveKind::exhaust, Room::least);
  case Q::from_inlet_least_deg:
    return room(asked, ValveKind::inlet, Room::from_least);
  case Q::from_exhaust_least_deg:
    return room(asked, ValveKind::exhaust, Room::from_least);
  case Q::safe:
    return word_of(safe_word(asked));
  default:
    return std::nullopt;
  }
}

} // namespace phasewright
