#include "bench/plan_options.hpp"

#include "geometry/angle.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace phasewright {

namespace {

// The smallest first, and of two that differ by the way round only the advancing one.
void order_by_size(std::vector<double>& values) {
  std::ranges::sort(
      values, [](double a, double b) { return std::fabs(a) != std::fabs(b) ? std::fabs(a) < std::fabs(b) : a > b; });
  values.erase(std::unique(values.begin(), values.end()), values.end());
}

// What is fitted now and every size on the shelf, either way round.
std::vector<double> either_way(const std::vector<double>& sizes, double fitted) {
  std::vector<double> ways{fitted};
  for (const double size : sizes) {
    ways.push_back(size);
    ways.push_back(-size);
  }
  for (double& way : ways) way += 0.0; // -0 and 0 are the same key
  order_by_size(ways);
  return ways;
}

std::vector<int> lays_within(int reach, int fitted) {
  std::vector<int> lays{0};
  for (int lay = 1; lay <= reach; ++lay) {
    lays.push_back(lay);
    lays.push_back(-lay);
  }
  if (std::ranges::find(lays, fitted) == lays.end()) lays.push_back(fitted);
  return lays;
}

// Hole pairs that move the camshaft by no more than half a tooth; more than that is a tooth's job. Of pairs that come
// to the same angle one is kept, what is fitted before others.
std::vector<HolePair> hole_pairs(int cam_teeth, const std::optional<Vernier>& stock, const HolePair& fitted) {
  std::vector<HolePair> pairs{fitted};
  if (!stock) return pairs;
  const Vernier vernier = *stock;
  const double half_tooth_deg = 180.0 / cam_teeth;
  const int places = vernier.hub_holes * vernier.sprocket_holes;
  const auto place = [&](HolePair pair) {
    return ((pair.hub_hole * vernier.sprocket_holes - pair.sprocket_hole * vernier.hub_holes) % places + places) %
           places;
  };
  std::set<int> taken{place(fitted)};
  for (int hub = 0; hub < vernier.hub_holes; ++hub)
    for (int sprocket = 0; sprocket < vernier.sprocket_holes; ++sprocket) {
      const double deg = wrap_180(360.0 * hub / vernier.hub_holes - 360.0 * sprocket / vernier.sprocket_holes);
      if (std::fabs(deg) <= half_tooth_deg && taken.insert(place({hub, sprocket})).second)
        pairs.push_back({hub, sprocket});
    }
  return pairs;
}

Phases phases_set(const Engine& engine, const Fitted& fitted, const Choices& choices) {
  Phases phases{};
  for (std::size_t i = 0; i < most_followed; ++i) phases[i] = Drive::set_phase_deg(engine, fitted, choices.followed[i]);
  return phases;
}

Phases less(const Phases& a, const Phases& b) {
  Phases difference{};
  for (std::size_t i = 0; i < most_followed; ++i) difference[i] = a[i] - b[i];
  return difference;
}

} // namespace

void set_at(Fitted& fitted, const Engine& engine, std::size_t camshaft, const CamSetting& setting) {
  const std::string& name = engine.camshafts[camshaft].name;
  // A setting of its own where there are other camshafts it must not move, unless it is theirs as well.
  const bool others = engine.camshafts.size() > 1;
  const auto put = [&](auto& by_name, auto& for_all, const auto& value) {
    if (by_name.contains(name) || (others && value != for_all))
      by_name[name] = value;
    else
      for_all = value;
  };
  put(fitted.lay_of, fitted.lay, setting.lay);
  put(fitted.cam_key_of, fitted.cam_key_deg, setting.cam_key_deg);
  put(fitted.holes_of, fitted.holes, setting.holes);
  put(fitted.slot_of, fitted.slot_deg, setting.slot_deg);
}

std::size_t Choices::count() const {
  std::size_t all = cranks.size();
  for (std::size_t i = 0; i < planned; ++i) all *= cams[i].size() * (slots_deg ? 2 : 1);
  return all;
}

std::vector<Combination> Choices::combinations() const {
  std::vector<Combination> all;
  all.reserve(count());
  const std::uint32_t slot_ways = slots_deg ? 1u << planned : 1u;
  const auto second = static_cast<std::uint32_t>(planned > 1 ? cams[1].size() : 1);
  for (std::uint32_t crank = 0; crank < cranks.size(); ++crank)
    for (std::uint32_t first = 0; first < cams[0].size(); ++first)
      for (std::uint32_t other = 0; other < second; ++other)
        for (std::uint32_t slots = 0; slots < slot_ways; ++slots) {
          const Combination combination{crank, {first, other}, slots};
          // A slot that is to be set where it stands already is no option of its own.
          bool moves = true;
          if (slots != 0) {
            const Set made = set(combination);
            for (std::size_t i = 0; i < planned; ++i)
              if ((slots >> i & 1u) != 0 && made.slot_deg[i] == base_slot_deg[i]) moves = false;
          }
          if (moves) all.push_back(combination);
        }
  return all;
}

Choices::Set Choices::set(const Combination& combination) const {
  Set made;
  const CrankChoice& crank = cranks[combination.crank];
  made.changes = crank.changes;
  for (std::size_t k = 0; k < most_followed; ++k) made.phase_deg[k] = base_deg[k] + crank.moves[k];
  for (std::size_t i = 0; i < planned; ++i) {
    const CamChoice& cam = cams[i][combination.cams[i]];
    made.changes += cam.changes;
    made.slot_deg[i] = base_slot_deg[i];
    for (std::size_t k = 0; k < most_followed; ++k) made.phase_deg[k] += cam.moves[k];
  }
  for (std::size_t i = 0; i < planned; ++i) {
    if ((combination.slots_set >> i & 1u) == 0) continue;
    const CamChoice& cam = cams[i][combination.cams[i]];
    const double wanted_deg = base_slot_deg[i] + (crank.target_deg[i] - made.phase_deg[i]) / cam.slot_moves[i];
    made.slot_deg[i] = std::clamp(wanted_deg, (*slots_deg)[0], (*slots_deg)[1]);
    const double moved_deg = made.slot_deg[i] - base_slot_deg[i];
    for (std::size_t k = 0; k < most_followed; ++k) made.phase_deg[k] += moved_deg * cam.slot_moves[k];
    ++made.changes;
  }
  return made;
}

Choices choices_of(const Engine& engine, const Drive& drive, const Stock& stock, const Plan& plan,
                   std::array<std::size_t, 2> valve_camshafts, int lay_reach) {
  Choices choices;
  choices.planned = plan.camshafts.size();
  choices.slots_deg = stock.slots_deg;
  for (std::size_t i = 0; i < most_planned; ++i)
    choices.followed[i] = plan.camshafts[std::min(i, plan.camshafts.size() - 1)].camshaft;
  choices.followed[most_planned] = valve_camshafts[0];
  choices.followed[most_planned + 1] = valve_camshafts[1];
  const Fitted& base = plan.base;
  for (std::size_t k = 0; k < most_followed; ++k) choices.base_deg[k] = drive.phase_deg(choices.followed[k]);
  const Phases base_set = phases_set(engine, base, choices);

  for (const double key : either_way(stock.crank_key_deg, base.crank_key_deg)) {
    Fitted changed = base;
    changed.crank_key_deg = key;
    CrankChoice crank{key, less(phases_set(engine, changed, choices), base_set), key != base.crank_key_deg ? 1 : 0, {}};
    for (std::size_t i = 0; i < choices.planned; ++i) crank.target_deg[i] = plan.camshafts[i].target_phase_deg;
    choices.cranks.push_back(crank);
  }
  for (std::size_t i = 0; i < choices.planned; ++i) {
    const std::string& name = engine.camshafts[plan.camshafts[i].camshaft].name;
    const CamSetting now{lay_of(base, name), cam_key_of(base, name), holes_of(base, name), slot_of(base, name)};
    choices.base_slot_deg[i] = now.slot_deg;
    const int teeth = sprocket_at(engine, *find_cam_sprocket(engine, name)).teeth;
    Fitted changed = base;
    changed.slot_of[name] = now.slot_deg + 1.0;
    const Phases slot_moves = less(phases_set(engine, changed, choices), base_set);
    const std::vector<double> keys = either_way(stock.cam_key_deg, now.cam_key_deg);
    const std::vector<HolePair> pairs = hole_pairs(teeth, stock.vernier, now.holes);
    for (const int lay : lays_within(lay_reach, now.lay))
      for (const double key : keys)
        for (const HolePair& pair : pairs) {
          const CamSetting setting{lay, key, pair, now.slot_deg};
          changed = base;
          set_at(changed, engine, plan.camshafts[i].camshaft, setting);
          choices.cams[i].push_back({setting, less(phases_set(engine, changed, choices), base_set), slot_moves,
                                     (lay != now.lay) + (key != now.cam_key_deg) + (pair != now.holes)});
        }
  }
  return choices;
}

} // namespace phasewright
