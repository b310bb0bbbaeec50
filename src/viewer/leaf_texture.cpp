#include "viewer/leaf_texture.hpp"

#include "paper/write.hpp"

#include <glad/gl.h>

#include <vector>

namespace phasewright::viewer {

LeafTexture::~LeafTexture() {
  if (texture_ != 0) glDeleteTextures(1, &texture_);
}

void LeafTexture::upload(int width_px, int height_px, const std::uint8_t* rgba) {
  if (texture_ == 0) glGenTextures(1, &texture_);
  glBindTexture(GL_TEXTURE_2D, texture_);
  glPixelStorei(GL_UNPACK_ALIGNMENT, 4);
  glPixelStorei(GL_UNPACK_ROW_LENGTH, 0);
  glTexImage2D(GL_TEXTURE_2D, 0, GL_RGBA8, width_px, height_px, 0, GL_RGBA, GL_UNSIGNED_BYTE, rgba);
  glGenerateMipmap(GL_TEXTURE_2D);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_LINEAR_MIPMAP_LINEAR);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, GL_LINEAR);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_EDGE);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_CLAMP_TO_EDGE);
}

unsigned LeafTexture::update(const Preview& preview, std::uint64_t number, std::size_t leaf, int width_px,
                             int height_px) {
  const bool page = !preview.pages.empty();
  const bool there = texture_ != 0 && number == number_ && leaf == leaf_;
  if (there && (!page || (width_px == width_px_ && height_px == height_px_))) return texture_;
  if (page) {
    std::vector<std::uint8_t> rgba(static_cast<std::size_t>(width_px) * static_cast<std::size_t>(height_px) * 4, 255);
    paper::draw_over(preview.pages.at(leaf), width_px, height_px, rgba);
    upload(width_px, height_px, rgba.data());
  } else {
    upload(preview.image->width_px, preview.image->height_px, preview.image->rgba.data());
  }
  number_ = number;
  leaf_ = leaf;
  width_px_ = width_px;
  height_px_ = height_px;
  return texture_;
}

} // namespace phasewright::viewer
