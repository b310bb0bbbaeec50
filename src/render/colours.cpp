#include "render/colours.hpp"

#include <cstdint>

namespace phasewright {

namespace {

glm::vec3 shown(std::uint32_t rgb) {
  return {static_cast<float>((rgb >> 16) & 0xff) / 255.0f, static_cast<float>((rgb >> 8) & 0xff) / 255.0f,
          static_cast<float>(rgb & 0xff) / 255.0f};
}

glm::vec3 linear(std::uint32_t rgb) {
  return shown(rgb) * shown(rgb);
}

constexpr std::uint8_t share(float of_one) {
  return static_cast<std::uint8_t>(of_one * 255.0f + 0.5f);
}

glm::u8vec4 surface(std::uint32_t rgb, float shine) {
  return {static_cast<std::uint8_t>(rgb >> 16), static_cast<std::uint8_t>(rgb >> 8), static_cast<std::uint8_t>(rgb),
          share(shine)};
}

static_assert(material_count == static_cast<std::size_t>(Material::rail) + 1);

// In the order of Material.
constexpr std::array<glm::u8vec4, material_count> finishes{{
    {share(1.0f), 0, 0, 0},             // sprocket_steel
    {share(0.6f), 0, 0, 0},             // shaft_steel
    {},                                 // chain_plate
    {},                                 // chain_roller
    {},                                 // taut_plate
    {0, share(0.25f), 0, 0},            // key_steel
    {0, share(0.75f), share(0.62f), 0}, // mark
    {},                                 // plate
    {share(0.4f), 0, 0, 0},             // alloy
    {},                                 // cast
    {},                                 // inlet
    {},                                 // exhaust
    {},                                 // spring
    {},                                 // rail
}};

// Inlet blue and exhaust orange are told apart by colour-blind readers too: Okabe and Ito's palette (hex from memory).
SceneColours day() {
  return {.material = {surface(0xaab1b8, 1.0f), surface(0xb9bdc1, 1.0f), surface(0x79818a, 0.8f),
                       surface(0xd3d6d9, 1.0f), surface(0x0f6b72, 0.7f), surface(0x24272b, 0.4f),
                       surface(0xffffff, 0.0f), surface(0xd6d2c8, 0.1f), surface(0xcfd0ce, 0.6f),
                       surface(0x9b9892, 0.15f), surface(0x0072b2, 0.6f), surface(0xd55e00, 0.6f),
                       surface(0x868d94, 0.9f), surface(0x4a4640, 0.25f)},
          .finish = finishes,
          .ring = linear(0x1d2226),
          .tone = {shown(0x6b6f73), shown(0x0f6b72), shown(0x0072b2), shown(0xd55e00), shown(0x9a6a00), shown(0x20242a),
                   shown(0xb8321a)},
          .backdrop_middle = shown(0xe6e3dc),
          .backdrop_edge = shown(0xd3d0c8),
          .sky = {0.50f, 0.52f, 0.54f},
          .ground = {0.26f, 0.25f, 0.24f},
          .key = {0.48f, 0.47f, 0.45f},
          .fill = {0.33f, 0.33f, 0.32f}};
}

SceneColours night() {
  return {.material = {surface(0x929ba3, 1.0f), surface(0x9aa2a9, 1.0f), surface(0x707981, 0.8f),
                       surface(0x2c3136, 0.8f), surface(0x4fb8bf, 0.7f), surface(0xf0eee8, 0.4f),
                       surface(0xffffff, 0.0f), surface(0x525960, 0.1f), surface(0xa3a6a7, 0.6f),
                       surface(0x868a8f, 0.15f), surface(0x56b4e9, 0.6f), surface(0xe8833a, 0.6f),
                       surface(0x737b83, 0.9f), surface(0x8a8478, 0.25f)},
          .finish = finishes,
          .ring = linear(0x14181b),
          .tone = {shown(0xa9adb1), shown(0x4fb8bf), shown(0x56b4e9), shown(0xe8833a), shown(0xe0b040), shown(0xeceae4),
                   shown(0xf2745a)},
          .backdrop_middle = shown(0x2a2e34),
          .backdrop_edge = shown(0x1c1f22),
          .sky = {0.46f, 0.49f, 0.53f},
          .ground = {0.20f, 0.20f, 0.22f},
          .key = {0.46f, 0.46f, 0.45f},
          .fill = {0.31f, 0.31f, 0.32f}};
}

} // namespace

const SceneColours& scene_colours(Theme theme) {
  static const SceneColours by_day = day();
  static const SceneColours by_night = night();
  return theme == Theme::day ? by_day : by_night;
}

} // namespace phasewright
