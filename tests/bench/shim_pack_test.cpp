#include "bench/shim_pack.hpp"
#include "support/catch.hpp"

#include <limits>
#include <numeric>

using namespace phasewright;

namespace {

using Pieces = std::vector<double>;

} // namespace

TEST_CASE("a pack is the nearest that the shelf allows", "[shim pack]") {
  const Pieces stock{0.05, 0.10, 0.10, 0.13, 0.25, 0.50};
  // 0.88 and 0.90 are as near: three pieces against four.
  const ShimPack pack = shim_pack(stock, 0.89);
  CHECK(pack.pieces_mm == Pieces{0.50, 0.25, 0.13});
  CHECK(pack.thickness_mm == 0.88);
  CHECK(shim_pack(stock, 0.20).pieces_mm == Pieces{0.10, 0.10});
  CHECK(shim_pack(stock, 5.0).thickness_mm == 1.13); // all there is
  CHECK(shim_pack(stock, 5.0).pieces_mm.size() == 6);
}

TEST_CASE("of packs as near the one of fewer pieces is taken and then the thinner", "[shim pack]") {
  CHECK(shim_pack(Pieces{0.1, 0.1, 0.2}, 0.2).pieces_mm == Pieces{0.2});
  CHECK(shim_pack(Pieces{0.1, 0.3}, 0.2).pieces_mm == Pieces{0.1});
  CHECK(shim_pack(Pieces{0.05, 0.05, 0.3}, 0.2).pieces_mm == Pieces{0.3}); // one piece, though thicker
  CHECK(shim_pack(Pieces{0.10, 0.11}, 0.105).pieces_mm == Pieces{0.10});   // half way between two
  CHECK(shim_pack(Pieces{0.2}, 0.1).pieces_mm.empty());                    // none is as near, and no piece
  CHECK(shim_pack(Pieces{0.2}, 0.101).pieces_mm == Pieces{0.2});
}

TEST_CASE("each piece is used once", "[shim pack]") {
  CHECK(shim_pack(Pieces{0.25}, 0.5).pieces_mm == Pieces{0.25});
  CHECK(shim_pack(Pieces{0.25, 0.25}, 0.75).pieces_mm == Pieces{0.25, 0.25});
}

TEST_CASE("without shims or without a want there is no pack", "[shim pack]") {
  CHECK(shim_pack(Pieces{}, 0.5).pieces_mm.empty());
  for (const double wanted : {0.0, -0.3, std::numeric_limits<double>::quiet_NaN()}) {
    const ShimPack pack = shim_pack(Pieces{0.05, 0.1}, wanted);
    CHECK(pack.pieces_mm.empty());
    CHECK(pack.thickness_mm == 0.0);
  }
}

TEST_CASE("a full shelf of sixty-four pieces makes up its half to the thousandth", "[shim pack]") {
  Pieces stock;
  for (int i = 0; i < 64; ++i) stock.push_back((17 + 7 * i) / 1000.0); // 0.017 to 0.458
  const double half_mm = 7.6;                                          // together they are 15.2
  const ShimPack pack = shim_pack(stock, half_mm);
  CHECK(pack.thickness_mm == half_mm);
  CHECK_THAT(std::accumulate(pack.pieces_mm.begin(), pack.pieces_mm.end(), 0.0), WithinAbs(half_mm, 1e-9));
  // Every piece leaves 3 when divided by 7, and 7600 leaves 5: 4, 11, 18 or 25 pieces can do it, and as the twenty
  // thickest make no more than 7.83 it takes twenty-five.
  CHECK(pack.pieces_mm.size() == 25);
  CHECK(shim_pack(stock, half_mm).pieces_mm == pack.pieces_mm);
}

TEST_CASE("a shelf of hundreds of pieces is used to its last one", "[shim pack]") {
  const Pieces stock(400, 0.05);
  CHECK(shim_pack(stock, 19.99).pieces_mm.size() == 400);
  CHECK(shim_pack(stock, 19.99).thickness_mm == 20.0);
  CHECK(shim_pack(stock, 1e9).thickness_mm == 20.0); // more is not made up of shims
  CHECK(shim_pack(Pieces{50.0, 0.0}, 20.0).pieces_mm.empty());
}
