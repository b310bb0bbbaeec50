// Angles drawn about a camshaft: between plan and present, and between where it hangs and where it should stand.
#include "geometry/angle.hpp"
#include "scene/compose.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// Radial lines at two clock angles and the arc from one to the other; gives the arc's middle.
struct AngleMark {
  double from_clock_deg = 0; // dashed and quiet
  double to_clock_deg = 0;
  double radius_mm = 0;
  Tone tone = Tone::accent;
};

glm::dvec3 add_angle(const SceneLayout& layout, const Posed& shown, SprocketPlace place, const AngleMark& mark,
                     Scene& scene) {
  const SprocketLayout& sprocket = layout.sprocket(place);
  const SprocketState& state = shown.at(place);
  const double forward_mm = layout.loops[place.loop].chain.pin_half_mm + 0.5;
  const double inside_mm = sprocket.bore_radius_mm + sprocket.key_proud_mm + 1.0;
  const auto at = [&](double clock_deg, double radius_mm) { return around(state, clock_deg, radius_mm, forward_mm); };
  const auto stroke = [&](std::vector<glm::dvec3> points, Tone tone, StrokeStyle style) {
    scene.strokes.push_back({std::move(points), tone, 1.6f, style});
  };
  const double from_deg = mark.from_clock_deg;
  const double to_deg = from_deg + wrap_180(mark.to_clock_deg - from_deg);
  stroke({at(from_deg, inside_mm), at(from_deg, mark.radius_mm + 4.0)}, Tone::quiet, StrokeStyle::dashed);
  stroke({at(to_deg, inside_mm), at(to_deg, mark.radius_mm + 4.0)}, mark.tone, StrokeStyle::solid);
  std::vector<glm::dvec3> arc;
  const int steps = std::max(4, static_cast<int>(std::fabs(to_deg - from_deg) / 2.0));
  for (int i = 0; i <= steps; ++i) arc.push_back(at(std::lerp(from_deg, to_deg, double(i) / steps), mark.radius_mm));
  stroke(std::move(arc), mark.tone, StrokeStyle::solid);
  return at((from_deg + to_deg) / 2.0, mark.radius_mm);
}

// Outside the chain on the camshaft's sprocket.
double clear_of_chain_mm(const SceneLayout& layout, const Engine& engine, SprocketPlace place, double pitches) {
  return layout.sprocket(place).form.tip_radius_mm + pitches * engine.loops[place.loop].chain.pitch_mm;
}

} // namespace

void add_phase_angle(const SceneLayout& layout, const Posed& shown, const Posed& present, std::size_t camshaft,
                     const SceneOptions& options, Scene& scene) {
  const CamshaftLayout& shaft = layout.camshafts[camshaft];
  if (!shaft.sprocket) return;
  const double ahead_deg =
      (shown.mechanism.drive().phase_deg(camshaft) - present.mechanism.drive().phase_deg(camshaft)) / 2.0;
  // Drawn where the camshafts' keyways point at this crank angle, the polygon's ripple included.
  const double to_deg = shown.at(*shaft.sprocket).key.shaft_clock_deg;
  const double turned_deg =
      shown.pose.drive.camshafts[camshaft].turned_deg - present.pose.drive.camshafts[camshaft].turned_deg;
  const AngleMark mark{.from_clock_deg = to_deg - layout.sprocket(*shaft.sprocket).sense * turned_deg,
                       .to_clock_deg = to_deg,
                       .radius_mm = clear_of_chain_mm(layout, shown.mechanism.engine(), *shaft.sprocket, 0.9)};
  const glm::dvec3 anchor_mm = add_angle(layout, shown, *shaft.sprocket, mark, scene);
  if (!options.labels) return;
  Label label;
  label.key = "plan " + shaft.words;
  label.anchor_mm = anchor_mm;
  label.title = ahead_deg > 0.0 ? "plan ahead of present" : "plan behind present";
  if (layout.camshafts.size() > 1) label.title = shaft.words + ", " + label.title;
  label.figure = fmt::format("{:.1f}° cam = {:.1f}° crank", std::fabs(ahead_deg), std::fabs(2.0 * ahead_deg));
  label.tone = Tone::accent;
  scene.labels.push_back(std::move(label));
}

void add_hang_back(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  if (options.turning == Turning::forward) return;
  for (std::size_t k = 0; k < layout.camshafts.size(); ++k) {
    const CamshaftLayout& shaft = layout.camshafts[k];
    if (!shaft.sprocket) continue;
    const HangBack hang = shown.mechanism.drive().hang_back(options.crank_deg, k);
    const double to_deg = shown.at(*shaft.sprocket).key.shaft_clock_deg;
    const AngleMark mark{.from_clock_deg = to_deg - layout.sprocket(*shaft.sprocket).sense * hang.cam_deg,
                         .to_clock_deg = to_deg,
                         .radius_mm = clear_of_chain_mm(layout, shown.mechanism.engine(), *shaft.sprocket, 1.6),
                         .tone = Tone::warning};
    const glm::dvec3 anchor_mm = add_angle(layout, shown, *shaft.sprocket, mark, scene);
    if (!options.labels) continue;
    Label label;
    label.key = "hang " + shaft.words;
    label.anchor_mm = anchor_mm;
    const double forward_deg =
        std::min(hang.turn_forward_deg, options.turn_forward_deg.value_or(hang.turn_forward_deg));
    label.title = fmt::format("{} hangs back {:.2f}°", shaft.words, hang.cam_deg);
    label.figure = fmt::format("= {:.2f}° crank; turn forward {:.1f}°", hang.crank_deg, rounded_up(forward_deg, 0.1));
    label.tone = Tone::warning;
    scene.labels.push_back(std::move(label));
  }
}

} // namespace phasewright
