// What undo goes back to: a value, kept whole.
#pragma once

#include "parts/build.hpp"

#include <string>
#include <vector>

namespace phasewright::viewer {

struct Document {
  Fitted fitted;                  // on the engine now
  Fitted planned;                 // tried beside it
  Measured measured;              // read on the bench
  std::vector<Measured> history;  // sets of readings put by, oldest first
  std::vector<double> shelf_mm{}; // shims in stock, one entry for each piece
};

// Whether they say the same, field by field. Engines are compared by identity.
[[nodiscard]] bool same(const LobeReading& a, const LobeReading& b);
[[nodiscard]] bool same(const ClearanceReading& a, const ClearanceReading& b);
[[nodiscard]] bool same(const KeyReading& a, const KeyReading& b);
[[nodiscard]] bool same(const std::vector<Measured>& a, const std::vector<Measured>& b);
// Of what was read with the wheel, with what was fitted then: all that wheel and camshafts are figured from.
[[nodiscard]] bool same_wheel_readings(const Measured& a, const Measured& b);
// Of the clearances, likewise.
[[nodiscard]] bool same_clearances(const Measured& a, const Measured& b);
[[nodiscard]] bool same_gap(const Measured& a, const Measured& b);
[[nodiscard]] bool same_floats(const Measured& a, const Measured& b);
[[nodiscard]] bool same_keys(const Measured& a, const Measured& b);
// All that was read; date and note left aside.
[[nodiscard]] bool same_readings(const Measured& a, const Measured& b);
[[nodiscard]] bool same(const Measured& a, const Measured& b);
[[nodiscard]] bool operator==(const Document& a, const Document& b);

// Whether a build file would come out alike: what is only tried is not in it.
[[nodiscard]] bool same_on_file(const Document& a, const Document& b);

// In what two documents differ, as a build file has them: a count of each kind, in words.
struct Differences {
  int count = 0;
  std::vector<std::string> words; // "2 settings of what is fitted"
};
[[nodiscard]] Differences differences(const Document& a, const Document& b);

// Readings that are not taken yet will be of what is fitted.
[[nodiscard]] Document settled(Document document);

} // namespace phasewright::viewer
