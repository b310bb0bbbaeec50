// What stands on the bench, what was read there and what it comes to: quantities of a lesson.
#include "bench/align.hpp"
#include "bench/degree.hpp"
#include "bench/end_float.hpp"
#include "bench/lesson_asked.hpp"

#include "geometry/angle.hpp"

#include <algorithm>
#include <numeric>

namespace phasewright {

namespace {

using Q = LessonQuantity;

const Measured& measured_of(const Asked& asked) {
  return asked.moment.build->measured;
}

int pairs_of(const Asked& asked, ValveKind kind) {
  return static_cast<int>(std::ranges::count(measured_of(asked).lobe, kind, &LobeReading::valve));
}

QuantityRead lobe_centre(const Asked& asked, const DegreeRead& read, ValveKind kind) {
  for (const LobeRead& lobe : read.lobes)
    if (lobe.valve == kind && lobe.cylinder == asked.cylinder) return figure_of(lobe.centre_deg);
  return unknown("that lobe has not been read");
}

QuantityRead phase(const Asked& asked, const DegreeRead& read, bool off_drawn) {
  for (const CamshaftRead& camshaft : read.camshafts)
    if (camshaft.camshaft == asked.camshaft) return figure_of(off_drawn ? camshaft.extra_deg : camshaft.phase_deg);
  return unknown("no lobe of that camshaft has been read");
}

std::optional<QuantityRead> read_wheel(Q what, const Asked& asked) {
  switch (what) {
  case Q::tdc_correction_deg:
  case Q::tdc_off_deg:
  case Q::inlet_centre_read_deg:
  case Q::exhaust_centre_read_deg:
  case Q::phase_read_deg:
  case Q::phase_read_off_deg:
    break;
  default:
    return std::nullopt;
  }
  const bool of_wheel = what == Q::tdc_correction_deg || what == Q::tdc_off_deg;
  if (of_wheel && measured_of(asked).stop_deg.empty()) return unknown("no piston stop reading has been put in");
  const Result<DegreeRead> read = read_degree(asked.of.engine(), measured_of(asked), asked.moment.build->instruments);
  if (!read) return unknown(read.problems());
  switch (what) {
  case Q::tdc_correction_deg:
    return figure_of(read->wheel.tdc_correction_deg);
  case Q::tdc_off_deg:
    return figure_of(wrap_180(read->wheel.tdc_correction_deg + asked.moment.wheel_error_deg));
  case Q::inlet_centre_read_deg:
    return lobe_centre(asked, *read, ValveKind::inlet);
  case Q::exhaust_centre_read_deg:
    return lobe_centre(asked, *read, ValveKind::exhaust);
  default:
    return phase(asked, *read, what == Q::phase_read_off_deg);
  }
}

std::string float_word(FloatVerdict verdict) {
  if (!is_outside(verdict)) return "inside";
  return verdict == FloatVerdict::below || verdict == FloatVerdict::maybe_below ? "below" : "above";
}

std::optional<QuantityRead> read_axial(Q what, const Asked& asked) {
  const Engine& engine = asked.of.engine();
  const Build& build = *asked.moment.build;
  switch (what) {
  case Q::alignment:
  case Q::gap_mm:
  case Q::behind_mm: {
    const Result<Alignment> found = align(engine, build);
    if (!found) return what == Q::alignment ? word_of("unread") : unknown(found.problems());
    if (what == Q::alignment) return word_of(found->within_now ? "within" : "out");
    return figure_of(what == Q::gap_mm ? found->gap_mm : found->behind_mm);
  }
  case Q::end_float:
  case Q::end_float_mm: {
    const Result<EndFloat> found = end_float(engine, build);
    if (!found) return what == Q::end_float ? word_of("unread") : unknown(found.problems());
    return what == Q::end_float ? word_of(float_word(found->verdict)) : figure_of(found->float_mm);
  }
  case Q::shims_mm:
    return figure_of(std::accumulate(build.fitted.shim_mm.begin(), build.fitted.shim_mm.end(), 0.0));
  case Q::float_by_parts_mm:
    if (!build.measured.boss_mm || !build.measured.plate_mm) return unknown("boss and plate are not both measured");
    return figure_of(*build.measured.boss_mm - *build.measured.plate_mm);
  case Q::float_readings:
    return figure_of(static_cast<double>(build.measured.float_mm.size()));
  default:
    return std::nullopt;
  }
}

} // namespace

std::optional<QuantityRead> read_readings(LessonQuantity what, const Asked& asked) {
  if (auto wheel = read_wheel(what, asked)) return wheel;
  if (auto axial = read_axial(what, asked)) return axial;
  const LessonMoment& moment = asked.moment;
  switch (what) {
  case Q::wheel_deg:
    return figure_of(lesson_instruments(moment).wheel_from_tdc);
  case Q::at_stop:
    return word_of(lesson_instruments(moment).at_stop ? "yes" : "no");
  case Q::stop_pairs:
    return figure_of(static_cast<double>(moment.build->measured.stop_deg.size()));
  case Q::inlet_pairs:
    return figure_of(pairs_of(asked, ValveKind::inlet));
  case Q::exhaust_pairs:
    return figure_of(pairs_of(asked, ValveKind::exhaust));
  case Q::page:
    return word_of(moment.page);
  case Q::view:
    return word_of(moment.view);
  case Q::shown:
    return word_of(moment.shown);
  default:
    return std::nullopt;
  }
}

} // namespace phasewright
