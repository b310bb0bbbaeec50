// The drive as a picture: composed when the pose changes, drawn when the pose, the camera, the size or the theme does,
// and kept otherwise.
#pragma once

#include "render/renderer.hpp"
#include "scene/model.hpp"
#include "viewer/view.hpp"
#include "viewer/workbench.hpp"

#include <optional>

namespace phasewright::viewer {

class ScenePicture {
public:
  ScenePicture(Renderer& renderer, std::shared_ptr<const Engine> engine);

  // Brings scene and picture up to date. `moving`: more changes are on their way, so a software renderer leaves the
  // smoothing for later. True when it drew.
  bool update(const Workbench& bench, const View& view, RenderSize size, bool moving);

  [[nodiscard]] const Scene& scene() const { return scene_; }
  [[nodiscard]] const SceneModel& model() const { return model_; }
  [[nodiscard]] unsigned texture() const { return renderer_.texture(); }
  // The picture could still be made smoother.
  [[nodiscard]] bool rough() const { return drawn_ && !smooth_; }
  // The part under a pixel of the picture, asked of the renderer only when the pointer or the picture has moved.
  [[nodiscard]] std::optional<std::size_t> part_at(int x_px, int y_px);

  [[nodiscard]] int draws() const { return draws_; } // times the picture was drawn
  [[nodiscard]] int picks() const { return picks_; } // times a part was looked for
  [[nodiscard]] std::uint64_t hash() const;          // of the picture, FNV-1a over its pixels

private:
  // All that the scene or the picture depends on.
  struct Inputs {
    std::uint64_t revision = 0;
    double crank_deg = 0;
    Turning turning = Turning::forward;
    double turn_forward_deg = 0;
    Shown shown = Shown::both;
    double magnify = 1;
    bool gaps = false; // between valves and piston are figured
    Units units = Units::mm;
    Camera camera;
    Theme theme = Theme::day;
    int width_px = 0;
    int height_px = 0;
  };
  [[nodiscard]] bool same_scene(const Inputs& inputs) const;
  [[nodiscard]] bool same_picture(const Inputs& inputs) const;

  Renderer& renderer_;
  SceneModel model_;
  Scene scene_;
  std::optional<Inputs> drawn_;
  bool smooth_ = false;
  int draws_ = 0;
  int picks_ = 0;
  std::optional<glm::ivec2> picked_at_;
  int picked_draw_ = -1;
  std::optional<std::size_t> picked_;
};

} // namespace phasewright::viewer
