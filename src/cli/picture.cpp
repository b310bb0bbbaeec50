// The drive, or the whole viewer, drawn into a file. Needs no display.
#include "cli/commands.hpp"
#include "cli/drawn_states.hpp"
#include "cli/viewer_options.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

namespace phasewright::cli {

namespace {

struct Drawn {
  Image image;
  States states;
  std::vector<std::string> confessions;
  std::array<std::optional<GapFigure>, 2> gaps;         // of what is shown, by ValveKind, when they are drawn
  std::array<std::optional<GapFigure>, 2> present_gaps; // of the ghost
};

Result<Drawn> draw_drive(const Context& context) {
  Result<DrawnStates> states = drawn_states(context);
  if (!states) return states.problems();
  film::DrivePicture picture(context.opened.engine, context.opened.build.target, context.resources.shaders,
                             drive_look(context));
  const film::DriveMoment at{context.options.crank_deg, context.options.turning, context.options.draw.apart};
  film::DrawnDrive drawn =
      picture.draw(states->shown, states->ghost ? &*states->ghost : nullptr, at, picture.camera(states->shown, at));
  return Drawn{std::move(drawn.image), std::move(states->states), std::move(drawn.scene.confessions), drawn.gaps,
               drawn.present_gaps};
}

// As the viewer does it: the plan's best option is tried where none is said, unless there is none to try.
Result<States> tried_in_viewer(const Context& context) {
  const AskedState asked{.plan = context.options.draw.plan.value_or(1), .reference = false};
  Result<States> tried = states_of(context, asked);
  return tried ? std::move(tried) : states_of(context, {});
}

Result<Drawn> draw_viewer(const Context& context) {
  Result<Image> image = render_viewer_picture(context.opened, viewer_options(context));
  if (!image) return image.problems();
  Result<States> states = tried_in_viewer(context);
  if (!states) return states.problems();
  return Drawn{*std::move(image), *std::move(states), {}, {}, {}};
}

// A gap that the picture has a line for, in figures.
void say_gap(ValveKind kind, const char* to, double mm, double limit_mm, bool present, Answer& answer, Json& gaps) {
  const char* word = mm < 0.0 ? "they meet" : mm < limit_mm ? "under its limit" : "clear";
  answer.page += fmt::format("{}{} to {}: {} mm", present ? "as fitted, " : "", to_word(kind), to, fixed(mm, 2));
  if (mm < 0.0)
    answer.page += ", they meet";
  else if (mm < limit_mm)
    answer.page += fmt::format(", under {} mm", fixed(limit_mm, 2));
  answer.page += "\n";
  gaps.add(Json::object({{"valve", to_word(kind)},
                         {"what", to},
                         {"of", present ? "ghost" : "shown"},
                         {"mm", mm},
                         {"limit_mm", limit_mm},
                         {"verdict", word}}));
}

Json say_gaps(const Drawn& drawn, Answer& answer) {
  Json gaps = Json::array();
  for (const bool present : {false, true})
    for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
      const auto& figures = present ? drawn.present_gaps : drawn.gaps;
      const std::optional<GapFigure>& figure = figures[kind == ValveKind::inlet ? 0 : 1];
      if (!figure || !(figure->axial_mm < greatest_gap_mm)) continue;
      say_gap(kind, "piston", figure->axial_mm, figure->axial_limit_mm, present, answer, gaps);
      if (figure->radial_mm)
        say_gap(kind, "pocket wall", *figure->radial_mm, figure->radial_limit_mm, present, answer, gaps);
    }
  return gaps;
}

} // namespace

Result<Image> drive_image(const Context& context) {
  Result<Drawn> drawn = draw_drive(context);
  if (!drawn) return drawn.problems();
  return std::move(drawn->image);
}

Result<Answer> picture_command(const Context& context) {
  const DrawOptions& draw = context.options.draw;
  const Result<Drawn> drawn = draw.window ? draw_viewer(context) : draw_drive(context);
  if (!drawn) return drawn.problems();
  write_png(drawn->image, draw.output);

  Answer answer;
  answer.page = fmt::format("{}: {}, crank at {}°{}, {} x {} pixels.\n", draw.output,
                            what_is_drawn(draw, drawn->states), fixed(context.options.crank_deg, 1),
                            context.options.turning == Turning::backward ? ", turned backward" : "",
                            drawn->image.width_px, drawn->image.height_px);
  if (!draw.window)
    for (const std::string& note : reading_notes(context, asked_of(draw), "the picture")) answer.page += note + "\n";
  Json confessions = Json::array();
  for (const std::string& confession : drawn->confessions) {
    answer.page += confession + "\n";
    confessions.add(confession);
  }
  const Json gaps = say_gaps(*drawn, answer);
  answer.json = Json::object({{"file", draw.output},
                              {"drawn", what_is_drawn(draw, drawn->states)},
                              {"crank_deg", context.options.crank_deg},
                              {"turned", to_word(context.options.turning)},
                              {"width_px", drawn->image.width_px},
                              {"height_px", drawn->image.height_px},
                              {"theme", draw.night ? "night" : "day"},
                              {"exaggerated", confessions},
                              {"gaps", gaps}});
  add_standing(drawn->states, answer);
  return answer;
}

} // namespace phasewright::cli
