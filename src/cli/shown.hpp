// Which state of the engine a picture or a model shows.
#pragma once

#include "cli/commands.hpp"
#include "mechanics/mechanism.hpp"

#include <optional>

namespace phasewright::cli {

struct ShownFits {
  Fitted shown;
  std::optional<Fitted> fitted; // what is fitted, when something else is shown: an option of the plan
};
struct States {
  Mechanism shown;
  std::optional<Mechanism> fitted;
};

// As DrawOptions has it: what is fitted by the readings, the reference assembly, or an option of the plan. Problems: as
// Mechanism::assemble and plan_corrections; a number the plan has not got.
[[nodiscard]] Result<ShownFits> shown_fits(const Context& context);
[[nodiscard]] Result<States> states_of(const Context& context); // the same, put together

// "the drive as fitted".
[[nodiscard]] const char* state_words(const DrawOptions& draw);

} // namespace phasewright::cli
