#include "mechanics/wear.hpp"

#include "geometry/tooth_form.hpp"
#include "mechanics/drive_layout.hpp"

#include <boost/math/tools/toms748_solve.hpp>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstdint>
#include <stdexcept>

namespace phasewright {

namespace {

// Greatest step beyond the wear limit; between two points the roots are closed in on.
constexpr double look_percent = 0.25;
constexpr double refusal_close_percent = 1e-6;
constexpr int root_bits = 36;

Fitted worn(const Fitted& fitted, double elongation_percent) {
  Fitted with = fitted;
  with.elongation_percent = elongation_percent;
  return with;
}

// By camshaft, whether or not the chain can be laid; nothing when the layout has no way for it.
std::vector<double> phases_deg(const Engine& engine, const Fitted& fitted) {
  if (!layout_faults(engine, fitted, {}).empty()) return {};
  std::vector<double> phases;
  try {
    for (std::size_t i = 0; i < engine.camshafts.size(); ++i) phases.push_back(Drive::phase_deg(engine, fitted, i));
  } catch (const std::domain_error&) { // a guide in the way
    return {};
  }
  return phases;
}

RideOut ride_out(const Chain& chain, const Sprocket& sprocket, double elongation_percent) {
  const ToothForm form = tooth_form(chain.pitch_mm, chain.roller_mm, chain.inner_width_mm, chain.rows, sprocket.teeth);
  RideOut out;
  out.sprocket = sprocket.name;
  out.ride_out_mm = form.pitch_radius_mm * elongation_percent / 100.0;
  out.working_height_mm = working_height_mm(form);
  out.margin_mm = out.working_height_mm - out.ride_out_mm;
  out.climbs_at_percent = elongation_at_height_percent(form, out.working_height_mm);
  return out;
}

WearPoint point_at(const Engine& engine, const Fitted& fitted, std::size_t loop) {
  WearPoint point;
  point.elongation_percent = fitted.elongation_percent;
  const Result<Drive> drive = Drive::assemble(engine, fitted);
  point.runs = drive.ok();
  if (!drive) {
    point.phase_deg = phases_deg(engine, fitted);
    return point;
  }
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) point.phase_deg.push_back(drive->phase_deg(i));
  if (const std::optional<Tensioner>& tensioner = engine.loops[loop].tensioner) {
    point.travel_mm = drive->travel_mm(loop);
    point.travel_left_mm = tensioner->travel_mm[1] - point.travel_mm->greatest;
    return point;
  }
  point.slack_mm = drive->slack_mm(loop).greatest;
  const DrivePose pose = drive->pose(0.0);
  for (const StrandPose& strand : pose.loops[loop].strands)
    if (strand.state == StrandState::slack) point.slack_span_mm = strand.span_mm;
  return point;
}

// Where a camshaft's phase is just `band_deg` from `new_deg`, between an elongation inside the band and one outside.
double band_edge(const Engine& engine, const Fitted& fitted, std::size_t camshaft, double new_deg, double band_deg,
                 double inside, double outside) {
  const auto over_deg = [&](double percent) {
    return std::fabs(Drive::phase_deg(engine, worn(fitted, percent), camshaft) - new_deg) - band_deg;
  };
  std::uintmax_t steps = 100;
  const auto found = boost::math::tools::toms748_solve(over_deg, inside, outside,
                                                       boost::math::tools::eps_tolerance<double>(root_bits), steps);
  return 0.5 * (found.first + found.second);
}

// Between an elongation at which the drive assembles and one at which it does not.
void close_in_on_refusal(const Engine& engine, const Fitted& fitted, double good, double bad, WearStudy& study) {
  while (bad - good > refusal_close_percent) {
    const double middle = 0.5 * (good + bad);
    (Drive::assemble(engine, worn(fitted, middle)) ? good : bad) = middle;
  }
  study.runs_out_percent = good;
  study.runs_out_why = Drive::assemble(engine, worn(fitted, bad)).problems();
}

// Finds what of the limits lies between two points of ever more elongation.
void find_limits(const Engine& engine, const Fitted& fitted, double band_deg, const WearPoint& before,
                 const WearPoint& after, WearStudy& study) {
  if (before.runs && !after.runs)
    close_in_on_refusal(engine, fitted, before.elongation_percent, after.elongation_percent, study);
  if (after.phase_deg.empty()) return;
  const std::vector<double>& new_deg = study.curve.front().phase_deg;
  for (std::size_t i = 0; i < new_deg.size(); ++i) {
    std::optional<double>& left = study.leaves_band_percent[i];
    if (!left && std::fabs(after.phase_deg[i] - new_deg[i]) >= band_deg)
      left = band_edge(engine, fitted, i, new_deg[i], band_deg, before.elongation_percent, after.elongation_percent);
  }
}

bool all_found(const WearStudy& study) {
  return study.runs_out_percent &&
         std::ranges::all_of(study.leaves_band_percent, [](const std::optional<double>& at) { return at.has_value(); });
}

} // namespace

Result<WearStudy> wear_study(const Engine& engine, const Fitted& fitted, double band_deg, std::size_t loop, int steps) {
  assert(band_deg > 0.0 && loop < engine.loops.size() && steps >= 1);
  const Result<Drive> new_drive = Drive::assemble(engine, worn(fitted, 0.0));
  if (!new_drive) return new_drive.problems();
  const Loop& studied = engine.loops[loop];
  const double limit_percent = studied.chain.wear_limit_percent;
  WearStudy study;
  int largest = 0;
  for (const Sprocket& sprocket : studied.sprockets) {
    study.at_limit.push_back(ride_out(studied.chain, sprocket, limit_percent));
    largest = std::max(largest, sprocket.teeth);
  }
  study.large_sprocket_percent = 200.0 / largest;
  study.leaves_band_percent.resize(engine.camshafts.size());
  const int beyond = static_cast<int>(std::ceil((wear_study_most_percent - limit_percent) / look_percent));
  WearPoint before;
  for (int step = 0; step <= steps + beyond; ++step) {
    const double percent = step <= steps
                               ? limit_percent * step / steps
                               : limit_percent + (wear_study_most_percent - limit_percent) * (step - steps) / beyond;
    if (step > steps && all_found(study)) break;
    WearPoint point = point_at(engine, worn(fitted, percent), loop);
    if (step <= steps && !point.phase_deg.empty()) study.curve.push_back(point);
    if (step > 0) find_limits(engine, fitted, band_deg, before, point, study);
    if (point.phase_deg.empty()) break; // no way for the chain, and none with more wear
    before = std::move(point);
  }
  return study;
}

} // namespace phasewright
