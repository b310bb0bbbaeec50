// Degree wheel with its pointer, and the piston stop.
#include "geometry/angle.hpp"
#include "scene/compose.hpp"
#include "scene/shapes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

void add_wheel(const SceneLayout& layout, const SceneOptions& options, Scene& scene) {
  const WheelLayout& wheel = layout.instruments.wheel;
  const double zero_deg = options.instruments.wheel_zero_deg;
  const double shows_deg = wrap_360(options.crank_deg + zero_deg);
  // Where a graduation stands: what the wheel shows is at the pointer, and graduations rise against the running
  // direction, so that the figure at the pointer rises as the crank turns.
  const auto clock_of_graduation = [&](double deg) {
    return wheel.pointer_clock_deg + layout.running_sign * (shows_deg - deg);
  };
  std::vector<std::string> figures{fmt::format("shows {:.1f}°", shows_deg)};
  if (zero_deg != 0.0)
    figures.push_back(
        fmt::format("{:.1f}° {} than the crank stands", std::fabs(zero_deg), zero_deg > 0.0 ? "more" : "less"));
  const std::size_t part = add_part(scene, "degree wheel", figures);
  add_instance(scene, wheel.mesh, part, Material::plate, turned_clock(clock_of_graduation(0.0)));
  add_instance(scene, wheel.pointer, add_part(scene, "wheel's pointer", {"stands still"}), Material::key_steel,
               turned_clock(wheel.pointer_clock_deg));
  const double face_mm = wheel.z_mm + wheel.thick_mm + 0.15;
  const auto at = [&](double deg, double radius_mm) {
    const double clock_deg = clock_of_graduation(deg);
    return glm::dvec3{radius_mm * sin_deg(clock_deg), radius_mm * cos_deg(clock_deg), face_mm};
  };
  const double rim_mm = wheel.outer_mm - wheel.inner_mm;
  for (int deg = 0; deg < 360; deg += 10) {
    const double share = deg % 90 == 0 ? 0.85 : deg % 30 == 0 ? 0.6 : 0.35;
    scene.strokes.push_back({{at(deg, wheel.outer_mm - share * rim_mm), at(deg, wheel.outer_mm - 0.3)},
                             Tone::ink,
                             deg % 90 == 0 ? 2.2f : 1.3f,
                             StrokeStyle::solid});
  }
  if (!options.labels) return;
  for (int deg = 0; deg < 360; deg += 90) {
    Label label;
    label.key = fmt::format("wheel {}", deg);
    label.anchor_mm = at(deg, std::max(wheel.inner_mm - 0.25 * rim_mm, 0.4 * wheel.outer_mm));
    label.title = fmt::format("{}°", deg);
    label.rank = 9;
    label.in_place = true;
    scene.labels.push_back(std::move(label));
  }
  Label label;
  label.key = "wheel";
  const double tip_mm = wheel.outer_mm + 3.0;
  label.anchor_mm = {tip_mm * sin_deg(wheel.pointer_clock_deg), tip_mm * cos_deg(wheel.pointer_clock_deg),
                     face_mm + 1.0};
  label.title = "wheel " + figures[0];
  label.figure = zero_deg == 0.0 ? "as the crank stands" : figures[1];
  label.rank = 1;
  scene.labels.push_back(std::move(label));
}

} // namespace phasewright
