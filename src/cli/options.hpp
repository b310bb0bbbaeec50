// What was asked for on the command line.
#pragma once

#include "bench/offset_key.hpp"
#include "bench/spread.hpp"
#include "files/files.hpp"
#include "mechanics/drive_pose.hpp"
#include "mechanics/events.hpp"
#include "mechanics/volumes.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace phasewright::cli {

// Of the picture and the window; which state is shown, of the model too.
struct DrawOptions {
  std::string output;  // the picture's file
  std::string from;    // a named view; empty = the command's own
  std::string page;    // of the viewer's panels; empty = the correction
  int width_px = 1280; // 16 to 8192; of the window 640 x 480 and more
  int height_px = 800;
  bool night = false;
  std::optional<int> plan; // draw that option of the plan, counted from 1, with the present as a ghost
  bool reference = false;  // draw the reference assembly instead of what is fitted
  double magnify = 1.0;    // of the keys' step, or of gaps on the pages that are about them; 1 to 10
  double apart = 0.0;      // 0 to 1: along the shafts, in the order of assembly
  bool section = false;    // key view: cut through the keyway
  bool labels = false;     // write the scene's labels into the picture
  int cylinder = 1;        // whose valves and piston are drawn
  bool window = false;     // the whole viewer as a picture
  double scale = 1.0;      // of the text, and of the viewer's panels; 1 to 3
  // Which of them were said; of the others the window has its own settings.
  bool size_said = false;
  bool theme_said = false;
  bool scale_said = false;
  int frames = 0;        // turn so many, print their times and end; 0 = an ordinary window
  bool announce = false; // print what changed in the viewer
};

// Of a film.
enum class FilmOf { turn, lay, apart };
inline constexpr int most_gif_frames_per_second = 50; // its delays are hundredths of a second, and viewers heed two
struct FilmOptions {
  FilmOf of = FilmOf::turn;
  int frames = 240;           // 2 to 2000
  int frames_per_second = 30; // 5 to 60, of a GIF to 50
  double turns = 2.0;         // of the crank, 0.01 to 1000
  bool progress = false;      // say how far it is although nobody sits at a terminal
};

// Of the chain's study; what is not said is left out of it.
struct ChainOptions {
  int loop = 1;                           // which chain, counted from 1, the crank's first; to 4
  double band_deg = 2.0;                  // crank degrees either side of the new chain's phase; 0.01 to 30
  std::optional<int> count;               // pins counted between the marks along the taut side; 0 to 1000
  std::string camshaft;                   // the one whose mark they were counted from; empty = the only one
  std::optional<int> links;               // centres wanted for so many; 8 to 1000
  std::optional<double> centre_change_mm; // what boring or facing would do; -5 to 5
  // Warmth; the three come together.
  std::optional<double> block_per_k; // linear expansion per kelvin; 0 to 1e-4
  std::optional<double> chain_per_k; // likewise
  std::optional<double> rise_k;      // over the temperature the drawing holds for; -100 to 300
};

// Of the valve events.
struct EventsOptions {
  std::optional<int> cylinder = 1; // nothing = all of them
  std::vector<double> lifts_mm;    // further rows; each 0 to 40
  std::optional<LiftedAt> at;      // where those are taken; nothing = as the camshaft's check lift
  CrankingAssumptions cranking;
};

// Of what is written for other programs: a model of the state that DrawOptions says, curves, or all answers.
enum class ExportKind { model, curves, answers };
enum class CurvesOf { cycle, phase, lobe };
struct ExportOptions {
  std::string output; // the file; ends in .glb, .csv or .json
  ExportKind kind = ExportKind::curves;
  bool nuts = false; // of the model: shaft nuts and lock tabs too
  CurvesOf of = CurvesOf::cycle;
  double step_deg = 1.0; // 0.01 to 20; crank degrees, of the lobe cam degrees
};

// Of keys; deg and step exclude each other, and belong to the shaft `at` says or, without it, to each.
struct KeyOptions {
  std::optional<KeyAt> at;
  std::string camshaft;          // empty = all of them
  std::optional<double> deg;     // degrees of its own shaft, + = cam advanced; -90 to 90
  std::optional<double> step_mm; // likewise; up to the shaft's radius
};

// Of what is printed: degree wheel, key card and build sheet.
enum class WheelReads { clockwise, anticlockwise, both };
struct PrintOptions {
  std::string output;       // its file; ends in .pdf, .svg or .png, the sheet's also in .html
  bool letter = false;      // else A4
  int dpi = 300;            // of a PNG; 300 or 150
  std::optional<int> plan;  // as that option of the plan, counted from 1
  bool reference = false;   // as the maker's reference assembly has it
  double diameter_mm = 200; // of the wheel; 80 to 500
  std::optional<double> bore_mm;
  std::optional<WheelReads> reads; // for a crank that turns so; nothing = as the engine's does
  bool events = false;
  bool thou = false;   // lengths on the sheet in thou, else in millimetres
  bool record = false; // the sheet tells what is fitted; nothing is to be changed
};

// Of a build that is changed and saved.
struct SaveOptions {
  std::string output; // its file; empty = the one that was opened
  std::string date;   // of the readings that are put by, "2026-05-14"; empty = as they have it
  std::string note;   // likewise; up to 200 characters
  int option = 0;     // of the plan, counted from 1
};

// Of lessons; `check`, `answers` and `quantities` exclude each other.
struct LessonOptions {
  std::string learner;     // whose progress is told; empty = nobody's
  bool answers = false;    // the sheet with its answers
  bool check = false;      // try the lesson instead of printing it
  bool quantities = false; // what conditions may be about, instead of a lesson
};

// Of fault drills.
inline constexpr int most_drills = 100; // at once
struct DrillOptions {
  std::uint64_t seed = 1; // of the first
  int level = 1;          // 1 to most_drill_level
  int count = 1;          // with successive seeds; to most_drills
  bool readings = false;  // those of a careful apprentice too
  bool answers = false;   // the answer sheet
};

struct Options {
  std::string file; // engine or build, or a lesson's name or file; empty = the demo, or all lessons
  Overrides overrides;
  bool json = false;
  double crank_deg = 0.0; // up to most_crank_deg either way
  Turning turning = Turning::forward;
  int lay_reach = 1; // teeth either way; 0 to 10
  int top = 8;       // rows of the page; 1 to 1000
  DrawOptions draw;
  FilmOptions film;
  ChainOptions chain;
  EventsOptions events;
  ExportOptions curves;
  KeyOptions key;
  SaveOptions save;
  PrintOptions print;
  LessonOptions lesson;
  DrillOptions drill;
  std::string against;                 // a set of the history: "last", its number from 1 or its date; empty = none
  bool phase_curve = false;            // the clearance command's table against phase
  std::optional<SpreadOptions> spread; // what phase to expect; nothing = not asked
};

// Nearly 1400 cycles each way: beyond what anyone turns by hand, and angles there are still good to a billionth of a
// degree.
inline constexpr double most_crank_deg = 1e6;

// Which options a command takes besides FILE, --json, --set and --help.
enum class Takes {
  crank,
  turned,
  phase,
  chain,
  events,
  clearance,
  plan,
  against,
  keep,
  fit,
  drill,
  curves,
  lesson, // opens no engine or build
  key,
  wheel,
  key_card,
  sheet,
  picture,
  film,
  window
}; // picture, film and window exclude each other

struct Command; // commands.hpp

// What to do: go on with the options; or print a text (help) and end; or a fault of usage.
struct Parsed {
  std::optional<Options> options;
  std::string help;
  std::optional<Problem> fault;
};

// `arguments`: those after the command's name.
[[nodiscard]] Parsed parse_options(const Command& command, const std::vector<std::string>& arguments);

} // namespace phasewright::cli
