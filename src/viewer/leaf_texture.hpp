// A leaf of a preview as a texture, drawn again when another or another size is wanted.
#pragma once

#include "viewer/maker.hpp"

#include <cstdint>

namespace phasewright::viewer {

// Needs the context that was current when it was first used.
class LeafTexture {
public:
  LeafTexture() = default;
  ~LeafTexture();
  LeafTexture(const LeafTexture&) = delete;
  LeafTexture& operator=(const LeafTexture&) = delete;

  // A page is drawn at that size, a picture is as large as it was made. `number` tells one preview from another. The
  // preview must have a page or a picture. Gives the texture, rows from the top.
  unsigned update(const Preview& preview, std::uint64_t number, std::size_t leaf, int width_px, int height_px);

private:
  void upload(int width_px, int height_px, const std::uint8_t* rgba);

  unsigned texture_ = 0;
  std::uint64_t number_ = 0;
  std::size_t leaf_ = 0;
  int width_px_ = 0;
  int height_px_ = 0;
};

} // namespace phasewright::viewer
