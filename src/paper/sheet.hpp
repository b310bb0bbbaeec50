// What a build sheet says: everything worked out and put into words, nothing drawn yet. PDF, picture and web page are
// made from it, and so is what scripts get, so that they cannot differ.
#pragma once

#include "bench/figure_words.hpp"
#include "files/files.hpp"
#include "mechanics/events.hpp"
#include "paper/key_card.hpp"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace phasewright::paper {

enum class SheetTone { plain, quiet, good, warning, bad, inlet, exhaust };

// One entry of a table: what is printed, and the figure that the words say, rounded as they are.
struct SheetCell {
  std::string words;
  std::optional<double> figure{};
  SheetTone tone = SheetTone::plain; // where it is another than its row's
};

struct SheetRow {
  std::string key; // for scripts; no other row of its table has it
  std::vector<SheetCell> cells;
  SheetTone tone = SheetTone::plain;
};

// The first column says what a row is about; all rows have as many cells as the head.
struct SheetTable {
  std::string key;
  std::vector<std::string> head;
  std::vector<SheetRow> rows;
};

struct SheetWords {
  std::string words;
  SheetTone tone = SheetTone::plain;
};

struct SheetPart {
  std::string key;
  std::string title;
  std::vector<SheetWords> words;
  std::vector<SheetTable> tables;
  std::vector<std::string> notes; // small, below the tables
};

// Something to be done and ticked off; `blank`: there is a line for writing what was found.
struct SheetCheck {
  std::string words;
  bool blank = false;
};

// An offset key, to be drawn; `name` tells it from the others.
struct SheetKey {
  CardKey key;
  std::string name; // "cam key 2°, shaft half leading", with `at "inlet"` where there are several camshafts
};

// One state of the engine, for the drawings.
struct SheetState {
  std::string name; // "as fitted", "planned"
  std::optional<Events> events;
  // Of No. 1, crank degrees 0 to 720, both included; inlet, exhaust; empty where the engine has no such valve.
  std::array<std::vector<double>, 2> lift_mm;
};

struct BuildSheet {
  std::string title;                 // the build's, else the engine's name
  std::string engine;                // the engine's name
  std::string date;                  // of the readings; empty = not said
  SheetWords verdict;                // no better than the worst standing
  std::vector<SheetWords> standings; // everything else that is judged, a line each
  bool planned = false;              // it tells of an option of the plan, else of what is fitted
  bool safe = false;                 // clearances of the last state are worked out and within the limits, now and worn
  std::vector<std::string> cautions;
  SheetPart readings;
  SheetPart correction;
  SheetPart events;
  SheetPart clearances;
  SheetPart alignment;
  SheetPart as_read; // the readings as they were written down; no tables when there are none
  std::vector<SheetCheck> checks;
  SheetTable fasteners;           // no rows when the engine file names none
  std::vector<SheetKey> keys;     // the offset keys of the last state, camshafts' before the crank's
  std::vector<SheetState> states; // before and after; one where nothing changed
  Units units = Units::mm;

  // In the order they stand on the sheet.
  [[nodiscard]] std::vector<const SheetPart*> parts() const;
};

struct SheetOptions {
  // Of the plan, counted from 1, is what the sheet plans; 0 = what is fitted is recorded, and nothing is to be changed.
  int option = 1;
  int lay_reach = 1; // teeth either way; 0 to 10
  Units units = Units::mm;
};

// Problems: as plan_corrections and Mechanism::assemble; an option that the plan has not got (key "--plan").
[[nodiscard]] Result<BuildSheet> build_sheet(const Opened& opened, const SheetOptions& options);

} // namespace phasewright::paper
