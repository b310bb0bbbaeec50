#include "cli/film_shot.hpp"

#include "bench/standing.hpp"
#include "film/laid_over.hpp"

#include <functional>

namespace phasewright::cli {

namespace {

// What moves, and how each frame is drawn.
struct Script {
  std::function<film::DriveMoment(int frame)> moment;
  std::function<Camera(const film::DriveMoment& at)> camera;
  // What is shown instead of the drive that is drawn otherwise; empty = that.
  std::function<Result<film::DriveState>(int frame)> state = {};
  film::DriveMoment after = {}; // of the frame that would come after the last
};

Script script_of_turn(const Context& context, const DrawnStates& states, const film::DrivePicture& picture) {
  const FilmOptions& film = context.options.film;
  const film::Turn turn{context.options.crank_deg, film.turns, context.options.turning};
  const auto moment = [turn, apart = context.options.draw.apart, frames = film.frames](int frame) {
    film::DriveMoment at = film::moment_of(turn, frame, frames);
    at.apart = apart;
    return at;
  };
  return {.moment = moment,
          .camera = [&](const film::DriveMoment& at) { return picture.camera(states.shown, at); },
          .after = moment(film.frames)};
}

Script script_of_apart(const Context& context, const DrawnStates& states, const film::DrivePicture& picture) {
  const film::DriveMoment together{
      .crank_deg = context.options.crank_deg, .turning = context.options.turning, .one_by_one = true};
  film::DriveMoment fully = together;
  fully.apart = 1.0;
  // All of it stays in the picture, which stands still.
  return {.moment =
              [together, frames = context.options.film.frames](int frame) {
                film::DriveMoment at = together;
                at.apart = film::share_apart(frame, frames);
                return at;
              },
          .camera = [from = picture.camera(states.shown, fully)](const film::DriveMoment&) { return from; },
          .after = together};
}

// From the ghost to what is shown.
Script script_of_lay(const Context& context, const DrawnStates& states, const film::DrivePicture& picture) {
  const Engine& engine = *context.opened.engine;
  const Fitted& from = states.ghost->mechanism.fitted();
  const Fitted& to = states.shown.mechanism.fitted();
  const auto way = [&engine, &from, &to, frames = context.options.film.frames](int frame) {
    return film::on_the_way(engine, from, to, film::share_of_the_way(frame, frames));
  };
  const film::DriveMoment still{.crank_deg = context.options.crank_deg,
                                .turning = context.options.turning,
                                .apart = context.options.draw.apart,
                                .confessions = film::not_so_on_the_bench(engine, from, to)};
  return {.moment =
              [still, way](int frame) {
                film::DriveMoment at = still;
                at.teeth_ahead = way(frame).teeth_ahead;
                return at;
              },
          .camera = [seen = picture.camera(*states.ghost, still)](const film::DriveMoment&) { return seen; },
          .state = [&states, way](int frame) { return film::refitted(states.shown, way(frame).fitted); },
          .after = still};
}

Script script_of(const Context& context, const DrawnStates& states, const film::DrivePicture& picture) {
  switch (context.options.film.of) {
  case FilmOf::lay:
    return script_of_lay(context, states, picture);
  case FilmOf::apart:
    return script_of_apart(context, states, picture);
  case FilmOf::turn:
    break;
  }
  return script_of_turn(context, states, picture);
}

// What is fitted and what a film goes over to, in place of the state that is drawn otherwise.
Result<DrawnStates> states_of_lay(const Context& context) {
  Result<DrawnStates> drawn = drawn_states(context);
  if (!drawn || drawn->ghost) return drawn;
  const Fitted further = laid_further(context, drawn->shown.mechanism.fitted());
  Result<film::DriveState> laid = film::drive_state(context.opened.engine, context.opened.build, further);
  if (!laid) return laid.problems();
  // That is judged like any other state.
  States states = std::move(drawn->states);
  states.words += ", the chain laid a tooth further";
  states.verdict = verdict_on(standing_of(laid->mechanism, context.opened.build), states.words);
  return DrawnStates{std::move(states), *std::move(laid), std::move(drawn->shown)};
}

} // namespace

struct FilmShot::Impl {
  Impl(const Context& context, DrawnStates drawn)
      : states(std::move(drawn)),
        picture(context.opened.engine, context.opened.build.target, context.resources.shaders, drive_look(context)),
        script(script_of(context, states, picture)) {}

  DrawnStates states;
  film::DrivePicture picture;
  Script script; // looks at both
};

FilmShot::FilmShot(const Context& context, DrawnStates drawn)
    : impl_(std::make_unique<Impl>(context, std::move(drawn))) {}
FilmShot::FilmShot(FilmShot&&) noexcept = default;
FilmShot::~FilmShot() = default;

Result<FilmShot> FilmShot::make(const Context& context) {
  Result<DrawnStates> drawn = context.options.film.of == FilmOf::lay ? states_of_lay(context) : drawn_states(context);
  if (!drawn) return drawn.problems();
  return FilmShot(context, *std::move(drawn));
}

const DrawnStates& FilmShot::states() const {
  return impl_->states;
}

film::DriveMoment FilmShot::moment(int frame) const {
  return impl_->script.moment(frame);
}

const film::DriveMoment& FilmShot::after() const {
  return impl_->script.after;
}

Result<film::DrawnDrive> FilmShot::draw(int frame) {
  const DrawnStates& states = impl_->states;
  const film::DriveMoment at = impl_->script.moment(frame);
  std::optional<film::DriveState> on_the_way;
  if (impl_->script.state) {
    Result<film::DriveState> state = impl_->script.state(frame);
    if (!state) return state.problems();
    on_the_way = *std::move(state);
  }
  return impl_->picture.draw(on_the_way ? *on_the_way : states.shown, states.ghost ? &*states.ghost : nullptr, at,
                             impl_->script.camera(at));
}

} // namespace phasewright::cli
