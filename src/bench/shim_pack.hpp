// Which shims from the shelf make up a thickness.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace phasewright {

struct ShimPack {
  std::vector<double> pieces_mm; // thickest first, as the stock has them
  double thickness_mm = 0;       // together, in whole thousandths
};

// More than this is not made up of shims.
inline constexpr double most_shim_pack_mm = 20.0;

// The pack that comes nearest to `wanted_mm`; of those as near the one of fewest pieces, then the thinner one. Every
// entry of `stock_mm` is one piece. Shims count in thousandths of a millimetre, what is wanted in halves of them.
// Exact: nothing nearer can be made of the stock. Nothing wanted, or less: an empty pack; more than
// `most_shim_pack_mm`: as for that.
[[nodiscard]] ShimPack shim_pack(std::span<const double> stock_mm, double wanted_mm);

} // namespace phasewright
