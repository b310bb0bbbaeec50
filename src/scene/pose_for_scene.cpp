// Where sprockets and their keys stand, and in what two drives differ.
#include "geometry/angle.hpp"
#include "mechanics/drive_layout.hpp"
#include "scene/compose.hpp"

#include <glm/geometric.hpp>

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright {

namespace {

// The angle whose step is so many times as large. Past a quarter turn a key has no step to draw.
double magnified_deg(double key_deg, double times) {
  constexpr double most_deg = 60.0;
  const double sine = std::clamp(times * sin_deg(key_deg), -sin_deg(most_deg), sin_deg(most_deg));
  return times == 1.0 ? key_deg : degrees(std::asin(sine));
}

KeyPose pose_key(const SprocketLayout& sprocket, const Pose& pose, double crank_deg, double key_deg, double times,
                 double mark_clock_deg) {
  KeyPose key;
  const double step_deg = magnified_deg(key_deg, times);
  switch (sprocket.mount) {
  case Mount::crank: // the sprocket half leads the shaft half by the key's angle
    key.shaft_clock_deg = wrap_360(sprocket.key_clock_deg + sprocket.sense * crank_deg);
    key.hub_clock_deg = wrap_360(key.shaft_clock_deg + sprocket.sense * key_deg);
    key.drawn_hub_clock_deg = wrap_360(key.shaft_clock_deg + sprocket.sense * step_deg);
    break;
  case Mount::camshaft: // the shaft half leads the sprocket half
    key.shaft_clock_deg =
        wrap_360(sprocket.key_clock_deg + sprocket.sense * pose.drive.camshafts[sprocket.camshaft].turned_deg);
    key.hub_clock_deg = wrap_360(key.shaft_clock_deg - sprocket.sense * key_deg);
    key.drawn_hub_clock_deg = wrap_360(key.shaft_clock_deg - sprocket.sense * step_deg);
    break;
  case Mount::shaft:
    key = {mark_clock_deg, mark_clock_deg, mark_clock_deg};
    break;
  case Mount::idler: // its spindle stands still
    key = {0.0, mark_clock_deg, mark_clock_deg};
    break;
  }
  return key;
}

void turn_under_chain(const SceneLayout& layout, std::size_t camshaft, double teeth, const Engine& engine, Pose& pose) {
  const std::optional<SprocketPlace> place = find_cam_sprocket(engine, engine.camshafts[camshaft].name);
  if (!place || teeth == 0.0) return;
  const double deg = layout.sprocket(*place).sense * 360.0 * teeth / sprocket_at(engine, *place).teeth;
  SprocketPose& sprocket = pose.drive.loops[place->loop].sprockets[place->sprocket];
  sprocket.mark_clock_deg = wrap_360(sprocket.mark_clock_deg + deg);
  sprocket.turned_deg += layout.running_sign * deg;
}

} // namespace

double key_deg_at(const SprocketLayout& sprocket, const Engine& engine, const Fitted& fitted) {
  if (sprocket.mount == Mount::crank) return fitted.crank_key_deg;
  if (sprocket.mount == Mount::camshaft) return cam_key_of(fitted, engine.camshafts[sprocket.camshaft].name);
  return 0.0;
}

std::string shaft_words(const SceneLayout& layout, const SprocketLayout& sprocket) {
  return sprocket.mount == Mount::camshaft ? layout.camshafts[sprocket.camshaft].words : "crank";
}

glm::dvec3 around(const SprocketState& state, double clock_deg, double radius_mm, double forward_mm) {
  return state.centre_mm +
         glm::dvec3{radius_mm * sin_deg(clock_deg), radius_mm * cos_deg(clock_deg), state.apart_mm + forward_mm};
}

std::string stage_words(const SceneLayout& layout, std::size_t loop) {
  constexpr std::array words{", first stage", ", second stage", ", third stage", ", fourth stage"};
  return layout.loops.size() == 1 ? "" : words.at(loop);
}

Posed pose_for_scene(const Mechanism& mechanism, const SceneLayout& layout, const SceneOptions& options) {
  const Engine& engine = mechanism.engine();
  const Fitted& fitted = mechanism.fitted();
  const double apart = std::clamp(options.apart, 0.0, 1.0);
  Posed posed{mechanism,
              mechanism.pose(options.crank_deg, options.turning),
              {},
              options.one_by_one ? layout.apart.one_by_one(apart) : layout.apart.scaled(apart),
              drawn_gap(layout, mechanism, options)};
  for (std::size_t k = 0; k < std::min(options.teeth_ahead.size(), engine.camshafts.size()); ++k)
    turn_under_chain(layout, k, options.teeth_ahead[k], engine, posed.pose);
  const double times = std::clamp(options.magnify_key_step, 1.0, 10.0);
  for (std::size_t l = 0; l < layout.loops.size(); ++l) {
    std::vector<SprocketState>& states = posed.sprockets.emplace_back();
    for (std::size_t i = 0; i < layout.loops[l].sprockets.size(); ++i) {
      const SprocketLayout& sprocket = layout.loops[l].sprockets[i];
      SprocketState state;
      state.centre_mm = {fitted_centre_mm(engine, fitted, SprocketPlace{l, i}), layout.loops[l].z_mm};
      state.apart_mm = posed.apart.loops[l].sprockets_mm;
      state.mark_clock_deg = posed.pose.drive.loops[l].sprockets[i].mark_clock_deg;
      state.key = pose_key(sprocket, posed.pose, options.crank_deg, key_deg_at(sprocket, engine, fitted), times,
                           state.mark_clock_deg);
      states.push_back(state);
    }
  }
  if (posed.gap) {
    SprocketState& under = posed.sprockets[0][posed.gap->under];
    under.out_of_plane = out_of_plane(layout, posed, *posed.gap);
  }
  return posed;
}

bool Differences::any_camshaft() const {
  return std::ranges::find(camshafts, true) != camshafts.end();
}

Differences differences(const Posed& shown, const Posed& present, const SceneLayout& layout) {
  const auto differ = [](double p, double q) { return std::fabs(wrap_180(p - q)) > same_deg; };
  Differences found;
  for (std::size_t l = 0; l < layout.loops.size(); ++l) {
    std::vector<bool>& moved = found.sprockets.emplace_back();
    for (std::size_t i = 0; i < layout.loops[l].sprockets.size(); ++i) {
      const glm::dvec3 apart = shown.at({l, i}).centre_mm - present.at({l, i}).centre_mm;
      moved.push_back(layout.loops[l].sprockets[i].mount != Mount::idler &&
                      (differ(shown.pose.drive.loops[l].sprockets[i].turned_deg,
                              present.pose.drive.loops[l].sprockets[i].turned_deg) ||
                       glm::length(apart) > 1e-3));
    }
  }
  for (std::size_t k = 0; k < shown.pose.drive.camshafts.size(); ++k)
    found.camshafts.push_back(
        differ(shown.mechanism.drive().phase_deg(k) / 2.0, present.mechanism.drive().phase_deg(k) / 2.0));
  return found;
}

} // namespace phasewright
