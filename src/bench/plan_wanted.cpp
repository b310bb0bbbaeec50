#include "bench/plan_wanted.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <tuple>

namespace phasewright {

namespace {

constexpr double good_enough_deg = 0.25; // crank degrees
constexpr double size_step_deg = 0.25;   // keys are made in such steps: common practice, no source
constexpr double largest_deg = 10.0;
constexpr std::size_t most_wanted = 3;

std::string words_of(const WantedPart& part, const std::string& at_camshaft) {
  const std::string lay =
      part.lay == 0 ? std::string("chain as marked")
                    : fmt::format("chain {} {} {}", std::abs(part.lay), std::abs(part.lay) == 1 ? "tooth" : "teeth",
                                  part.lay > 0 ? "forward" : "back");
  return fmt::format("a {}{} with the {} would come within {:.2f}° crank", key_words(part.at, part.key_deg),
                     at_camshaft, lay, std::fabs(part.error_deg));
}

// One key, everything else but the lay as it is fitted, that brings planned camshaft `index` nearest its target.
std::optional<WantedPart> key_for(const Engine& engine, const Plan& plan, const Mechanism& now, KeyAt at,
                                  std::size_t index, int lay) {
  const PlannedCamshaft& planned = plan.camshafts[index];
  const std::string& name = engine.camshafts[planned.camshaft].name;
  PlanOption option;
  for (std::size_t i = 0; i < plan.camshafts.size(); ++i) {
    const std::string& each = engine.camshafts[plan.camshafts[i].camshaft].name;
    option.cams[i] = {lay_of(plan.base, each), cam_key_of(plan.base, each), holes_of(plan.base, each),
                      slot_of(plan.base, each)};
  }
  option.crank_key_deg = at == KeyAt::crank ? 0.0 : plan.base.crank_key_deg;
  option.cams[index].lay = lay;
  if (at == KeyAt::cam) option.cams[index].cam_key_deg = 0.0;
  const Fitted without = fitted_with(engine, plan, option);
  const double set_deg = Drive::set_phase_deg(engine, without, planned.camshaft) -
                         Drive::set_phase_deg(engine, now.fitted(), planned.camshaft);
  const double short_deg = planned.target_phase_deg - (planned.fitted_phase_deg + set_deg);
  const double per_deg = at == KeyAt::cam ? 2.0 : 1.0;
  WantedPart part;
  part.at = at;
  part.planned = index;
  part.lay = lay;
  part.key_deg = size_step_deg * std::round(short_deg / per_deg / size_step_deg) + 0.0;
  part.error_deg = part.key_deg * per_deg - short_deg;
  if (part.key_deg == 0.0 || std::fabs(part.key_deg) > largest_deg) return std::nullopt;
  const std::string at_camshaft =
      engine.camshafts.size() > 1 && at == KeyAt::cam ? fmt::format(" at \"{}\"", name) : std::string();
  part.words = words_of(part, at_camshaft);
  return part;
}

bool on_shelf(const Stock& stock, const WantedPart& part) {
  const std::vector<double>& sizes = part.at == KeyAt::crank ? stock.crank_key_deg : stock.cam_key_deg;
  return std::ranges::find(sizes, std::fabs(part.key_deg)) != sizes.end();
}

Fitted fitted_with_part(const Engine& engine, const Plan& plan, const WantedPart& part) {
  Fitted fitted = plan.base;
  const std::size_t camshaft = plan.camshafts[part.planned].camshaft;
  const std::string& name = engine.camshafts[camshaft].name;
  CamSetting setting{part.lay, cam_key_of(fitted, name), holes_of(fitted, name), slot_of(fitted, name)};
  if (part.at == KeyAt::cam)
    setting.cam_key_deg = part.key_deg;
  else
    fitted.crank_key_deg = part.key_deg;
  set_at(fitted, engine, camshaft, setting);
  return fitted;
}

} // namespace

std::vector<WantedPart> wanted_parts(const Engine& engine, const Build& build, const Mechanism& now, const Plan& plan,
                                     const PlanModels& models, int lay_reach) {
  std::vector<WantedPart> wanted;
  // With two camshafts each is asked about by itself, and a crank key moves both: only their own keys can be named.
  const bool own_only = plan.camshafts.size() > 1 || meets_another_camshaft(engine, build.target);
  const bool any_safe = !plan.options.empty() && plan.options.front().safe;
  for (std::size_t i = 0; i < plan.camshafts.size(); ++i) {
    const double best_deg = any_safe ? std::fabs(plan.options.front().error_deg[i]) : 2.0 * largest_deg;
    if (best_deg <= good_enough_deg) continue;
    for (const KeyAt at : {KeyAt::cam, KeyAt::crank}) {
      if (own_only && at == KeyAt::crank) continue;
      for (const int lay : {0, 1, -1}) {
        if (std::abs(lay) > lay_reach) continue;
        const std::optional<WantedPart> part = key_for(engine, plan, now, at, i, lay);
        if (!part || on_shelf(build.stock, *part) || !(std::fabs(part->error_deg) < best_deg - 0.01)) continue;
        const Fitted fitted = fitted_with_part(engine, plan, *part);
        const OptionsJudge judge(now, models, build.target, {0.0, 0.0}, {0.0, 0.0});
        if (judge.judge_assembled(fitted).safe()) wanted.push_back(*part);
      }
    }
  }
  // A tooth is not worth a tenth of a degree.
  const auto rank = [](const WantedPart& part) {
    return std::tuple(std::lround(10.0 * std::fabs(part.error_deg)), std::abs(part.lay), std::fabs(part.key_deg));
  };
  std::ranges::stable_sort(wanted, {}, rank);
  if (wanted.size() > most_wanted) wanted.resize(most_wanted);
  return wanted;
}

} // namespace phasewright
