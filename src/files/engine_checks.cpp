#include "files/engine_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace phasewright {

namespace {

std::string in_list(const char* list, std::size_t index, const char* key) {
  return join_key(join_index(list, index), key);
}

void check_block(const Block& block, Report& report) {
  if (report.sound("block.firing_order") && report.sound("block.cylinders")) {
    std::vector<int> sorted = block.firing_order;
    std::sort(sorted.begin(), sorted.end());
    bool each_once = sorted.size() == static_cast<std::size_t>(block.cylinders);
    for (std::size_t i = 0; i < sorted.size(); ++i) each_once = each_once && sorted[i] == static_cast<int>(i) + 1;
    if (!each_once || block.firing_order.front() != 1)
      report.add("block.firing_order", "",
                 fmt::format("each cylinder from 1 to {} once, No. 1 first", block.cylinders));
  }
  if (report.sound("block.rod_mm") && report.sound("block.stroke_mm") && report.sound("block.pin_offset_mm")) {
    const double least = block.stroke_mm / 2 + std::abs(block.pin_offset_mm);
    if (!(block.rod_mm > least))
      report.add("block.rod_mm", "",
                 fmt::format("more than {} mm, half the stroke and the pin offset together", least));
  }
}

// Dimensions given one by one: a chain that can be put together. Those by ISO 606 number can.
void check_chain(const Chain& chain, Report& report) {
  if (!chain.iso606.empty() || !report.sound("chain")) return;
  const auto less = [&report](const char* key, double value_mm, double than_mm, const char* what) {
    if (!(value_mm < than_mm))
      report.add(join_key("chain", key), "", fmt::format("less than {} mm, {}", than_mm, what));
  };
  less("pin_mm", chain.pin_mm, chain.roller_mm, "the roller's diameter");
  less("roller_mm", chain.roller_mm, chain.pitch_mm, "the pitch");
  less("plate_height_mm", chain.plate_height_mm, 1.5 * chain.pitch_mm, "one and a half pitches");
}

std::string list_names(const std::vector<std::string>& names) {
  std::string text;
  for (const std::string& name : names) text += (text.empty() ? "\"" : ", \"") + name + "\"";
  return text;
}

void check_sprockets(const Engine& engine, Report& report) {
  std::vector<std::string> camshafts;
  for (const Camshaft& camshaft : engine.camshafts) camshafts.push_back(camshaft.name);
  std::set<std::string> names;
  for (std::size_t i = 0; i < engine.loops[0].sprockets.size(); ++i) {
    const Sprocket& sprocket = engine.loops[0].sprockets[i];
    if (!sprocket.name.empty() && !names.insert(sprocket.name).second)
      report.add(in_list("sprocket", i, "name"), "", "a name that no other sprocket has");
    if (sprocket.camshaft.empty()) continue;
    if (i == 0) {
      report.add(in_list("sprocket", i, "camshaft"), "", "",
                 "the first sprocket is the crank's and drives no camshaft");
    } else if (report.sound("camshaft") &&
               std::find(camshafts.begin(), camshafts.end(), sprocket.camshaft) == camshafts.end()) {
      report.add(in_list("sprocket", i, "camshaft"), "", "a camshaft: " + list_names(camshafts));
    }
  }
  if (!engine.loops[0].sprockets.empty() && engine.loops[0].sprockets.front().wrap == Wrap::outside)
    report.add(in_list("sprocket", 0, "wrap"), "", "\"inside\" for the crank");
}

void check_camshafts(const Engine& engine, Report& report) {
  std::set<std::string> names;
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
    const Camshaft& camshaft = engine.camshafts[i];
    const std::string key = in_list("camshaft", i, "name");
    if (camshaft.name.empty()) continue;
    if (!names.insert(camshaft.name).second) report.add(key, "", "a name that no other camshaft has");
    if (camshaft.name == "crank")
      report.add(key, "", "any name but \"crank\", which stands for the crankshaft in [shaft.crank]");
    const auto drives = [&camshaft](const Sprocket& sprocket) { return sprocket.camshaft == camshaft.name; };
    const auto count = std::count_if(engine.loops[0].sprockets.begin(), engine.loops[0].sprockets.end(), drives);
    if (count != 1 && report.sound("sprocket") && report.sound(key))
      report.add(key, fmt::format("{} sprockets with camshaft = \"{}\"", count, camshaft.name), "exactly one");
  }
}

void check_guide(const Guide& guide, const Engine& engine, const std::string& path, Report& report) {
  const std::string key = join_key(path, "strand");
  if (!report.sound(key) || !report.sound("sprocket")) return;
  std::string strands;
  for (std::size_t i = 0; i < engine.loops[0].sprockets.size(); ++i) {
    const std::string& from = engine.loops[0].sprockets[i].name;
    const std::string& to = engine.loops[0].sprockets[(i + 1) % engine.loops[0].sprockets.size()].name;
    if (guide.strand[0] == from && guide.strand[1] == to) return;
    strands += fmt::format("{}[\"{}\", \"{}\"]", strands.empty() ? "" : ", ", from, to);
  }
  report.add(key, "", "a strand in the chain's direction of travel: " + strands);
}

void check_rising(const std::array<double, 2>& pair, const std::string& key, Report& report) {
  if (report.sound(key) && !(pair[0] <= pair[1])) report.add(key, "", "the lesser figure first");
}

void check_valve(const std::optional<Valve>& valve, const char* kind, Report& report) {
  const std::string path = join_key("valve", kind);
  if (!valve || !report.sound(path)) return;
  if (valve->pocket.depth_mm > 0 && !(valve->pocket.radius_mm > valve->head_mm / 2))
    report.add(path + ".pocket.radius_mm", "",
               fmt::format("more than {} mm, half the valve's head", valve->head_mm / 2));
}

void check_valve_tables(const Engine& engine, Report& report) {
  const auto need = [&](const std::optional<ValveGear> Camshaft::*gear, const std::optional<Valve>& valve,
                        const char* kind) {
    const auto moves = [gear](const Camshaft& camshaft) { return (camshaft.*gear).has_value(); };
    const std::string path = join_key("valve", kind);
    if (!valve && report.sound(path) && std::any_of(engine.camshafts.begin(), engine.camshafts.end(), moves))
      report.add(path, "nothing", "a table, because a camshaft moves such a valve");
  };
  need(&Camshaft::inlet, engine.inlet_valve, "inlet");
  need(&Camshaft::exhaust, engine.exhaust_valve, "exhaust");
  check_valve(engine.inlet_valve, "inlet", report);
  check_valve(engine.exhaust_valve, "exhaust", report);
}

} // namespace

void check_engine(const Engine& engine, Report& report) {
  check_block(engine.block, report);
  check_chain(engine.loops[0].chain, report);
  check_sprockets(engine, report);
  check_camshafts(engine, report);
  for (std::size_t i = 0; i < engine.loops[0].guides.size(); ++i)
    check_guide(engine.loops[0].guides[i], engine, join_index("guide", i), report);
  if (engine.loops[0].tensioner) {
    check_guide(engine.loops[0].tensioner->shoe, engine, "tensioner", report);
    check_rising(engine.loops[0].tensioner->travel_mm, "tensioner.travel_mm", report);
  }
  for (const auto& [name, seat] : engine.cam_seats)
    if (seat.end_float_mm) check_rising(*seat.end_float_mm, join_key(join_key("shaft", name), "end_float_mm"), report);
  check_valve_tables(engine, report);
}

} // namespace phasewright
