// Least clearance of the valves to the piston and to each other, now and with the chain worn to its limit.
#include "bench/clearance_read.hpp"
#include "bench/degree.hpp"

#include "cli/clearance_case.hpp"
#include "cli/commands.hpp"
#include "cli/words.hpp"

#include <map>
#include <string>

namespace phasewright::cli {

namespace {

constexpr double curve_reach_deg = 20.0;
constexpr double curve_step_deg = 0.1;

ClearanceState state_of(const ClearanceModel& model, const Target& target) {
  ClearanceState state{model.least(), {}, {}};
  state.judgement = judge(model, state.least, target);
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust})
    if (model.has(kind)) state.quality[index_of(kind)] = model.quality(kind, axial_limit_mm(target, kind));
  return state;
}

Json least_json(const ClearanceState& state, ValveKind kind, const Target& target) {
  const std::optional<LeastClearance>& least = least_of(state, kind);
  if (!least) return {};
  const ClearanceQuality& quality = *state.quality[index_of(kind)];
  const double limit_mm = axial_limit_mm(target, kind);
  return Json::object({{"least_mm", least->least_mm},
                       {"at_crank_deg", least->at_crank_deg},
                       {"u_mm", quality.u_mm},
                       {"sure", surely_over(least->least_mm, limit_mm, quality.u_mm)},
                       {"slope_mm_per_deg", quality.slope_mm_per_deg},
                       {"retard_to_limit_deg", quality.retard_to_limit_deg},
                       {"advance_to_limit_deg", quality.advance_to_limit_deg},
                       {"distance_mm", least->distance_mm},
                       {"distance_at_crank_deg", least->distance_at_crank_deg},
                       {"radial_mm", least->radial_mm},
                       {"radial_at_crank_deg", least->radial_at_crank_deg}});
}

Json between_json(const ClearanceState& state) {
  if (!state.least.between) return {};
  return Json::object(
      {{"least_mm", state.least.between->least_mm}, {"at_crank_deg", state.least.between->at_crank_deg}});
}

Json state_json(const ClearanceState& state, const Target& target) {
  return Json::object({{"inlet", least_json(state, ValveKind::inlet, target)},
                       {"exhaust", least_json(state, ValveKind::exhaust, target)},
                       {"between", between_json(state)}});
}

Json fit_json(const std::optional<GapFit>& fit) {
  if (!fit) return {};
  Json left = Json::array();
  for (const double mm : fit->left_mm) left.add(mm);
  return Json::object({{"readings", fit->readings},
                       {"correction_mm", fit->correction_mm},
                       {"u_mm", fit->u_mm},
                       {"left_mm", left},
                       {"scattered", fit->scattered},
                       {"wild", fit->wild}});
}

Json too_close_json(const ClearanceCase& found) {
  Json all = Json::array();
  for (const ClearanceState* state : {&found.now, &found.worn})
    for (const JudgedClearance& one : state->judgement.too_close())
      all.add(Json::object({{"valve", one.kind ? Json(to_word(*one.kind)) : Json()},
                            {"way", way_word(one.criterion)},
                            {"chain", state == &found.now ? "now" : "worn"},
                            {"figure_mm", one.figure_mm},
                            {"limit_mm", one.limit_mm},
                            {"at_crank_deg", one.at_crank_deg}}));
  return all;
}

Json numbers_json(const std::vector<double>& numbers) {
  Json all = Json::array();
  for (const double number : numbers) all.add(number);
  return all;
}

Json curve_json(const PhaseCurve& curve) {
  const auto of = [&](ValveKind kind) {
    const std::vector<double>& least_mm = curve.least_mm[index_of(kind)];
    return least_mm.empty() ? Json() : numbers_json(least_mm);
  };
  return Json::object({{"extra_deg", numbers_json(curve.extra_deg)},
                       {"inlet_mm", of(ValveKind::inlet)},
                       {"exhaust_mm", of(ValveKind::exhaust)}});
}

Json clearance_json(const ClearanceCase& found) {
  const Target& target = found.build.target;
  Json json = Json::object({{"safe", found.safe()},
                            {"inlet", least_json(found.now, ValveKind::inlet, target)},
                            {"exhaust", least_json(found.now, ValveKind::exhaust, target)},
                            {"between", between_json(found.now)}});
  Json worn = state_json(found.worn, target);
  worn.set("elongation_percent", found.at_limit.elongation_percent);
  json.set("worn", worn).set("no_lash", state_json(found.no_lash, target)).set("too_close", too_close_json(found));
  json.set("limits", Json::object({{"inlet_mm", target.min_clearance_inlet_mm},
                                   {"exhaust_mm", target.min_clearance_exhaust_mm},
                                   {"radial_mm", target.min_clearance_radial_mm},
                                   {"valve_to_valve_mm", target.min_valve_to_valve_mm}}));
  json.set("fit", Json::object({{"inlet", fit_json(found.fits[0])}, {"exhaust", fit_json(found.fits[1])}}));
  json.set("goes_by_readings", !found.by_readings.empty());
  if (found.curve) json.set("phase_curve", curve_json(*found.curve));
  return json;
}

} // namespace

Result<Answer> clearance_command(const Context& context) {
  // As a plan does, so that its row of what is fitted and this page agree.
  Build build = context.opened.build;
  const std::map<std::string, double> by_readings = left_out_of(*context.opened.engine, build);
  build.fitted = fitted_as_read(*context.opened.engine, build);
  Result<Mechanism> now = Mechanism::assemble(context.opened.engine, build.fitted);
  if (!now) return now.problems();
  const Fitted at_limit = worn(now->engine(), build.fitted);
  Result<Mechanism> later = Mechanism::assemble(context.opened.engine, at_limit);
  if (!later) return later.problems();
  Result<ClearanceModel> model = clearance_as_read(*now, build);
  if (!model) return model.problems();

  ClearanceCase found{now->engine(),
                      build,
                      by_readings,
                      at_limit,
                      state_of(*model, build.target),
                      state_of(model->mounted_on(*later), build.target),
                      state_of(model->lash_taken_up(), build.target),
                      {},
                      {}};
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust})
    if (model->has(kind)) found.fits[index_of(kind)] = model->fit(kind);
  if (context.options.phase_curve) found.curve = model->phase_curve(-curve_reach_deg, curve_reach_deg, curve_step_deg);

  Answer answer;
  answer.exit_code = found.safe() ? exit_done : exit_out_of_limits;
  answer.page = clearance_page(found);
  answer.json = clearance_json(found);
  return answer;
}

} // namespace phasewright::cli
