#include "film/drive_picture.hpp"

#include "bench/clearance_read.hpp"
#include "film/annotate.hpp"
#include "render/offscreen.hpp"
#include "scene/gap_figures.hpp"
#include "scene/view_labels.hpp"

#include <fmt/format.h>

namespace phasewright::film {

Result<DriveState> drive_state(std::shared_ptr<const Engine> engine, const Build& build, const Fitted& fitted) {
  Result<Mechanism> mechanism = Mechanism::assemble(std::move(engine), fitted);
  if (!mechanism) return mechanism.problems();
  Result<ClearanceModel> clearance = clearance_as_read(*mechanism, build);
  DriveState state{*std::move(mechanism), std::nullopt, std::nullopt};
  if (clearance) state.clearance = *std::move(clearance);
  state.pins_between_marks = pins_between_marks(state.mechanism.engine(), state.mechanism.drive());
  return state;
}

Result<DriveState> refitted(const DriveState& state, const Fitted& fitted) {
  Result<Mechanism> mechanism = state.mechanism.refitted(fitted);
  if (!mechanism) return mechanism.problems();
  DriveState other{*std::move(mechanism), std::nullopt, std::nullopt};
  if (state.clearance) other.clearance = state.clearance->mounted_on(other.mechanism);
  return other;
}

struct DrivePicture::Impl {
  Impl(std::shared_ptr<const Engine> engine, const Target& target, const std::filesystem::path& shader_folder,
       const DriveLook& wanted)
      : look(wanted), words{wanted.labels, wanted.text_scale}, limits(target), model(std::move(engine)) {
    offscreen.make_current();
    renderer.emplace(OffscreenContext::get_proc(), shader_folder);
    renderer->upload(model.meshes());
  }

  [[nodiscard]] SceneOptions options(const DriveMoment& at) const {
    SceneOptions options;
    options.crank_deg = at.crank_deg;
    options.turning = at.turning;
    options.magnify_key_step = look.magnify_key_step;
    options.apart = at.apart;
    options.one_by_one = at.one_by_one;
    options.section = look.section;
    options.camshaft = 0;
    options.cylinder = look.cylinder;
    options.teeth_ahead = at.teeth_ahead;
    return options;
  }

  [[nodiscard]] std::array<std::optional<GapFigure>, 2> gaps(const DriveState& state, const DriveMoment& at) const {
    if (!state.clearance) return {};
    return gap_figures(*state.clearance, state.mechanism, limits, at.crank_deg, look.cylinder);
  }

  [[nodiscard]] CloseUp close_up(const DriveMoment& at) const { return {.cylinder = look.cylinder, .apart = at.apart}; }

  [[nodiscard]] std::vector<Label> valve_labels(const DriveState& shown, const Scene& scene,
                                                const DriveMoment& at) const {
    std::vector<Label> labels;
    if (look.from != NamedView::valve || at.turning != Turning::forward) return labels;
    const auto in_mm = [](double mm) { return fmt::format("{:.2f} mm", mm); };
    for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
      const double lift_mm = shown.mechanism.valve_lift_mm(kind, look.cylinder, at.crank_deg);
      if (auto label = valve_label(scene, kind, lift_mm, in_mm)) labels.push_back(*std::move(label));
    }
    return labels;
  }

  void write_words(const DriveState& shown, const DriveMoment& at, const Camera& from, DrawnDrive& drawn) {
    const Annotated about{.model = model, .view = look.from, .close_up = close_up(at), .camera = from};
    annotate(drawn.scene, valve_labels(shown, drawn.scene, at), about, look.theme, words, drawn.image);
  }

  DriveLook look;
  Words words;
  Target limits;
  SceneModel model;
  OffscreenContext offscreen; // outlives what was made in it
  std::optional<Renderer> renderer;
};

DrivePicture::DrivePicture(std::shared_ptr<const Engine> engine, const Target& limits,
                           const std::filesystem::path& shader_folder, const DriveLook& look)
    : impl_(std::make_unique<Impl>(std::move(engine), limits, shader_folder, look)) {}

DrivePicture::~DrivePicture() {
  impl_->offscreen.make_current();
}

Camera DrivePicture::camera(const DriveState& shown, const DriveMoment& at) const {
  CloseUp close_up = impl_->close_up(at);
  if (impl_->look.section) close_up.from = impl_->model.section_view(shown.mechanism, impl_->options(at));
  constexpr double margin_px = 24.0;
  const RenderSize size = impl_->look.size;
  return frame_view(impl_->model, impl_->look.from, {size.width_px, size.height_px}, margin_px, close_up);
}

DrawnDrive DrivePicture::draw(const DriveState& shown, const DriveState* ghost, const DriveMoment& at,
                              const Camera& from) {
  SceneOptions options = impl_->options(at);
  if (impl_->look.from == NamedView::valve && at.turning == Turning::forward) {
    options.gaps = impl_->gaps(shown, at);
    if (ghost != nullptr) options.present_gaps = impl_->gaps(*ghost, at);
  }
  options.pins_between_marks = shown.pins_between_marks;
  DrawnDrive drawn;
  impl_->model.compose(shown.mechanism, ghost != nullptr ? &ghost->mechanism : nullptr, options, drawn.scene);
  impl_->offscreen.make_current();
  impl_->renderer->draw(drawn.scene, from, impl_->look.theme, impl_->look.size, true);
  drawn.image = impl_->renderer->read();
  drawn.scene.confessions.insert(drawn.scene.confessions.end(), at.confessions.begin(), at.confessions.end());
  std::vector<std::string>& said = drawn.scene.confessions;
  if (!at.warning.empty()) said.insert(said.begin(), at.warning);
  if (impl_->look.labels || !at.confessions.empty() || !at.warning.empty()) impl_->write_words(shown, at, from, drawn);
  if (!at.warning.empty()) said.erase(said.begin()); // it exaggerates nothing
  drawn.gaps = options.gaps;
  drawn.present_gaps = options.present_gaps;
  return drawn;
}

} // namespace phasewright::film
