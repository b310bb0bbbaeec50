// The few colours that do for a picture of many.
#pragma once

#include "render/renderer.hpp"

#include <array>
#include <cstdint>
#include <vector>

namespace phasewright::film {

using Rgb = std::array<std::uint8_t, 3>;

// Counts colours, and chooses those that leave the least error: the crowd of colours that is spread widest, over all
// its pixels, is cut in two at its middle until there are enough.
class ColourCount {
public:
  ColourCount();
  void add(const Image& image);
  [[nodiscard]] std::vector<Rgb> choose(std::size_t most) const; // at least one image must have been added

private:
  struct Cell { // of nearly alike colours
    double pixels = 0.0;
    std::array<double, 3> sum{};
  };
  std::vector<Cell> cells_;
};

// Finds the nearest colour of a table, of up to 256.
class NearestColour {
public:
  explicit NearestColour(std::vector<Rgb> table);
  [[nodiscard]] std::uint8_t operator()(std::uint8_t red, std::uint8_t green, std::uint8_t blue);
  [[nodiscard]] const std::vector<Rgb>& table() const { return table_; }

private:
  std::vector<Rgb> table_;
  std::vector<std::int16_t> known_; // by cell; -1 = not looked for yet
};

} // namespace phasewright::film
