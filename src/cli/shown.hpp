// Which state of the engine a picture or a model shows.
#pragma once

#include "cli/commands.hpp"
#include "mechanics/mechanism.hpp"

#include <optional>

namespace phasewright::cli {

struct States {
  Mechanism shown;
  std::optional<Mechanism> fitted; // what is fitted, when something else is shown: an option of the plan
};

// As DrawOptions has it: what is fitted by the readings, the reference assembly, or an option of the plan. Problems: as
// Mechanism::assemble and plan_corrections; a number the plan has not got.
[[nodiscard]] Result<States> states_of(const Context& context);

// "the drive as fitted".
[[nodiscard]] const char* state_words(const DrawOptions& draw);

} // namespace phasewright::cli
