// Which faults explain the readings, how likely each is, and which reading would tell them apart.
#pragma once

#include "bench/reading_model.hpp"
#include "parts/build.hpp"
#include "parts/problem.hpp"

#include <array>
#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace phasewright {

struct Weighed;

struct Cause {
  std::vector<std::string> faults; // one; of a pair two; empty = nothing is wrong
  // Of all that were weighed, together 1. A fault too small to be told from nothing counts as nothing.
  double probability = 0;
  double misfit = 0;            // weighted sum of squares that it leaves, of so many figures
  std::optional<double> amount; // best figure of a fault that has one: elongation in percent, wheel in degrees...
  std::string unit;
  bool tied = false; // the readings cannot tell it from the one it stands under
  std::string words; // "the chain is laid one tooth back"
};

struct NextReading {
  // "count the pins ... If the first is so, you count 14; if the second, you count 13". Where it is not of the leading
  // two causes, "if the other".
  std::string words;
  std::size_t against = 1; // which of the causes, by index, it tells the first from
  double apart = 0;        // how many standard uncertainties the two foretell apart
};

struct Explanation {
  std::vector<Cause> causes; // likeliest first
  int figures = 0;           // readings that went in, as single figures
  bool nothing_fits = false; // even the best leaves more than chance would: less than 1 in 1000
  // That best tells the first cause from the next one that any reading would tell it from.
  std::optional<NextReading> next;
};

// A fault and, where it has one, its amount.
struct FaultAmount {
  std::string fault; // as Cause::faults
  double amount = 0;
};

// A fault to whatever amount within ranges, each from and to; without any, all amounts that are weighed.
using AmountRange = std::array<double, 2>;
struct FaultWithin {
  std::string fault;
  std::vector<AmountRange> amounts;
};

// One reading of a set, by its place in its list in Measured; a stop pair and both sides of a lobe are one.
enum class ReadingOf { stop, lobe, clearance, pins };
struct OneReading {
  ReadingOf of = ReadingOf::lobe;
  std::size_t index = 0;
};

// What each hypothesis foretells for a layout of readings (which valves, lifts, stops, counts), worked out once; then
// asked for many sets of figures read in that layout. Immutable.
class Explainer {
public:
  // Problems: no lobe, stop, clearance or pin readings in the layout, or only such as no fault would change; as
  // Mechanism::assemble.
  static Result<Explainer> make(const Engine& engine, const Fitted& with, const Measured& layout,
                                const Instruments& instruments, const Tolerances& tolerances = {});

  // Figures in the layout's places; `measured` must have the layout's shape.
  [[nodiscard]] Explanation explain(const Measured& measured) const;

  // Every single fault weighed, by the words Cause::faults uses.
  [[nodiscard]] std::vector<std::string> faults() const;
  // What would be read, without any error and on a true wheel, with that fault present; `amount` where it has one.
  // Problems: a fault that is not weighed, or that cannot be to such an amount.
  [[nodiscard]] Result<Measured> foretell(const std::string& fault, double amount = 0) const;

  // How far what would be read with `present` lies from the nearest that could be read with `named` (two at most): in
  // standard uncertainties, all readings together. Faults that these readings do not show count as nothing; amounts
  // beyond those that are weighed as the nearest that is.
  [[nodiscard]] double apart(const std::vector<FaultAmount>& present, const std::vector<FaultWithin>& named) const;
  // How far figures that were read lie from what those faults foretell together, their changes added up: standard
  // uncertainties, all readings together. `measured` must have the layout's shape.
  [[nodiscard]] double apart_from(const Measured& measured, const std::vector<FaultAmount>& faults) const;
  // The amounts of a fault with which what would be read lies at least so many standard uncertainties, all readings
  // together, from what it is with nothing wrong; rising. Of a fault without an amount {0, 0} or nothing.
  [[nodiscard]] std::vector<AmountRange> shown_from(const std::string& fault, double apart) const;
  // The same, by some of the readings alone. A reading that is not in the layout is a programming mistake.
  [[nodiscard]] Explainer by_only(const std::vector<OneReading>& readings) const;

private:
  struct Held;
  [[nodiscard]] std::vector<std::size_t> order(const std::vector<Weighed>& weighed, const std::vector<double>& shares,
                                               std::vector<bool>& tied) const;

  explicit Explainer(std::shared_ptr<const Held> held) : held_(std::move(held)) {}
  std::shared_ptr<const Held> held_;
};

// All readings of the build at once.
[[nodiscard]] Result<Explanation> explain(const Engine& engine, const Build& build);

} // namespace phasewright
