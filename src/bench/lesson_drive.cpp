// The timing drive and the valve events that it gives: quantities of a lesson.
#include "bench/lesson_asked.hpp"
#include "bench/offset_key.hpp"
#include "bench/plan.hpp"

#include "geometry/angle.hpp"
#include "mechanics/events.hpp"

#include <cmath>

namespace phasewright {

namespace {

using Q = LessonQuantity;

const std::string& name_of(const Asked& asked) {
  return asked.of.engine().camshafts[asked.camshaft].name;
}

DrivePose pose_of(const Asked& asked) {
  return asked.of.drive().pose(asked.moment.crank.crank_deg, asked.moment.crank.turning);
}

QuantityRead off_target(const Asked& asked) {
  const Engine& engine = asked.of.engine();
  const Result<std::vector<double>> targets = target_phases_deg(engine, *asked.moment.build);
  if (!targets) return unknown(targets.problems());
  const std::vector<std::size_t> planned = planned_camshafts(engine, asked.moment.build->target);
  for (std::size_t i = 0; i < planned.size(); ++i)
    if (planned[i] == asked.camshaft) return figure_of(asked.of.drive().phase_deg(asked.camshaft) - (*targets)[i]);
  return unknown("the build's target is about another camshaft");
}

// At the crank the camshaft is advanced when the sprocket half leads, at the camshaft when the shaft half does.
std::string leads_word(KeyAt at, double advance_deg) {
  if (advance_deg == 0.0) return "neither";
  return (advance_deg > 0.0) == (at == KeyAt::crank) ? "sprocket half" : "shaft half";
}

std::string step_word(KeyAt at, double advance_deg, Rotation rotation) {
  const int side = step_side(at, advance_deg, rotation);
  return side == 0 ? "none" : side > 0 ? "clockwise" : "anticlockwise";
}

// The middle of a strand between its end pins.
double middle_x_mm(const LoopPose& loop, const StrandPose& strand) {
  const std::size_t pins = loop.pins_mm.size();
  return (loop.pins_mm[strand.first_pin].x +
          loop.pins_mm[(strand.first_pin + static_cast<std::size_t>(strand.links)) % pins].x) /
         2.0;
}

// Of the strand that enters the crank's sprocket and the one that leaves it.
QuantityRead taut_side(const Asked& asked) {
  const LoopPose loop = pose_of(asked).loops.front();
  const StrandPose& leaving = loop.strands.front();
  const StrandPose& entering = loop.strands.back();
  const bool pulls_entering = entering.state == StrandState::taut;
  const StrandPose& taut = pulls_entering ? entering : leaving;
  if (taut.state != StrandState::taut) return unknown("neither strand at the crank is taut");
  const StrandPose& other = pulls_entering ? leaving : entering;
  return word_of(middle_x_mm(loop, taut) < middle_x_mm(loop, other) ? "left" : "right");
}

double slack_mm(const Asked& asked) {
  const LoopPose loop = pose_of(asked).loops.front();
  double slack = 0.0;
  for (const StrandPose& strand : loop.strands) slack = std::max(slack, strand.slack_mm);
  return slack;
}

// Past the place where the maker has it, in the direction its own sprocket turns.
double mark_past_deg(const Asked& asked, SprocketPlace place) {
  const Engine& engine = asked.of.engine();
  const double stands_deg = pose_of(asked).loops[place.loop].sprockets[place.sprocket].mark_clock_deg;
  const std::string& camshaft = sprocket_at(engine, place).camshaft;
  const Rotation turns = camshaft.empty() ? engine.rotation : camshaft_rotation(engine, camshaft);
  const double past_deg = wrap_180(stands_deg - sprocket_at(engine, place).mark_clock_deg);
  return turns == Rotation::clockwise ? past_deg : -past_deg;
}

std::optional<SprocketPlace> cam_sprocket(const Asked& asked) {
  return find_cam_sprocket(asked.of.engine(), name_of(asked));
}

QuantityRead marks(const Asked& asked) {
  const std::optional<SprocketPlace> cam = cam_sprocket(asked);
  if (!cam) return unknown("the camshaft has no sprocket");
  const auto faces = [&asked](SprocketPlace place) {
    const double quarter_tooth_deg = 90.0 / sprocket_at(asked.of.engine(), place).teeth;
    return std::fabs(mark_past_deg(asked, place)) <= quarter_tooth_deg;
  };
  return word_of(faces({0, 0}) && faces(*cam) ? "facing" : "apart");
}

QuantityRead event_of(Q what, const KindEvents* inlet, const KindEvents* exhaust) {
  const bool of_inlet = what == Q::inlet_opens_deg || what == Q::inlet_closes_deg || what == Q::inlet_centre_deg;
  const KindEvents* events = of_inlet ? inlet : exhaust;
  if (events == nullptr) return unknown("the engine has no such valve");
  switch (what) {
  case Q::inlet_opens_deg:
    return figure_of(event_figure_deg(EventKind::inlet_opens, events->at_check.opens_deg));
  case Q::inlet_closes_deg:
    return figure_of(event_figure_deg(EventKind::inlet_closes, events->at_check.closes_deg));
  case Q::exhaust_opens_deg:
    return figure_of(event_figure_deg(EventKind::exhaust_opens, events->at_check.opens_deg));
  case Q::exhaust_closes_deg:
    return figure_of(event_figure_deg(EventKind::exhaust_closes, events->at_check.closes_deg));
  default:
    return figure_of(events->centre_deg);
  }
}

std::optional<QuantityRead> read_event(Q what, const Asked& asked) {
  switch (what) {
  case Q::inlet_opens_deg:
  case Q::inlet_closes_deg:
  case Q::exhaust_opens_deg:
  case Q::exhaust_closes_deg:
  case Q::inlet_centre_deg:
  case Q::exhaust_centre_deg:
  case Q::overlap_deg:
    break;
  default:
    return std::nullopt;
  }
  const Result<Events> events = valve_events(asked.of);
  if (!events) return unknown(events.problems());
  if (what == Q::overlap_deg) return figure_of(events->overlap_deg, "the engine has not both valves");
  const KindEvents* inlet = nullptr;
  const KindEvents* exhaust = nullptr;
  for (const CamshaftEvents& camshaft : events->camshafts) {
    if (camshaft.inlet) inlet = &*camshaft.inlet;
    if (camshaft.exhaust) exhaust = &*camshaft.exhaust;
  }
  return event_of(what, inlet, exhaust);
}

std::optional<QuantityRead> read_setting(Q what, const Asked& asked) {
  const Fitted& fitted = asked.of.fitted();
  const Engine& engine = asked.of.engine();
  const double cam_key_deg = cam_key_of(fitted, name_of(asked));
  switch (what) {
  case Q::lay:
    return figure_of(lay_of(fitted, name_of(asked)));
  case Q::crank_key_deg:
    return figure_of(fitted.crank_key_deg);
  case Q::cam_key_deg:
    return figure_of(cam_key_deg);
  case Q::crank_key_leads:
    return word_of(leads_word(KeyAt::crank, fitted.crank_key_deg));
  case Q::cam_key_leads:
    return word_of(leads_word(KeyAt::cam, cam_key_deg));
  case Q::crank_step:
    return word_of(step_word(KeyAt::crank, fitted.crank_key_deg, engine.rotation));
  case Q::cam_step:
    return word_of(step_word(KeyAt::cam, cam_key_deg, camshaft_rotation(engine, name_of(asked))));
  case Q::elongation_percent:
    return figure_of(fitted.elongation_percent);
  case Q::centre_change_mm:
    return figure_of(fitted.centre_change_mm);
  default:
    return std::nullopt;
  }
}

} // namespace

std::optional<QuantityRead> read_drive(LessonQuantity what, const Asked& asked) {
  if (auto setting = read_setting(what, asked)) return setting;
  if (auto event = read_event(what, asked)) return event;
  const std::optional<SprocketPlace> cam = cam_sprocket(asked);
  switch (what) {
  case Q::phase_deg:
    return figure_of(asked.of.drive().phase_deg(asked.camshaft));
  case Q::phase_here_deg:
    return figure_of(pose_of(asked).camshafts[asked.camshaft].phase_deg);
  case Q::off_target_deg:
    return off_target(asked);
  case Q::tooth_deg: // a tooth of the camshaft's sprocket, in crank degrees
    return cam ? figure_of(720.0 / sprocket_at(asked.of.engine(), *cam).teeth)
               : unknown("the camshaft has no sprocket");
  case Q::taut_side:
    return taut_side(asked);
  case Q::slack_mm:
    return figure_of(slack_mm(asked));
  case Q::crank_mark_deg:
    return figure_of(mark_past_deg(asked, {0, 0}));
  case Q::cam_mark_deg:
    return cam ? figure_of(mark_past_deg(asked, *cam)) : unknown("the camshaft has no sprocket");
  case Q::marks:
    return marks(asked);
  default:
    return std::nullopt;
  }
}

} // namespace phasewright
