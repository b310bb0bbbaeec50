// How the valves of an engine stand against their limits, now and with the chain worn to its limit: the one judgement
// that all share that show a state of it.
#pragma once

#include "mechanics/clearance.hpp"
#include "mechanics/judgement.hpp"
#include "parts/build.hpp"

#include <optional>
#include <string>

namespace phasewright {

struct Standing {
  std::optional<ClearanceModel> model; // as the chain is; none where clearances cannot be worked out
  std::optional<ClearanceModel> model_worn;
  std::string fault; // why there is no model, or why the worn chain cannot be judged; else empty
  Clearances now;
  Clearances worn;
  Judgement judged; // of both against the target's limits
  Judgement judged_worn;

  // All limits met, now and worn; a drive that cannot be put together with the worn chain is not safe. Nothing where
  // clearances are not worked out: that is neither.
  [[nodiscard]] std::optional<bool> safe() const;
  [[nodiscard]] bool unsafe() const { return safe() == false; }
  // Safe, but the readings that it rests on can hardly be right.
  [[nodiscard]] bool by_wild_readings() const;
  // Safe, but by less than the figures may be out by, or by such readings.
  [[nodiscard]] bool doubtful() const;
};

// By the build's readings, as clearance_as_read; what `mechanism` has fitted need not be what the build has.
[[nodiscard]] Standing standing_of(const Mechanism& mechanism, const Build& build);

} // namespace phasewright
