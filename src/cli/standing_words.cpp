#include "cli/standing_words.hpp"

#include "cli/words.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright::cli {

namespace {

std::string meets_words(const JudgedClearance& one) {
  switch (one.criterion) {
  case ClearanceCriterion::axial:
    return one.figure_mm < 0.0 ? fmt::format("the {} valve meets the piston along its axis, {} mm too deep",
                                             to_word(*one.kind), fixed(-one.figure_mm, 2))
                               : fmt::format("the {} valve comes within {} mm of the piston along its axis",
                                             to_word(*one.kind), fixed(one.figure_mm, 2));
  case ClearanceCriterion::any_way:
    return one.figure_mm > 0.0 ? fmt::format("the {} valve comes within {} mm of the piston sideways",
                                             to_word(*one.kind), fixed(one.figure_mm, 2))
                               : fmt::format("the {} valve meets the piston sideways", to_word(*one.kind));
  case ClearanceCriterion::between:
    return one.figure_mm > 0.0
               ? fmt::format("the inlet and exhaust valves come within {} mm of each other", fixed(one.figure_mm, 2))
               : "the inlet and exhaust valves meet each other";
  }
  return {};
}

bool same_figure(const JudgedClearance& one, const JudgedClearance& other) {
  return one.kind == other.kind && one.criterion == other.criterion;
}

} // namespace

std::vector<std::string> too_close_words(const Judgement& now, const Judgement& worn) {
  std::vector<std::string> all;
  std::vector<JudgedClearance> told;
  const auto is_told = [&told](const JudgedClearance& one) {
    return std::ranges::any_of(told, [&one](const JudgedClearance& other) {
      return same_figure(one, other) || (one.criterion == ClearanceCriterion::any_way && one.kind == other.kind);
    });
  };
  for (const Judgement* judgement : {&now, &worn})
    for (const JudgedClearance& one : judgement->too_close()) {
      if (is_told(one)) continue;
      told.push_back(one);
      const std::string lacks =
          one.figure_mm > 0.0 ? fmt::format(": {} mm short of it", fixed(one.limit_mm - one.figure_mm, 2)) : "";
      all.push_back(fmt::format("{}{}, at crank {}. The limit is {} mm{}", meets_words(one),
                                judgement == &worn ? " once the chain has worn" : "",
                                dead_centre_words(one.at_crank_deg), fixed(one.limit_mm, 2), lacks));
    }
  return all;
}

Verdict verdict_on(const Standing& standing, const std::string& of) {
  const std::optional<bool> safe = standing.safe();
  if (!safe) return {safe, fmt::format("{}, clearances are not worked out: {}.", capital(of), standing.fault), false};
  if (!*safe) {
    std::string words;
    for (const std::string& one : too_close_words(standing.judged, standing.judged_worn))
      words += fmt::format("{}{}.", words.empty() ? "" : " ", words.empty() ? one : capital(one));
    if (!standing.fault.empty()) words += fmt::format("{}{}.", words.empty() ? "" : " ", standing.fault);
    return {safe, fmt::format("NOT SAFE: {}: {}", of, words), false};
  }
  if (standing.by_wild_readings())
    return {safe,
            fmt::format("{}, the valves keep clear, but by readings that can hardly be right: check them before "
                        "trusting it.",
                        capital(of)),
            false};
  if (standing.doubtful())
    return {safe,
            fmt::format("{}, the valves are over their limits, now and with the chain worn, but too near to tell: "
                        "measure before trusting it.",
                        capital(of)),
            false};
  return {safe, fmt::format("{}, the valves keep clear by the limits, now and with the chain worn.", capital(of)),
          true};
}

Verdict not_judged(const std::string& of) {
  return {std::nullopt, fmt::format("{}: not judged.", capital(of)), true};
}

} // namespace phasewright::cli
