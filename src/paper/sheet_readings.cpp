// What was read and what it comes to.
#include "bench/degree.hpp"
#include "paper/sheet_parts.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright::paper {

namespace {

SheetWords wheel_words(const WheelZero& wheel) {
  const std::string out_by = figure(coverage * wheel.u_deg, 2);
  if (!wheel.read)
    return {fmt::format("No piston stop was read: the wheel is taken to stand on TDC, ±{}°.", out_by),
            SheetTone::warning};
  const double shows_deg = -wheel.tdc_correction_deg;
  const std::string size = figure(std::fabs(shows_deg), 2);
  if (size == "0.00") return {fmt::format("The wheel stands on TDC, ±{}°.", out_by)};
  return {fmt::format("The wheel shows {}° (±{}°) too {} at TDC; that is taken off below.", size, out_by,
                      shows_deg > 0.0 ? "much" : "little")};
}

SheetTable lobes_table(const DegreeRead& read) {
  SheetTable table{
      "lobes", {"lobe centre, crank", "read", "may be out by", "with what was fitted", "maker’s card"}, {}};
  for (const LobeRead& lobe : read.lobes) {
    const bool inlet = lobe.valve == ValveKind::inlet;
    const char* from = inlet ? "° ATDC" : "° BTDC";
    table.rows.push_back(
        {.key = fmt::format("{}_{}", to_word(lobe.valve), lobe.cylinder),
         .cells = {plain_cell(fmt::format("{}, No. {}", to_word(lobe.valve), lobe.cylinder)),
                   figure_cell(lobe.centre_deg, 2, from), plus_minus_cell(coverage * lobe.u_deg, 2, "°"),
                   figure_cell(lobe.drawn_deg, 2, "°"), figure_cell(lobe.card_deg, 1, "°")},
         .tone = inlet ? SheetTone::inlet : SheetTone::exhaust});
  }
  return table;
}

SheetTable phases_table(const Engine& engine, const DegreeRead& read) {
  SheetTable table{
      "phase", {"camshaft, crank degrees, + = advanced", "phase", "may be out by", "fitted parts explain", "left"}, {}};
  for (const CamshaftRead& cam : read.camshafts)
    table.rows.push_back({.key = engine.camshafts[cam.camshaft].name,
                          .cells = {plain_cell(engine.camshafts[cam.camshaft].name), signed_cell(cam.phase_deg, 2, "°"),
                                    plus_minus_cell(coverage * cam.u_deg, 2, "°"),
                                    signed_cell(cam.drawn_phase_deg, 2, "°"), signed_cell(cam.extra_deg, 2, "°")}});
  return table;
}

SheetWords camshaft_words(const Engine& engine, const CamshaftRead& cam) {
  const std::string name = engine.camshafts.size() > 1
                               ? fmt::format("Camshaft \"{}\"", engine.camshafts[cam.camshaft].name)
                               : std::string("The camshaft");
  std::string words = fmt::format("{} stood {} by the maker’s card; that {}.", name, lateness(cam.phase_deg),
                                  cam.off_card ? "is real" : "may be chance");
  if (cam.off_drawn)
    words += fmt::format(" {}° of it no fitted part explains, and that is real.", signed_figure(cam.extra_deg, 2));
  return {words};
}

void add_read(const Engine& engine, const DegreeRead& read, SheetPart& part) {
  for (const SlipFound& slip : read.slips)
    part.words.push_back(
        {fmt::format("Written wrongly: {}. Figures below go by what is written.", slip.words), SheetTone::bad});
  part.words.push_back(wheel_words(read.wheel));
  if (read.slips.empty())
    for (const CamshaftRead& cam : read.camshafts) part.words.push_back(camshaft_words(engine, cam));
  for (const std::string& outlier : read.outliers) part.words.push_back({outlier + ".", SheetTone::warning});
  if (!read.lobes.empty()) part.tables.push_back(lobes_table(read));
  if (!read.camshafts.empty() && read.slips.empty()) part.tables.push_back(phases_table(engine, read));
  part.notes.emplace_back("May be out by: coverage factor k = 2 (JCGM 100), the wheel’s zero with it.");
}

SheetTable stops_table(const Measured& measured) {
  SheetTable table{"stops", {"piston stop, wheel", "before TDC", "after TDC"}, {}};
  for (std::size_t i = 0; i < measured.stop_deg.size(); ++i)
    table.rows.push_back(
        {.key = fmt::format("{}", i + 1),
         .cells = {plain_cell(fmt::format("pair {}", i + 1)), figure_cell(measured.stop_deg[i][0], 2, "°"),
                   figure_cell(measured.stop_deg[i][1], 2, "°")}});
  return table;
}

SheetTable lobe_readings_table(const Measured& measured, Units units) {
  SheetTable table{"lobe_readings",
                   {"dial indicator, wheel", fmt::format("lift, {}", unit_word(units)), "opens", "closes", "read at"},
                   {}};
  for (std::size_t i = 0; i < measured.lobe.size(); ++i) {
    const LobeReading& lobe = measured.lobe[i];
    const char* at = !lobe.at ? "as the card" : *lobe.at == CheckAt::valve ? "valve" : "tappet";
    table.rows.push_back({.key = fmt::format("{}", i + 1),
                          .cells = {plain_cell(fmt::format("{}, No. {}", to_word(lobe.valve), lobe.cylinder)),
                                    length_cell(lobe.lift_mm, units), figure_cell(lobe.opens_deg, 2, "°"),
                                    figure_cell(lobe.closes_deg, 2, "°"), plain_cell(at)},
                          .tone = lobe.valve == ValveKind::inlet ? SheetTone::inlet : SheetTone::exhaust});
  }
  return table;
}

SheetTable clearance_readings_table(const Measured& measured, Units units) {
  SheetTable table{"clearance_readings", {"valve to piston", "crank", fmt::format("felt, {}", unit_word(units))}, {}};
  for (std::size_t i = 0; i < measured.clearance.size(); ++i) {
    const ClearanceReading& one = measured.clearance[i];
    table.rows.push_back({.key = fmt::format("{}", i + 1),
                          .cells = {plain_cell(to_word(one.valve)), figure_cell(one.crank_deg, 1, "°"),
                                    length_cell(one.clearance_mm, units)},
                          .tone = one.valve == ValveKind::inlet ? SheetTone::inlet : SheetTone::exhaust});
  }
  return table;
}

// Gaps, floats, plates, pins and keys, as far as they were read.
SheetTable other_readings_table(const Measured& measured, Units units) {
  SheetTable table{"others", {fmt::format("other readings, {}", unit_word(units)), "read"}, {}};
  const auto dial = [units](double mm) {
    return units == Units::mm ? figure_cell(mm, 3) : figure_cell(mm / mm_per_thou, 1);
  };
  const auto row = [&](std::string key, std::string label, SheetCell cell) {
    table.rows.push_back({.key = std::move(key), .cells = {plain_cell(std::move(label)), std::move(cell)}});
  };
  if (measured.gap) {
    row("gap_near", fmt::format("straight-edge, under \"{}\", near edge", measured.gap->under),
        length_cell(measured.gap->near_mm, units));
    row("gap_far", fmt::format("straight-edge, under \"{}\", far edge", measured.gap->under),
        length_cell(measured.gap->far_mm, units));
  }
  for (std::size_t i = 0; i < measured.float_mm.size(); ++i)
    row(fmt::format("float_{}", i + 1), fmt::format("end float, reading {}", i + 1), dial(measured.float_mm[i]));
  if (measured.plate_mm) row("plate", "retaining plate, thick", length_cell(*measured.plate_mm, units));
  if (measured.boss_mm) row("boss", "boss, long", length_cell(*measured.boss_mm, units));
  for (std::size_t i = 0; i < measured.pins.size(); ++i)
    row(fmt::format("pins_{}", i + 1), "pins from mark to mark, taut side (a count)",
        figure_cell(measured.pins[i].pins, 0));
  for (const KeyReading& key : measured.key) {
    const auto part = [&](const char* what, const char* label, const std::optional<double>& mm) {
      if (mm)
        row(fmt::format("key_{}_{}", key.shaft, what), fmt::format("key of \"{}\", {}", key.shaft, label),
            length_cell(*mm, units));
    };
    part("height", "height", key.height_mm);
    part("width", "width", key.width_mm);
    part("seat_depth", "keyseat, deep", key.seat_depth_mm);
    part("seat_width", "keyseat, wide", key.seat_width_mm);
    part("hub_depth", "sprocket’s keyway, deep", key.hub_depth_mm);
    part("hub_width", "sprocket’s keyway, wide", key.hub_width_mm);
  }
  return table;
}

} // namespace

SheetPart readings_part(const SheetFacts& facts) {
  SheetPart part{.key = "readings", .title = "Readings", .words = {}, .tables = {}, .notes = {}};
  const Measured& measured = facts.build.measured;
  if (!measured.note.empty()) part.words.push_back({measured.note, SheetTone::quiet});
  if (measured.lobe.empty() && measured.stop_deg.empty()) {
    part.words.push_back(
        {"Wheel and dial indicator were not read: the sheet goes by the drive as it is drawn.", SheetTone::warning});
    return part;
  }
  if (const Result<DegreeRead> read = read_degree(facts.engine, measured, facts.build.instruments))
    add_read(facts.engine, *read, part);
  else
    part.words.push_back({to_text(read.problems().front()), SheetTone::bad});
  return part;
}

SheetPart as_read_part(const SheetFacts& facts) {
  SheetPart part{.key = "as_read", .title = "Readings as written down", .words = {}, .tables = {}, .notes = {}};
  const Measured& measured = facts.build.measured;
  if (!measured.stop_deg.empty()) part.tables.push_back(stops_table(measured));
  if (!measured.lobe.empty()) part.tables.push_back(lobe_readings_table(measured, facts.units));
  if (!measured.clearance.empty()) part.tables.push_back(clearance_readings_table(measured, facts.units));
  if (SheetTable others = other_readings_table(measured, facts.units); !others.rows.empty())
    part.tables.push_back(std::move(others));
  if (!part.tables.empty())
    part.notes.push_back(fmt::format("Limits of error taken: wheel ±{}°, indicator ±{}, feeler gauge ±{}.",
                                     figure(facts.build.instruments.wheel_deg, 2),
                                     dial_text(facts.build.instruments.indicator_mm, facts.units),
                                     dial_text(facts.build.instruments.feeler_mm, facts.units)));
  return part;
}

} // namespace phasewright::paper
