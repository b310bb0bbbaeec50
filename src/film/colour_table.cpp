#include "film/colour_table.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <span>

namespace phasewright::film {

namespace {

constexpr unsigned cell_bits = 6; // of each channel: cells are four steps of 255 wide
constexpr std::size_t cell_count = std::size_t{1} << (3U * cell_bits);

std::size_t cell_of(std::uint8_t red, std::uint8_t green, std::uint8_t blue) {
  constexpr unsigned left_out = 8 - cell_bits;
  return (static_cast<std::size_t>(red >> left_out) << (2U * cell_bits)) |
         (static_cast<std::size_t>(green >> left_out) << cell_bits) | static_cast<std::size_t>(blue >> left_out);
}

struct Colour {
  std::array<double, 3> mean{};
  double pixels = 0.0;
};

// Colours that one of the table will stand for.
struct Crowd {
  std::size_t from = 0; // of the colours, which are sorted as crowds are cut
  std::size_t to = 0;
  std::array<double, 3> mean{};
  std::size_t widest = 0; // channel
  double error = 0.0;     // squares of the distances from the mean, over all pixels
};

Crowd crowd_of(const std::vector<Colour>& colours, std::size_t from, std::size_t to) {
  Crowd crowd{.from = from, .to = to};
  double pixels = 0.0;
  std::array<double, 3> sum{}, squares{};
  for (const Colour& colour : std::span(colours).subspan(from, to - from)) {
    pixels += colour.pixels;
    for (std::size_t c = 0; c < 3; ++c) {
      sum[c] += colour.pixels * colour.mean[c];
      squares[c] += colour.pixels * colour.mean[c] * colour.mean[c];
    }
  }
  std::array<double, 3> errors{};
  for (std::size_t c = 0; c < 3; ++c) {
    crowd.mean[c] = sum[c] / pixels;
    errors[c] = to - from > 1 ? std::max(0.0, squares[c] - sum[c] * crowd.mean[c]) : 0.0;
    crowd.error += errors[c];
  }
  crowd.widest = static_cast<std::size_t>(std::ranges::max_element(errors) - errors.begin());
  return crowd;
}

} // namespace

ColourCount::ColourCount() : cells_(cell_count) {}

void ColourCount::add(const Image& image) {
  for (std::size_t i = 0; i + 3 < image.rgba.size(); i += 4) {
    Cell& cell = cells_[cell_of(image.rgba[i], image.rgba[i + 1], image.rgba[i + 2])];
    cell.pixels += 1.0;
    for (std::size_t c = 0; c < 3; ++c) cell.sum[c] += image.rgba[i + c];
  }
}

std::vector<Rgb> ColourCount::choose(std::size_t most) const {
  std::vector<Colour> colours;
  for (const Cell& cell : cells_)
    if (cell.pixels > 0.0)
      colours.push_back(
          {{cell.sum[0] / cell.pixels, cell.sum[1] / cell.pixels, cell.sum[2] / cell.pixels}, cell.pixels});
  assert(!colours.empty() && most > 0);
  std::vector<Crowd> crowds{crowd_of(colours, 0, colours.size())};
  while (crowds.size() < most) {
    const auto worst = std::ranges::max_element(crowds, {}, &Crowd::error);
    if (worst->error <= 0.0) break;
    const Crowd cut = *worst;
    const auto begin = colours.begin() + static_cast<std::ptrdiff_t>(cut.from);
    const auto end = colours.begin() + static_cast<std::ptrdiff_t>(cut.to);
    const auto middle = std::stable_partition(
        begin, end, [&cut](const Colour& colour) { return colour.mean[cut.widest] < cut.mean[cut.widest]; });
    if (middle == begin || middle == end) { // alike but for rounding
      worst->error = 0.0;
      continue;
    }
    const auto at = static_cast<std::size_t>(middle - colours.begin());
    *worst = crowd_of(colours, cut.from, at);
    crowds.push_back(crowd_of(colours, at, cut.to));
  }
  std::vector<Rgb> table;
  for (const Crowd& crowd : crowds) {
    Rgb& rgb = table.emplace_back();
    for (std::size_t c = 0; c < 3; ++c) rgb[c] = static_cast<std::uint8_t>(std::lround(crowd.mean[c]));
  }
  return table;
}

NearestColour::NearestColour(std::vector<Rgb> table) : table_(std::move(table)), known_(cell_count, -1) {
  assert(!table_.empty() && table_.size() <= 256);
}

std::uint8_t NearestColour::operator()(std::uint8_t red, std::uint8_t green, std::uint8_t blue) {
  std::int16_t& known = known_[cell_of(red, green, blue)];
  if (known < 0) {
    // From the middle of its cell, so that it does not matter which colour of it came first.
    const auto middle = [](std::uint8_t channel) { return ((channel >> 2U) << 2U) + 2; };
    const std::array<int, 3> wanted{middle(red), middle(green), middle(blue)};
    int least = std::numeric_limits<int>::max();
    for (std::size_t i = 0; i < table_.size(); ++i) {
      int apart = 0;
      for (std::size_t c = 0; c < 3; ++c) apart += (table_[i][c] - wanted[c]) * (table_[i][c] - wanted[c]);
      if (apart >= least) continue;
      least = apart;
      known = static_cast<std::int16_t>(i);
    }
  }
  return static_cast<std::uint8_t>(known);
}

} // namespace phasewright::film
