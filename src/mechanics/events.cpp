#include "mechanics/events.hpp"

#include "geometry/angle.hpp"

#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <boost/math/tools/roots.hpp>
#include <fmt/format.h>

#include <cmath>
#include <functional>
#include <vector>

namespace phasewright {

namespace {

// Crank angle (unit: deg) at which that camshaft stands at `camshaft_rad`. The polygon effect moves it by hundredths of
// a degree from the mean line, far inside the bracket; so does what the slack does over a tooth when turned backward.
double crank_at_camshaft_deg(const Drive& drive, std::size_t camshaft, double camshaft_rad, Turning turning) {
  const double forward_rad = 2.0 * camshaft_rad - radians(drive.phase_deg(camshaft));
  const double mean_rad = turning == Turning::forward
                              ? forward_rad
                              : forward_rad - radians(drive.hang_back(degrees(forward_rad), camshaft).crank_deg);
  constexpr double bracket_rad = 0.1;
  boost::uintmax_t steps = 100;
  const auto [low, high] = boost::math::tools::toms748_solve(
      [&](double crank_rad) { return drive.camshaft_rad(crank_rad, camshaft, turning) - camshaft_rad; },
      mean_rad - bracket_rad, mean_rad + bracket_rad, boost::math::tools::eps_tolerance<double>(50), steps);
  return degrees(0.5 * (low + high));
}

double tappet_level_mm(const ValveMotion& gear, double lift_mm, LiftedAt at) {
  return at == LiftedAt::tappet ? lift_mm : gear.tappet_at_valve_mm(lift_mm);
}

// A crank angle as the card counts that kind's centre: inlet ATDC, exhaust BTDC of its own overlap TDC.
double as_centre_deg(ValveKind kind, double after_tdc_deg) {
  const double wrapped_deg = wrap_720(after_tdc_deg);
  return kind == ValveKind::inlet ? wrapped_deg : 720.0 - wrapped_deg;
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
                      fmt::format("less than {:.3f} mm", gear.linkage().at(most_mm).valve_mm),
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
  events.centre_deg = as_centre_deg(kind, middle_deg - delay_deg);
  events.lift_at_tdc_mm = mechanism.valve_lift_mm(kind, cylinder, delay_deg);
  events.greatest_lift_mm = gear.valve_lift_mm(gear.lobe().greatest_at_rad());
  const double greatest_rad = gear.nose_rad() + radians(delay_deg) / 2.0 + gear.lobe().greatest_at_rad();
  const double greatest_deg =
      crank_at_camshaft_deg(mechanism.drive(), gear.camshaft_index(), greatest_rad, Turning::forward);
  events.greatest_at_deg = wrap_720(greatest_deg);
  events.nose_deg = as_centre_deg(kind, greatest_deg - delay_deg);
  return events;
}

double overlap_deg(const OpenSpan& inlet, const OpenSpan& exhaust) {
  const double both_deg = wrap_720(exhaust.closes_deg - inlet.opens_deg);
  return both_deg > 360.0 ? both_deg - 720.0 : both_deg;
}

// Crank angles between `from_deg` and `to_deg` at which the inlet valve's lift passes the exhaust valve's.
std::vector<double> equal_lifts_deg(const std::function<double(double)>& ahead_mm, double from_deg, double to_deg) {
  constexpr double look_deg = 1.0;
  const int looks = static_cast<int>(std::ceil((to_deg - from_deg) / look_deg));
  std::vector<double> found;
  double last_deg = from_deg;
  double last_mm = ahead_mm(from_deg);
  for (int i = 1; i <= looks; ++i) {
    const double next_deg = from_deg + (to_deg - from_deg) * i / looks;
    const double next_mm = ahead_mm(next_deg);
    if ((last_mm < 0.0 && next_mm > 0.0) || (last_mm > 0.0 && next_mm < 0.0)) {
      boost::uintmax_t steps = 100;
      const auto [low, high] = boost::math::tools::toms748_solve(ahead_mm, last_deg, next_deg, last_mm, next_mm,
                                                                 boost::math::tools::eps_tolerance<double>(50), steps);
      found.push_back(0.5 * (low + high));
    }
    last_deg = next_deg;
    last_mm = next_mm;
  }
  return found;
}

// Under the lesser of both lifts, from where the inlet valve leaves its seat to where the exhaust valve meets its own.
// Between these ends and the crossings of the two lifts the integrand is smooth but for steps in its second derivative,
// where a tooth of the drive takes over, and in its third, at the rows of a lobe table; Gauss-Kronrod's rule of 15
// points is halved about them until its own estimate of the error is below 1e-9 of the whole.
double overlap_area_mm_deg(const Mechanism& mechanism, int cylinder, const OpenSpan& inlet, double overlap_deg) {
  if (!(overlap_deg > 0.0)) return 0.0;
  const auto lift_mm = [&](ValveKind kind, double deg) { return mechanism.valve_lift_mm(kind, cylinder, deg); };
  const double from_deg = inlet.opens_deg;
  const double to_deg = from_deg + overlap_deg;
  std::vector<double> ends = equal_lifts_deg(
      [&](double deg) { return lift_mm(ValveKind::inlet, deg) - lift_mm(ValveKind::exhaust, deg); }, from_deg, to_deg);
  ends.insert(ends.begin(), from_deg);
  ends.push_back(to_deg);
  double area_mm_deg = 0.0;
  for (std::size_t i = 0; i + 1 < ends.size(); ++i)
    area_mm_deg += boost::math::quadrature::gauss_kronrod<double, 15>::integrate(
        [&](double deg) { return std::fmin(lift_mm(ValveKind::inlet, deg), lift_mm(ValveKind::exhaust, deg)); },
        ends[i], ends[i + 1], 15, 1e-9);
  return area_mm_deg;
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

std::optional<OpenSpan> open_span(const Mechanism& mechanism, ValveKind kind, int cylinder, double lift_mm, LiftedAt at,
                                  Turning turning, double extra_phase_deg) {
  const ValveMotion* gear = mechanism.motion(kind);
  if (gear == nullptr) return std::nullopt;
  const auto crossings = gear->lobe().crossings_rad(tappet_level_mm(*gear, lift_mm, at));
  if (!crossings) return std::nullopt;
  const double nose_rad =
      gear->nose_rad() + radians(cylinder_delay_deg(mechanism.engine().block, cylinder) - extra_phase_deg) / 2.0;
  const double opens_deg =
      crank_at_camshaft_deg(mechanism.drive(), gear->camshaft_index(), nose_rad + (*crossings)[0], turning);
  const double closes_deg =
      crank_at_camshaft_deg(mechanism.drive(), gear->camshaft_index(), nose_rad + (*crossings)[1], turning);
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
    events.overlap_area_mm_deg =
        overlap_area_mm_deg(mechanism, cylinder, found[0]->at_lash, *events.overlap_at_lash_deg);
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
