// The engine during a lesson: how a step finds it.
#include "bench/lesson.hpp"

#include "bench/follow.hpp"

#include <algorithm>

namespace phasewright {

LessonBench first_bench(std::shared_ptr<const Engine> engine, const Build& build) {
  LessonBench bench;
  bench.engine = std::move(engine);
  bench.build = build;
  bench.planned = build.fitted;
  bench.page = "correction";
  bench.view = "end";
  bench.shown = "both";
  return bench;
}

Result<LessonBench> with_settings(const LessonBench& bench, const std::vector<std::string>& settings,
                                  const SetInBuild& set) {
  LessonBench next = bench;
  std::vector<std::string> of_plan;
  std::vector<std::string> of_build;
  for (const std::string& setting : settings) {
    if (setting.starts_with(planned_prefix))
      of_plan.push_back("fitted." + setting.substr(planned_prefix.size()));
    else
      of_build.push_back(setting);
  }
  if (!of_build.empty()) {
    Result<Build> build = set(bench.build, of_build);
    if (!build) return build.problems();
    next.build = *std::move(build);
    next.planned = follow(bench.planned, bench.build.fitted, next.build.fitted);
  }
  if (!of_plan.empty()) {
    Build plan = next.build;
    plan.fitted = next.planned;
    const Result<Build> planned = set(plan, of_plan);
    if (!planned) return planned.problems();
    next.planned = planned->fitted;
  }
  return next;
}

Result<LessonBench> begun_step(const LessonBench& bench, const LessonStep& step, const SetInBuild& set) {
  LessonBench begin = bench;
  if (!step.set.empty()) {
    const bool plans =
        std::ranges::any_of(step.set, [](const std::string& s) { return s.starts_with(planned_prefix); });
    if (!plans) begin.planned = begin.build.fitted;
    Result<LessonBench> settled = with_settings(begin, step.set, set);
    if (!settled) return settled;
    begin = *std::move(settled);
  }
  if (step.crank_deg) begin.crank = {*step.crank_deg, Turning::forward, 0.0};
  if (!step.page.empty()) begin.page = step.page;
  if (!step.view.empty()) begin.view = step.view;
  if (!step.shown.empty()) begin.shown = step.shown;
  return begin;
}

} // namespace phasewright
