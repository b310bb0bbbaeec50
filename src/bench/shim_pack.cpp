#include "bench/shim_pack.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <functional>
#include <limits>

namespace phasewright {

namespace {

constexpr std::size_t most_pieces = 64; // one bit each
constexpr double most_wanted_mm = 20.0;

// The fewest pieces that make up a sum, and which.
struct Way {
  int count = std::numeric_limits<int>::max(); // the greatest: the sum cannot be made
  std::uint64_t pieces = 0;
};

std::size_t thousandths(double mm) {
  return static_cast<std::size_t>(std::llround(mm * 1000.0));
}

// By sum, in thousandths, up to `most`.
std::vector<Way> ways_to_sum(const std::vector<double>& pieces_mm, std::size_t most) {
  std::vector<Way> ways(most + 1);
  ways[0].count = 0;
  for (std::size_t i = 0; i < pieces_mm.size(); ++i) {
    const std::size_t piece = thousandths(pieces_mm[i]);
    for (std::size_t sum = most; sum >= piece; --sum) { // downward, so that each piece is used once
      const Way& rest = ways[sum - piece];
      if (rest.count == std::numeric_limits<int>::max() || rest.count + 1 >= ways[sum].count) continue;
      ways[sum] = {rest.count + 1, rest.pieces | std::uint64_t{1} << i};
    }
  }
  return ways;
}

} // namespace

ShimPack shim_pack(std::span<const double> stock_mm, double wanted_mm) {
  ShimPack pack;
  if (!(wanted_mm > 0.0)) return pack;
  // A wanted thickness is the mean of two readings as a rule: in half thousandths.
  const long long wanted_halves = std::llround(std::min(wanted_mm, most_wanted_mm) * 2000.0);
  const auto most = static_cast<std::size_t>(wanted_halves); // twice as thick: no nearer than no shim at all
  std::vector<double> pieces_mm;
  for (const double piece_mm : stock_mm)
    if (pieces_mm.size() < most_pieces && piece_mm >= 0.0005 && piece_mm <= 2.0 * most_wanted_mm)
      pieces_mm.push_back(piece_mm);
  std::ranges::sort(pieces_mm, std::greater<>());

  const std::vector<Way> ways = ways_to_sum(pieces_mm, most);
  const auto miss = [wanted_halves](std::size_t sum) {
    return std::llabs(2 * static_cast<long long>(sum) - wanted_halves);
  };
  std::size_t best = 0;
  for (std::size_t sum = 1; sum <= most; ++sum) { // upward, so that the thinner stays when all else is equal
    if (ways[sum].count == std::numeric_limits<int>::max()) continue;
    if (miss(sum) < miss(best) || (miss(sum) == miss(best) && ways[sum].count < ways[best].count)) best = sum;
  }
  for (std::size_t i = 0; i < pieces_mm.size(); ++i)
    if ((ways[best].pieces >> i & 1u) != 0) pack.pieces_mm.push_back(pieces_mm[i]);
  pack.thickness_mm = static_cast<double>(best) / 1000.0;
  return pack;
}

} // namespace phasewright
