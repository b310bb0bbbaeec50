// What the clearances of a plan are known to, for those who show its options and those who fit one.
#pragma once

#include "bench/plan.hpp"

#include "cli/commands.hpp"

#include <array>
#include <optional>
#include <string>

namespace phasewright::cli {

// What the closed gaps are known to, and whether the readings they rest on can be right.
struct GapsKnown {
  std::array<double, 2> u_mm{}; // inlet, exhaust
  bool wild = false;
};

[[nodiscard]] Result<GapsKnown> gaps_known(const Context& context);

// Over its limit by less than its gap is known to (k = 2).
[[nodiscard]] bool too_near_to_tell(const PlanOption& option, const Target& target, const GapsKnown& known);

// "2.82"; rounded towards danger where it is under its limit, so that it never reads as enough; "?" when there is none.
[[nodiscard]] std::string gap_words(const std::optional<double>& mm, double limit_mm);

// A line for the top of the page, or nothing.
[[nodiscard]] std::string wild_warning(const GapsKnown& known);

} // namespace phasewright::cli
