#include "bench/spread.hpp"

#include "bench/spread_model.hpp"
#include "bench/spread_sampler.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

Problems option_faults(const SpreadOptions& options) {
  Problems problems;
  if (options.builds < least_spread_builds || options.builds > most_spread_builds)
    problems.push_back(problem_at("builds", fmt::format("{}", options.builds),
                                  fmt::format("{} to {}", least_spread_builds, most_spread_builds)));
  if (options.threads < 0 || options.threads > most_spread_threads)
    problems.push_back(
        problem_at("threads", fmt::format("{}", options.threads), fmt::format("0 to {}", most_spread_threads)));
  return problems;
}

std::vector<SpreadPart> parts_of(const SpreadModel& model) {
  const SpreadVariances found = variances(model);
  std::vector<SpreadPart> parts;
  const auto add = [&](const std::string& cause, double half_width, const std::string& unit, double variance,
                       bool one_sided) {
    if (!(half_width > 0.0)) return;
    parts.push_back({.cause = cause,
                     .half_width = half_width,
                     .unit = unit,
                     .one_sided = one_sided,
                     .deviation_deg = std::sqrt(variance),
                     .share = found.total > 0.0 ? variance / found.total : 0.0});
  };
  for (std::size_t i = 0; i < model.sources.size(); ++i)
    add(model.sources[i].cause, model.sources[i].half_width, model.sources[i].unit, found.sources[i], false);
  add("centre distance", model.centre_half_width_mm, "mm", found.centre, false);
  for (std::size_t i = 0; i < model.chains.size(); ++i)
    add(model.chains[i].cause, model.chain_half_width_percent, "%", found.chains[i], true);
  std::ranges::stable_sort(parts, std::ranges::greater{}, &SpreadPart::deviation_deg);
  return parts;
}

} // namespace

Result<std::vector<Spread>> spread_of(const Engine& engine, const Build& build, const SpreadOptions& options) {
  if (Problems problems = option_faults(options); !problems.empty()) return problems;
  const Result<std::vector<SpreadModel>> models = spread_models(engine, build.fitted, build.tolerances);
  if (!models) return models.problems();
  std::vector<Spread> spreads;
  for (std::size_t i = 0; i < models->size(); ++i) {
    spreads.push_back(sample_spread((*models)[i], options));
    spreads.back().camshaft = i;
    spreads.back().parts = parts_of((*models)[i]);
  }
  return spreads;
}

} // namespace phasewright
