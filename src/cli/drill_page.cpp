// What the apprentice is told of a drill.
#include "bench/drill_card.hpp"
#include "bench/drill_words.hpp"
#include "bench/figure_words.hpp"
#include "bench/fit_words.hpp"
#include "bench/reading_model.hpp"
#include "cli/drill_sheets.hpp"
#include "cli/fit_page.hpp"
#include "cli/fitted_words.hpp"
#include "cli/words.hpp"
#include "mechanics/judgement.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <utility>

namespace phasewright::cli {

namespace {

// What readings are held against.
std::string maker_words(const Drill& drill) {
  const Engine& engine = drill.engine();
  std::vector<std::string> words{
      fmt::format("sprockets in line to {} mm", fixed(engine.loops[0].chain.alignment_mm, 2))};
  if (const auto seat = engine.cam_seats.find(drill.float_of);
      seat != engine.cam_seats.end() && seat->second.end_float_mm)
    words.push_back(fmt::format("end float {} to {} mm", fixed((*seat->second.end_float_mm)[0], 2),
                                fixed((*seat->second.end_float_mm)[1], 2)));
  if (const Result<Measured> right = drill.card->explainer.foretell("nothing is wrong"))
    for (const PinCount& count : right->pins)
      words.push_back(fmt::format("{} pins from \"{}\" to the crank", count.pins, count.camshaft));
  return fmt::format("{}", fmt::join(words, "; "));
}

std::string card_page(const Drill& drill) {
  const Engine& engine = drill.engine();
  const Build& given = drill.given;
  std::vector<std::vector<std::string>> rows{{"The card says", ""}};
  const auto add = [&](const std::string& of, const std::string& words) {
    if (!words.empty()) rows.push_back({of, words});
  };
  const std::string& first = engine.camshafts.front().name;
  add("crank", cause_words("crank key", engine, given.fitted, first));
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
    const std::string& name = engine.camshafts[i].name;
    const std::string where = engine.camshafts.size() > 1 ? fmt::format("camshaft \"{}\"", name) : "camshaft";
    add(where, cause_words("lay", engine, given.fitted, name));
    add("", cause_words("cam key", engine, given.fitted, name));
    add("", cause_words("vernier", engine, given.fitted, name));
    add("", cause_words("slots", engine, given.fitted, name));
  }
  add("wear", cause_words("elongation", engine, given.fitted, first));
  add("block", cause_words("centre change", engine, given.fitted, first));
  add("shims", fmt::format("{} mm behind the crank's sprocket", pieces_words(given.fitted.shim_mm)));
  for (const ValveKind kind : valve_kinds)
    for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
      const std::optional<ValveGear>& gear =
          kind == ValveKind::inlet ? engine.camshafts[i].inlet : engine.camshafts[i].exhaust;
      if (gear)
        add(fmt::format("{} lobes", to_word(kind)),
            fmt::format("lash {} mm; lobe centre should be {}° {}", fixed(gear->lash_mm, 2),
                        fixed(centre_on_card_deg(drill, kind), 1), kind == ValveKind::inlet ? "ATDC" : "BTDC"));
    }
  add("maker", maker_words(drill));
  return table({Align::left, Align::left}, rows);
}

std::string instruments_page(const DrillSheet& sheet) {
  const Instruments& limits = sheet.drill.given.instruments;
  const bool shows_lobes = sheet.drill.handed_on || sheet.shows_readings;
  return fmt::format(
      "{}At hand: degree wheel (±{}°), piston stop, dial indicator (±{} mm), feelers (±{} mm), straight-edge; "
      "the pins can be counted. ±: what it may be out by at most.\n",
      shows_lobes ? "Lobes are as the wheel shows them; the stop tells how far that is out. " : "", limits.wheel_deg,
      limits.indicator_mm, limits.feeler_mm);
}

// Readings as they are written down: what, and what it showed.
using Rows = std::vector<std::vector<std::string>>;

void add_stop_and_lobes(const Engine& engine, const Measured& measured, Rows& rows) {
  for (const std::array<double, 2>& pair : measured.stop_deg)
    rows.push_back(
        {"piston stop, before and after TDC", fmt::format("{}° and {}°", fixed(pair[0], 1), fixed(pair[1], 1))});
  for (const LobeReading& reading : measured.lobe)
    rows.push_back({lobe_words(engine, reading) + ", opening and closing",
                    fmt::format("{}° and {}°", fixed(reading.opens_deg, 1), fixed(reading.closes_deg, 1))});
}

void add_rest(const DrillSheet& sheet, Rows& rows) {
  const Measured& measured = sheet.taken.measured;
  for (const ClearanceReading& reading : measured.clearance)
    rows.push_back(
        {fmt::format("{} valve down to the piston, {}", to_word(reading.valve), crank_words(reading.crank_deg, false)),
         fmt::format("{} mm", fixed(reading.clearance_mm, 2))});
  for (const PinCount& count : measured.pins)
    rows.push_back({fmt::format("pins, mark of \"{}\" to the crank's, taut strand", count.camshaft),
                    fmt::format("{}", count.pins)});
  if (measured.gap)
    rows.push_back({fmt::format("feeler under the straight-edge at \"{}\", near and far edge", measured.gap->under),
                    fmt::format("{} and {} mm", fixed(measured.gap->near_mm, 2), fixed(measured.gap->far_mm, 2))});
  std::string floats;
  for (const double mm : measured.float_mm) floats += (floats.empty() ? "" : ", ") + fixed(mm, 3);
  if (!floats.empty()) rows.push_back({fmt::format("end float of \"{}\"", measured.float_of), floats + " mm"});
  for (const LashReading& reading : sheet.taken.lash)
    rows.push_back({fmt::format("{} lash by feeler, No. 1 at firing TDC", to_word(reading.valve)),
                    fmt::format("{} mm", fixed(reading.lash_mm, 2))});
}

std::string readings_page(const DrillSheet& sheet) {
  const Drill& drill = sheet.drill;
  std::string page;
  if (drill.handed_on) {
    Rows rows{{"Handed on with it: readings of those who had it before", ""}};
    add_stop_and_lobes(drill.engine(), drill.given.measured, rows);
    page += table({Align::left, Align::left}, rows) + "\n";
  }
  if (!sheet.shows_readings) return page;
  Rows rows{{drill.handed_on ? "Readings since" : "Readings", ""}};
  if (!drill.handed_on) add_stop_and_lobes(drill.engine(), sheet.taken.measured, rows);
  add_rest(sheet, rows);
  return page + table({Align::left, Align::left}, rows) + "\n";
}

std::string choices_page(const Drill& drill) {
  std::string page;
  for (const auto& [means, keys] : by_meaning(drill.faults()))
    page += fmt::format("  {}: {}.\n", fmt::join(keys, ", "), means);
  return page;
}

std::string words_page() {
  std::string page = "\nWords:\n";
  for (const WordMeaning& row : drill_words) page += fmt::format("  {}: {}.\n", row.word, row.means);
  return page;
}

Json choices_json(const Drill& drill) {
  Json json = Json::array();
  for (const DrillFault& fault : drill.faults()) json.add(Json::object({{"fault", fault.key}, {"means", fault.means}}));
  return json;
}

Json measured_json(const Measured& measured) {
  Json stops = Json::array();
  for (const std::array<double, 2>& pair : measured.stop_deg) stops.add(Json::array({pair[0], pair[1]}));
  Json lobes = Json::array();
  for (const LobeReading& reading : measured.lobe)
    lobes.add(Json::object({{"valve", to_word(reading.valve)},
                            {"cylinder", reading.cylinder},
                            {"lift_mm", reading.lift_mm},
                            {"at", *reading.at == CheckAt::tappet ? "tappet" : "valve"},
                            {"opens_deg", reading.opens_deg},
                            {"closes_deg", reading.closes_deg}}));
  return Json::object({{"stop_deg", stops}, {"lobe", lobes}});
}

Json rest_json(const DrillSheet& sheet, Json json) {
  const Measured& measured = sheet.taken.measured;
  Json clearances = Json::array();
  for (const ClearanceReading& reading : measured.clearance)
    clearances.add(Json::object(
        {{"valve", to_word(reading.valve)}, {"crank_deg", reading.crank_deg}, {"clearance_mm", reading.clearance_mm}}));
  Json pins = Json::array();
  for (const PinCount& count : measured.pins)
    pins.add(Json::object({{"camshaft", count.camshaft}, {"pins", count.pins}}));
  Json lash = Json::array();
  for (const LashReading& reading : sheet.taken.lash)
    lash.add(Json::object({{"valve", to_word(reading.valve)}, {"lash_mm", reading.lash_mm}}));
  json.set("clearance", clearances).set("pins", pins).set("lash", lash);
  json.set("gap_mm", measured.gap ? Json::object({{"near", measured.gap->near_mm},
                                                  {"far", measured.gap->far_mm},
                                                  {"under", measured.gap->under}})
                                  : Json());
  json.set("float_of", measured.float_of).set("float_mm", figures_json(measured.float_mm));
  return json;
}

} // namespace

std::string class_sheet(const DrillSheet& sheet) {
  const Drill& drill = sheet.drill;
  std::string page =
      fmt::format("{}: {}\n{}\n\n", drill.given.title, level_words(drill.ask.level), drill.engine().name);
  page += card_page(drill) + "\n" + readings_page(sheet) + instruments_page(sheet);
  page += fmt::format("\nFind out what is wrong, and what puts it right. {}, of these:\n",
                      faults_of_level(drill.ask.level) == 1 ? "It is one thing" : "It is two things at once");
  page += choices_page(drill) + words_page();
  page += "\nName:\nWhat is wrong:\nHow it shows:\nWhat puts it right:\n\n" + cautions();
  return page;
}

Json class_json(const DrillSheet& sheet) {
  const Drill& drill = sheet.drill;
  Json json = Json::object({{"seed", static_cast<long long>(drill.ask.seed)},
                            {"level", drill.ask.level},
                            {"words", level_words(drill.ask.level)},
                            {"hides", faults_of_level(drill.ask.level)},
                            {"engine", drill.engine().name},
                            {"may_be", choices_json(drill)}});
  Json centres = Json::object();
  for (const ValveKind kind : valve_kinds)
    if (drill.truth->mechanism.motion(kind) != nullptr) centres.set(to_word(kind), centre_on_card_deg(drill, kind));
  json.set("wanted_centre_deg", centres);
  const Instruments& limits = drill.given.instruments;
  json.set("instruments", Json::object({{"wheel_deg", limits.wheel_deg},
                                        {"indicator_mm", limits.indicator_mm},
                                        {"feeler_mm", limits.feeler_mm}}));
  json.set("handed_on", drill.handed_on ? measured_json(drill.given.measured) : Json());
  json.set("readings", sheet.shows_readings ? rest_json(sheet, measured_json(sheet.taken.measured)) : Json());
  return json;
}

} // namespace phasewright::cli
