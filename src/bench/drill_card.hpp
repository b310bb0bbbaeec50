// A drill's job card with what is worked out once for it.
#pragma once

#include "bench/drill_faults.hpp"
#include "bench/explain.hpp"
#include "mechanics/clearance.hpp"
#include "mechanics/mechanism.hpp"
#include "parts/build.hpp"
#include "parts/problem.hpp"

#include <array>
#include <memory>
#include <optional>
#include <vector>

namespace phasewright {

struct DrillCard {
  Build given;     // without readings
  Mechanism drawn; // as the card has it
  Measured layout; // of the readings that explain weighs, as careful hands take them; its figures mean nothing
  Explainer explainer;
  std::vector<Fault> weighed; // by explain with that layout
  // Of each of those the amounts that careful readings surely tell from nothing wrong: what is less is no fault.
  std::vector<std::vector<AmountRange>> shown;
  std::vector<DrillFault> faults;
  std::optional<ClearanceModel> gaps; // of `drawn`
  // Standard uncertainty of a lobe centre, by kind of valve: what instruments and parts' tolerances come to (unit:
  // crank deg); 0 without such a valve.
  std::array<double, 2> u_centre_deg{};
};

// With one thing fitted. Problems: as Mechanism::assemble and Explainer::make.
[[nodiscard]] Result<std::shared_ptr<const DrillCard>> make_drill_card(const std::shared_ptr<const Engine>& engine,
                                                                       const Build& build, const Fitted& fitted);

// What the card may say is fitted: as the build has it; where all keys are straight, with offset ones as well.
[[nodiscard]] std::vector<Fitted> fitted_on_cards(const Engine& engine, const Build& build);

// The weighed fault of that key, or nothing.
[[nodiscard]] const Fault* find_weighed(const DrillCard& card, const std::string& key);
// The same as large as it counts; with no ranges where it is not weighed.
[[nodiscard]] FaultWithin fault_within(const DrillCard& card, const std::string& key);
[[nodiscard]] const DrillFault* find_fault(const DrillCard& card, const std::string& key);

// Whether both can be at once.
[[nodiscard]] bool go_together(const DrillCard& card, const DrillFault& one, const DrillFault& other);

// The engine with all of that: what is weighed by explain changes it, the rest does not.
[[nodiscard]] Supposed supposed_on(const DrillCard& card, const std::vector<FaultAmount>& faults);

// Standard uncertainty of a feeler gauge by the card's instruments (unit: mm), and of an indicator.
[[nodiscard]] double u_feeler_mm(const DrillCard& card);
[[nodiscard]] double u_indicator_mm(const DrillCard& card);

// Two things are surely told apart from so many standard uncertainties on: half way between them each is as far off as
// figures may be out by (k = 2).
inline constexpr double told_apart_from = 4.0;

} // namespace phasewright
