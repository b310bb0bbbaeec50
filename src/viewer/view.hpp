// What the screen shows and how, apart from the document; and what a panel asks for. Undo does not touch it.
#pragma once

#include "mechanics/volumes.hpp"
#include "parts/build.hpp"
#include "render/renderer.hpp"
#include "scene/camera.hpp"
#include "viewer/document.hpp"
#include "viewer/figures.hpp"
#include "viewer/key_ring.hpp"
#include "viewer/learning.hpp"
#include "viewer/output_wishes.hpp"
#include "viewer/recorder.hpp"
#include "viewer/viewer.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace phasewright::viewer {

// In the bench's order.
enum class Step { parts, alignment, end_float, base_timing, valves, readings, correction, clearance, sheet, lessons };
// Of what the panels of some steps show at a time.
enum class PartsPage { figures, keys, spread };
enum class ValvesPage { events, lobes, compression };
enum class ReadingsPage { taken, found, causes, earlier };
enum class ClearancePage { least, phase, readings };
enum class Shown { fitted, both, planned };

// A clearance reading that is being typed in.
struct NewReading {
  ValveKind valve = ValveKind::inlet;
  std::optional<double> crank_deg; // nothing: where the crank stands
  double clearance_mm = 0.0;
};

// Wheel and indicator readings that are being typed in; nothing = not yet.
struct NewLobe {
  ValveKind valve = ValveKind::inlet;
  int cylinder = 1;
  std::optional<double> lift_mm;
  std::optional<CheckAt> at; // nothing = where the camshaft's check lift is taken
  std::optional<double> opens_deg;
  std::optional<double> closes_deg;
};
struct NewStop {
  std::optional<double> before_deg;
  std::optional<double> after_deg;
};
// A gap, until both its edges have been read.
struct NewGap {
  std::optional<double> near_mm;
  std::optional<double> far_mm;
  std::string under; // empty = the crank's
};

// The card that saves, or asks before closing or before another file is opened.
struct SaveCard {
  enum class Shown { no, save, close, open };
  Shown shown = Shown::no;
  std::string path;
  std::string fault;
  std::string then_open{}; // the file that is to be opened after it
  // Something else waits for the answer.
  [[nodiscard]] bool asks() const { return shown == Shown::close || shown == Shown::open; }
};

// The card that asks about work an earlier viewer left behind.
struct LeftCard {
  bool shown = false;
  std::string sentence; // when it was, and of what file
  std::string differs;
  std::string caution;
  std::string fault;
};

// The card that opens another file. A row without a path is a heading.
struct OpenRow {
  std::string label;
  std::string note;
  std::string path;
};
struct OpenCard {
  bool shown = false;
  std::string folder{};
  std::vector<OpenRow> rows{};
  std::string path{}; // what is opened: typed, or of the chosen row
  std::size_t chosen = 0;
  std::size_t first = 0;             // row that is shown at the top
  std::size_t fit = 1;               // rows that were shown in the last frame
  bool follow = true;                // the chosen row is kept in sight
  std::vector<std::string> faults{}; // why the last one could not be opened
};

// The buttons of the card that is shown, by keyboard.
struct CardKeys {
  std::size_t chosen = 0;
  std::size_t buttons = 0; // how many it had in the last frame
  bool press = false;      // the chosen one
  bool to_field = false;   // the keyboard is wanted there
};

// A field while it is typed into.
struct NumberEdit {
  std::string field; // the one that has the keyboard; empty = none
  std::string text;
  bool cancelled = false;    // Escape was pressed
  std::string problem_field; // the field whose last entry was refused
  std::string problem;
};

// A camshaft's sprocket while it is dragged to lay the planned chain.
struct ChainInHand {
  std::size_t camshaft = 0;
  double at_clock_deg = 0; // of the pointer about its shaft
  double turned_deg = 0;   // since it was taken hold of, clockwise on the screen
  int lay = 0;             // then
  int asked = 0;           // last
};

struct View {
  Step step = Step::correction;
  Shown shown = Shown::both;
  Units units = Units::mm;
  Theme theme = Theme::day;
  double scale = 1.0;        // of text and panels
  double crank_deg = 0.0;    // any finite angle; the chain remembers its turns
  bool crank_hidden = false; // of the last frame: nothing but the degree wheel may say it
  // Backward from a turn back until the lost motion has been turned forward again; so much of it is left.
  Turning turning = Turning::forward;
  double turn_forward_deg = 0.0;
  std::size_t camshaft = 0; // whose settings and key are shown; index into Engine::camshafts
  bool playing = false;
  bool slow = false;
  bool backward = false;
  bool help = false;
  bool meaning = true; // what each step means stands under its title
  PartsPage parts_page = PartsPage::figures;
  ValvesPage valves_page = ValvesPage::events;
  ReadingsPage readings_page = ReadingsPage::taken;
  ClearancePage clearance_page = ClearancePage::least;
  int cylinder = 1; // whose valves, piston, cycle and events are shown
  CrankingAssumptions cranking;
  NewReading reading;
  NewLobe lobe;
  NewStop stop;
  NewGap gap;
  std::size_t key_shaft = 0; // whose key is shown; as shafts_with_keys
  SaveCard save;
  LeftCard left;
  OpenCard open_card;
  OutputWishes output;
  Learning learning;
  CardKeys card;
  std::string notice;            // waits to be read; empty = none
  double magnify_key_step = 1.0; // 1 to 10, as magnify_gaps
  double magnify_gaps = 1.0;
  double apart = 0.0;            // 0 to 1: along the shafts, in the order of assembly
  bool section = false;          // in the key view: cut through the keyway
  bool instruments = true;       // of a step that has some: they are on the engine
  double strip_span_deg = 720.0; // of the cycle, what the strip shows; see strip_span.hpp
  double strip_low_deg = 0.0;
  std::optional<ChainInHand> chain_in_hand;
  Camera camera;
  NamedView subject = NamedView::end; // what the camera was last sent to, moved by hand since or not
  std::optional<NamedView> framed;    // the camera is this view's own; nothing once it has been moved by hand
  NumberEdit edit;
  KeyRing ring;
  std::map<std::string, bool>
      label_side; // on which side of the drive a label stood last (true = right), so that it stays

  void open(ViewerPage page);
  // A card lies over everything and wants an answer.
  [[nodiscard]] bool card_shown() const { return save.shown != SaveCard::Shown::no || left.shown || open_card.shown; }
};

// Asked for by panels and keys during a frame, carried out after it.
struct Actions {
  std::optional<Fitted> fitted; // a changed document, with the words for undo
  std::optional<Fitted> planned;
  std::optional<Measured> measured;
  std::optional<Document> document; // when more than one of them changes at once
  // What is being typed in is among what was changed, and is cleared once that is taken.
  enum class Clears { nothing, reading, lobe, stop, gap };
  Clears clears = Clears::nothing;
  std::string what;
  std::string field;                 // whose entry it was, so that a refusal stands beside it
  std::optional<std::size_t> option; // of the plan
  bool undo = false;
  bool redo = false;
  bool seek_explanation = false; // to be worked out beside, unless it is there
  bool seek_spread = false;
  Learn learn;
  enum class Output { nothing, make, cancel };
  Output output = Output::nothing;      // the file that is wanted, or the one in the making
  bool save = false;                    // into the build's file, or ask where
  bool save_elsewhere = false;          // ask where
  std::optional<std::string> save_to;   // that file
  bool leave = false;                   // close the viewer or open the other file, saved or not
  bool open = false;                    // ask which
  std::optional<std::string> open_path; // that file or folder
  enum class Left { nothing, take_up, put_aside, later };
  Left left = Left::nothing; // what becomes of work that was left behind
  std::optional<double> turn_to_deg;
  double turn_by_deg = 0.0;
  std::optional<Step> step;
  std::optional<std::size_t> camshaft;
  std::optional<NamedView> go_to;
  bool fit_again = false; // what is to be seen takes another room now: fit it, unless the camera was moved by hand
  std::optional<double> scale;
};

// The panel and page that is shown.
[[nodiscard]] ViewerPage page_of(const View& view);
// By the words of parts/viewer_words.hpp.
[[nodiscard]] std::optional<ViewerPage> parse_page(std::string_view word);
[[nodiscard]] std::string_view word_of(ViewerPage page);

// What the step's picture magnifies when asked to: gaps, where a step is about them, else the key's step.
[[nodiscard]] bool magnifies_gaps(Step step);
[[nodiscard]] double& magnified(View& view);

// Apart by that share, 0 to 1; near its ends it goes to them.
void take_apart(View& view, double share, Actions& actions);
inline constexpr double apart_step = 0.1; // by keys
// Cut through the keyway, which is to be seen in the key view, or whole again.
void cut_keyway(View& view, bool cut, Actions& actions);

// The view in which a step is best seen.
[[nodiscard]] NamedView view_of(Step step);

} // namespace phasewright::viewer
