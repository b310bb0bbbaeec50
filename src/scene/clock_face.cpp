// A clock face about a keyway.
#include "geometry/angle.hpp"
#include "scene/compose.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

void add_clock_face(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  const SprocketPlace place = place_of(layout, options.camshaft);
  const SprocketLayout& sprocket = layout.sprocket(place);
  if (!sprocket.keyed) return;
  const SprocketState& state = shown.at(place);
  const double face_mm = sprocket.hub_front_mm + 0.6; // in front of the key too
  const double ring_mm = sprocket.hub_radius_mm + 0.6;
  const double hand_mm = ring_mm - 0.25 * (sprocket.hub_radius_mm - sprocket.bore_radius_mm);
  const auto at = [&](double clock_deg, double radius_mm) { return around(state, clock_deg, radius_mm, face_mm); };
  const auto stroke = [&](std::vector<glm::dvec3> points, Tone tone, float width_px, StrokeStyle style) {
    scene.strokes.push_back({std::move(points), tone, width_px, style});
  };
  std::vector<glm::dvec3> ring;
  constexpr int around_steps = 96;
  for (int i = 0; i <= around_steps; ++i) ring.push_back(at(360.0 * i / around_steps, ring_mm));
  stroke(std::move(ring), Tone::ink, 1.2f, StrokeStyle::solid);
  for (int hour = 0; hour < 12; ++hour) {
    const double long_mm = (hour % 3 == 0 ? 0.12 : 0.06) * ring_mm;
    stroke({at(30.0 * hour, ring_mm), at(30.0 * hour, ring_mm + long_mm)}, Tone::ink, hour == 0 ? 2.6f : 1.6f,
           StrokeStyle::solid);
  }
  // From 12 the shorter way to the keyway.
  const double angle_deg = wrap_180(state.key.shaft_clock_deg);
  std::vector<glm::dvec3> arc;
  const int steps = std::max(2, static_cast<int>(std::fabs(angle_deg) / 3.0));
  for (int i = 0; i <= steps; ++i) arc.push_back(at(angle_deg * i / steps, hand_mm));
  if (std::fabs(angle_deg) > same_deg) stroke(std::move(arc), Tone::accent, 2.2f, StrokeStyle::solid);
  stroke({at(0.0, sprocket.bore_radius_mm), at(0.0, ring_mm)}, Tone::quiet, 1.4f, StrokeStyle::dashed);
  stroke({at(angle_deg, sprocket.bore_radius_mm + sprocket.key_proud_mm), at(angle_deg, ring_mm)}, Tone::accent, 1.8f,
         StrokeStyle::solid);
  if (!options.labels) return;
  Label label;
  label.key = "clock " + shaft_words(layout, sprocket);
  label.anchor_mm = at(angle_deg / 2.0, hand_mm);
  label.title = "keyway at " + clock_words(state.key.shaft_clock_deg);
  label.figure = std::fabs(angle_deg) < 0.05
                     ? std::string("straight up")
                     : fmt::format("{:.1f}° {} 12", std::fabs(angle_deg), angle_deg > 0.0 ? "past" : "before");
  label.tone = Tone::accent;
  label.rank = 1;
  scene.labels.push_back(std::move(label));
}

} // namespace phasewright
