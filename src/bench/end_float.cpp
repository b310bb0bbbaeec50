#include "bench/end_float.hpp"

#include "bench/fit_words.hpp"
#include "mechanics/uncertainty.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace phasewright {

namespace {

constexpr double level = 0.9545; // of confidence: that of k = 2
constexpr double cover = 2.0;
// A mean that rounding has put a hair beside its limit is on it.
constexpr double rounding_mm = 1e-9;

struct Mean {
  double mm = 0;
  double u_mm = 0;
  double out_by_mm = 0;
};

Mean mean_of(const std::vector<double>& readings_mm, double limit_mm) {
  const TypeA repeats = type_a(readings_mm);
  const double u_limit_mm = u_of_limit(limit_mm);
  Mean mean{repeats.mean, 0.0, 0.0};
  if (readings_mm.size() < 2) {
    mean.u_mm = std::hypot(u_limit_mm, u_limit_mm);
    mean.out_by_mm = cover * mean.u_mm;
    return mean;
  }
  mean.u_mm = std::hypot(repeats.u, u_limit_mm);
  // Welch-Satterthwaite, JCGM 100 G.4.2: the limit's own freedom is infinite.
  const double freedom =
      repeats.u > 0.0 ? repeats.freedom * std::pow(mean.u_mm / repeats.u, 4) : std::numeric_limits<double>::infinity();
  mean.out_by_mm = coverage_factor(freedom, level) * mean.u_mm;
  return mean;
}

const std::string& camshaft_of(const Engine& engine, const Measured& measured) {
  return measured.float_of.empty() ? engine.camshafts.front().name : measured.float_of;
}

FloatVerdict verdict_of(const EndFloat& found) {
  if (!found.limits_mm) return FloatVerdict::no_limits;
  const double over_least_mm = found.float_mm - (*found.limits_mm)[0];
  const double under_most_mm = (*found.limits_mm)[1] - found.float_mm;
  const bool nearer_least = over_least_mm <= under_most_mm;
  const double room_mm = std::min(over_least_mm, under_most_mm);
  if (room_mm < -rounding_mm) {
    const bool surely = -room_mm > found.out_by_mm;
    if (nearer_least) return surely ? FloatVerdict::below : FloatVerdict::maybe_below;
    return surely ? FloatVerdict::above : FloatVerdict::maybe_above;
  }
  if (room_mm >= found.out_by_mm) return FloatVerdict::inside;
  return nearer_least ? FloatVerdict::at_lower_edge : FloatVerdict::at_upper_edge;
}

std::string verdict_words(const EndFloat& found) {
  const std::string is = fmt::format("End float of camshaft \"{}\": {:.3f} mm ({:.1f} thou), ", found.camshaft,
                                     found.float_mm, found.float_mm / 0.0254);
  if (!found.limits_mm)
    return is + "not judged: the engine file states no limits. Common practice, no source, is 0.076 to 0.178 mm "
                "(3 to 7 thou).";
  const std::string limits = fmt::format("{} to {} mm", (*found.limits_mm)[0], (*found.limits_mm)[1]);
  const std::string out_by = fmt::format("{:.3f} mm", found.out_by_mm);
  switch (found.verdict) {
  case FloatVerdict::inside:
    return fmt::format("{}inside its limits of {}.", is, limits);
  case FloatVerdict::at_lower_edge:
  case FloatVerdict::at_upper_edge:
    return fmt::format("{}inside its limits of {}, but at the {} edge: it may be out by {}.", is, limits,
                       found.verdict == FloatVerdict::at_lower_edge ? "lower" : "upper", out_by);
  case FloatVerdict::below:
  case FloatVerdict::above:
    return fmt::format("{}{} its limits of {}.", is, found.verdict == FloatVerdict::below ? "below" : "above", limits);
  case FloatVerdict::maybe_below:
  case FloatVerdict::maybe_above:
    return fmt::format("{}{} its limits of {}, by less than the {} it may be out by.", is,
                       found.verdict == FloatVerdict::maybe_below ? "below" : "above", limits, out_by);
  case FloatVerdict::no_limits:
    break;
  }
  return is;
}

void compare_parts(EndFloat& found, const ShaftSeat& seat, const Measured& measured, double caliper_mm) {
  found.plate_mm = measured.plate_mm ? measured.plate_mm : seat.plate_mm;
  if (measured.plate_mm && seat.plate_mm) found.plate_wear_mm = *seat.plate_mm - *measured.plate_mm;
  if (measured.boss_mm && seat.boss_mm) found.boss_wear_mm = *seat.boss_mm - *measured.boss_mm;
  if (found.plate_mm && found.limits_mm)
    found.wanted_plate_mm = *found.plate_mm + found.float_mm - ((*found.limits_mm)[0] + (*found.limits_mm)[1]) / 2.0;
  if (!measured.plate_mm || !measured.boss_mm) return;
  found.by_parts_mm = *measured.boss_mm - *measured.plate_mm;
  found.by_parts_out_by_mm = cover * std::sqrt(2.0) * u_of_limit(caliper_mm);
  found.parts_agree =
      std::fabs(*found.by_parts_mm - found.float_mm) <= std::hypot(found.out_by_mm, found.by_parts_out_by_mm);
}

void compare_history(EndFloat& found, const Engine& engine, const Build& build) {
  for (const Measured& before : build.history) {
    if (before.float_mm.empty() || camshaft_of(engine, before) != found.camshaft) continue;
    const Mean then = mean_of(before.float_mm, build.instruments.indicator_mm);
    found.grown_mm = found.float_mm - then.mm;
    found.grown_out_by_mm = std::hypot(found.out_by_mm, then.out_by_mm);
    found.grown_since = before.date;
    return;
  }
}

void add_change_advice(EndFloat& found, bool plate_measured) {
  const std::string wanted =
      found.wanted_plate_mm
          ? fmt::format(": the plate wants to be {:.3f} mm thick in place of {:.3f} mm{}", *found.wanted_plate_mm,
                        *found.plate_mm, plate_measured ? "" : " (the maker's; not measured)")
          : "";
  const double change_mm = std::fabs(found.change_mm);
  if (found.change_mm > 0.0)
    found.advice.push_back(fmt::format(
        "{:.3f} mm more float brings it to the middle{}. With too little the camshaft's thrust face runs dry and "
        "seizes. "
        "First see that no shim lies where the maker has none and that the plate lies flat; then a thinner plate, or "
        "this one surface ground, never filed.",
        change_mm, wanted));
  if (found.change_mm < 0.0)
    found.advice.push_back(
        fmt::format("{:.3f} mm less float brings it to the middle{}. A new plate may do: look at its "
                    "faces, and those that run against it, for wear.",
                    change_mm, wanted));
  if (found.verdict == FloatVerdict::at_lower_edge || found.verdict == FloatVerdict::at_upper_edge ||
      found.verdict == FloatVerdict::maybe_below || found.verdict == FloatVerdict::maybe_above)
    found.advice.emplace_back("More readings, or a finer indicator, would say it more firmly.");
}

void add_parts_advice(EndFloat& found, double caliper_mm) {
  const double sure_mm = cover * u_of_limit(caliper_mm);
  const auto against_maker = [&](const char* part, double less_mm) {
    if (std::fabs(less_mm) <= sure_mm)
      found.advice.push_back(fmt::format("The {} is as the maker's, by what the caliper can tell.", part));
    else
      found.advice.push_back(fmt::format("The {} is {} {} than the maker's.", part, size_words(less_mm),
                                         less_mm > 0.0 ? (part[0] == 'b' ? "shorter" : "thinner")
                                                       : (part[0] == 'b' ? "longer" : "thicker")));
  };
  if (found.plate_wear_mm) against_maker("plate", *found.plate_wear_mm);
  if (found.boss_wear_mm) against_maker("boss", *found.boss_wear_mm);
  if (!found.by_parts_mm) return;
  const std::string parts =
      fmt::format("Boss less plate is {:.3f} mm (±{:.3f})", *found.by_parts_mm, found.by_parts_out_by_mm);
  if (found.parts_agree)
    found.advice.push_back(parts + ", which agrees with the indicator.");
  else
    found.advice.push_back(fmt::format(
        "{}, which does not agree with the indicator: {}", parts,
        *found.by_parts_mm < found.float_mm
            ? "more moves than the camshaft in its plate. See that the plate's screws are tight and the indicator's "
              "stand "
              "does not give."
            : "something takes float away. See that the sprocket is drawn home and nothing lies behind the plate."));
}

void add_advice(EndFloat& found, const Measured& measured, double caliper_mm) {
  add_change_advice(found, measured.plate_mm.has_value());
  add_parts_advice(found, caliper_mm);
  if (found.grown_mm) {
    const std::string since = found.grown_since.empty() ? "the first set of readings" : found.grown_since;
    found.advice.push_back(std::fabs(*found.grown_mm) > found.grown_out_by_mm
                               ? fmt::format("It has {} by {:.3f} mm (±{:.3f}) since {}.",
                                             *found.grown_mm > 0.0 ? "grown" : "shrunk", std::fabs(*found.grown_mm),
                                             found.grown_out_by_mm, since)
                               : fmt::format("Since {} it has not changed by more than the readings may be out by "
                                             "(±{:.3f} mm).",
                                             since, found.grown_out_by_mm));
  }
  if (found.readings < 3)
    found.advice.push_back(fmt::format("{}: take at least three, the camshaft pushed home and pulled out each time.",
                                       found.readings == 1 ? "One reading only" : "Two readings only"));
}

} // namespace

const char* to_word(FloatVerdict verdict) {
  switch (verdict) {
  case FloatVerdict::inside:
    return "inside";
  case FloatVerdict::at_lower_edge:
    return "inside, at the lower edge";
  case FloatVerdict::at_upper_edge:
    return "inside, at the upper edge";
  case FloatVerdict::below:
    return "below";
  case FloatVerdict::above:
    return "above";
  case FloatVerdict::maybe_below:
    return "maybe below";
  case FloatVerdict::maybe_above:
    return "maybe above";
  case FloatVerdict::no_limits:
    return "no limits";
  }
  return "";
}

bool is_outside(FloatVerdict verdict) {
  return verdict == FloatVerdict::below || verdict == FloatVerdict::above || verdict == FloatVerdict::maybe_below ||
         verdict == FloatVerdict::maybe_above;
}

Result<EndFloat> end_float(const Engine& engine, const Build& build) {
  const Measured& measured = build.measured;
  if (measured.float_mm.empty())
    return problem_at(
        "measured.float_mm", "nothing", "",
        "push the camshaft home, pull it out against an indicator, and write what that shows in the build: "
        "float_mm = [0.11, 0.12, 0.11]");
  EndFloat found;
  found.camshaft = camshaft_of(engine, measured);
  if (find_camshaft(engine, found.camshaft) == nullptr)
    return problem_at("measured.float_of", fmt::format("\"{}\"", found.camshaft), "a camshaft of the engine");
  const Mean mean = mean_of(measured.float_mm, build.instruments.indicator_mm);
  found.float_mm = mean.mm;
  found.u_mm = mean.u_mm;
  found.out_by_mm = mean.out_by_mm;
  found.readings = static_cast<int>(measured.float_mm.size());
  const auto seat = engine.cam_seats.find(found.camshaft);
  if (seat != engine.cam_seats.end()) found.limits_mm = seat->second.end_float_mm;
  found.verdict = verdict_of(found);
  if (is_outside(found.verdict))
    found.change_mm = ((*found.limits_mm)[0] + (*found.limits_mm)[1]) / 2.0 - found.float_mm;
  compare_parts(found, seat != engine.cam_seats.end() ? seat->second : ShaftSeat{}, measured,
                build.instruments.caliper_mm);
  compare_history(found, engine, build);
  found.words = verdict_words(found);
  add_advice(found, measured, build.instruments.caliper_mm);
  return found;
}

} // namespace phasewright
