#include "files/build_reader.hpp"

#include "files/limits.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright {

namespace {

constexpr Range key_deg{0, 20, "deg"};
constexpr Range wheel_deg{0, 720, "deg"};
constexpr Range offset_deg{-20, 20, "deg"}; // of a key or a slot
constexpr int lay_most = 10;
constexpr int holes_most = 60;

void read_lay(Reader& table, Fitted& fitted) {
  if (!table.is_table("lay")) {
    fitted.lay = table.whole("lay", -lay_most, lay_most, 0);
    return;
  }
  Reader lay = table.table("lay", Reader::Need::required);
  for (const std::string& name : lay.keys())
    (name == others_key ? fitted.lay : fitted.lay_of[name]) = lay.whole(name, -lay_most, lay_most, 0);
}

void read_cam_key(Reader& table, Fitted& fitted) {
  if (!table.is_table("cam_key_deg")) {
    fitted.cam_key_deg = table.number("cam_key_deg", offset_deg, 0);
    return;
  }
  Reader keys = table.table("cam_key_deg", Reader::Need::required);
  for (const std::string& name : keys.keys())
    (name == others_key ? fitted.cam_key_deg : fitted.cam_key_of[name]) = keys.number(name, offset_deg, 0);
}

Fitted read_fitted(Reader table) {
  Fitted fitted;
  if (!table.present()) return fitted;
  read_lay(table, fitted);
  fitted.crank_key_deg = table.number("crank_key_deg", offset_deg, 0);
  read_cam_key(table, fitted);
  fitted.elongation_percent = table.number("elongation_percent", {0, 5, "%"}, 0);
  fitted.centre_change_mm = table.number("centre_change_mm", {-5, 5, "mm"}, 0);
  const std::vector<int> holes = table.wholes("holes", 0, holes_most - 1, 2);
  if (holes.size() == 2) {
    fitted.holes = {holes[0], holes[1]};
  } else if (table.has("holes") && table.report().sound(table.path("holes"))) {
    table.report().add(table.path("holes"), "", "two whole numbers, [hub hole, sprocket hole]");
  }
  fitted.slot_deg = table.number("slot_deg", offset_deg, 0);
  table.finish();
  return fitted;
}

std::optional<TargetEvent> read_event(Reader table) {
  if (!table.present()) return std::nullopt;
  TargetEvent event;
  int count = 0;
  std::string allowed;
  for (const EventKey& name : event_keys) {
    allowed += (allowed.empty() ? "" : ", ") + std::string(name.key);
    if (!table.has(name.key)) continue;
    ++count;
    event.kind = name.kind;
    event.deg = table.number(name.key, {-180, 180, "deg"});
  }
  if (count != 1) table.report().add(table.path(), fmt::format("{} events", count), "exactly one of " + allowed);
  event.at_lift_mm = table.number("at_lift_mm", {0, 40, "mm"}, 0);
  table.finish();
  return event;
}

Target read_target(Reader table) {
  Target target;
  if (!table.present()) return target;
  constexpr std::array<const char*, 3> aims{"inlet_centre_deg", "phase_deg", "event"};
  if (table.has(aims[0])) target.inlet_centre_deg = table.number(aims[0], {60, 160, "deg"});
  if (table.has(aims[1])) target.phase_deg = table.number(aims[1], {-60, 60, "deg"});
  target.event = read_event(table.table(aims[2], Reader::Need::optional));
  if (std::count_if(aims.begin(), aims.end(), [&table](const char* key) { return table.has(key); }) > 1)
    table.report().add(table.path(), "several targets", "at most one of inlet_centre_deg, phase_deg, event");
  target.min_clearance_inlet_mm = table.number("min_clearance_inlet_mm", {0, 10, "mm"}, target.min_clearance_inlet_mm);
  target.min_clearance_exhaust_mm =
      table.number("min_clearance_exhaust_mm", {0, 10, "mm"}, target.min_clearance_exhaust_mm);
  target.min_clearance_radial_mm =
      table.number("min_clearance_radial_mm", {0, 10, "mm"}, target.min_clearance_radial_mm);
  target.min_valve_to_valve_mm = table.number("min_valve_to_valve_mm", {0, 10, "mm"}, target.min_valve_to_valve_mm);
  table.finish();
  return target;
}

Stock read_stock(Reader table) {
  Stock stock;
  if (!table.present()) return stock;
  stock.crank_key_deg = table.numbers("crank_key_deg", key_deg, limits::stock);
  stock.cam_key_deg = table.numbers("cam_key_deg", key_deg, limits::stock);
  if (Reader vernier = table.table("vernier", Reader::Need::optional); vernier.present()) {
    stock.vernier = Vernier{vernier.whole("hub_holes", 2, holes_most), vernier.whole("sprocket_holes", 2, holes_most)};
    vernier.finish();
  }
  if (table.has("slots_deg")) {
    stock.slots_deg = table.pair("slots_deg", offset_deg);
    if (table.report().sound(table.path("slots_deg")) && !((*stock.slots_deg)[0] <= (*stock.slots_deg)[1]))
      table.report().add(table.path("slots_deg"), "", "the lesser figure first");
  }
  stock.shim_mm = table.numbers("shim_mm", {0.005, 10, "mm"}, limits::stock);
  table.finish();
  return stock;
}

ValveKind read_kind(Reader& table) {
  return table.choice<ValveKind>("valve", {{"inlet", ValveKind::inlet}, {"exhaust", ValveKind::exhaust}});
}

// `fitted`: what is fitted now, which is what was fitted then unless the readings say otherwise.
Measured read_measured(Reader table, const Fitted& fitted) {
  Measured measured;
  measured.with = fitted;
  if (!table.present()) return measured;
  measured.stop_deg = table.pairs("stop_deg", {-360, 720, "deg"}, limits::readings);
  for (Reader& row : table.tables("lobe", 0, limits::readings, "readings")) {
    LobeReading reading;
    reading.valve = read_kind(row);
    reading.cylinder = row.whole("cylinder", 1, 16, 1);
    reading.lift_mm = row.number("lift_mm", {0.01, 40, "mm"});
    reading.opens_deg = row.number("opens_deg", wheel_deg);
    reading.closes_deg = row.number("closes_deg", wheel_deg);
    row.finish();
    measured.lobe.push_back(reading);
  }
  for (Reader& row : table.tables("clearance", 0, limits::readings, "readings")) {
    ClearanceReading reading;
    reading.valve = read_kind(row);
    reading.crank_deg = row.number("crank_deg", wheel_deg);
    reading.clearance_mm = row.number("clearance_mm", {0, 50, "mm"});
    row.finish();
    measured.clearance.push_back(reading);
  }
  if (Reader gap = table.table("gap_mm", Reader::Need::optional); gap.present()) {
    measured.gap = GapReading{gap.number("near", {0, 20, "mm"}), gap.number("far", {0, 20, "mm"}), gap.text("under")};
    gap.finish();
  }
  measured.float_mm = table.numbers("float_mm", {0, 10, "mm"}, limits::readings);
  measured.with = table.has("with") ? read_fitted(table.table("with", Reader::Need::required)) : fitted;
  table.finish();
  return measured;
}

Instruments read_instruments(Reader table) {
  Instruments instruments;
  if (!table.present()) return instruments;
  instruments.wheel_deg = table.number("wheel_deg", {0.01, 5, "deg"}, instruments.wheel_deg);
  instruments.indicator_mm = table.number("indicator_mm", {0.0001, 1, "mm"}, instruments.indicator_mm);
  instruments.dimension_mm = table.number("dimension_mm", {0, 2, "mm"}, instruments.dimension_mm);
  table.finish();
  return instruments;
}

// The sprockets whose lay goes by their own name: they drive a later loop and no camshaft. Not the crank's, which every
// lay is counted from, nor the first of a later loop: of its shaft the sprocket that turns it is laid.
std::vector<std::string> laid_sprockets(const Engine& engine) {
  std::vector<std::string> names;
  for (std::size_t loop = 1; loop < engine.loops.size(); ++loop) {
    auto place = find_sprocket(engine, engine.loops[loop].driven_from);
    while (place && place->sprocket == 0 && place->loop > 0)
      place = find_sprocket(engine, engine.loops[place->loop].driven_from);
    if (!place || place->sprocket == 0 || !sprocket_at(engine, *place).camshaft.empty()) continue;
    const std::string& name = sprocket_at(engine, *place).name;
    if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
  }
  return names;
}

// The names in the tables of `fitted`, which stands at `path`.
void check_names(const Fitted& fitted, const std::string& path, const Engine& engine, Report& report) {
  const auto listed = [](const std::vector<std::string>& names) {
    std::string list;
    for (const std::string& name : names) list += (list.empty() ? "" : ", ") + name;
    return list;
  };
  const auto check = [&](const auto& table, const char* key, const std::vector<std::string>& known, const char* what) {
    for (const auto& [name, value] : table)
      if (const std::string at = join_key(path + key, name);
          std::find(known.begin(), known.end(), name) == known.end() && report.sound(at))
        report.add(at, what, listed(known));
  };
  std::vector<std::string> known;
  for (const Camshaft& camshaft : engine.camshafts) known.push_back(camshaft.name);
  check(fitted.cam_key_of, ".cam_key_deg", known, "an unknown camshaft");
  const std::vector<std::string> sprockets = laid_sprockets(engine);
  known.insert(known.end(), sprockets.begin(), sprockets.end());
  check(fitted.lay_of, ".lay", known,
        sprockets.empty() ? "an unknown camshaft" : "neither a camshaft nor the driven sprocket of a jackshaft");
}

void check_holes(const Build& build, Report& report) {
  const HolePair& holes = build.fitted.holes;
  if (holes == HolePair{} || !report.sound("fitted.holes") || !report.sound("stock.vernier")) return;
  if (!build.stock.vernier) {
    report.add("fitted.holes", "", "[0, 0] without stock.vernier, which says how many holes there are");
  } else if (holes.hub_hole >= build.stock.vernier->hub_holes ||
             holes.sprocket_hole >= build.stock.vernier->sprocket_holes) {
    report.add(
        "fitted.holes", "",
        fmt::format("[0 to {}, 0 to {}]", build.stock.vernier->hub_holes - 1, build.stock.vernier->sprocket_holes - 1));
  }
}

} // namespace

Build read_build(const Node& root, bool whole_file, Report& report) {
  Reader reader(report, &root, "");
  Build build;
  if (whole_file) (void)reader.text("format"); // checked when the file was opened
  build.engine = reader.text("engine", whole_file ? std::nullopt : std::optional<std::string>(""));
  build.title = reader.text("title", "");
  build.fitted = read_fitted(reader.table("fitted", Reader::Need::optional));
  build.target = read_target(reader.table("target", Reader::Need::optional));
  build.stock = read_stock(reader.table("stock", Reader::Need::optional));
  build.measured = read_measured(reader.table("measured", Reader::Need::optional), build.fitted);
  build.instruments = read_instruments(reader.table("instruments", Reader::Need::optional));
  reader.finish();
  check_holes(build, report);
  if (build.stock.vernier) build.fitted.vernier = build.measured.with.vernier = *build.stock.vernier;
  return build;
}

void check_build(const Build& build, const Engine& engine, Report& report) {
  check_names(build.fitted, "fitted", engine, report);
  if (build.measured.with != build.fitted) check_names(build.measured.with, "measured.with", engine, report);
  for (std::size_t i = 0; i < build.measured.lobe.size(); ++i) {
    const std::string key = join_key(join_index("measured.lobe", i), "cylinder");
    if (report.sound(key) && build.measured.lobe[i].cylinder > engine.block.cylinders)
      report.add(key, "", fmt::format("a whole number 1 to {}", engine.block.cylinders));
  }
  if (!build.measured.gap || !report.sound("measured.gap_mm.under")) return;
  std::string names;
  for (const Loop& loop : engine.loops)
    for (const Sprocket& sprocket : loop.sprockets) {
      if (sprocket.name == build.measured.gap->under) return;
      names += (names.empty() ? "\"" : ", \"") + sprocket.name + "\"";
    }
  report.add("measured.gap_mm.under", "", "a sprocket: " + names);
}

} // namespace phasewright
