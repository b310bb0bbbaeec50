// A renderer without a window, with some simple solids to draw.
#pragma once

#include "render/offscreen.hpp"
#include "support/catch.hpp"

#include <functional>
#include <string>
#include <vector>

namespace phasewright::testing {

// Runs `body` with a context of its own. Where there is no OpenGL the test fails, or is skipped and says so when the
// environment has PHASEWRIGHT_NO_GL=1.
void with_context(const std::function<void(OffscreenContext&)>& body);

// Runs `body` with a renderer in a context of its own, then checks that OpenGL had nothing to complain of.
enum class Complaints { none, expected };
void with_renderer(const std::function<void(Renderer&)>& body, Complaints complaints = Complaints::none);

// Text that contains some other, as both Catch2 2 and 3 know it.
[[nodiscard]] inline auto containing(const std::string& part) {
#if __has_include(<catch2/catch_all.hpp>)
  return Catch::Matchers::ContainsSubstring(part);
#else
  return Catch::Matchers::Contains(part);
#endif
}

[[nodiscard]] bool opengl_is_missing_and_known();
[[nodiscard]] std::filesystem::path shader_folder();

// A box with its faces toward the axes.
[[nodiscard]] Mesh box(glm::vec3 low_mm, glm::vec3 high_mm);
[[nodiscard]] Instance placed(std::size_t mesh, Material material, glm::dvec3 at_mm, std::size_t part = 0,
                              bool ghost = false);

// Straight on from the timing end, 100 mm high, in parallel: pixel (x, y) of a 200 x 200 picture is the point
// (x / 2 - 50, 50 - y / 2) mm.
[[nodiscard]] Camera straight_on();
inline constexpr RenderSize square{200, 200};

struct Pixel {
  int r = 0, g = 0, b = 0, a = 0;
  bool operator==(const Pixel&) const = default;
};

[[nodiscard]] Pixel at(const Image& image, int x_px, int y_px);
// 0 to 255, each channel by its share of what the eye sees as brightness (ITU-R BT.709).
[[nodiscard]] double brightness(Pixel pixel);
[[nodiscard]] int difference(Pixel a, Pixel b); // of the channel that differs most

[[nodiscard]] Image drawn(Renderer& renderer, const Scene& scene, const Camera& camera = straight_on(),
                          Theme theme = Theme::day, RenderSize size = square, bool smooth = false);

} // namespace phasewright::testing
