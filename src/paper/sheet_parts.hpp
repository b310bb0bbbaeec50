// The pieces of build_sheet(), one to a file.
#pragma once

#include "bench/plan_words.hpp"
#include "mechanics/clearance.hpp"
#include "mechanics/judgement.hpp"
#include "paper/sheet.hpp"

namespace phasewright::paper {

// The engine in one state, with what the sheet tells of it.
struct Stage {
  std::string name;
  Mechanism mechanism;
  std::optional<Events> events;
  std::string events_fault;
  std::optional<ClearanceModel> model;
  std::string clearance_fault; // why there is none, or why the worn chain cannot be judged
  Judgement judged;
  Judgement judged_worn;
  bool within_limits = false; // as its Standing has it
  bool in_doubt = false;

  [[nodiscard]] bool safe() const { return within_limits; } // judged, and within all limits
  // Safe, but by less than the figures may be out by, or by readings that can hardly be right.
  [[nodiscard]] bool doubtful() const { return in_doubt; }
};

// What all parts of a sheet are made from.
struct SheetFacts {
  const Engine& engine;
  const Build& build;
  Units units = Units::mm;
  std::optional<Plan> plan;    // none where what is fitted is recorded
  std::size_t option = 0;      // index into its options
  std::optional<Stage> before; // none where nothing is known of it
  Stage after;

  [[nodiscard]] bool planned() const { return plan.has_value(); }
};

[[nodiscard]] Result<SheetFacts> sheet_facts(const Opened& opened, const SheetOptions& options);

[[nodiscard]] SheetPart readings_part(const SheetFacts& facts);
[[nodiscard]] SheetPart as_read_part(const SheetFacts& facts);
[[nodiscard]] SheetPart correction_part(const SheetFacts& facts);
[[nodiscard]] SheetPart events_part(const SheetFacts& facts);
[[nodiscard]] SheetPart clearances_part(const SheetFacts& facts);
[[nodiscard]] SheetPart alignment_part(const SheetFacts& facts);
[[nodiscard]] std::vector<SheetCheck> checks_of(const SheetFacts& facts);
[[nodiscard]] SheetTable fasteners_of(const Engine& engine);
[[nodiscard]] std::vector<SheetWords> standings_of(const SheetFacts& facts);
[[nodiscard]] SheetWords verdict_of(const SheetFacts& facts, const std::vector<SheetWords>& standings);
[[nodiscard]] std::vector<SheetKey> offset_keys(const SheetFacts& facts);

// Cells. `unit` follows the figure: "°", " mm".
[[nodiscard]] SheetCell plain_cell(std::string words);
[[nodiscard]] SheetCell figure_cell(double value, int decimals, const char* unit = "");
[[nodiscard]] SheetCell signed_cell(double value, int decimals, const char* unit = "");
[[nodiscard]] SheetCell plus_minus_cell(double value, int decimals, const char* unit = "");
[[nodiscard]] SheetCell length_cell(double mm, Units units); // to a hundredth of a millimetre, or a thou; no unit
// A clearance against its limit, both to a hundredth of a millimetre or a tenth of a thou: under it, it never reads as
// if it reached it, and says that it is under; a limit never reads as less than it is.
[[nodiscard]] SheetCell limit_cell(double mm, Units units);
[[nodiscard]] SheetCell gap_cell(const std::optional<double>& mm, double limit_mm, Units units);
[[nodiscard]] SheetCell event_cell(EventKind kind, double crank_deg);

// " at \"inlet\"" with more than one camshaft, else nothing.
[[nodiscard]] std::string at_camshaft(const Engine& engine, std::size_t camshaft);
[[nodiscard]] const KindEvents* events_of(const Events& events, ValveKind kind);

} // namespace phasewright::paper
