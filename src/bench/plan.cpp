#include "bench/plan.hpp"

#include "bench/offset_key.hpp"
#include "bench/plan_clearance.hpp"
#include "geometry/angle.hpp"
#include "mechanics/events.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <tuple>

namespace phasewright {

namespace {

// More combinations than this are nobody's shelf, and a file from a stranger must not take all memory.
constexpr std::size_t most_options = 100000;

// What is fitted now and every size on the shelf, either way round.
std::vector<double> either_way(const std::vector<double>& sizes, double fitted) {
  std::vector<double> ways{fitted};
  for (const double size : sizes) {
    ways.push_back(size);
    ways.push_back(-size);
  }
  for (double& way : ways) way += 0.0; // -0 and 0 are the same key
  std::ranges::sort(ways);
  ways.erase(std::unique(ways.begin(), ways.end()), ways.end());
  return ways;
}

// Hole pairs that move the camshaft by no more than half a tooth; more than that is a tooth's job. Of pairs that come
// to the same angle one is kept, what is fitted before others.
std::vector<HolePair> hole_pairs(int cam_teeth, const Build& build) {
  std::vector<HolePair> pairs{build.fitted.holes};
  if (!build.stock.vernier) return pairs;
  const Vernier vernier = *build.stock.vernier;
  const double half_tooth_deg = 180.0 / cam_teeth;
  const int places = vernier.hub_holes * vernier.sprocket_holes;
  const auto place = [&](HolePair pair) {
    return ((pair.hub_hole * vernier.sprocket_holes - pair.sprocket_hole * vernier.hub_holes) % places + places) %
           places;
  };
  std::set<int> taken{place(build.fitted.holes)};
  for (int hub = 0; hub < vernier.hub_holes; ++hub)
    for (int sprocket = 0; sprocket < vernier.sprocket_holes; ++sprocket) {
      const double deg = wrap_180(360.0 * hub / vernier.hub_holes - 360.0 * sprocket / vernier.sprocket_holes);
      if (std::fabs(deg) <= half_tooth_deg && taken.insert(place({hub, sprocket})).second)
        pairs.push_back({hub, sprocket});
    }
  return pairs;
}

std::string fitting_words(const PlanOption& option, bool has_vernier) {
  std::string words;
  const auto add = [&words](const std::string& more) { words += (words.empty() ? "" : "; ") + more; };
  const std::string at = option.others ? fmt::format(" at \"{}\"", option.camshaft) : "";
  if (option.lay != 0)
    add(fmt::format("chain {} {} {}{}", std::abs(option.lay), std::abs(option.lay) == 1 ? "tooth" : "teeth",
                    option.lay > 0 ? "forward" : "back", at));
  if (option.cam_key_deg != 0.0) add(key_words(KeyAt::cam, option.cam_key_deg) + at);
  if (option.crank_key_deg != 0.0) add(key_words(KeyAt::crank, option.crank_key_deg));
  if (has_vernier && option.holes != HolePair{})
    add(fmt::format("hub hole {} on sprocket hole {}, counted against the running direction", option.holes.hub_hole,
                    option.holes.sprocket_hole));
  if (std::fabs(option.slot_deg) >= 0.005)
    add(fmt::format("slots {:.2f}° (cam) {}", std::fabs(option.slot_deg),
                    option.slot_deg > 0.0 ? "advanced" : "retarded"));
  return words.empty() ? "straight keys, chain as marked" + at : words;
}

int changes_from(const Fitted& fitted, const PlanOption& option) {
  return (option.lay != lay_of(fitted, option.camshaft)) + (option.crank_key_deg != fitted.crank_key_deg) +
         (option.cam_key_deg != cam_key_of(fitted, option.camshaft)) + (option.holes != fitted.holes) +
         (option.slot_deg != fitted.slot_deg);
}

// Errors that differ by rounding only must not decide the order.
long long error_rank(double error_deg) {
  return std::llround(std::fabs(error_deg) * 1e9);
}

// Best first. What options are ranked by is worked out once for each; they are large, so places are sorted, not
// options.
std::vector<PlanOption> ranked(std::vector<PlanOption> options) {
  const auto rank = [](const PlanOption& o) {
    return std::tuple(!o.safe, error_rank(o.error_deg), o.changes, std::abs(o.lay), std::fabs(o.crank_key_deg),
                      std::fabs(o.cam_key_deg), std::fabs(o.slot_deg), o.lay, o.crank_key_deg, o.cam_key_deg,
                      o.holes.hub_hole, o.holes.sprocket_hole);
  };
  std::vector<std::pair<decltype(rank(options[0])), std::size_t>> places;
  places.reserve(options.size());
  for (std::size_t i = 0; i < options.size(); ++i) places.emplace_back(rank(options[i]), i);
  std::ranges::sort(places);
  std::vector<PlanOption> in_order;
  in_order.reserve(options.size());
  for (const auto& [key, i] : places) in_order.push_back(std::move(options[i]));
  return in_order;
}

// Every combination with its phase and error, not yet its clearance.
Result<std::vector<PlanOption>> combinations(const Engine& engine, const Build& build, const Plan& plan,
                                             int lay_reach) {
  const Fitted& fitted = build.fitted;
  const std::string& camshaft = engine.camshafts[plan.camshaft].name;
  const int fitted_lay = lay_of(fitted, camshaft);
  // Keys, lay, holes and slots move the cam by exact amounts, so wear and centres need solving only once.
  const double rest_deg = plan.fitted_phase_deg - Drive::set_phase_deg(engine, fitted, plan.camshaft);
  std::vector<int> lays;
  for (int lay = -lay_reach; lay <= lay_reach; ++lay) lays.push_back(lay);
  if (std::ranges::find(lays, fitted_lay) == lays.end()) lays.push_back(fitted_lay);
  const std::vector<double> crank_keys = either_way(build.stock.crank_key_deg, fitted.crank_key_deg);
  const std::vector<double> cam_keys = either_way(build.stock.cam_key_deg, cam_key_of(fitted, camshaft));
  const std::vector<HolePair> pairs =
      hole_pairs(sprocket_at(engine, *find_cam_sprocket(engine, camshaft)).teeth, build);

  const std::size_t count = lays.size() * crank_keys.size() * cam_keys.size() * pairs.size();
  if (count > most_options)
    return problem_at("stock", fmt::format("{} combinations", count), fmt::format("{} or fewer", most_options),
                      "leave out sizes that are not wanted");
  std::vector<PlanOption> options;
  options.reserve(count);
  for (const int lay : lays)
    for (const double crank_key : crank_keys)
      for (const double cam_key : cam_keys)
        for (const HolePair& pair : pairs) {
          PlanOption option;
          option.camshaft = camshaft;
          option.others = engine.camshafts.size() > 1;
          option.lay = lay;
          option.crank_key_deg = crank_key;
          option.cam_key_deg = cam_key;
          option.holes = pair;
          option.slot_deg = fitted.slot_deg;
          const auto add = [&] {
            option.phase_deg = rest_deg + Drive::set_phase_deg(engine, fitted_with(fitted, option), plan.camshaft);
            option.error_deg = option.phase_deg - plan.target_phase_deg;
            option.changes = changes_from(fitted, option);
            options.push_back(option);
          };
          add();
          if (!build.stock.slots_deg) continue;
          const double wanted_deg = fitted.slot_deg - option.error_deg / 2.0;
          option.slot_deg = std::clamp(wanted_deg, (*build.stock.slots_deg)[0], (*build.stock.slots_deg)[1]);
          if (option.slot_deg != fitted.slot_deg) add();
        }
  return options;
}

Result<double> event_phase_deg(const Engine& engine, const TargetEvent& wanted) {
  Result<Mechanism> reference = Mechanism::assemble(engine, Fitted{});
  if (!reference) return reference.problems();
  const bool inlet = wanted.kind == EventKind::inlet_opens || wanted.kind == EventKind::inlet_closes;
  const bool opens = wanted.kind == EventKind::inlet_opens || wanted.kind == EventKind::exhaust_opens;
  const ValveKind kind = inlet ? ValveKind::inlet : ValveKind::exhaust;
  const auto fault = [](std::string found, std::string allowed) {
    return problem_at("target.event", std::move(found), std::move(allowed));
  };
  const ValveMotion* gear = reference->motion(kind);
  if (gear == nullptr) return fault(fmt::format("an {} event", to_word(kind)), "events of valves the engine has");
  const Camshaft& camshaft = engine.camshafts[gear->camshaft_index()];
  const double lift_mm = wanted.at_lift_mm > 0.0 ? wanted.at_lift_mm : camshaft.check_lift_mm;
  const LiftedAt at = camshaft.check_at == CheckAt::tappet ? LiftedAt::tappet : LiftedAt::valve;
  const std::optional<OpenSpan> span = open_span(*reference, kind, 1, lift_mm, at);
  if (!span)
    return fault(fmt::format("at {} mm lift", lift_mm), fmt::format("less than the {} lobe's lift", to_word(kind)));
  const double card_deg = event_figure_deg(wanted.kind, opens ? span->opens_deg : span->closes_deg);
  // Advance makes every event earlier: figures before a dead centre grow, those after it shrink.
  return opens ? wanted.deg - card_deg : card_deg - wanted.deg;
}

} // namespace

std::size_t planned_camshaft(const Engine& engine, const Target& target) {
  const bool exhaust = target.event && (target.event->kind == EventKind::exhaust_opens ||
                                        target.event->kind == EventKind::exhaust_closes);
  const auto found = std::ranges::find_if(engine.camshafts, [exhaust](const Camshaft& camshaft) {
    return (exhaust ? camshaft.exhaust : camshaft.inlet).has_value();
  });
  return found == engine.camshafts.end() ? 0 : static_cast<std::size_t>(found - engine.camshafts.begin());
}

Result<double> target_phase_deg(const Engine& engine, const Build& build) {
  const Target& target = build.target;
  if (target.phase_deg) return *target.phase_deg;
  if (target.event) return event_phase_deg(engine, *target.event);
  if (!target.inlet_centre_deg) return 0.0;
  for (const Camshaft& camshaft : engine.camshafts)
    if (camshaft.inlet) return camshaft.inlet->centre_deg - *target.inlet_centre_deg;
  return problem_at("target.inlet_centre_deg", "an engine without inlet lobes", "phase_deg");
}

Fitted fitted_with(const Fitted& fitted, const PlanOption& option) {
  Fitted changed = fitted;
  // A setting of its own where there are others it must not move.
  if (option.others || changed.lay_of.contains(option.camshaft))
    changed.lay_of[option.camshaft] = option.lay;
  else
    changed.lay = option.lay;
  if (option.others || changed.cam_key_of.contains(option.camshaft))
    changed.cam_key_of[option.camshaft] = option.cam_key_deg;
  else
    changed.cam_key_deg = option.cam_key_deg;
  changed.crank_key_deg = option.crank_key_deg;
  changed.holes = option.holes;
  changed.slot_deg = option.slot_deg;
  return changed;
}

Result<Plan> plan_corrections(const Engine& engine, const Build& build, int lay_reach) {
  Result<Mechanism> now = Mechanism::assemble(engine, build.fitted);
  if (!now) return now.problems();
  Result<ClearanceModel> model = ClearanceModel::make(*now, build.measured, build.instruments);
  if (!model) return model.problems();
  Result<double> target_deg = target_phase_deg(engine, build);
  if (!target_deg) return target_deg.problems();
  Build shelf = build;
  if (build.stock.vernier) shelf.fitted.vernier = *build.stock.vernier;

  Plan plan;
  plan.camshaft = planned_camshaft(engine, build.target);
  plan.target_phase_deg = *target_deg;
  plan.fitted_phase_deg = now->drive().phase_deg(plan.camshaft);
  Result<std::vector<PlanOption>> options = combinations(engine, shelf, plan, lay_reach);
  if (!options) return options.problems();
  plan.options = *std::move(options);

  const Fitted later = worn(engine, build.fitted);
  const Result<Mechanism> worn_out = Mechanism::assemble(now->engine_shared(), later);
  if (!worn_out) return worn_out.problems();
  judge_options(plan, shelf, *now, {*model, model->mounted_on(*worn_out), later.elongation_percent});
  for (PlanOption& option : plan.options) option.words = fitting_words(option, shelf.stock.vernier.has_value());
  plan.options = ranked(std::move(plan.options));
  return plan;
}

} // namespace phasewright
