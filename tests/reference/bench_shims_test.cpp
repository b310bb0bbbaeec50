// Shim packs against trying every subset of the shelf.
#include "bench/shim_pack.hpp"
#include "support/catch.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdlib>
#include <random>
#include <tuple>

using namespace phasewright;

namespace {

// What makes one pack better than another, less first: how far off (halves of a thousandth), pieces, thickness.
using Rank = std::tuple<long long, int, long long>;

Rank best_of_every_subset(const std::vector<long long>& stock, long long wanted_halves) {
  Rank best{wanted_halves, 0, 0};
  for (unsigned subset = 0; subset < 1u << stock.size(); ++subset) {
    long long sum = 0;
    for (std::size_t i = 0; i < stock.size(); ++i)
      if ((subset >> i & 1u) != 0) sum += stock[i];
    best = std::min(best, Rank{std::llabs(2 * sum - wanted_halves), std::popcount(subset), sum});
  }
  return best;
}

} // namespace

TEST_CASE("no subset of the shelf makes a better pack", "[reference][shims]") {
  std::mt19937 random(606);
  const auto whole = [&random](int least, int most) {
    return least + static_cast<int>(random() % static_cast<unsigned>(most - least + 1));
  };
  int short_of = 0;
  int exact = 0;
  int near = 0;
  for (int shelf = 0; shelf < 1000; ++shelf) {
    // Coarse shelves, sizes in steps of 0.05 mm, have many packs that are as good; fine ones have few.
    const int step = shelf % 2 == 0 ? 50 : 1;
    std::vector<long long> stock;
    std::vector<double> stock_mm;
    long long all = 0;
    for (int left = whole(0, 12); left > 0; --left) {
      stock.push_back(step * static_cast<long long>(whole(1, 600 / step)));
      stock_mm.push_back(static_cast<double>(stock.back()) / 1000.0);
      all += stock.back();
    }
    const long long wanted_halves = step * static_cast<long long>(whole(1, 4000 / step));
    const Rank best = best_of_every_subset(stock, wanted_halves);

    const ShimPack pack = shim_pack(stock_mm, static_cast<double>(wanted_halves) / 2000.0);
    long long sum = 0;
    std::vector<double> left = stock_mm;
    for (const double piece_mm : pack.pieces_mm) {
      const auto found = std::find(left.begin(), left.end(), piece_mm);
      REQUIRE(found != left.end()); // from the shelf, and each piece once
      left.erase(found);
      sum += std::llround(piece_mm * 1000.0);
    }
    INFO("shelf " << shelf);
    CHECK(std::llround(pack.thickness_mm * 1000.0) == sum);
    CHECK(Rank{std::llabs(2 * sum - wanted_halves), static_cast<int>(pack.pieces_mm.size()), sum} == best);
    CHECK(std::is_sorted(pack.pieces_mm.rbegin(), pack.pieces_mm.rend()));
    if (2 * all < wanted_halves)
      ++short_of;
    else
      ++(std::get<0>(best) == 0 ? exact : near);
  }
  // All three kinds were met.
  CHECK(short_of > 100);
  CHECK(exact > 100);
  CHECK(near > 100);
}
