// The drive as a picture: composed when the pose changes, drawn when the pose, the camera, the size or the theme does,
// and kept otherwise.
#pragma once

#include "render/renderer.hpp"
#include "scene/camera.hpp"
#include "scene/model.hpp"
#include "viewer/view.hpp"
#include "viewer/workbench.hpp"

#include <optional>

namespace phasewright::viewer {

// What a view frames, with what stands about it.
[[nodiscard]] CloseUp close_up_of(const Workbench& bench, const View& view, const SceneModel& model);

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
  // All that the scene depends on, and the picture besides.
  struct SceneInputs {
    std::uint64_t revision = 0;
    double crank_deg = 0;
    Turning turning = Turning::forward;
    double turn_forward_deg = 0;
    Shown shown = Shown::both;
    double magnify_key_step = 1;
    double magnify_gaps = 1;
    double apart = 0;
    bool section = false;
    bool instruments = true;
    Step step = Step::correction;
    NamedView subject = NamedView::end;
    std::size_t camshaft = 0;
    int cylinder = 1;
    Units units = Units::mm;

    friend bool operator==(const SceneInputs&, const SceneInputs&) = default;
  };
  struct Inputs {
    SceneInputs scene;
    Camera camera;
    Theme theme = Theme::day;
    int width_px = 0;
    int height_px = 0;
  };
  [[nodiscard]] bool same_picture(const Inputs& inputs) const;
  void compose(const Workbench& bench, const View& view);

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
