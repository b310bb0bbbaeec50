#include "viewer/scene_picture.hpp"

#include "scene/gap_figures.hpp"
#include "viewer/cylinder_shown.hpp"
#include "viewer/instruments.hpp"

namespace phasewright::viewer {

namespace {

// Of a picture's pixels each way, while it moves on a software renderer: its time goes by pixels, and the eye that
// follows what moves misses little. Words beside it are drawn in full.
constexpr double moving_share = 0.8;

bool same(const Camera& a, const Camera& b) {
  return a.target_mm == b.target_mm && a.yaw_deg == b.yaw_deg && a.pitch_deg == b.pitch_deg &&
         a.height_mm == b.height_mm && a.field_deg == b.field_deg && a.parallel == b.parallel;
}

SceneOptions options_of(const Workbench& bench, const View& view) {
  SceneOptions options;
  options.crank_deg = view.crank_deg;
  options.turning = view.turning;
  options.turn_forward_deg = view.turn_forward_deg;
  options.magnify_key_step = view.magnify_key_step;
  options.magnify_gaps = view.magnify_gaps;
  options.apart = view.apart;
  options.cylinder = view.cylinder;
  options.camshaft = view.camshaft;
  options.clock_face = view.subject == NamedView::key;
  options.section = view.section && view.subject == NamedView::key;
  options.instruments = instruments_on(bench, view);
  options.drive_labels = !(options.instruments.straight_edge || options.instruments.dial_at_end);
  options.length_words = [units = view.units](double mm) { return length_text(mm, units); };
  return options;
}

} // namespace

CloseUp close_up_of(const Workbench& bench, const View& view, const SceneModel& model) {
  CloseUp of{.cylinder = view.cylinder, .camshaft = view.camshaft, .apart = view.apart};
  of.instruments = instruments_on(bench, view);
  if (view.section && view.subject == NamedView::key)
    of.from = model.section_view((view.shown == Shown::fitted ? bench.fitted() : bench.planned()).mechanism,
                                 options_of(bench, view));
  return of;
}

ScenePicture::ScenePicture(Renderer& renderer, std::shared_ptr<const Engine> engine)
    : renderer_(renderer), model_(std::move(engine)) {
  renderer_.upload(model_.meshes());
}

bool ScenePicture::same_picture(const Inputs& inputs) const {
  return drawn_ && drawn_->scene == inputs.scene && same(drawn_->camera, inputs.camera) &&
         drawn_->theme == inputs.theme && drawn_->width_px == inputs.width_px && drawn_->height_px == inputs.height_px;
}

void ScenePicture::compose(const Workbench& bench, const View& view) {
  const State& solid = view.shown == Shown::fitted ? bench.fitted() : bench.planned();
  SceneOptions options = options_of(bench, view);
  const bool both = view.shown == Shown::both && bench.planned_differs() && options.drive_labels;
  const Mechanism* ghost = both ? &bench.fitted().mechanism : nullptr;
  options.pins_between_marks = solid.pins_between_marks;
  if (view.subject == NamedView::valve && view.turning == Turning::forward) {
    // The cylinders are alike: at so much past its own dead centre each has No. 1's gaps, but for the chain's ripple.
    const double own_deg = own_crank_deg(bench, view);
    if (solid.standing.model)
      options.gaps = gap_figures(*solid.standing.model, solid.mechanism, bench.build().target, own_deg);
    if (ghost != nullptr && bench.fitted().standing.model)
      options.present_gaps = gap_figures(*bench.fitted().standing.model, *ghost, bench.build().target, own_deg);
  }
  model_.compose(solid.mechanism, ghost, options, scene_);
}

bool ScenePicture::update(const Workbench& bench, const View& view, RenderSize size, bool moving) {
  if (size.width_px <= 0 || size.height_px <= 0) return false;
  const Inputs inputs{.scene = {.revision = bench.revision(),
                                .crank_deg = view.crank_deg,
                                .turning = view.turning,
                                .turn_forward_deg = view.turn_forward_deg,
                                .shown = view.shown,
                                .magnify_key_step = view.magnify_key_step,
                                .magnify_gaps = view.magnify_gaps,
                                .apart = view.apart,
                                .section = view.section,
                                .instruments = view.instruments,
                                .step = view.step,
                                .subject = view.subject,
                                .camshaft = view.camshaft,
                                .cylinder = view.cylinder,
                                .units = view.units},
                      .camera = view.camera,
                      .theme = view.theme,
                      .width_px = size.width_px,
                      .height_px = size.height_px};
  const bool unchanged = same_picture(inputs);
  const bool smooth = !moving || !renderer_.software();
  if (unchanged && (smooth_ || !smooth)) return false;

  if (!drawn_ || drawn_->scene != inputs.scene) compose(bench, view);
  renderer_.draw(scene_, view.camera, view.theme, size, smooth, smooth ? 1.0 : moving_share);
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
