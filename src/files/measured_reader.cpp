#include "files/measured_reader.hpp"

#include "files/files.hpp"
#include "files/limits.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright {

namespace {

constexpr Range wheel_deg{0, 720, "deg"};
constexpr Range part_mm{0.1, 50, "mm"};
constexpr int most_pins = 1000;

ValveKind read_kind(Reader& table) {
  return table.choice<ValveKind>("valve", {{"inlet", ValveKind::inlet}, {"exhaust", ValveKind::exhaust}});
}

std::string read_date(Reader& table) {
  const std::string date = table.text("date", "");
  if (date.empty() || is_date(date)) return date;
  if (table.report().sound(table.path("date")))
    table.report().add(table.path("date"), "", "a day as \"YYYY-MM-DD\", in quotes");
  return {};
}

void read_lobes(Reader& table, Measured& measured) {
  for (Reader& row : table.tables("lobe", 0, limits::readings, "readings")) {
    LobeReading reading;
    reading.valve = read_kind(row);
    reading.cylinder = row.whole("cylinder", 1, 16, 1);
    reading.lift_mm = row.number("lift_mm", {0.01, 40, "mm"});
    if (row.has("at")) reading.at = row.choice<CheckAt>("at", {{"tappet", CheckAt::tappet}, {"valve", CheckAt::valve}});
    reading.opens_deg = row.number("opens_deg", wheel_deg);
    reading.closes_deg = row.number("closes_deg", wheel_deg);
    row.finish();
    measured.lobe.push_back(reading);
  }
}

void read_clearances(Reader& table, Measured& measured) {
  for (Reader& row : table.tables("clearance", 0, limits::readings, "readings")) {
    ClearanceReading reading;
    reading.valve = read_kind(row);
    reading.crank_deg = row.number("crank_deg", wheel_deg);
    reading.clearance_mm = row.number("clearance_mm", {0, 50, "mm"});
    row.finish();
    measured.clearance.push_back(reading);
  }
}

// By camshaft, or one figure where there is one camshaft only, which then has no name here.
void read_pins(Reader& table, Measured& measured) {
  if (!table.has("pins")) return;
  if (!table.is_table("pins")) {
    measured.pins.push_back({"", table.whole("pins", 0, most_pins)});
    return;
  }
  Reader named = table.table("pins", Reader::Need::required);
  for (const std::string& name : named.keys()) measured.pins.push_back({name, named.whole(name, 0, most_pins)});
}

void read_keys(Reader& table, Measured& measured) {
  for (Reader& row : table.tables("key", 0, limits::camshafts + 1, "keys")) {
    KeyReading reading;
    reading.shaft = row.text("shaft");
    const auto length = [&row](const char* key) {
      return row.has(key) ? std::optional(row.number(key, part_mm)) : std::nullopt;
    };
    reading.height_mm = length("height_mm");
    reading.width_mm = length("width_mm");
    reading.seat_depth_mm = length("seat_depth_mm");
    reading.seat_width_mm = length("seat_width_mm");
    reading.hub_depth_mm = length("hub_depth_mm");
    reading.hub_width_mm = length("hub_width_mm");
    row.finish();
    measured.key.push_back(reading);
  }
}

void read_axial(Reader& table, Measured& measured) {
  if (Reader gap = table.table("gap_mm", Reader::Need::optional); gap.present()) {
    measured.gap = GapReading{gap.number("near", {0, 20, "mm"}), gap.number("far", {0, 20, "mm"}), gap.text("under")};
    gap.finish();
  }
  measured.float_mm = table.numbers("float_mm", {0, 10, "mm"}, limits::readings);
  measured.float_of = table.text("float_of", "");
  if (table.has("plate_mm")) measured.plate_mm = table.number("plate_mm", {0.5, 30, "mm"});
  if (table.has("boss_mm")) measured.boss_mm = table.number("boss_mm", {0.5, 100, "mm"});
}

} // namespace

bool is_date(const std::string& text) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return false;
  std::array<int, 3> figures{};
  constexpr std::array<std::array<std::size_t, 2>, 3> places{{{0, 4}, {5, 7}, {8, 10}}};
  for (std::size_t i = 0; i < places.size(); ++i)
    for (std::size_t at = places[i][0]; at < places[i][1]; ++at) {
      if (text[at] < '0' || text[at] > '9') return false;
      figures[i] = 10 * figures[i] + (text[at] - '0');
    }
  const auto [year, month, day] = figures;
  if (month < 1 || month > 12) return false;
  constexpr std::array<int, 12> days{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
  return day >= 1 && day <= days[static_cast<std::size_t>(month - 1)] + (month == 2 && leap ? 1 : 0);
}

Measured read_measured(Reader table, const Fitted& fitted) {
  Measured measured;
  measured.with = fitted;
  if (!table.present()) return measured;
  measured.date = read_date(table);
  measured.note = table.text("note", "");
  measured.stop_deg = table.pairs("stop_deg", {-360, 720, "deg"}, limits::readings);
  read_lobes(table, measured);
  read_clearances(table, measured);
  read_axial(table, measured);
  read_pins(table, measured);
  read_keys(table, measured);
  measured.with = table.has("with") ? read_fitted(table.table("with", Reader::Need::required)) : fitted;
  table.finish();
  return measured;
}

std::vector<Measured> read_history(Reader& root) {
  std::vector<Measured> history;
  for (Reader& row : root.tables("history", 0, limits::history, "sets of readings")) {
    if (row.present() && !row.has("with"))
      row.missing("with", "what was fitted when these were read: with = { lay = 0, ... }, or {} for nothing but what "
                          "the maker drew");
    history.push_back(read_measured(row, Fitted{}));
  }
  return history;
}

std::vector<std::string> camshaft_names(const Engine& engine) {
  std::vector<std::string> names;
  for (const Camshaft& camshaft : engine.camshafts) names.push_back(camshaft.name);
  return names;
}

std::string name_list(const std::vector<std::string>& names) {
  std::string list;
  for (const std::string& name : names) list += (list.empty() ? "" : ", ") + name;
  return list;
}

void check_measured(const Measured& measured, const std::string& path, const Engine& engine, Report& report) {
  const auto known = [](const std::vector<std::string>& names, const std::string& name) {
    return std::find(names.begin(), names.end(), name) != names.end();
  };
  for (std::size_t i = 0; i < measured.lobe.size(); ++i) {
    const std::string key = join_key(join_index(join_key(path, "lobe"), i), "cylinder");
    if (report.sound(key) && measured.lobe[i].cylinder > engine.block.cylinders)
      report.add(key, "", fmt::format("a whole number 1 to {}", engine.block.cylinders));
  }
  const std::vector<std::string> camshafts = camshaft_names(engine);
  const std::string float_of = join_key(path, "float_of");
  if (!measured.float_of.empty() && report.sound(float_of) && !known(camshafts, measured.float_of))
    report.add(float_of, "", "a camshaft: " + name_list(camshafts));
  for (const PinCount& count : measured.pins) {
    const std::string key = join_key(path, "pins");
    if (!report.sound(key)) continue;
    if (count.camshaft.empty() && camshafts.size() > 1)
      report.add(key, "", fmt::format("a table by camshaft: {{ {} = {} }}", camshafts.front(), count.pins));
    else if (!count.camshaft.empty() && !known(camshafts, count.camshaft))
      report.add(join_key(key, count.camshaft), "an unknown camshaft", name_list(camshafts));
  }
  std::vector<std::string> shafts{"crank"};
  shafts.insert(shafts.end(), camshafts.begin(), camshafts.end());
  for (std::size_t i = 0; i < measured.key.size(); ++i) {
    const std::string key = join_key(join_index(join_key(path, "key"), i), "shaft");
    if (report.sound(key) && !known(shafts, measured.key[i].shaft))
      report.add(key, "", "a shaft: " + name_list(shafts));
  }
  const std::string under = join_key(join_key(path, "gap_mm"), "under");
  if (!measured.gap || !report.sound(under)) return;
  std::string names;
  for (const Loop& loop : engine.loops)
    for (const Sprocket& sprocket : loop.sprockets) {
      if (sprocket.name == measured.gap->under) return;
      names += (names.empty() ? "\"" : ", \"") + sprocket.name + "\"";
    }
  report.add(under, "", "a sprocket: " + names);
}

} // namespace phasewright
