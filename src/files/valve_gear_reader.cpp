#include "files/engine_reader.hpp"

#include "files/limits.hpp"
#include "files/lobe_table.hpp"

#include <algorithm>

namespace phasewright {

namespace {

constexpr Range lobe_lift_mm{0.5, 40, "mm"};
constexpr Range lobe_duration_deg{60, 700, "deg"};
constexpr Range arm_mm{5, 150, "mm"};
constexpr Range arm_deg{-60, 60, "deg"};

LobeTable read_table_lobe(Reader& table, const Folder& folder, LobeTableNotes& notes) {
  const std::string file = table.text("file");
  if (file.empty()) return {}; // missing or faulty: said already
  std::vector<std::string> cautions;
  auto rows = read_lobe_table(folder, file, table.path("file"), &cautions);
  for (std::string& caution : cautions) // two lobes may be of one table
    if (std::find(notes.cautions.begin(), notes.cautions.end(), caution) == notes.cautions.end())
      notes.cautions.push_back(std::move(caution));
  if (rows) return *rows;
  for (const Problem& problem : rows.problems()) {
    if (problem.file.empty()) {
      table.report().add(problem.key, problem.found, problem.allowed, problem.advice);
    } else {
      notes.problems.push_back(problem);
    }
  }
  return {};
}

std::optional<LobeRamp> read_ramp(Reader table) {
  if (!table.present()) return std::nullopt;
  LobeRamp ramp;
  ramp.lift_mm = table.number("lift_mm", {0, 2, "mm"});
  ramp.length_deg = table.number("length_deg", {0, 120, "deg"});
  if (table.report().sound(table.path()) && ramp.lift_mm > 0 && !(ramp.length_deg > 0))
    table.report().add(table.path("length_deg"), "", "more than 0, since the ramp lifts");
  table.finish();
  return ramp;
}

LobeCard read_card(Reader& table) {
  LobeCard card;
  card.lift_mm = table.number("lift_mm", lobe_lift_mm);
  card.duration_deg = table.number("duration_deg", lobe_duration_deg);
  card.seat_duration_deg = table.number("seat_duration_deg", lobe_duration_deg);
  if (table.report().sound(table.path()) && !(card.seat_duration_deg > card.duration_deg))
    table.report().add(table.path("seat_duration_deg"), "", "more than duration_deg");
  card.ramp = read_ramp(table.table("ramp", Reader::Need::optional));
  card.closing_ramp = read_ramp(table.table("closing_ramp", Reader::Need::optional));
  return card;
}

LobePolynomial read_polynomial(Reader& table) {
  LobePolynomial polynomial;
  polynomial.lift_mm = table.number("lift_mm", lobe_lift_mm);
  polynomial.duration_deg = table.number("duration_deg", lobe_duration_deg);
  if (!table.has("rise_deg")) return polynomial;
  polynomial.rise_deg = table.number("rise_deg", {1, lobe_duration_deg.most, "deg"});
  if (table.report().sound(table.path()) && !(*polynomial.rise_deg < polynomial.duration_deg))
    table.report().add(table.path("rise_deg"), "", "less than duration_deg");
  return polynomial;
}

Lobe read_lobe(Reader table, const Folder& folder, LobeTableNotes& notes) {
  if (!table.present()) return {};
  enum class Kind { rows, card, polynomial };
  const Kind kind =
      table.choice<Kind>("kind", {{"table", Kind::rows}, {"card", Kind::card}, {"polynomial-4567", Kind::polynomial}});
  if (!table.report().sound(table.path("kind"))) return {}; // its other keys cannot be judged
  Lobe lobe;
  if (kind == Kind::rows) {
    lobe = read_table_lobe(table, folder, notes);
  } else if (kind == Kind::card) {
    lobe = read_card(table);
  } else {
    lobe = read_polynomial(table);
  }
  table.finish();
  return lobe;
}

std::optional<RockerArms> read_rocker(Reader table) {
  if (!table.present()) return std::nullopt;
  RockerArms arms;
  arms.push_arm_mm = table.number("push_arm_mm", arm_mm);
  arms.valve_arm_mm = table.number("valve_arm_mm", arm_mm);
  arms.push_arm_deg = table.number("push_arm_deg", arm_deg);
  arms.valve_arm_deg = table.number("valve_arm_deg", arm_deg);
  arms.pad_radius_mm = table.number("pad_radius_mm", {1, 60, "mm"}, arms.pad_radius_mm);
  table.finish();
  return arms;
}

std::optional<FingerArms> read_finger(Reader table) {
  if (!table.present()) return std::nullopt;
  FingerArms arms;
  const auto pivot_mm = table.pair("pivot_mm", {-150, 150, "mm"});
  arms.pivot_mm = {pivot_mm[0], pivot_mm[1]};
  if (table.report().sound(table.path("pivot_mm")) && pivot_mm[0] == 0)
    table.report().add(table.path("pivot_mm"), "", "a pivot to one side of the camshaft: x not 0");
  arms.pad_arm_mm = table.number("pad_arm_mm", arm_mm);
  arms.pad_radius_mm = table.number("pad_radius_mm", {1, 200, "mm"});
  arms.valve_arm_mm = table.number("valve_arm_mm", arm_mm);
  arms.valve_arm_deg = table.number("valve_arm_deg", arm_deg);
  table.finish();
  return arms;
}

// What the follower's kind asks for and what it has no use for.
void read_follower(Reader& table, ValveGear& gear) {
  const bool tappet = gear.follower == Follower::flat_tappet || gear.follower == Follower::roller_tappet;
  const bool flat_face = gear.follower == Follower::flat_tappet || gear.follower == Follower::bucket;
  const auto refuse = [&table](const char* key, const char* allowed) {
    if (table.has(key)) table.report().add(table.path(key), "", allowed);
  };
  const bool kind_known = table.report().sound(table.path("follower"));
  gear.rocker = read_rocker(table.table("rocker", Reader::Need::optional));
  gear.finger = read_finger(table.table("finger", Reader::Need::optional));
  if (kind_known && !tappet) refuse("rocker", "only with follower \"flat tappet\" or \"roller tappet\"");
  if (kind_known && gear.follower != Follower::finger) refuse("finger", "only with follower \"finger\"");
  if (gear.rocker) refuse("rocker_ratio", "rocker_ratio or rocker, not both: its arms make the ratio");
  if (gear.finger) refuse("rocker_ratio", "rocker_ratio or finger, not both: its arms make the ratio");
  if (gear.follower == Follower::roller_tappet || table.has("roller_radius_mm"))
    gear.roller_radius_mm = table.number("roller_radius_mm", {2, 40, "mm"});
  if (!table.has("face_mm")) return;
  gear.face_mm = table.number("face_mm", {5, 80, "mm"});
  if (kind_known && !flat_face) refuse("face_mm", "only with follower \"flat tappet\" or \"bucket\"");
}

std::optional<ValveGear> read_gear(Reader table, const Folder& folder, LobeTableNotes& notes) {
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
  read_follower(table, gear);
  gear.lobe = read_lobe(table.table("lobe", Reader::Need::required), folder, notes);
  table.finish();
  return gear;
}

std::optional<Valve> read_valve(Reader table) {
  if (!table.present()) return std::nullopt;
  Valve valve;
  valve.head_mm = table.number("head_mm", {5, 200, "mm"});
  valve.margin_mm = table.number("margin_mm", {0.1, 20, "mm"}, valve.margin_mm);
  valve.inclination_deg = table.number("inclination_deg", {-60, 60, "deg"}, 0);
  const auto offset = table.pair("offset_mm", {-250, 250, "mm"}, std::array<double, 2>{0, 0});
  valve.offset_mm = {offset[0], offset[1]};
  valve.closed_height_mm = table.number("closed_height_mm", {-20, 50, "mm"});
  if (Reader pocket = table.table("pocket", Reader::Need::optional); pocket.present()) {
    valve.pocket.depth_mm = pocket.number("depth_mm", {-20, 20, "mm"});
    valve.pocket.radius_mm = pocket.number("radius_mm", {0, 200, "mm"});
    pocket.finish();
  }
  table.finish();
  return valve;
}

} // namespace

void read_camshafts(Reader& root, const Folder& folder, Engine& engine, LobeTableNotes& notes) {
  for (Reader& table : root.tables("camshaft", 1, limits::camshafts, "camshafts")) {
    Camshaft camshaft;
    camshaft.name = table.text("name");
    camshaft.check_lift_mm = table.number("check_lift_mm", {0.01, 5, "mm"}, camshaft.check_lift_mm);
    camshaft.check_at =
        table.choice<CheckAt>("check_at", {{"tappet", CheckAt::tappet}, {"valve", CheckAt::valve}}, CheckAt::tappet);
    camshaft.inlet = read_gear(table.table("inlet", Reader::Need::optional), folder, notes);
    camshaft.exhaust = read_gear(table.table("exhaust", Reader::Need::optional), folder, notes);
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
