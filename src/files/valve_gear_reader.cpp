#include "files/engine_reader.hpp"

#include "files/limits.hpp"
#include "files/lobe_table.hpp"

namespace phasewright {

namespace {

constexpr Range lobe_lift_mm{0.5, 40, "mm"};
constexpr Range lobe_duration_deg{60, 700, "deg"};

LobeTable read_table_lobe(Reader& table, const Folder& folder, Problems& table_problems) {
  const std::string file = table.text("file");
  if (file.empty()) return {}; // missing or faulty: said already
  auto rows = read_lobe_table(folder, file, table.path("file"));
  if (rows) return *rows;
  for (const Problem& problem : rows.problems()) {
    if (problem.file.empty()) {
      table.report().add(problem.key, problem.found, problem.allowed, problem.advice);
    } else {
      table_problems.push_back(problem);
    }
  }
  return {};
}

Lobe read_lobe(Reader table, const Folder& folder, Problems& table_problems) {
  if (!table.present()) return {};
  enum class Kind { rows, card, polynomial };
  const Kind kind =
      table.choice<Kind>("kind", {{"table", Kind::rows}, {"card", Kind::card}, {"polynomial-4567", Kind::polynomial}});
  if (!table.report().sound(table.path("kind"))) return {}; // its other keys cannot be judged
  Lobe lobe;
  if (kind == Kind::rows) {
    lobe = read_table_lobe(table, folder, table_problems);
  } else if (kind == Kind::card) {
    LobeCard card;
    card.lift_mm = table.number("lift_mm", lobe_lift_mm);
    card.duration_deg = table.number("duration_deg", lobe_duration_deg);
    card.seat_duration_deg = table.number("seat_duration_deg", lobe_duration_deg);
    if (table.report().sound(table.path()) && !(card.seat_duration_deg > card.duration_deg))
      table.report().add(table.path("seat_duration_deg"), "", "more than duration_deg");
    lobe = card;
  } else {
    LobePolynomial polynomial;
    polynomial.lift_mm = table.number("lift_mm", lobe_lift_mm);
    polynomial.duration_deg = table.number("duration_deg", lobe_duration_deg);
    lobe = polynomial;
  }
  table.finish();
  return lobe;
}

std::optional<ValveGear> read_gear(Reader table, const Folder& folder, Problems& table_problems) {
  if (!table.present()) return std::nullopt;
  ValveGear gear;
  gear.centre_deg = table.number("centre_deg", {60, 160, "deg"});
  gear.follower = table.choice<Follower>("follower", {{"flat tappet", Follower::flat_tappet},
                                                      {"roller tappet", Follower::roller_tappet},
                                                      {"bucket", Follower::bucket},
                                                      {"finger", Follower::finger}});
  gear.rocker_ratio = table.number("rocker_ratio", {0.5, 3, ""}, gear.rocker_ratio);
  gear.lash_mm = table.number("lash_mm", {0, 2, "mm"}, gear.lash_mm);
  gear.base_radius_mm = table.number("base_radius_mm", {5, 60, "mm"}, gear.base_radius_mm);
  if (gear.follower == Follower::roller_tappet || table.has("roller_radius_mm"))
    gear.roller_radius_mm = table.number("roller_radius_mm", {2, 40, "mm"});
  gear.lobe = read_lobe(table.table("lobe", Reader::Need::required), folder, table_problems);
  table.finish();
  return gear;
}

std::optional<Valve> read_valve(Reader table) {
  if (!table.present()) return std::nullopt;
  Valve valve;
  valve.head_mm = table.number("head_mm", {5, 200, "mm"});
  valve.inclination_deg = table.number("inclination_deg", {-60, 60, "deg"}, 0);
  const auto offset = table.pair("offset_mm", {-250, 250, "mm"}, std::array<double, 2>{0, 0});
  valve.offset_mm = {offset[0], offset[1]};
  valve.closed_height_mm = table.number("closed_height_mm", {-20, 50, "mm"});
  Reader pocket = table.table("pocket", Reader::Need::optional);
  valve.pocket.depth_mm = pocket.number("depth_mm", {0, 20, "mm"});
  valve.pocket.radius_mm = pocket.number("radius_mm", {0, 200, "mm"});
  pocket.finish();
  table.finish();
  return valve;
}

} // namespace

void read_camshafts(Reader& root, const Folder& folder, Engine& engine, Problems& table_problems) {
  for (Reader& table : root.tables("camshaft", 1, limits::camshafts, "camshafts")) {
    Camshaft camshaft;
    camshaft.name = table.text("name");
    camshaft.check_lift_mm = table.number("check_lift_mm", {0.01, 5, "mm"}, camshaft.check_lift_mm);
    camshaft.check_at =
        table.choice<CheckAt>("check_at", {{"tappet", CheckAt::tappet}, {"valve", CheckAt::valve}}, CheckAt::tappet);
    camshaft.inlet = read_gear(table.table("inlet", Reader::Need::optional), folder, table_problems);
    camshaft.exhaust = read_gear(table.table("exhaust", Reader::Need::optional), folder, table_problems);
    if (table.present() && !table.has("inlet") && !table.has("exhaust"))
      table.missing("inlet", "an inlet table, an exhaust table or both");
    table.finish();
    engine.camshafts.push_back(std::move(camshaft));
  }
}

void read_valves(Reader& root, Engine& engine) {
  Reader table = root.table("valve", Reader::Need::optional);
  engine.inlet_valve = read_valve(table.table("inlet", Reader::Need::optional));
  engine.exhaust_valve = read_valve(table.table("exhaust", Reader::Need::optional));
  table.finish();
}

} // namespace phasewright
