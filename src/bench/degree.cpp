#include "bench/degree.hpp"

#include "bench/degree_parts.hpp"
#include "geometry/angle.hpp"
#include "mechanics/judgement.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

void check_more_than_0(double value, const char* key, const char* allowed, Problems& problems) {
  if (value > 0.0 && std::isfinite(value)) return;
  problems.push_back(problem_at(key, fmt::format("{}", value), allowed));
}

void check_stops(const Measured& measured, Problems& problems) {
  for (std::size_t i = 0; i < measured.stop_deg.size(); ++i) {
    const auto& [before_deg, after_deg] = measured.stop_deg[i];
    const std::string key = fmt::format("measured.stop_deg[{}]", i + 1);
    const std::string found = fmt::format("[{}, {}]", before_deg, after_deg);
    if (!std::isfinite(before_deg) || !std::isfinite(after_deg))
      problems.push_back(problem_at(key, found, "-360 to 720 deg"));
    else if (constexpr double least_deg = 1e-6;
             wrap_360(after_deg - before_deg) < least_deg || wrap_360(before_deg - after_deg) < least_deg)
      problems.push_back(problem_at(key, found, "two different angles, before and after TDC"));
  }
}

// Why nothing could be foretold for a reading.
Problem unreadable(const Mechanism& mechanism, const LobeReading& reading, const std::string& key) {
  const ValveMotion* gear = mechanism.motion(reading.valve);
  if (gear == nullptr)
    return problem_at(key + ".valve", to_word(reading.valve), "a valve that a camshaft of this engine has a lobe for");
  if (std::ranges::find(mechanism.engine().block.firing_order, reading.cylinder) ==
      mechanism.engine().block.firing_order.end())
    return problem_at(key + ".cylinder", fmt::format("{}", reading.cylinder), "a cylinder in block.firing_order");
  const bool tappet = reading_at(mechanism.engine(), reading) == CheckAt::tappet;
  const double most_mm = tappet ? gear->lobe().greatest_lift_mm() : gear->greatest_valve_lift_mm();
  return problem_at(key + ".lift_mm", fmt::format("{} mm", reading.lift_mm),
                    fmt::format("more than 0, less than {:.3f} mm, the {}'s greatest lift at the {}", most_mm,
                                to_word(reading.valve), tappet ? "tappet" : "valve"));
}

Result<std::vector<PairFit>> fit_pairs(const Mechanism& mechanism, const Measured& measured,
                                       const Instruments& instruments, double correction_deg) {
  Problems problems;
  std::vector<PairFit> pairs;
  for (std::size_t i = 0; i < measured.lobe.size(); ++i) {
    const LobeReading& reading = measured.lobe[i];
    const std::string key = fmt::format("measured.lobe[{}]", i + 1);
    if (!std::isfinite(reading.opens_deg) || !std::isfinite(reading.closes_deg)) {
      problems.push_back(problem_at(key, fmt::format("{} and {}", reading.opens_deg, reading.closes_deg),
                                    "0 to 720 deg in opens_deg and closes_deg"));
      continue;
    }
    std::optional<PairFit> pair;
    if (reading.lift_mm > 0.0) pair = fit_pair(mechanism, reading, correction_deg, instruments);
    if (!pair) {
      problems.push_back(unreadable(mechanism, reading, key));
      continue;
    }
    pair->read.reading = i;
    pairs.push_back(*std::move(pair));
  }
  if (!problems.empty()) return problems;
  return pairs;
}

} // namespace

Result<DegreeRead> read_degree(const Engine& engine, const Measured& measured, const Instruments& instruments) {
  const Result<Mechanism> as_read = measured.engine ? Mechanism::assemble(measured.engine, measured.with)
                                                    : Mechanism::assemble(engine, measured.with);
  if (!as_read) return as_read.problems();
  return read_degree(*as_read, measured, instruments);
}

Result<DegreeRead> read_degree(const Mechanism& as_read, const Measured& measured, const Instruments& instruments) {
  Problems problems;
  check_more_than_0(instruments.wheel_deg, "instruments.wheel_deg", "0.01 to 5 deg", problems);
  check_more_than_0(instruments.indicator_mm, "instruments.indicator_mm", "0.0001 to 1 mm", problems);
  if (measured.lobe.empty() && measured.stop_deg.empty())
    problems.push_back(problem_at("measured", "no lobe and no stop_deg", "readings of one or the other"));
  check_stops(measured, problems);
  if (!problems.empty()) return problems;

  DegreeRead read;
  read.wheel = read_wheel(as_read.slider_crank(), measured, instruments, read.outliers);
  const Result<std::vector<PairFit>> pairs = fit_pairs(as_read, measured, instruments, read.wheel.tdc_correction_deg);
  if (!pairs) return pairs.problems();
  read.slips = find_slips(as_read, measured, instruments, *pairs, read.wheel);
  problems = fit_lobes(as_read, measured, *pairs, read);
  if (!problems.empty()) return problems;
  return read;
}

std::map<std::string, double> found_by_readings(const Engine& engine, const DegreeRead& read) {
  constexpr double most_deg = 60.0;
  std::map<std::string, double> found;
  if (!read.slips.empty()) return found;
  for (const CamshaftRead& camshaft : read.camshafts) {
    const double whole_deg = camshaft.found_deg + camshaft.extra_deg;
    if (camshaft.off_drawn && camshaft.camshaft < engine.camshafts.size() && std::fabs(whole_deg) <= most_deg)
      found[engine.camshafts[camshaft.camshaft].name] = whole_deg;
  }
  return found;
}

std::map<std::string, double> left_out_of(const Fitted& fitted, const Engine& engine, const DegreeRead& read) {
  constexpr double dust_deg = 1e-6;
  std::map<std::string, double> left_out = found_by_readings(engine, read);
  std::erase_if(left_out,
                [&](const auto& one) { return std::fabs(found_of(fitted, one.first) - one.second) <= dust_deg; });
  return left_out;
}

std::map<std::string, double> left_out_of(const Engine& engine, const Build& build) {
  if (build.measured.lobe.empty()) return {};
  const Result<DegreeRead> read = read_degree(engine, build.measured, build.instruments);
  return read ? left_out_of(build.fitted, engine, *read) : std::map<std::string, double>{};
}

Fitted fitted_as_read(const Engine& engine, const Build& build) {
  Fitted fitted = build.fitted;
  for (const auto& [camshaft, deg] : left_out_of(engine, build)) fitted.found_of[camshaft] = deg;
  return fitted;
}

std::string found_words(const Engine& engine, const std::string& camshaft, double found_deg) {
  return fmt::format("The readings show {} {:.2f}° of crank {} of what the drive explains",
                     engine.camshafts.size() > 1 ? fmt::format("camshaft \"{}\"", camshaft) : "the camshaft",
                     std::fabs(found_deg), found_deg < 0.0 ? "short" : "ahead");
}

std::vector<PhaseChange> phase_changes(const DegreeRead& before, const DegreeRead& after) {
  std::vector<PhaseChange> changes;
  for (const CamshaftRead& later : after.camshafts) {
    const auto earlier = std::ranges::find(before.camshafts, later.camshaft, &CamshaftRead::camshaft);
    if (earlier == before.camshafts.end()) continue;
    PhaseChange change;
    change.camshaft = later.camshaft;
    change.deg = later.phase_deg - earlier->phase_deg;
    change.u_deg = std::hypot(later.u_deg, earlier->u_deg);
    change.real = std::fabs(change.deg) > coverage * change.u_deg;
    // What readings found is no part that was fitted, and was there before it was written down.
    change.foretold_deg = (later.drawn_phase_deg - later.found_deg) - (earlier->drawn_phase_deg - earlier->found_deg);
    changes.push_back(change);
  }
  return changes;
}

} // namespace phasewright
