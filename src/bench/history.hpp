// Sets of readings put by, so that before and after can be compared.
#pragma once

#include "parts/build.hpp"

namespace phasewright {

// The build with its readings moved to the end of its history and none left on the bench. What was fitted when they
// were taken stays with them; `date` and `note` go with them unless they have their own. Without readings: as it was.
[[nodiscard]] Build put_by(Build build, const std::string& date = {}, const std::string& note = {});

} // namespace phasewright
