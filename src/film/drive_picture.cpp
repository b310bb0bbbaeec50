#include "film/drive_picture.hpp"

#include "bench/clearance_read.hpp"
#include "render/offscreen.hpp"
#include "scene/gap_figures.hpp"

namespace phasewright::film {

Result<DriveState> drive_state(std::shared_ptr<const Engine> engine, const Build& build, const Fitted& fitted) {
  Result<Mechanism> mechanism = Mechanism::assemble(std::move(engine), fitted);
  if (!mechanism) return mechanism.problems();
  Result<ClearanceModel> clearance = clearance_as_read(*mechanism, build);
  if (!clearance) return DriveState{*std::move(mechanism), std::nullopt};
  return DriveState{*std::move(mechanism), *std::move(clearance)};
}

struct DrivePicture::Impl {
  Impl(std::shared_ptr<const Engine> engine, const Target& target, const std::filesystem::path& shader_folder,
       const DriveLook& wanted)
      : look(wanted), limits(target), model(std::move(engine)) {
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
    return options;
  }

  [[nodiscard]] std::array<std::optional<GapFigure>, 2> gaps(const DriveState& state, const DriveMoment& at) const {
    if (!state.clearance) return {};
    return gap_figures(*state.clearance, state.mechanism, limits, at.crank_deg);
  }

  DriveLook look;
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
  CloseUp close_up{.apart = at.apart};
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
  DrawnDrive drawn;
  impl_->model.compose(shown.mechanism, ghost != nullptr ? &ghost->mechanism : nullptr, options, drawn.scene);
  impl_->offscreen.make_current();
  impl_->renderer->draw(drawn.scene, from, impl_->look.theme, impl_->look.size, true);
  drawn.image = impl_->renderer->read();
  drawn.gaps = options.gaps;
  drawn.present_gaps = options.present_gaps;
  return drawn;
}

} // namespace phasewright::film
