// What a worn chain does: how far the rollers ride out on the teeth, what is left of the tensioner, where the camshafts
// fall back to.
#pragma once

#include "mechanics/drive.hpp"

#include <optional>
#include <string>
#include <vector>

namespace phasewright {

// One sprocket with a chain worn so far.
struct RideOut {
  std::string sprocket;
  double ride_out_mm = 0;       // of the rollers' centres above the nominal pitch circle
  double working_height_mm = 0; // of the tooth above that circle, to the least tip circle ISO 606 allows
  double margin_mm = 0;         // working height less ride-out; at 0 the chain climbs
  double climbs_at_percent = 0; // elongation at which it would
};

struct WearPoint {
  double elongation_percent = 0;
  std::vector<double> phase_deg;   // by camshaft, crank degrees
  bool runs = true;                // the drive can be assembled; when not, what follows is nothing or 0
  std::optional<Extent> travel_mm; // of the loop's tensioner over a tooth; nothing without one, or when it has run out
  double travel_left_mm = 0;       // of the tensioner, the least over a tooth
  double slack_mm = 0;             // greatest over a tooth of the slack strand; 0 with a tensioner
  double slack_span_mm = 0;        // straight distance of that strand at crank 0; 0 with a tensioner
};

// Ride-out, travel and slack are those of one loop. A build has one figure of elongation for all its chains, so that in
// a drive of several loops every chain is worn alike, and a later loop's camshaft falls back by its own chain's wear
// and by that of the chains before it.
struct WearStudy {
  std::vector<RideOut> at_limit; // by sprocket of that loop, at the wear limit
  // From no elongation to the limit, in equal steps; less when a guide leaves the chain no way.
  std::vector<WearPoint> curve;
  // Elongation at which the camshaft's phase leaves `band_deg` either side of its phase with a new chain; nothing when
  // it stays inside up to `wear_study_most_percent`. By camshaft.
  std::vector<std::optional<double>> leaves_band_percent;
  // Elongation at which a tensioner runs out, or, without one, the slack passes what Drive::assemble lets pass (a
  // quarter of its strand: long before that the chain flogs); nothing when neither happens up to
  // `wear_study_most_percent`.
  std::optional<double> runs_out_percent;
  Problems runs_out_why; // what the drive refuses there, which may be another loop's; empty when it does not
  double large_sprocket_percent = 0; // handbook rule: 200 / teeth of the largest sprocket
};

// Elongation studied beyond the limit for the two roots above (unit: percent).
inline constexpr double wear_study_most_percent = 5.0;

// `band_deg`: crank degrees, more than 0. `steps`: at least 1. Problems as Drive::assemble with a new chain.
[[nodiscard]] Result<WearStudy> wear_study(const Engine& engine, const Fitted& fitted, double band_deg,
                                           std::size_t loop = 0, int steps = 15);

} // namespace phasewright
