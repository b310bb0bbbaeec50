#include "bench/drill_judge.hpp"

#include "bench/drill_card.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace phasewright {

namespace {

std::string words_of(const FaultsJudged& judged, const NamedFaults& named) {
  const std::string answer = named_words(named);
  switch (judged.verdict) {
  case DrillVerdict::right:
    return fmt::format("Right: {}, and the readings that were taken leave nothing else.", answer);
  case DrillVerdict::as_far_as_told:
    return fmt::format("Right as far as it can be told: no readings set {} apart from what else fits them.", answer);
  case DrillVerdict::not_told_yet:
    return fmt::format(
        "Not told yet: {} fits all that was read, but so do other answers, which further readings would rule out.",
        answer);
  case DrillVerdict::wrong:
    break;
  }
  if (!judged.superfluous.empty())
    return fmt::format("Wrong: the readings do not call for {}.", named_words(judged.superfluous));
  return fmt::format("Wrong: the readings speak against \"{}\", {:.0f} standard uncertainties off.", answer,
                     judged.apart);
}

NamedFaults superfluous_in(const NamedFaults& named, const DrillTelling& taken) {
  NamedFaults found;
  for (const std::string& key : named) {
    NamedFaults rest = named;
    std::erase(rest, key);
    if (!taken.tells_apart(rest)) found.push_back(key);
  }
  return found;
}

// `by`: the readings that were taken; null = careful ones.
FaultsJudged judged_by(const Drill& drill, const NamedFaults& named, const DrillTelling* by) {
  const DrillTelling careful = DrillTelling::careful(drill);
  const DrillTelling& taken = by != nullptr ? *by : careful;
  FaultsJudged judged;
  judged.apart = taken.apart(named);
  judged.left_by_careful = careful.left();
  judged.left_by_taken = by != nullptr ? taken.left() : judged.left_by_careful;
  if (taken.tells_apart(named)) {
    judged.superfluous = superfluous_in(named, taken);
  } else if (by != nullptr && std::ranges::any_of(judged.left_by_taken,
                                                  [&](const NamedFaults& left) { return careful.tells_apart(left); })) {
    judged.verdict = DrillVerdict::not_told_yet;
  } else {
    judged.verdict = judged.left_by_taken.size() == 1 ? DrillVerdict::right : DrillVerdict::as_far_as_told;
  }
  judged.words = words_of(judged, named);
  return judged;
}

} // namespace

const char* to_word(DrillVerdict verdict) {
  switch (verdict) {
  case DrillVerdict::right:
    return "right";
  case DrillVerdict::as_far_as_told:
    return "right as far as it can be told";
  case DrillVerdict::not_told_yet:
    return "not told yet";
  case DrillVerdict::wrong:
    return "wrong";
  }
  return "";
}

NamedFaults true_faults(const Drill& drill) {
  NamedFaults keys;
  for (const HiddenFault& fault : drill.truth->faults) keys.push_back(fault.key);
  return keys;
}

Problems answer_problems(const Drill& drill, const NamedFaults& named) {
  Problems problems;
  for (const std::string& key : named)
    if (find_fault(*drill.card, key) == nullptr)
      problems.push_back(problem_at("answer", fmt::format("\"{}\"", key), "one of the faults that the drill lists"));
  const auto most = static_cast<std::size_t>(faults_of_level(drill.ask.level));
  if (named.size() > most)
    problems.push_back(problem_at("answer", fmt::format("{} faults", named.size()),
                                  fmt::format("{} at most: a drill of this level hides no more", most)));
  else if (problems.empty() && named.size() == 2 && !can_be_both(drill, named[0], named[1]))
    problems.push_back(problem_at("answer", named_words(named), "two that can be at once"));
  return problems;
}

bool can_be_both(const Drill& drill, const std::string& one, const std::string& other) {
  const DrillFault* a = find_fault(*drill.card, one);
  const DrillFault* b = find_fault(*drill.card, other);
  return a != nullptr && b != nullptr && go_together(*drill.card, *a, *b);
}

std::string named_words(const NamedFaults& named) {
  std::string words;
  for (const std::string& key : named) words += (words.empty() ? "" : " and ") + key;
  return words.empty() ? "nothing is wrong" : words;
}

Result<FaultsJudged> judge_faults(const Drill& drill, const NamedFaults& named, const TakenReadings& taken) {
  if (Problems problems = answer_problems(drill, named); !problems.empty()) return problems;
  const Result<DrillTelling> telling = DrillTelling::make(drill, taken);
  if (!telling) return telling.problems();
  return judged_by(drill, named, &*telling);
}

Result<FaultsJudged> judge_faults(const Drill& drill, const NamedFaults& named) {
  if (Problems problems = answer_problems(drill, named); !problems.empty()) return problems;
  return judged_by(drill, named, nullptr);
}

} // namespace phasewright
