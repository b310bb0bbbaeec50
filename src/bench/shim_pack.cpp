#include "bench/shim_pack.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <functional>
#include <limits>

namespace phasewright {

namespace {

constexpr int no_way = std::numeric_limits<int>::max();

std::size_t thousandths(double mm) {
  return static_cast<std::size_t>(std::llround(mm * 1000.0));
}

// The fewest pieces that make up each sum, in thousandths, from none up to `most`.
struct Sums {
  std::vector<int> count;               // `no_way` when it cannot be made
  std::vector<std::vector<bool>> taken; // by piece and sum: whether the best of the pieces so far has this one
};

Sums sums_of(const std::vector<std::size_t>& pieces, std::size_t most) {
  Sums sums{std::vector<int>(most + 1, no_way), {}};
  sums.count[0] = 0;
  for (const std::size_t piece : pieces) {
    std::vector<bool>& taken = sums.taken.emplace_back(most + 1, false);
    for (std::size_t sum = most; sum >= piece; --sum) { // downward, so that each piece is used once
      const int rest = sums.count[sum - piece];
      if (rest == no_way || rest + 1 >= sums.count[sum]) continue;
      sums.count[sum] = rest + 1;
      taken[sum] = true;
    }
  }
  return sums;
}

} // namespace

ShimPack shim_pack(std::span<const double> stock_mm, double wanted_mm) {
  ShimPack pack;
  if (!(wanted_mm > 0.0)) return pack;
  // A wanted thickness is the mean of two readings as a rule: in half thousandths.
  const long long wanted_halves = std::llround(std::min(wanted_mm, most_shim_pack_mm) * 2000.0);
  const auto most = static_cast<std::size_t>(wanted_halves); // twice as thick: no nearer than no shim at all
  std::vector<double> pieces_mm;
  for (const double piece_mm : stock_mm)
    if (piece_mm >= 0.0005 && piece_mm <= 2.0 * most_shim_pack_mm) pieces_mm.push_back(piece_mm);
  std::ranges::sort(pieces_mm, std::greater<>());
  std::vector<std::size_t> pieces;
  for (const double piece_mm : pieces_mm) pieces.push_back(thousandths(piece_mm));

  const Sums sums = sums_of(pieces, most);
  const auto miss = [wanted_halves](std::size_t sum) {
    return std::llabs(2 * static_cast<long long>(sum) - wanted_halves);
  };
  std::size_t best = 0;
  for (std::size_t sum = 1; sum <= most; ++sum) { // upward, so that the thinner stays when all else is equal
    if (sums.count[sum] == no_way) continue;
    if (miss(sum) < miss(best) || (miss(sum) == miss(best) && sums.count[sum] < sums.count[best])) best = sum;
  }
  pack.thickness_mm = static_cast<double>(best) / 1000.0;
  for (std::size_t i = pieces.size(); i-- > 0;) {
    if (!sums.taken[i][best]) continue;
    pack.pieces_mm.push_back(pieces_mm[i]);
    best -= pieces[i];
  }
  std::ranges::reverse(pack.pieces_mm); // taken apart from the thinnest
  return pack;
}

} // namespace phasewright
