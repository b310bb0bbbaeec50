// Pins between the timing marks along the chain: the count by which a builder checks the lay.
#pragma once

#include "mechanics/drive.hpp"

#include <cstddef>
#include <optional>
#include <vector>

namespace phasewright {

struct MarkCount {
  int pins = 0;              // strictly between the marks; a pin in a marked gap is not counted
  double from_crank_deg = 0; // turn the crank to anywhere between these: both marks are in the chain; 0 to 720
  double to_crank_deg = 0;   // not less than `from`; past 720 when the run goes on into the next cycle
};

// Where the marks of the first loop's sprockets stand along the chain, at even looks over a cycle from crank 0 in the
// running direction, a quarter of a crank tooth apart.
struct MarkPlaces {
  int links = 0;
  // By look and sprocket: the index of the pin in the marked gap; a half more when the mark is on the tooth behind that
  // pin. Nothing while the mark is out of the chain, or more than a quarter tooth from a tooth or gap of it.
  std::vector<std::vector<std::optional<double>>> looks;
};
[[nodiscard]] MarkPlaces mark_places(const Engine& engine, const Drive& drive);

// Pins strictly between the mark of one sprocket of the first loop and that of another, in the chain's direction of
// travel, at each look; nothing while not both are in the chain. From one turn of the crank to the next the count
// differs by the crank sprocket's teeth, when it can be taken in both.
[[nodiscard]] std::vector<std::optional<int>> pins_by_look(const MarkPlaces& places, std::size_t from, std::size_t to);

// Of several counts over the cycle the least, which is the one with the least chain to count along. Nothing when the
// marks are never in the chain together.
[[nodiscard]] std::optional<MarkCount> pins_between(const MarkPlaces& places, std::size_t from, std::size_t to);

// Along the taut side, from the first camshaft's mark to the crank's. One tooth of lay changes it by one, until another
// turn of the crank has fewer pins to count. Nothing also when the first loop drives no camshaft itself.
[[nodiscard]] std::optional<MarkCount> pins_between_marks(const Engine& engine, const Drive& drive);

} // namespace phasewright
