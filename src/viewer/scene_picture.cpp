#include "viewer/scene_picture.hpp"

#include "scene/gap_figures.hpp"

namespace phasewright::viewer {

namespace {

bool same(const Camera& a, const Camera& b) {
  return a.target_mm == b.target_mm && a.yaw_deg == b.yaw_deg && a.pitch_deg == b.pitch_deg &&
         a.height_mm == b.height_mm && a.field_deg == b.field_deg && a.parallel == b.parallel;
}

} // namespace

ScenePicture::ScenePicture(Renderer& renderer, std::shared_ptr<const Engine> engine)
    : renderer_(renderer), model_(std::move(engine)) {
  renderer_.upload(model_.meshes());
}

bool ScenePicture::same_scene(const Inputs& inputs) const {
  return drawn_ && drawn_->revision == inputs.revision && drawn_->crank_deg == inputs.crank_deg &&
         drawn_->turning == inputs.turning && drawn_->turn_forward_deg == inputs.turn_forward_deg &&
         drawn_->shown == inputs.shown && drawn_->magnify == inputs.magnify && drawn_->gaps == inputs.gaps &&
         drawn_->units == inputs.units;
}

bool ScenePicture::same_picture(const Inputs& inputs) const {
  return same_scene(inputs) && same(drawn_->camera, inputs.camera) && drawn_->theme == inputs.theme &&
         drawn_->width_px == inputs.width_px && drawn_->height_px == inputs.height_px;
}

bool ScenePicture::update(const Workbench& bench, const View& view, RenderSize size, bool moving) {
  if (size.width_px <= 0 || size.height_px <= 0) return false;
  const Inputs inputs{.revision = bench.revision(),
                      .crank_deg = view.crank_deg,
                      .turning = view.turning,
                      .turn_forward_deg = view.turn_forward_deg,
                      .shown = view.shown,
                      .magnify = view.magnify_key_step,
                      .gaps = view.subject == NamedView::valve && view.turning == Turning::forward,
                      .units = view.units,
                      .camera = view.camera,
                      .theme = view.theme,
                      .width_px = size.width_px,
                      .height_px = size.height_px};
  const bool unchanged = same_picture(inputs);
  const bool smooth = !moving || !renderer_.software();
  if (unchanged && (smooth_ || !smooth)) return false;

  if (!same_scene(inputs)) {
    const State& solid = view.shown == Shown::fitted ? bench.fitted() : bench.planned();
    const Mechanism* ghost = view.shown == Shown::both && bench.planned_differs() ? &bench.fitted().mechanism : nullptr;
    SceneOptions options;
    options.crank_deg = view.crank_deg;
    options.turning = view.turning;
    options.turn_forward_deg = view.turn_forward_deg;
    options.magnify_key_step = view.magnify_key_step;
    options.pins_between_marks = solid.pins_between_marks;
    options.length_words = [units = view.units](double mm) { return length_text(mm, units); };
    if (inputs.gaps && solid.model)
      options.gaps = gap_figures(*solid.model, solid.mechanism, bench.build().target, view.crank_deg);
    if (inputs.gaps && ghost != nullptr && bench.fitted().model)
      options.present_gaps = gap_figures(*bench.fitted().model, *ghost, bench.build().target, view.crank_deg);
    model_.compose(solid.mechanism, ghost, options, scene_);
  }
  renderer_.draw(scene_, view.camera, view.theme, size, smooth);
  drawn_ = inputs;
  smooth_ = smooth;
  ++draws_;
  return true;
}

std::optional<std::size_t> ScenePicture::part_at(int x_px, int y_px) {
  if (!drawn_) return std::nullopt;
  const glm::ivec2 at{x_px, y_px};
  if (picked_at_ == at && picked_draw_ == draws_) return picked_;
  picked_at_ = at;
  picked_draw_ = draws_;
  ++picks_;
  picked_ = renderer_.pick(scene_, drawn_->camera, {drawn_->width_px, drawn_->height_px}, x_px, y_px);
  return picked_;
}

std::uint64_t ScenePicture::hash() const {
  std::uint64_t sum = 14695981039346656037ULL;
  if (!drawn_) return sum;
  for (const std::uint8_t byte : renderer_.read().rgba) sum = (sum ^ byte) * 1099511628211ULL;
  return sum;
}

} // namespace phasewright::viewer
