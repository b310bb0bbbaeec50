// How the chains lie: each strand with its state, slack or tensioner's travel over a tooth, and what hangs back.
#include "viewer/frame.hpp"
#include "viewer/plot.hpp"

#include "geometry/angle.hpp"
#include <fmt/format.h>

#include <array>

namespace phasewright::viewer {

namespace {

struct StateLook {
  LineStyle style;
  ImU32 colour;
};

// As the lines beside the strands in the picture.
StateLook look_of(const Ui& ui, StrandState state) {
  switch (state) {
  case StrandState::taut:
    return {LineStyle::solid, ui.colours.accent};
  case StrandState::slack:
    return {LineStyle::dashed, ui.colours.quiet};
  case StrandState::tensioned:
    break;
  }
  return {LineStyle::dotted, ui.colours.ink};
}

std::string figure_of(const StrandPose& strand, Units units) {
  if (strand.state == StrandState::slack) return length_text(strand.slack_mm, units);
  return fmt::format("{} links", strand.links);
}

std::string over_a_tooth(const char* what, const Extent& extent, Units units) {
  return fmt::format("{} over a tooth: {} to {}", what, length_figure(extent.least, units),
                     length_text(extent.greatest, units));
}

std::string loop_words(const Drive& drive, const LoopPose& pose, std::size_t loop, Units units) {
  if (!pose.tensioner) return over_a_tooth("Slack", drive.slack_mm(loop), units) + ".";
  return over_a_tooth("Tensioner’s travel", drive.travel_mm(loop), units) +
         fmt::format("; {} left now.", length_text(pose.tensioner->travel_left_mm, units));
}

} // namespace

float strand_table(Frame& frame, ImVec2 at, float width) {
  Ui& ui = frame.ui;
  const Engine& engine = frame.bench.engine();
  const Drive& drive = frame.bench.fitted().mechanism.drive();
  const DrivePose pose = drive.pose(frame.view.crank_deg, frame.view.turning);
  const Units units = frame.view.units;
  float y = at.y;
  for (std::size_t l = 0; l < pose.loops.size(); ++l) {
    const std::string title = pose.loops.size() == 1 ? "Chain" : fmt::format("Chain {}", l + 1);
    y += section_head(frame, {at.x, y}, title.c_str());
    for (const StrandPose& strand : pose.loops[l].strands) {
      const StateLook look = look_of(ui, strand.state);
      const float middle = std::round(y + ui.fonts.text->FontSize / 2.0f) + 0.5f;
      draw_curve(*ui.list, {{at.x, middle}, {at.x + ui.px(26), middle}}, look.colour, 2.0f * ui.scale, look.style,
                 ui.scale);
      const std::vector<Sprocket>& sprockets = engine.loops[l].sprockets;
      const std::string figure = figure_of(strand, units);
      const std::string words =
          fmt::format("{} – {}: {}", sprockets[strand.from].name, sprockets[strand.to].name, to_word(strand.state));
      const float left = at.x + ui.px(34);
      const float room = at.x + width - text_size(ui.fonts.text, figure).x - ui.px(10) - left;
      text(ui, {left, y}, ui.fonts.text, ui.colours.ink, shortened(ui.fonts.text, words, room));
      text_right(ui, {at.x + width, y}, ui.fonts.text, ui.colours.ink, figure);
      y += ui.px(20);
    }
    y += paragraph(ui, {at.x, y}, width, ui.fonts.text, ui.colours.quiet, loop_words(drive, pose.loops[l], l, units)) +
         ui.px(4);
  }
  return y - at.y;
}

float hang_verdict(Frame& frame, ImVec2 at, float width) {
  if (frame.view.turning == Turning::forward) return 0.0f;
  const Engine& engine = frame.bench.engine();
  const Drive& drive = shown_state(frame.bench, frame.view.shown).mechanism.drive();
  std::vector<std::string> rows;
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
    const HangBack hang = drive.hang_back(frame.view.crank_deg, i);
    rows.push_back(fmt::format("The {} did not follow: it stands {} cam, {} crank ahead of its place.",
                               camshaft_words(engine, i), deg_text(hang.cam_deg, 2), deg_text(hang.crank_deg, 2)));
  }
  rows.push_back(
      fmt::format("Turn forward {} before reading.", deg_text(rounded_up(frame.view.turn_forward_deg, 0.1))));
  return verdict_box(frame.ui, at, width, Verdict::warning, "Turned back: readings are not true.", rows) +
         frame.ui.px(8);
}

} // namespace phasewright::viewer
