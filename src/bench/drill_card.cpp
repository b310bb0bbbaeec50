#include "bench/drill_card.hpp"

#include "bench/explain_figures.hpp"
#include "bench/explain_next.hpp"
#include "bench/mark_count.hpp"
#include "bench/reading_model.hpp"
#include "bench/standing.hpp"
#include "geometry/angle.hpp"
#include "mechanics/judgement.hpp"
#include "mechanics/uncertainty.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace phasewright {

namespace {

// On the shelf, and behind the crank's sprocket, where the build names none: common practice, no source.
const std::vector<double> common_shims_mm{0.10, 0.20, 0.20, 0.50};
// Offset keys on cards, where the stock has none of that kind: degrees of their shaft, a tooth's fifth or so. Our own
// choice.
constexpr double common_crank_key_deg = 4.0;
constexpr double common_cam_key_deg = 2.0;

bool all_keys_straight(const Engine& engine, const Fitted& fitted) {
  return fitted.crank_key_deg == 0.0 && std::ranges::all_of(engine.camshafts, [&](const Camshaft& camshaft) {
           return cam_key_of(fitted, camshaft.name) == 0.0;
         });
}

double largest_of(const std::vector<double>& stock_deg, double otherwise_deg) {
  const auto most = std::ranges::max_element(stock_deg);
  return most == stock_deg.end() || *most <= 0.0 ? otherwise_deg : *most;
}

// Wherever the card's state puts the lobes is what is wanted: a drill asks for one thing.
void aim_at(Build& given, const Mechanism& drawn) {
  const Engine& engine = drawn.engine();
  Target target;
  target.min_clearance_inlet_mm = given.target.min_clearance_inlet_mm;
  target.min_clearance_exhaust_mm = given.target.min_clearance_exhaust_mm;
  target.min_clearance_radial_mm = given.target.min_clearance_radial_mm;
  target.min_valve_to_valve_mm = given.target.min_valve_to_valve_mm;
  const auto set = [&](const Camshaft& camshaft, std::size_t index) {
    const double phase_deg = drawn.drive().phase_deg(index);
    const auto in_hundredths = [](double deg) { return std::round(100.0 * deg) / 100.0; };
    if (camshaft.inlet)
      target.inlet_centre_deg = in_hundredths(camshaft.inlet->centre_deg - phase_deg);
    else if (camshaft.exhaust)
      target.exhaust_centre_deg = in_hundredths(camshaft.exhaust->centre_deg + phase_deg);
  };
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) set(engine.camshafts[i], i);
  given.target = target;
}

void add_pins(const Mechanism& drawn, Measured& layout) {
  const std::vector<PinCount> wanted = std::exchange(layout.pins, {});
  const MarkPlaces places = mark_places(drawn.engine(), drawn.drive());
  const std::vector<Sprocket>& sprockets = drawn.engine().loops[0].sprockets;
  for (const PinCount& count : wanted)
    for (std::size_t i = 1; i < sprockets.size(); ++i)
      if (sprockets[i].camshaft == count.camshaft && pins_between(places, i, 0)) layout.pins.push_back(count);
}

// What candidates_for has, with the stop met at two heights and each clearance at two angles.
Measured layout_for(const Mechanism& drawn, const Instruments& instruments) {
  Measured layout = candidates_for(drawn, {}, instruments).layout;
  layout.with = drawn.fitted();
  if (const auto other = foretell_stop(drawn.slider_crank(), stop_shares[1] * drawn.slider_crank().travel_mm()))
    layout.stop_deg.push_back(*other);
  const std::vector<ClearanceReading> once = layout.clearance;
  for (ClearanceReading reading : once) {
    reading.crank_deg = reading.valve == ValveKind::inlet ? 20.0 : 700.0;
    layout.clearance.push_back(reading);
  }
  add_pins(drawn, layout);
  return layout;
}

// By one lobe reading, with the wheel on TDC but for its limit, and the parts off by anything within their tolerances.
std::array<double, 2> u_centres_deg(const Mechanism& drawn, const Measured& layout, const Build& given) {
  std::array<double, 2> u_deg{};
  for (std::size_t i = 0; i < valve_kinds.size(); ++i) {
    const auto lobe = std::ranges::find(layout.lobe, valve_kinds[i], &LobeReading::valve);
    if (lobe == layout.lobe.end()) continue;
    Measured one;
    one.lobe = {*lobe};
    const Eigen::MatrixXd covariance =
        errors_of(figures_of(one), drawn, one, given.instruments, given.tolerances).covariance;
    u_deg[i] = std::sqrt(covariance.sum()) / 2.0; // of the middle of its two sides
  }
  return u_deg;
}

} // namespace

std::vector<Fitted> fitted_on_cards(const Engine& engine, const Build& build) {
  Fitted plain = build.fitted;
  plain.found_deg = 0.0;
  plain.found_of.clear();
  if (plain.shim_mm.empty()) plain.shim_mm = common_shims_mm;
  std::vector<Fitted> all{plain};
  if (!all_keys_straight(engine, plain)) return all;
  // An offset key on the card must not bring a valve near a piston.
  const auto add_if_safe = [&](auto set) {
    for (const double way : {1.0, -1.0}) {
      Fitted fitted = plain;
      set(fitted, way);
      const Result<Mechanism> mechanism = Mechanism::assemble(engine, fitted);
      Build shown = build;
      shown.measured = {};
      if (!mechanism || standing_of(*mechanism, shown).unsafe()) continue;
      all.push_back(fitted);
      return;
    }
  };
  const double crank_deg = largest_of(build.stock.crank_key_deg, common_crank_key_deg);
  const double cam_deg = largest_of(build.stock.cam_key_deg, common_cam_key_deg);
  add_if_safe([&](Fitted& fitted, double way) { fitted.crank_key_deg = way * crank_deg; });
  add_if_safe([&](Fitted& fitted, double way) {
    fitted.cam_key_of.clear();
    fitted.cam_key_deg = way * cam_deg;
  });
  return all;
}

Result<std::shared_ptr<const DrillCard>> make_drill_card(const std::shared_ptr<const Engine>& engine,
                                                         const Build& build, const Fitted& fitted) {
  const Result<Mechanism> drawn = Mechanism::assemble(engine, fitted);
  if (!drawn) return drawn.problems();
  Build given = build;
  given.fitted = fitted;
  given.measured = {};
  given.measured.with = fitted;
  given.history.clear();
  if (given.stock.shim_mm.empty()) given.stock.shim_mm = common_shims_mm;
  aim_at(given, *drawn);
  const Measured layout = layout_for(*drawn, given.instruments);
  Result<Explainer> explainer = Explainer::make(*engine, fitted, layout, given.instruments, given.tolerances);
  if (!explainer) return explainer.problems();
  DrillCard card{given, *drawn, layout, *explainer, {}, {}, {}, {}, {}};
  const std::vector<std::string> names = explainer->faults();
  for (Fault& fault : possible_faults(*drawn, !layout.stop_deg.empty()))
    if (std::ranges::find(names, fault.name) != names.end()) card.weighed.push_back(std::move(fault));
  for (const Fault& fault : card.weighed) card.shown.push_back(explainer->shown_from(fault.name, told_apart_from));
  card.faults = drill_faults(*engine, card.weighed);
  if (Result<ClearanceModel> gaps = ClearanceModel::make(*drawn, {}, given.instruments)) card.gaps = *std::move(gaps);
  card.u_centre_deg = u_centres_deg(*drawn, layout, given);
  return std::make_shared<const DrillCard>(std::move(card));
}

const Fault* find_weighed(const DrillCard& card, const std::string& key) {
  const auto found = std::ranges::find(card.weighed, key, &Fault::name);
  return found == card.weighed.end() ? nullptr : &*found;
}

FaultWithin fault_within(const DrillCard& card, const std::string& key) {
  const Fault* fault = find_weighed(card, key);
  if (fault == nullptr) return {key, {}};
  return {key, card.shown[static_cast<std::size_t>(fault - card.weighed.data())]};
}

const DrillFault* find_fault(const DrillCard& card, const std::string& key) {
  const auto found = std::ranges::find(card.faults, key, &DrillFault::key);
  return found == card.faults.end() ? nullptr : &*found;
}

bool go_together(const DrillCard& card, const DrillFault& one, const DrillFault& other) {
  const auto at_crank = [](const DrillFault& fault) {
    return fault.kind == DrillKind::sprocket_off || fault.kind == DrillKind::sprocket_tilted;
  };
  if (one.key == other.key || (at_crank(one) && at_crank(other))) return false;
  if (one.kind == DrillKind::end_float && other.kind == DrillKind::end_float) return one.of != other.of;
  const Fault* a = find_weighed(card, one.key);
  const Fault* b = find_weighed(card, other.key);
  return a == nullptr || b == nullptr || a->kind != b->kind || (a->of != b->of && !a->of.empty() && !b->of.empty());
}

Supposed supposed_on(const DrillCard& card, const std::vector<FaultAmount>& faults) {
  Supposed supposed{card.drawn.engine_shared(), card.drawn.fitted(), Turning::forward, 0.0, false};
  for (const FaultAmount& one : faults)
    if (const Fault* fault = find_weighed(card, one.fault)) supposed = fault->suppose(supposed, one.amount);
  return supposed;
}

double u_feeler_mm(const DrillCard& card) {
  return u_of_limit(card.given.instruments.feeler_mm);
}

double u_indicator_mm(const DrillCard& card) {
  return u_of_limit(card.given.instruments.indicator_mm);
}

} // namespace phasewright
