#include "mechanics/events.hpp"

#include "geometry/angle.hpp"

#include <boost/math/tools/roots.hpp>
#include <fmt/format.h>

#include <cmath>

namespace phasewright {

namespace {

// Crank angle (unit: deg) at which that camshaft stands at `camshaft_rad`. The polygon effect moves it by hundredths of
// a degree from the mean line, far inside the bracket.
double crank_at_camshaft_deg(const Drive& drive, std::size_t camshaft, double camshaft_rad) {
  const double mean_rad = 2.0 * camshaft_rad - radians(drive.phase_deg(camshaft));
  constexpr double bracket_rad = 0.1;
  boost::uintmax_t steps = 100;
  const auto [low, high] = boost::math::tools::toms748_solve(
      [&](double crank_rad) { return drive.camshaft_rad(crank_rad, camshaft) - camshaft_rad; }, mean_rad - bracket_rad,
      mean_rad + bracket_rad, boost::math::tools::eps_tolerance<double>(50), steps);
  return degrees(0.5 * (low + high));
}

double tappet_level_mm(const ValveGear& gear, double lift_mm, LiftedAt at) {
  return at == LiftedAt::tappet ? lift_mm : (lift_mm + gear.lash_mm) / gear.rocker_ratio;
}

Result<KindEvents> kind_events(const Mechanism& mechanism, ValveKind kind, int cylinder) {
  const ValveMotion& gear = *mechanism.motion(kind);
  const Camshaft& camshaft = mechanism.engine().camshafts[gear.camshaft_index()];
  const LiftedAt at = camshaft.check_at == CheckAt::tappet ? LiftedAt::tappet : LiftedAt::valve;
  const std::optional<OpenSpan> at_check = open_span(mechanism, kind, cylinder, camshaft.check_lift_mm, at);
  const std::optional<OpenSpan> at_lash = open_span(mechanism, kind, cylinder, 0.0, LiftedAt::valve);
  const double most_mm = gear.lobe().greatest_lift_mm();
  const std::string key = fmt::format("camshaft[{}]", gear.camshaft_index() + 1);
  if (!at_lash)
    return problem_at(fmt::format("{}.{}.lash_mm", key, to_word(kind)), fmt::format("{} mm", gear.gear().lash_mm),
                      fmt::format("less than {:.3f} mm", most_mm * gear.gear().rocker_ratio),
                      "the valve would never open");
  if (!at_check) {
    const double reached_mm = at == LiftedAt::tappet ? most_mm : gear.valve_lift_mm(gear.lobe().greatest_at_rad());
    return problem_at(key + ".check_lift_mm", fmt::format("{} mm", camshaft.check_lift_mm),
                      fmt::format("less than {:.3f} mm, the {}'s greatest lift", reached_mm, to_word(kind)));
  }

  KindEvents events;
  events.kind = kind;
  events.at_check = *at_check;
  events.at_lash = *at_lash;
  const double delay_deg = cylinder_delay_deg(mechanism.engine().block, cylinder);
  const double middle_deg = at_check->opens_deg + at_check->duration_deg / 2.0;
  events.centre_crank_deg = wrap_720(middle_deg);
  const double after_tdc_deg = wrap_720(middle_deg - delay_deg);
  events.centre_deg = kind == ValveKind::inlet ? after_tdc_deg : 720.0 - after_tdc_deg;
  events.lift_at_tdc_mm = mechanism.valve_lift_mm(kind, cylinder, delay_deg);
  events.greatest_lift_mm = gear.valve_lift_mm(gear.lobe().greatest_at_rad());
  return events;
}

double overlap_deg(const OpenSpan& inlet, const OpenSpan& exhaust) {
  const double both_deg = wrap_720(exhaust.closes_deg - inlet.opens_deg);
  return both_deg > 360.0 ? both_deg - 720.0 : both_deg;
}

// Dead centre that an event is counted from, and whether the figure counts before it.
struct Counted {
  double from_deg;
  bool before;
  const char* before_word;
  const char* after_word;
};

Counted counted(EventKind kind) {
  switch (kind) {
  case EventKind::inlet_opens:
    return {0.0, true, "BTDC", "ATDC"};
  case EventKind::inlet_closes:
    return {180.0, false, "BBDC", "ABDC"};
  case EventKind::exhaust_opens:
    return {540.0, true, "BBDC", "ABDC"};
  case EventKind::exhaust_closes:
    return {0.0, false, "BTDC", "ATDC"};
  }
  return {};
}

} // namespace

std::optional<OpenSpan> open_span(const Mechanism& mechanism, ValveKind kind, int cylinder, double lift_mm,
                                  LiftedAt at) {
  const ValveMotion* gear = mechanism.motion(kind);
  if (gear == nullptr) return std::nullopt;
  const auto crossings = gear->lobe().crossings_rad(tappet_level_mm(gear->gear(), lift_mm, at));
  if (!crossings) return std::nullopt;
  const double nose_rad = gear->nose_rad() + radians(cylinder_delay_deg(mechanism.engine().block, cylinder)) / 2.0;
  const double opens_deg = crank_at_camshaft_deg(mechanism.drive(), gear->camshaft_index(), nose_rad + (*crossings)[0]);
  const double closes_deg =
      crank_at_camshaft_deg(mechanism.drive(), gear->camshaft_index(), nose_rad + (*crossings)[1]);
  return OpenSpan{wrap_720(opens_deg), wrap_720(closes_deg), closes_deg - opens_deg};
}

Result<Events> valve_events(const Mechanism& mechanism, int cylinder) {
  Events events;
  Problems problems;
  for (const Camshaft& camshaft : mechanism.engine().camshafts) events.camshafts.push_back({camshaft.name, {}, {}});
  std::optional<KindEvents> found[2];
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    const ValveMotion* gear = mechanism.motion(kind);
    if (gear == nullptr) continue;
    Result<KindEvents> of_kind = kind_events(mechanism, kind, cylinder);
    if (!of_kind) {
      problems.insert(problems.end(), of_kind.problems().begin(), of_kind.problems().end());
      continue;
    }
    CamshaftEvents& camshaft = events.camshafts[gear->camshaft_index()];
    (kind == ValveKind::inlet ? camshaft.inlet : camshaft.exhaust) = *of_kind;
    found[kind == ValveKind::inlet ? 0 : 1] = *of_kind;
  }
  if (!problems.empty()) return problems;
  if (found[0] && found[1]) {
    events.overlap_deg = overlap_deg(found[0]->at_check, found[1]->at_check);
    events.overlap_at_lash_deg = overlap_deg(found[0]->at_lash, found[1]->at_lash);
    events.separation_deg = (found[0]->centre_deg + found[1]->centre_deg) / 2.0;
  }
  return events;
}

double event_figure_deg(EventKind kind, double crank_deg) {
  const Counted from = counted(kind);
  const double after_deg = wrap_720(crank_deg - from.from_deg + 360.0) - 360.0;
  return from.before ? -after_deg : after_deg;
}

std::string event_words(EventKind kind, double crank_deg) {
  const Counted from = counted(kind);
  const double after_deg = from.before ? -event_figure_deg(kind, crank_deg) : event_figure_deg(kind, crank_deg);
  // Rounded first, so that -0.04 reads "0.0" with the word the trade expects for this event.
  const double shown_deg = std::round(std::fabs(after_deg) * 10.0) / 10.0;
  const bool before = shown_deg == 0.0 ? from.before : after_deg < 0.0;
  return fmt::format("{:.1f}° {}", shown_deg, before ? from.before_word : from.after_word);
}

} // namespace phasewright
