// What is written beside the picture, and the angle between two camshafts.
#include "bench/offset_key.hpp"
#include "geometry/angle.hpp"
#include "scene/compose.hpp"
#include "scene/shapes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

glm::dvec2 clock_direction(double clock_deg) {
  return {sin_deg(clock_deg), cos_deg(clock_deg)};
}

Label key_label(const SprocketLayout& sprocket, glm::dvec2 centre_mm, const KeyPose& key, KeyAt at, double key_deg) {
  Label label;
  const char* shaft = at == KeyAt::crank ? "crank" : "cam";
  label.anchor_mm = {centre_mm + sprocket.bore_radius_mm * clock_direction(key.drawn_hub_clock_deg),
                     sprocket.hub_front_mm + 0.3};
  if (key_deg == 0.0) {
    label.title = fmt::format("{} key, straight", shaft);
    label.figure = clock_words(key.shaft_clock_deg);
  } else {
    label.title = fmt::format("{} key, {:.3g}° step", shaft, std::fabs(key_deg));
    const bool leads = key_deg > 0.0;
    label.figure = fmt::format("{} half {}: {}", at == KeyAt::crank ? "sprocket" : "shaft", leads ? "leads" : "trails",
                               leads ? "advances" : "retards");
    label.tone = Tone::accent;
  }
  label.rank = 2;
  return label;
}

// The strand's middle, just in front of the plates.
glm::dvec3 middle_of(const StrandPose& strand, const SceneLayout& layout, const DrivePose& drive) {
  const std::size_t count = drive.loops[0].pins_mm.size();
  const std::size_t pin = (strand.first_pin + static_cast<std::size_t>(strand.links) / 2) % count;
  return {drive.loops[0].pins_mm[pin], layout.chain.pin_half_mm};
}

} // namespace

std::string clock_words(double clock_deg) {
  const int halves = static_cast<int>(std::lround(wrap_360(clock_deg) / 15.0)) % 24;
  const int hour = halves / 2 == 0 ? 12 : halves / 2;
  return halves % 2 == 0 ? fmt::format("{} o'clock", hour) : fmt::format("half past {}", hour);
}

void add_labels(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  const Fitted& fitted = shown.mechanism.fitted();
  const DrivePose& drive = shown.pose.drive;
  for (const StrandPose& strand : drive.loops[0].strands) {
    Label label;
    label.anchor_mm = middle_of(strand, layout, drive);
    if (strand.state == StrandState::taut) {
      label.title = fmt::format("taut: {} links", strand.links);
      const std::optional<MarkCount>& count = options.pins_between_marks;
      if (count && wrap_720(options.crank_deg - count->from_crank_deg) <= count->to_crank_deg - count->from_crank_deg)
        label.figure = fmt::format("pins from mark to mark {}", count->pins);
      else
        label.figure = fmt::format("{:.1f} mm", strand.span_mm);
      label.tone = Tone::accent;
      label.rank = 1;
    } else {
      label.title = "slack side";
      label.figure = fmt::format("{:.2f} mm spare", strand.slack_mm);
      label.rank = 3;
    }
    scene.labels.push_back(std::move(label));
  }
  if (layout.cam.keyed)
    scene.labels.push_back(key_label(layout.cam, shown.cam_centre_mm, shown.cam_key, KeyAt::cam, fitted.cam_key_deg));
  if (layout.crank.keyed)
    scene.labels.push_back(
        key_label(layout.crank, layout.crank.centre_mm, shown.crank_key, KeyAt::crank, fitted.crank_key_deg));
}

void add_phase_angle(const SceneLayout& layout, const Posed& shown, const Posed& present, const SceneOptions& options,
                     Scene& scene) {
  const double ahead_deg = (shown.mechanism.drive().phase_deg() - present.mechanism.drive().phase_deg()) / 2.0;
  // Drawn where the camshafts' keyways point at this crank angle, the polygon's ripple included.
  const double from_deg =
      shown.cam_key.shaft_clock_deg -
      layout.running_sign * (shown.pose.drive.camshafts[0].turned_deg - present.pose.drive.camshafts[0].turned_deg);
  const double to_deg = from_deg + wrap_180(shown.cam_key.shaft_clock_deg - from_deg);
  const double tip_mm = layout.cam.form.tip_radius_mm;
  const double arc_mm = tip_mm + 0.9 * shown.mechanism.engine().loops[0].chain.pitch_mm;
  const double z_mm = layout.chain.pin_half_mm + 0.5;
  const auto at = [&](double clock_deg, double radius_mm) {
    return glm::dvec3(shown.cam_centre_mm + radius_mm * clock_direction(clock_deg), z_mm);
  };
  const double inside_mm = layout.cam.bore_radius_mm + layout.cam.key_proud_mm + 1.0;
  const auto stroke = [&](std::vector<glm::dvec3> points, Tone tone, bool dashed) {
    scene.strokes.push_back({std::move(points), tone, 1.6f, dashed});
  };
  stroke({at(from_deg, inside_mm), at(from_deg, arc_mm + 4.0)}, Tone::quiet, true);
  stroke({at(to_deg, inside_mm), at(to_deg, arc_mm + 4.0)}, Tone::accent, false);
  std::vector<glm::dvec3> arc;
  const int steps = std::max(4, static_cast<int>(std::fabs(to_deg - from_deg) / 2.0));
  for (int i = 0; i <= steps; ++i) arc.push_back(at(std::lerp(from_deg, to_deg, double(i) / steps), arc_mm));
  stroke(std::move(arc), Tone::accent, false);
  if (!options.labels) return;
  Label label;
  label.anchor_mm = at((from_deg + to_deg) / 2.0, arc_mm);
  label.title = ahead_deg > 0.0 ? "plan ahead of present" : "plan behind present";
  label.figure = fmt::format("{:.1f}° cam = {:.1f}° crank", std::fabs(ahead_deg), std::fabs(2.0 * ahead_deg));
  label.tone = Tone::accent;
  scene.labels.push_back(std::move(label));
}

} // namespace phasewright
