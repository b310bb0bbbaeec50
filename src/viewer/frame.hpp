// One frame of the screen: where the panels stand, and drawing each of them from the workbench.
#pragma once

#include "viewer/cylinder_shown.hpp"
#include "viewer/drill_run.hpp"
#include "viewer/leaf_texture.hpp"
#include "viewer/lesson_run.hpp"
#include "viewer/output_desk.hpp"
#include "viewer/plot.hpp"
#include "viewer/scene_picture.hpp"
#include "viewer/view.hpp"
#include "viewer/widgets.hpp"
#include "viewer/workbench.hpp"

namespace phasewright::viewer {

struct Layout {
  ScreenRect top;
  ScreenRect rail;
  ScreenRect column; // of the lesson or drill that is under way, else empty
  ScreenRect scene;
  ScreenRect side;
  ScreenRect strip;
};

[[nodiscard]] Layout layout_for(float width, float height, float scale, bool column);

// What every panel draws from and writes to.
struct Frame {
  Ui& ui;
  const Workbench& bench;
  View& view;
  Actions& actions;
  ScenePicture& picture;
  const OutputDesk& output;
  LeafTexture& output_leaf;
  bool overridden = false;               // the command line has set keys of what is open
  const std::vector<LessonRow>& lessons; // there are
  const LessonRun* lesson = nullptr;     // under way
  const DrillRun* drill = nullptr;       // likewise
  bool moving = false;                   // more changes of the picture are on their way
};

void draw_frame(Frame& frame, float width, float height);

// What the degree wheel shows where nothing else may say how the crank stands: in a drill, and while a lesson whose
// wheel errs has a question that is not answered yet.
[[nodiscard]] std::optional<double> only_wheel_deg(const Frame& frame);

// The panels, each in its own file.
void top_bar(Frame& frame, const ScreenRect& rect);
void rail(Frame& frame, const ScreenRect& rect);
void scene_pane(Frame& frame, const ScreenRect& rect);
void lesson_column(Frame& frame, const ScreenRect& rect);
void drill_column(Frame& frame, const ScreenRect& rect);
// In its place where `only_wheel_deg`.
void covered_strip(Frame& frame, const ScreenRect& rect, float controls_width);
void output_pane(Frame& frame, const ScreenRect& rect);          // in the scene's place where files are made
ScreenRect scene_controls(Frame& frame, const ScreenRect& rect); // a part of it; gives what it takes
void strip(Frame& frame, const ScreenRect& rect, float controls_width);
void strip_controls(Frame& frame, const ScreenRect& rect); // a part of it
void strip_hover(Frame& frame, const PlotFrame& plot);     // another: figures of the angle under the pointer
void help(Frame& frame, float width, float height);
void notice(Frame& frame, const ScreenRect& scene);
void save_card(Frame& frame, float width, float height);
void open_card(Frame& frame, float width, float height);
void left_card(Frame& frame, float width, float height);

// The panel at the right, by step. Each draws from `at` down and gives where it ended.
float parts_panel(Frame& frame, ImVec2 at, float width);
float alignment_panel(Frame& frame, ImVec2 at, float width);
float end_float_panel(Frame& frame, ImVec2 at, float width);
float timing_panel(Frame& frame, ImVec2 at, float width);
float valves_panel(Frame& frame, ImVec2 at, float width);
float degree_panel(Frame& frame, ImVec2 at, float width);
float correction_panel(Frame& frame, ImVec2 at, float width, float bottom); // fills down to `bottom` with the list
float clearance_panel(Frame& frame, ImVec2 at, float width);
float output_panel(Frame& frame, ImVec2 at, float width);
float lessons_panel(Frame& frame, ImVec2 at, float width);

// Their pages, below what stays.
float keys_page(Frame& frame, ImVec2 at, float width);
float spread_page(Frame& frame, ImVec2 at, float width);
float taken_page(Frame& frame, ImVec2 at, float width);   // wheel and indicator readings
float found_page(Frame& frame, ImVec2 at, float width);   // what they come to
float causes_page(Frame& frame, ImVec2 at, float width);  // what explains them
float earlier_page(Frame& frame, ImVec2 at, float width); // sets put by
float lobe_plots(Frame& frame, ImVec2 at, float width);
float phase_page(Frame& frame, ImVec2 at, float width);
float overlap_plot(Frame& frame, ImVec2 at, float width);
float readings_page(Frame& frame, ImVec2 at, float width);

// Pieces that several of them use.
// `meaning`: what it means, three lines at most, shown while wanted. Gives the height drawn.
float panel_head(Frame& frame, ImVec2 at, float width, const char* title, const char* words,
                 const char* meaning = nullptr);
float section_head(Frame& frame, ImVec2 at, const char* title);
float cautions(Frame& frame, ImVec2 at, float width);
// What readings show beyond what is said to be fitted, and that this is drawn without it; nothing when they do not.
// Gives the height drawn.
float readings_left_out(Frame& frame, ImVec2 at, float width);
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
// What the readings of the wheel suffer from.
enum class ReadingsTrouble { nothing, none_taken, no_lobes, slip, outlier, scattered, lobes_disagree, unexplained };
[[nodiscard]] ReadingsTrouble readings_trouble(const Workbench& bench);
// What the readings show beyond what the drive explains is in `fitted` already, or there is nothing of the kind.
[[nodiscard]] bool goes_by_readings(const Workbench& bench);
// A warning in place of good for a state that leaves it out.
[[nodiscard]] Verdict unless_readings_differ(const Workbench& bench, const State& state, Verdict verdict);
[[nodiscard]] Verdict keys_standing(const Workbench& bench);
[[nodiscard]] Verdict alignment_standing(const Workbench& bench);
[[nodiscard]] Verdict end_float_standing(const Workbench& bench);
[[nodiscard]] Verdict readings_standing(const Workbench& bench);
// How each step stands, for its roller.
[[nodiscard]] Verdict step_verdict(const Workbench& bench, Step step);
// The state that is shown solid.
[[nodiscard]] const State& shown_state(const Workbench& bench, Shown shown);
// How far the shown cylinder's valve is open in the picture, turned backward as well as forward.
[[nodiscard]] double lift_shown_mm(const State& state, ValveKind kind, const View& view);

} // namespace phasewright::viewer
