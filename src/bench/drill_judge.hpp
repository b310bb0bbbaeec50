// What an apprentice's answer is worth: the faults that were named against those that are there.
#pragma once

#include "bench/drill.hpp"
#include "bench/drill_readings.hpp"
#include "bench/explain.hpp"
#include "parts/problem.hpp"

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace phasewright {

// Faults by key, in any order; none = nothing is wrong.
using NamedFaults = std::vector<std::string>;

// Answers are faults as large as careful readings surely show; what is less is none. Answers that foretell the same
// readings, within what instruments and parts may be out by, are never scored apart: they are a group, and what is
// scored is whether the answer is in the true group, and how small the readings taken make it.
enum class DrillVerdict {
  right,          // what is true, and the readings that were taken leave nothing else
  as_far_as_told, // one of those that no readings tell apart, the truth among them
  not_told_yet,   // fits all that was read, but so do others which further readings would rule out
  wrong           // the readings speak against it, or do not call for all that is named
};
[[nodiscard]] const char* to_word(DrillVerdict verdict);

struct FaultsJudged {
  DrillVerdict verdict = DrillVerdict::wrong;
  double apart = 0; // how far what was named lies from what is true by the readings taken: standard uncertainties
  // The answers that the readings taken leave, and those that even careful ones leave; the truth first.
  std::vector<NamedFaults> left_by_taken;
  std::vector<NamedFaults> left_by_careful;
  NamedFaults superfluous; // of a wrong answer: what should not have been named, the rest being one of those
  std::string words;       // a sentence or two
};

// Readings of one layout on a drill: what they can tell. Holds on to the drill's card.
class DrillTelling {
public:
  // Of readings as they were taken: which, not what they say. Problems: as Explainer::make for readings that cannot be.
  static Result<DrillTelling> make(const Drill& drill, const TakenReadings& taken);
  // Of careful ones; quick, and cannot fail.
  static DrillTelling careful(const Drill& drill);

  // How far what is true lies from the nearest that the named could be: standard uncertainties, all readings together.
  [[nodiscard]] double apart(const NamedFaults& named) const;
  // Likewise by alignment, end float or lash alone; none named = how far they are from right.
  [[nodiscard]] double apart_by_gap(const NamedFaults& named) const;
  [[nodiscard]] double apart_by_float(const NamedFaults& named) const;
  [[nodiscard]] double apart_by_lash(const NamedFaults& named) const;
  [[nodiscard]] bool tells_apart(const NamedFaults& named) const;
  // All answers that these readings do not tell from the truth, the truth first: nothing wrong, each fault, and where
  // two are hidden each pair that can be at once.
  [[nodiscard]] std::vector<NamedFaults> left() const;
  // What explain weighs of these readings; nothing when there are none of that kind.
  [[nodiscard]] const std::optional<Explainer>& explainer() const { return explainer_; }

private:
  DrillTelling(const Drill& drill, std::optional<Explainer> explainer, const Measured& measured,
               const std::vector<LashReading>& lash);

  std::shared_ptr<const DrillCard> card_;
  std::shared_ptr<const DrillTruth> truth_;
  std::optional<Explainer> explainer_;
  bool gap_ = false;
  std::string float_of_; // empty = none read
  std::vector<ValveKind> lash_;
};

// Whether both can be at once: not two lays of one camshaft, say, or one fault twice.
[[nodiscard]] bool can_be_both(const Drill& drill, const std::string& one, const std::string& other);
[[nodiscard]] NamedFaults true_faults(const Drill& drill);

// What is wrong with an answer before it is judged: a key that is none of Drill::faults; more faults than the level
// hides; two that cannot be at once.
[[nodiscard]] Problems answer_problems(const Drill& drill, const NamedFaults& named);

// Problems: those of the answer; as DrillTelling::make.
[[nodiscard]] Result<FaultsJudged> judge_faults(const Drill& drill, const NamedFaults& named,
                                                const TakenReadings& taken);
// By careful readings.
[[nodiscard]] Result<FaultsJudged> judge_faults(const Drill& drill, const NamedFaults& named);

// "chain one tooth back and inlet lash", "nothing is wrong".
[[nodiscard]] std::string named_words(const NamedFaults& named);

} // namespace phasewright
