// What the screen shows and how, apart from the document; and what a panel asks for. Undo does not touch it.
#pragma once

#include "mechanics/volumes.hpp"
#include "parts/build.hpp"
#include "render/renderer.hpp"
#include "scene/camera.hpp"
#include "viewer/figures.hpp"
#include "viewer/recorder.hpp"
#include "viewer/viewer.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace phasewright::viewer {

enum class Step { parts, base_timing, valves, correction, clearance };
// Of what the panels of two steps show at a time.
enum class ValvesPage { events, lobes, compression };
enum class ClearancePage { least, phase, readings };
enum class Shown { fitted, both, planned };

// A clearance reading that is being typed in.
struct NewReading {
  ValveKind valve = ValveKind::inlet;
  std::optional<double> crank_deg; // nothing: where the crank stands
  double clearance_mm = 0.0;
};

// A number field while it is typed into.
struct NumberEdit {
  std::string field; // the one that has the keyboard; empty = none
  std::string text;
  bool cancelled = false;    // Escape was pressed
  std::string problem_field; // the field whose last entry was refused
  std::string problem;
};

struct View {
  Step step = Step::correction;
  Shown shown = Shown::both;
  Units units = Units::mm;
  Theme theme = Theme::day;
  double scale = 1.0;     // of text and panels
  double crank_deg = 0.0; // any finite angle; the chain remembers its turns
  // Backward from a turn back until the lost motion has been turned forward again; so much of it is left.
  Turning turning = Turning::forward;
  double turn_forward_deg = 0.0;
  std::size_t camshaft = 0; // whose settings and key are shown; index into Engine::camshafts
  bool playing = false;
  bool slow = false;
  bool backward = false;
  bool help = false;
  ValvesPage valves_page = ValvesPage::events;
  ClearancePage clearance_page = ClearancePage::least;
  int cylinder = 1; // whose events the valves' panel shows
  CrankingAssumptions cranking;
  NewReading reading;
  double magnify_key_step = 1.0;
  Camera camera;
  NamedView subject = NamedView::end; // what the camera was last sent to, moved by hand since or not
  std::optional<NamedView> framed;    // the camera is this view's own; nothing once it has been moved by hand
  NumberEdit edit;
  std::map<std::string, bool>
      label_side; // on which side of the drive a label stood last (true = right), so that it stays

  void open(ViewerPage page);
};

// Asked for by panels and keys during a frame, carried out after it.
struct Actions {
  std::optional<Fitted> fitted; // a changed document, with the words for undo
  std::optional<Fitted> planned;
  std::optional<std::vector<ClearanceReading>> readings;
  bool clears_reading = false; // when they are taken, what is being typed in is among them
  std::string what;
  std::string field;                 // whose entry it was, so that a refusal stands beside it
  std::optional<std::size_t> option; // of the plan
  bool undo = false;
  bool redo = false;
  std::optional<double> turn_to_deg;
  double turn_by_deg = 0.0;
  std::optional<Step> step;
  std::optional<std::size_t> camshaft;
  std::optional<NamedView> go_to;
  std::optional<double> scale;
};

// The view in which a step is best seen.
[[nodiscard]] NamedView view_of(Step step);

} // namespace phasewright::viewer
