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

// The pack that comes nearest to `wanted_mm`; of those as near the one of fewest pieces, then the thinner one. Every
// entry of `stock_mm` is one piece. Shims count in thousandths of a millimetre, what is wanted in halves of them.
// Exact: nothing nearer can be made of the stock. At most 64 pieces and 20 mm wanted are looked at; sizes beyond are
// refused by the file reader. Nothing wanted, or less: an empty pack.
[[nodiscard]] ShimPack shim_pack(std::span<const double> stock_mm, double wanted_mm);

} // namespace phasewright
