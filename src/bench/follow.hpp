// What is planned, when what is fitted changes under it.
#pragma once

#include "parts/build.hpp"

namespace phasewright {

// `planned` after `fitted` has changed from `before` to `after`: what they had in common follows.
[[nodiscard]] Fitted follow(const Fitted& planned, const Fitted& before, const Fitted& after);

} // namespace phasewright
