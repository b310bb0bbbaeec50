// Least clearance between piston and valve, now and with the chain worn to its limit.
#include "mechanics/clearance.hpp"

#include "cli/commands.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright::cli {

namespace {

struct Kind {
  ValveKind kind;
  const char* name; // "inlet"
  double limit_mm;
  LeastClearance now;
  LeastClearance worn;
  bool from_readings; // the closed gap was set from clearances measured on the bench
};

bool safe(const Kind& kind) {
  return clear_enough(kind.now.least_mm, kind.limit_mm) && clear_enough(kind.worn.least_mm, kind.limit_mm);
}

std::string verdict(const Kind& kind) {
  const bool already = !clear_enough(kind.now.least_mm, kind.limit_mm);
  const LeastClearance& least = already ? kind.now : kind.worn;
  const char* when = already ? "" : " once the chain has worn";
  const std::string at = dead_centre_words(least.at_crank_deg);
  if (least.least_mm < 0.0)
    return fmt::format("NOT SAFE: the {} valve meets the piston{}, {} mm too deep, at crank {}.\n", kind.name, when,
                       fixed(-least.least_mm, 2), at);
  return fmt::format("NOT SAFE: the {} valve comes within {} mm of the piston{}, at crank {}. The limit is {} mm.\n",
                     kind.name, fixed(least.least_mm, 2), when, at, fixed(kind.limit_mm, 2));
}

std::vector<std::string> row(const char* valve, const char* when, const LeastClearance& least, double limit_mm) {
  return {valve,
          when,
          fixed(least.least_mm, 2),
          fixed(limit_mm, 2),
          dead_centre_words(least.at_crank_deg),
          least.radial_mm ? fixed(*least.radial_mm, 2) : "no pocket"};
}

constexpr const char* worn_no_further = ", where the drive can take up no more; renew the chain before its limit";

// What is not safe comes before anything else, the title included.
std::string page_of(const std::string& title, const std::vector<Kind>& kinds, const Fitted& fitted,
                    const Fitted& at_limit, double limit_percent) {
  std::string verdicts;
  for (const Kind& kind : kinds)
    if (!safe(kind)) verdicts += verdict(kind);
  std::string page =
      verdicts.empty() ? title + "\nSafe by the limits below, now and with the chain worn.\n" : verdicts + title + "\n";
  std::vector<std::vector<std::string>> rows{
      {"Valve", "chain", "least, mm", "limit, mm", "at, crank degrees", "head to pocket wall, mm"}};
  for (const Kind& kind : kinds) {
    rows.push_back(row(kind.kind == ValveKind::inlet ? "Inlet" : "Exhaust", "now", kind.now, kind.limit_mm));
    rows.push_back(row("", "worn", kind.worn, kind.limit_mm));
  }
  page += "\n";
  page += table({Align::left, Align::left, Align::right, Align::right, Align::right, Align::right}, rows) + "\n";
  page += fmt::format("Now: chain {} % longer than new. Worn: {} %{}.\n", fixed(fitted.elongation_percent, 2),
                      fixed(at_limit.elongation_percent, 2),
                      at_limit.elongation_percent < limit_percent ? worn_no_further
                      : fitted.elongation_percent >= at_limit.elongation_percent
                          ? "; it is at its wear limit or beyond already"
                          : "");
  for (const Kind& kind : kinds)
    page += fmt::format("The {} clearance is reckoned from {}.\n", kind.name,
                        kind.from_readings ? "what was measured on the bench"
                                           : "the engine file's dimensions, not yet measured");
  if (std::ranges::any_of(kinds, [](const Kind& kind) { return kind.now.radial_mm.has_value(); }))
    page += "The gap to a pocket's wall is shown but not judged: no limit is stated for it.\n";
  return page + "\n" + cautions();
}

Json least_json(const std::optional<LeastClearance>& least) {
  if (!least) return {};
  return Json::object(
      {{"least_mm", least->least_mm}, {"at_crank_deg", least->at_crank_deg}, {"radial_mm", least->radial_mm}});
}

} // namespace

Result<Answer> clearance_command(const Context& context) {
  const Build& build = context.opened.build;
  Result<Mechanism> now = Mechanism::assemble(context.opened.engine, build.fitted);
  if (!now) return now.problems();
  const Fitted at_limit = worn(now->engine(), build.fitted);
  Result<Mechanism> later = Mechanism::assemble(context.opened.engine, at_limit);
  if (!later) return later.problems();
  Result<ClearanceModel> model = ClearanceModel::make(*now, build.measured);
  if (!model) return model.problems();
  const Clearances least_now = model->least();
  const Clearances least_worn = model->mounted_on(*later).least();

  std::vector<Kind> kinds;
  const auto measured = [&](ValveKind kind) {
    return std::ranges::find(build.measured.clearance, kind, &ClearanceReading::valve) !=
           build.measured.clearance.end();
  };
  if (now->motion(ValveKind::inlet) != nullptr)
    kinds.push_back({ValveKind::inlet, "inlet", build.target.min_clearance_inlet_mm, *least_now.inlet,
                     *least_worn.inlet, measured(ValveKind::inlet)});
  if (now->motion(ValveKind::exhaust) != nullptr)
    kinds.push_back({ValveKind::exhaust, "exhaust", build.target.min_clearance_exhaust_mm, *least_now.exhaust,
                     *least_worn.exhaust, measured(ValveKind::exhaust)});
  const bool all_safe = std::ranges::all_of(kinds, safe);

  Answer answer;
  answer.exit_code = all_safe ? exit_done : exit_out_of_limits;
  answer.page =
      page_of(title_words(now->engine(), build), kinds, build.fitted, at_limit, wear_limit_percent(now->engine()));
  answer.json = Json::object(
      {{"safe", all_safe}, {"inlet", least_json(least_now.inlet)}, {"exhaust", least_json(least_now.exhaust)}});
  answer.json.set("worn", Json::object({{"inlet", least_json(least_worn.inlet)},
                                        {"exhaust", least_json(least_worn.exhaust)},
                                        {"elongation_percent", at_limit.elongation_percent}}));
  answer.json.set("limits", Json::object({{"inlet_mm", build.target.min_clearance_inlet_mm},
                                          {"exhaust_mm", build.target.min_clearance_exhaust_mm}}));
  return answer;
}

} // namespace phasewright::cli
