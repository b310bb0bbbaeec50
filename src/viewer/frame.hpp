// One frame of the screen: where the panels stand, and drawing each of them from the workbench.
#pragma once

#include "viewer/plot.hpp"
#include "viewer/scene_picture.hpp"
#include "viewer/view.hpp"
#include "viewer/widgets.hpp"
#include "viewer/workbench.hpp"

namespace phasewright::viewer {

struct Layout {
  ScreenRect top;
  ScreenRect rail;
  ScreenRect scene;
  ScreenRect side;
  ScreenRect strip;
};

[[nodiscard]] Layout layout_for(float width, float height, float scale);

// What every panel draws from and writes to.
struct Frame {
  Ui& ui;
  const Workbench& bench;
  View& view;
  Actions& actions;
  ScenePicture& picture;
  bool moving = false; // more changes of the picture are on their way
};

void draw_frame(Frame& frame, float width, float height);

// The panels, each in its own file.
void top_bar(Frame& frame, const ScreenRect& rect);
void rail(Frame& frame, const ScreenRect& rect);
void scene_pane(Frame& frame, const ScreenRect& rect);
void strip(Frame& frame, const ScreenRect& rect, float controls_width);
void help(Frame& frame, float width, float height);

// The panel at the right, by step. Each draws from `at` down and gives where it ended.
float parts_panel(Frame& frame, ImVec2 at, float width);
float timing_panel(Frame& frame, ImVec2 at, float width);
float valves_panel(Frame& frame, ImVec2 at, float width);
float correction_panel(Frame& frame, ImVec2 at, float width, float bottom); // fills down to `bottom` with the list
float clearance_panel(Frame& frame, ImVec2 at, float width);

// Their pages, below what stays.
float lobe_plots(Frame& frame, ImVec2 at, float width);
float phase_page(Frame& frame, ImVec2 at, float width);
float overlap_plot(Frame& frame, ImVec2 at, float width);
float readings_page(Frame& frame, ImVec2 at, float width);

// Pieces that several of them use.
float panel_head(Frame& frame, ImVec2 at, float width, const char* title, const char* words); // height drawn
float section_head(Frame& frame, ImVec2 at, const char* title);
float cautions(Frame& frame, ImVec2 at, float width);
// Good: over its limits by more than the figures may be out by. Warning: too near to tell, or nothing known.
[[nodiscard]] Verdict clearance_standing(const State& state);
float clearance_verdict(Frame& frame, ImVec2 at, float width, const State& state, bool planned);
float phase_verdict(Frame& frame, ImVec2 at, float width, const State& state, bool planned);
float settings_table(Frame& frame, ImVec2 at, float width, bool of_planned);

float strand_table(Frame& frame, ImVec2 at, float width); // how the chains lie now, and which line says so
// Turned backward: what hangs back by how much; nothing otherwise.
float hang_verdict(Frame& frame, ImVec2 at, float width);

// Of No. 1 or another cylinder: that kind of valve's, whichever camshaft moves it; null without one.
[[nodiscard]] const KindEvents* events_of(const Events& events, ValveKind kind);
// Inlet and exhaust, told apart by hue and by style.
[[nodiscard]] ImU32 kind_colour(const Ui& ui, ValveKind kind);
[[nodiscard]] LineStyle kind_style(ValveKind kind);

// A lobe sharper than this would not last (unit: mm): common practice, no source.
inline constexpr double sharp_radius_mm = 1.0;
[[nodiscard]] std::optional<ValveKind> sharp_lobe(const Workbench& bench);
// Every camshaft's mark is within a quarter tooth of facing in the reference assembly.
[[nodiscard]] bool marks_face(const Workbench& bench);
// How each step stands, for its roller.
[[nodiscard]] Verdict step_verdict(const Workbench& bench, Step step);
// The state that is shown solid.
[[nodiscard]] const State& shown_state(const Workbench& bench, Shown shown);
// How far No. 1's valve is open in the picture, turned backward as well as forward.
[[nodiscard]] double lift_shown_mm(const State& state, ValveKind kind, const View& view);

} // namespace phasewright::viewer
