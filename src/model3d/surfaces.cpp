#include "model3d/surfaces.hpp"

#include <array>

namespace phasewright {

namespace {

// Colours are what steel and aluminium about reflect (from memory); roughness is chosen. Metals are written as in part
// bare only: what is wholly metallic mirrors its surroundings and nothing else, and comes out black in every viewer
// that has none. Inlet and exhaust are told apart by hue, in the blue and orange of the scene's pictures.
constexpr std::array<Surface, 14> surfaces{{
    {"sprocket steel", {0.50, 0.52, 0.54}, 0.60, 0.40},
    {"shaft steel", {0.58, 0.58, 0.58}, 0.60, 0.35},
    {"chain plate", {0.26, 0.29, 0.32}, 0.60, 0.42},
    {"chain roller", {0.66, 0.67, 0.68}, 0.60, 0.30},
    {"taut chain plate", {0.005, 0.15, 0.17}, 0.40, 0.40},
    {"key steel", {0.055, 0.060, 0.066}, 0.40, 0.45},
    {"painted mark", {0.90, 0.90, 0.88}, 0.00, 0.60},
    {"backing plate", {0.42, 0.41, 0.37}, 0.00, 0.75},
    {"alloy", {0.72, 0.73, 0.74}, 0.50, 0.45},
    {"cast iron", {0.27, 0.26, 0.25}, 0.30, 0.65},
    {"inlet, blue", {0.000, 0.168, 0.445}, 0.20, 0.40},
    {"exhaust, orange", {0.665, 0.112, 0.000}, 0.20, 0.40},
    {"spring steel", {0.32, 0.34, 0.36}, 0.60, 0.36},
    {"rail face", {0.070, 0.062, 0.052}, 0.00, 0.55},
}};
static_assert(surfaces.size() == static_cast<std::size_t>(Material::rail) + 1);

} // namespace

const Surface& surface_of(Material material) {
  return surfaces[static_cast<std::size_t>(material)];
}

} // namespace phasewright
