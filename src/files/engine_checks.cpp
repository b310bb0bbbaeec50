#include "files/build_reader.hpp"
#include "files/engine_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace phasewright {

namespace {

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
  const double half_bore_mm = block.bore_mm / 2;
  if (block.crown.shape == CrownShape::flat || !report.sound("block.crown") || !report.sound("block.bore_mm")) return;
  if (!(block.crown.radius_mm <= half_bore_mm))
    report.add("block.crown.radius_mm", "", fmt::format("at most {} mm, half the bore", half_bore_mm));
  if (block.crown.shape == CrownShape::domed && !(block.crown.height_mm <= block.crown.radius_mm))
    report.add("block.crown.height_mm", "",
               fmt::format("at most {} mm, half a ball on that radius", block.crown.radius_mm));
}

void check_camshafts(const Engine& engine, Report& report) {
  std::set<std::string> names;
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
    const Camshaft& camshaft = engine.camshafts[i];
    const std::string key = join_key(join_index("camshaft", i), "name");
    if (camshaft.name.empty()) continue;
    if (!names.insert(camshaft.name).second) report.add(key, "", "a name that no other camshaft has");
    if (camshaft.name == "crank")
      report.add(key, "", "any name but \"crank\", which stands for the crankshaft in [shaft.crank]");
    if (camshaft.name == others_key)
      report.add(key, "", "any name but \"others\", which stands for the camshafts not named in a build's tables");
    std::size_t count = 0;
    for (const Loop& loop : engine.loops)
      for (const Sprocket& sprocket : loop.sprockets)
        if (sprocket.camshaft == camshaft.name) ++count;
    if (count != 1 && report.sound("sprocket") && report.sound("stage") && report.sound(key))
      report.add(key, fmt::format("{} sprockets with camshaft = \"{}\"", count, camshaft.name), "exactly one");
  }
}

void check_valve(const std::optional<Valve>& valve, const Block& block, const char* kind, Report& report) {
  const Crown& crown = block.crown;
  const double bore_mm = block.bore_mm;
  const std::string path = join_key("valve", kind);
  if (!valve || !report.sound(path)) return;
  if (report.sound("block.bore_mm") && !(std::hypot(valve->offset_mm.x, valve->offset_mm.y) < bore_mm / 2))
    report.add(path + ".offset_mm", "", fmt::format("within half the bore, {} mm, of the cylinder axis", bore_mm / 2));
  const bool has_pocket = valve->pocket.radius_mm > 0 || valve->pocket.depth_mm != 0;
  if (valve->pocket.depth_mm < 0 && crown.shape != CrownShape::domed && report.sound("block.crown"))
    report.add(path + ".pocket.depth_mm", "", "0 to 20 mm, since the crown has no dome to cut it in");
  if (has_pocket && !(valve->pocket.radius_mm > valve->head_mm / 2))
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
  check_valve(engine.inlet_valve, engine.block, "inlet", report);
  check_valve(engine.exhaust_valve, engine.block, "exhaust", report);
}

} // namespace

void check_engine(const Engine& engine, Report& report) {
  check_block(engine.block, report);
  check_loops(engine, report);
  check_camshafts(engine, report);
  for (const auto& [name, seat] : engine.cam_seats)
    if (seat.end_float_mm) check_rising(*seat.end_float_mm, join_key(join_key("shaft", name), "end_float_mm"), report);
  check_valve_tables(engine, report);
}

} // namespace phasewright
