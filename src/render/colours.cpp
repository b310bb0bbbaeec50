#include "render/colours.hpp"

#include <cstdint>

namespace phasewright {

namespace {

glm::vec3 shown(std::uint32_t rgb) {
  return {static_cast<float>((rgb >> 16) & 0xff) / 255.0f, static_cast<float>((rgb >> 8) & 0xff) / 255.0f,
          static_cast<float>(rgb & 0xff) / 255.0f};
}

glm::vec4 surface(std::uint32_t rgb, float shine) {
  const glm::vec3 c = shown(rgb);
  return {c.x * c.x, c.y * c.y, c.z * c.z, shine};
}

// Inlet blue and exhaust orange are told apart by colour-blind readers too (Okabe and Ito's palette; hex from memory).
SceneColours day() {
  return {{surface(0xa9b0b7, 1.0f), surface(0xb8bcc0, 1.0f), surface(0x7d858e, 0.7f), surface(0xd6d9dc, 1.0f),
           surface(0x0f6b72, 0.5f), surface(0x2a2d31, 0.4f), surface(0xfffaf0, 0.1f), surface(0xd8d2c6, 0.1f),
           surface(0xc9cac8, 0.6f), surface(0x9b9892, 0.1f), surface(0x0072b2, 0.5f), surface(0xc65a11, 0.5f),
           surface(0x8b9197, 0.7f)},
          {shown(0x6b6f73), shown(0x0f6b72), shown(0x0072b2), shown(0xc65a11), shown(0x9a6a00)},
          shown(0xe6e3dc), shown(0xd3d0c8), {0.62f, 0.64f, 0.66f}, {0.34f, 0.32f, 0.30f}, {0.55f, 0.53f, 0.50f}};
}

SceneColours night() {
  return {{surface(0x8e979f, 1.0f), surface(0x98a0a7, 1.0f), surface(0x626b75, 0.7f), surface(0xb9bfc5, 1.0f),
           surface(0x4fb8bf, 0.5f), surface(0xe9e7e0, 0.4f), surface(0xfff6dc, 0.1f), surface(0x34393e, 0.1f),
           surface(0xa3a6a7, 0.6f), surface(0x5d6064, 0.1f), surface(0x56b4e9, 0.5f), surface(0xe8833a, 0.5f),
           surface(0x737b83, 0.7f)},
          {shown(0xa9adb1), shown(0x4fb8bf), shown(0x56b4e9), shown(0xe8833a), shown(0xe0b040)},
          shown(0x2a2e34), shown(0x1e2124), {0.50f, 0.54f, 0.58f}, {0.20f, 0.20f, 0.22f}, {0.50f, 0.49f, 0.47f}};
}

} // namespace

const SceneColours& scene_colours(Theme theme) {
  static const SceneColours by_day = day();
  static const SceneColours by_night = night();
  return theme == Theme::day ? by_day : by_night;
}

} // namespace phasewright
