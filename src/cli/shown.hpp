// Which state of the engine a print, a picture or a model shows, and how the valves stand in it.
#pragma once

#include "cli/commands.hpp"
#include "cli/standing_words.hpp"
#include "mechanics/mechanism.hpp"

#include <optional>

namespace phasewright::cli {

// As the options say it: an option of the plan, counted from 1; else the maker's assembly, else what is fitted.
struct AskedState {
  std::optional<int> plan;
  bool reference = false;
};
[[nodiscard]] inline AskedState asked_of(const DrawOptions& draw) {
  return {draw.plan, draw.reference};
}
[[nodiscard]] inline AskedState asked_of(const PrintOptions& print) {
  return {print.plan, print.reference};
}

struct States {
  Mechanism shown;
  std::optional<Mechanism> fitted; // what is fitted, when something else is shown: an option of the plan
  std::optional<int> option;       // of the plan
  std::string option_words;        // "chain 1 tooth back"
  bool reference = false;
  std::string words; // "as fitted", "by the maker's card", "as planned, option 150 (chain 1 tooth back)"
  Verdict verdict;
};

// What is fitted, and what is planned, go by the readings. Problems: as Mechanism::assemble and plan_corrections; a
// number the plan has not got.
[[nodiscard]] Result<States> states_of(const Context& context, const AskedState& asked);

// "the drive as fitted", "the maker's reference assembly".
[[nodiscard]] std::string drive_words(const States& states);

// Into an answer that is whole otherwise: exit status, the page's first line or what has to be said at its end, `safe`,
// `verdict`, and `option` with its `words`, null and "" where none is shown.
void add_standing(const States& states, Answer& answer);

// What readings found and the build does not say, a sentence a camshaft. `what`: "the model".
[[nodiscard]] std::vector<std::string> reading_notes(const Context& context, const AskedState& asked,
                                                     const std::string& what);

} // namespace phasewright::cli
