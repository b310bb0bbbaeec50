#include "files/build_reader.hpp"

#include "files/limits.hpp"
#include "files/measured_reader.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright {

namespace {

constexpr Range key_deg{0, 20, "deg"};
constexpr Range offset_deg{-20, 20, "deg"}; // of a key or a slot
constexpr int lay_most = 10;
constexpr int holes_most = 60;

// One value for all, or a table of them by camshaft, where `others_key` holds for those not named.
template <class T, class Read>
void read_for_each(Reader& table, const char* key, T& for_all, std::map<std::string, T>& by_name, Read read) {
  if (!table.is_table(key)) {
    for_all = read(table, key);
    return;
  }
  Reader named = table.table(key, Reader::Need::required);
  for (const std::string& name : named.keys()) (name == others_key ? for_all : by_name[name]) = read(named, name);
}

HolePair read_holes(Reader& table, std::string_view key) {
  const std::vector<int> holes = table.wholes(key, 0, holes_most - 1, 2);
  if (holes.size() == 2) return {holes[0], holes[1]};
  if (table.has(key) && table.report().sound(table.path(key)))
    table.report().add(table.path(key), "", "two whole numbers, [hub hole, sprocket hole]");
  return {};
}

} // namespace

Fitted read_fitted(Reader table) {
  Fitted fitted;
  if (!table.present()) return fitted;
  const auto offset = [](Reader& from, std::string_view key) { return from.number(key, offset_deg, 0); };
  read_for_each(table, "lay", fitted.lay, fitted.lay_of,
                [](Reader& from, std::string_view key) { return from.whole(key, -lay_most, lay_most, 0); });
  fitted.crank_key_deg = table.number("crank_key_deg", offset_deg, 0);
  read_for_each(table, "cam_key_deg", fitted.cam_key_deg, fitted.cam_key_of, offset);
  fitted.elongation_percent = table.number("elongation_percent", {0, 5, "%"}, 0);
  fitted.centre_change_mm = table.number("centre_change_mm", {-5, 5, "mm"}, 0);
  read_for_each(table, "holes", fitted.holes, fitted.holes_of, read_holes);
  read_for_each(table, "slot_deg", fitted.slot_deg, fitted.slot_of, offset);
  read_for_each(table, "found_deg", fitted.found_deg, fitted.found_of, [](Reader& from, std::string_view key) {
    return from.number(key, {-60, 60, "deg"}, 0);
  });
  fitted.shim_mm = table.numbers("shim_mm", {0.005, 10, "mm"}, limits::stock);
  table.finish();
  return fitted;
}

namespace {

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
  constexpr std::array<const char*, 6> aims{"inlet_centre_deg",  "exhaust_centre_deg", "phase_deg", "event",
                                            "equal_lift_at_tdc", "effective_ratio"};
  if (table.has(aims[0])) target.inlet_centre_deg = table.number(aims[0], {60, 160, "deg"});
  if (table.has(aims[1])) target.exhaust_centre_deg = table.number(aims[1], {60, 160, "deg"});
  if (table.has(aims[2])) target.phase_deg = table.number(aims[2], {-60, 60, "deg"});
  target.event = read_event(table.table(aims[3], Reader::Need::optional));
  target.equal_lift_at_tdc = table.truth(aims[4], false);
  if (table.has(aims[5])) target.effective_ratio = table.number(aims[5], {2, 25, ""});
  const bool centres = table.has(aims[0]) && table.has(aims[1]);
  const auto stated = std::count_if(aims.begin(), aims.end(), [&table](const char* key) { return table.has(key); });
  if (stated > (centres ? 2 : 1))
    table.report().add(table.path(), "several targets",
                       "at most one of inlet_centre_deg, exhaust_centre_deg (or these two), phase_deg, event, "
                       "equal_lift_at_tdc, effective_ratio");
  target.camshaft = table.text("camshaft", "");
  target.preset_for_wear = table.truth("preset_for_wear", false);
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

Instruments read_instruments(Reader table) {
  Instruments instruments;
  if (!table.present()) return instruments;
  instruments.wheel_deg = table.number("wheel_deg", {0.01, 5, "deg"}, instruments.wheel_deg);
  instruments.indicator_mm = table.number("indicator_mm", {0.0001, 1, "mm"}, instruments.indicator_mm);
  instruments.dimension_mm = table.number("dimension_mm", {0, 2, "mm"}, instruments.dimension_mm);
  instruments.feeler_mm = table.number("feeler_mm", {0.001, 1, "mm"}, instruments.feeler_mm);
  instruments.caliper_mm = table.number("caliper_mm", {0.001, 1, "mm"}, instruments.caliper_mm);
  table.finish();
  return instruments;
}

Tolerances read_tolerances(Reader table) {
  Tolerances out;
  if (!table.present()) return out;
  out.centre_mm = table.number("centre_mm", {0, 2, "mm"}, out.centre_mm);
  out.chain_percent = table.number("chain_percent", {0, 2, "%"}, out.chain_percent);
  out.keyway_mm = table.number("keyway_mm", {0, 1, "mm"}, out.keyway_mm);
  out.crank_sprocket_deg = table.number("crank_sprocket_deg", {0, 5, "deg"}, out.crank_sprocket_deg);
  out.cam_sprocket_deg = table.number("cam_sprocket_deg", {0, 5, "deg"}, out.cam_sprocket_deg);
  out.key_deg = table.number("key_deg", {0, 5, "deg"}, out.key_deg);
  out.lobe_centre_deg = table.number("lobe_centre_deg", {0, 5, "deg"}, out.lobe_centre_deg);
  table.finish();
  return out;
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
  const auto check = [&](const auto& table, const char* key, const std::vector<std::string>& known, const char* what) {
    for (const auto& [name, value] : table)
      if (const std::string at = join_key(path + key, name);
          std::find(known.begin(), known.end(), name) == known.end() && report.sound(at))
        report.add(at, what, name_list(known));
  };
  const std::vector<std::string> camshafts = camshaft_names(engine);
  std::vector<std::string> known = camshafts;
  check(fitted.cam_key_of, ".cam_key_deg", camshafts, "an unknown camshaft");
  const std::vector<std::string> sprockets = laid_sprockets(engine);
  known.insert(known.end(), sprockets.begin(), sprockets.end());
  check(fitted.holes_of, ".holes", camshafts, "an unknown camshaft");
  check(fitted.slot_of, ".slot_deg", camshafts, "an unknown camshaft");
  check(fitted.found_of, ".found_deg", camshafts, "an unknown camshaft");
  check(fitted.lay_of, ".lay", known,
        sprockets.empty() ? "an unknown camshaft" : "neither a camshaft nor the driven sprocket of a jackshaft");
}

void check_hole_pair(const HolePair& holes, const std::string& key, const std::optional<Vernier>& stock,
                     Report& report) {
  if (holes == HolePair{} || !report.sound(key) || !report.sound("stock.vernier")) return;
  if (!stock)
    report.add(key, "", "[0, 0] without stock.vernier, which says how many holes there are");
  else if (holes.hub_hole >= stock->hub_holes || holes.sprocket_hole >= stock->sprocket_holes)
    report.add(key, "", fmt::format("[0 to {}, 0 to {}]", stock->hub_holes - 1, stock->sprocket_holes - 1));
}

void check_holes(const Build& build, Report& report) {
  const bool named = !build.fitted.holes_of.empty();
  check_hole_pair(build.fitted.holes, named ? join_key("fitted.holes", others_key) : "fitted.holes",
                  build.stock.vernier, report);
  for (const auto& [name, holes] : build.fitted.holes_of)
    check_hole_pair(holes, join_key("fitted.holes", name), build.stock.vernier, report);
}

// Both centres may be asked for where a camshaft each moves the valves.
void check_target(const Target& target, const Engine& engine, Report& report) {
  const std::vector<std::string> known = camshaft_names(engine);
  if (!target.camshaft.empty() && report.sound("target.camshaft") &&
      std::find(known.begin(), known.end(), target.camshaft) == known.end())
    report.add("target.camshaft", "", "a camshaft: " + name_list(known));
  if (!target.inlet_centre_deg || !target.exhaust_centre_deg || !report.sound("target")) return;
  for (const Camshaft& camshaft : engine.camshafts)
    if (camshaft.inlet && camshaft.exhaust)
      report.add("target.exhaust_centre_deg", "a second centre",
                 "inlet_centre_deg or exhaust_centre_deg: one camshaft has both lobes, and they move together");
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
  build.history = read_history(reader);
  build.instruments = read_instruments(reader.table("instruments", Reader::Need::optional));
  build.tolerances = read_tolerances(reader.table("tolerance", Reader::Need::optional));
  reader.finish();
  check_holes(build, report);
  if (build.stock.vernier) {
    build.fitted.vernier = build.measured.with.vernier = *build.stock.vernier;
    for (Measured& set : build.history) set.with.vernier = *build.stock.vernier;
  }
  return build;
}

void check_build(const Build& build, const Engine& engine, Report& report) {
  check_names(build.fitted, "fitted", engine, report);
  check_target(build.target, engine, report);
  if (build.measured.with != build.fitted) check_names(build.measured.with, "measured.with", engine, report);
  check_measured(build.measured, "measured", engine, report);
  for (std::size_t i = 0; i < build.history.size(); ++i) {
    const std::string path = join_index("history", i);
    check_names(build.history[i].with, join_key(path, "with"), engine, report);
    check_measured(build.history[i], path, engine, report);
  }
}

} // namespace phasewright
