// Every correction the stock allows, ranked: safe ones first, then least error, then fewest parts changed.
#pragma once

#include "bench/offset_key.hpp"
#include "mechanics/clearance.hpp"
#include "mechanics/judgement.hpp"
#include "mechanics/phase.hpp"

#include <array>
#include <cstddef>
#include <iterator>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace phasewright {

// Camshafts planned together at most: an inlet and an exhaust camshaft.
inline constexpr std::size_t most_planned = 2;

// What is set at one camshaft's sprocket.
struct CamSetting {
  int lay = 0;
  double cam_key_deg = 0;
  HolePair holes; // {0, 0} when the stock has no vernier
  double slot_deg = 0;

  friend bool operator==(const CamSetting&, const CamSetting&) = default;
};

// One combination. Small and flat: there may be a hundred thousand.
struct PlanOption {
  double crank_key_deg = 0;                     // moves every camshaft
  std::array<CamSetting, most_planned> cams{};  // by Plan::camshafts
  std::array<double, most_planned> phase_deg{}; // likewise
  std::array<double, most_planned> error_deg{}; // phase less target, likewise
  double worst_error_deg = 0;                   // of those the one greatest in size
  // Least axial clearance over the cycle, now and at the wear limit: inlet, exhaust; NaN = the engine has no such
  // valve.
  std::array<double, 2> now_mm{};
  std::array<double, 2> worn_mm{};
  bool safe = false;                           // now and worn, all that ClearanceModel judges is within the limits
  std::optional<ClearanceCriterion> unsafe_by; // the first that is not
  bool goes_together = true; // false: now or worn such a drive cannot be assembled, so it is not safe either
  int changes = 0;           // parts and settings that differ from what is fitted

  [[nodiscard]] std::optional<double> now(ValveKind kind) const;
  [[nodiscard]] std::optional<double> worn(ValveKind kind) const;
  // The lesser of now and worn: what the limit is held against.
  [[nodiscard]] std::optional<double> least(ValveKind kind) const;
};

// Options in their order. Each is put together when it is asked for: what they hold in common is kept once, and a
// hundred thousand take a few megabytes. Immutable; copies share.
class PlanOptions {
public:
  struct Held;
  class Iterator;

  PlanOptions() = default; // none
  explicit PlanOptions(std::shared_ptr<const Held> held);

  [[nodiscard]] std::size_t size() const { return size_; }
  [[nodiscard]] bool empty() const { return size_ == 0; }
  [[nodiscard]] PlanOption operator[](std::size_t index) const; // below size()
  [[nodiscard]] PlanOption front() const { return (*this)[0]; }
  [[nodiscard]] Iterator begin() const;
  [[nodiscard]] Iterator end() const;

private:
  std::shared_ptr<const Held> held_;
  std::size_t size_ = 0;
};

class PlanOptions::Iterator {
public:
  using value_type = PlanOption;
  using reference = PlanOption;
  using difference_type = std::ptrdiff_t;
  using iterator_category = std::input_iterator_tag; // what it leads to lives no longer than the expression
  struct pointer {
    PlanOption option;
    const PlanOption* operator->() const { return &option; }
  };

  Iterator() = default;
  Iterator(const PlanOptions* options, std::size_t index) : options_(options), index_(index) {}

  PlanOption operator*() const { return (*options_)[index_]; }
  pointer operator->() const { return {**this}; }
  Iterator& operator++() {
    ++index_;
    return *this;
  }
  Iterator operator++(int) { return {options_, index_++}; }
  friend bool operator==(const Iterator& a, const Iterator& b) { return a.index_ == b.index_; }

private:
  const PlanOptions* options_ = nullptr;
  std::size_t index_ = 0;
};

inline PlanOptions::Iterator PlanOptions::begin() const {
  return {this, 0};
}
inline PlanOptions::Iterator PlanOptions::end() const {
  return {this, size_};
}

struct PlannedCamshaft {
  std::size_t camshaft = 0; // index into Engine::camshafts
  // What is asked for, of the phase now, with the crank key that is fitted; with preset_for_wear half the wear to come
  // added.
  double target_phase_deg = 0;
  double fitted_phase_deg = 0; // with what readings found
  double wear_deg = 0;         // what the chain does to it from now to its wear limit; 0 or negative
};

// A part that is not on the shelf and would come nearer than the best of it.
struct WantedPart {
  KeyAt at = KeyAt::cam;
  std::size_t planned = 0; // index into Plan::camshafts; of a crank key 0
  double key_deg = 0;      // signed as Fitted's; degrees of its shaft
  int lay = 0;             // to be laid so with it
  double error_deg = 0;    // what it would leave, crank degrees
  std::string words;       // "a cam key of 2.5°, shaft half leading, would reach it"
};

struct Plan {
  std::vector<PlannedCamshaft> camshafts; // one; two when both centres are asked for
  Fitted base;                            // what options change: as fitted, with what the readings found
  bool goes_by_readings = false;          // `base` has something found by readings that the build does not say
  // Where meets_another_camshaft: the phase asked for with each crank key, by key degrees, either way round. Else
  // empty.
  std::map<double, double> target_by_crank_key;
  PlanOptions options;
  std::vector<WantedPart> wanted; // empty when the best safe option is within 0.25 crank degrees of every target
};

// The camshafts that a target is about. Indices into Engine::camshafts; never empty.
[[nodiscard]] std::vector<std::size_t> planned_camshafts(const Engine& engine, const Target& target);

// Whether that aim is held against a camshaft that is not planned: where it stands decides the phase asked for, so
// every crank key has a target of its own.
[[nodiscard]] bool meets_another_camshaft(const Engine& engine, const Target& target);

// What is asked of planned camshaft `index` with that crank key. The key must be one of the plan's, either way round.
[[nodiscard]] double target_with_crank_key(const Plan& plan, std::size_t index, double key_deg);

// All combinations of lay (as far as `lay_reach` teeth either way of the marks, 0 to 10), crank key, cam key, hole pair
// and slot that the stock and what is fitted allow, at each planned camshaft; other camshafts stay as they are but for
// the crank key. Where the build's readings show more than the drive explains, that is added (found_by_readings), in
// place of a `found_deg` that they show to be another by now. The phase of each is exact; clearances are read off a
// curve of least clearance against phase. Within 0.03 mm of a limit the drive itself is solved, so that `safe` is what
// ClearanceModel says of it. Problems: as Mechanism::assemble for what is fitted, as clearance_as_read, as
// target_phases_deg; more than 100,000 combinations.
[[nodiscard]] Result<Plan> plan_corrections(const Engine& engine, const Build& build, int lay_reach = 1);

// `base` with that option in place: what Plan::base becomes.
[[nodiscard]] Fitted fitted_with(const Engine& engine, const Plan& plan, const PlanOption& option);

// The phases that the build's target asks for (crank degrees), as planned_camshafts, other camshafts being as fitted;
// not pre-set for wear. Problems: an event at a lift its lobe never reaches, or of a valve the engine has not got;
// lifts at TDC that are equal nowhere within 60 degrees; a ratio that no phase within 60 degrees gives.
[[nodiscard]] Result<std::vector<double>> target_phases_deg(const Engine& engine, const Build& build);

} // namespace phasewright
