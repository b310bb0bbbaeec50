#include "mechanics/drive.hpp"

#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

double hole_pair_deg(const Vernier& vernier, const HolePair& holes) {
  if (vernier.hub_holes == 0 || vernier.sprocket_holes == 0) return 0.0;
  return wrap_180(360.0 * holes.hub_hole / vernier.hub_holes - 360.0 * holes.sprocket_hole / vernier.sprocket_holes);
}

// Whether chain and centres are as they were drawn.
bool is_drawn_so(const Fitted& fitted, const Growth& growth) {
  return fitted.elongation_percent == 0.0 && fitted.centre_change_mm == 0.0 && growth == Growth{};
}

// How far a camshaft stands ahead of its sprocket, cam degrees; with what readings found, whose cause is not known.
double camshaft_offset_deg(const Fitted& fitted, const std::string& camshaft) {
  return cam_key_of(fitted, camshaft) + hole_pair_deg(fitted.vernier, holes_of(fitted, camshaft)) +
         slot_of(fitted, camshaft) + found_of(fitted, camshaft) / 2.0;
}

Problems fitted_faults(const Fitted& fitted, const Growth& growth) {
  Problems problems;
  const auto finite = [&problems](const std::string& key, double value) {
    if (!std::isfinite(value)) problems.push_back(problem_at(key, fmt::format("{}", value), "a finite figure"));
  };
  finite("fitted.crank_key_deg", fitted.crank_key_deg);
  finite("fitted.cam_key_deg", fitted.cam_key_deg);
  for (const auto& [camshaft, deg] : fitted.cam_key_of) finite("fitted.cam_key_deg." + camshaft, deg);
  finite("fitted.centre_change_mm", fitted.centre_change_mm);
  finite("fitted.slot_deg", fitted.slot_deg);
  for (const auto& [camshaft, deg] : fitted.slot_of) finite("fitted.slot_deg." + camshaft, deg);
  finite("fitted.found_deg", fitted.found_deg);
  for (const auto& [camshaft, deg] : fitted.found_of) finite("fitted.found_deg." + camshaft, deg);
  if (!(fitted.elongation_percent >= 0.0 && fitted.elongation_percent <= 100.0))
    problems.push_back(
        problem_at("fitted.elongation_percent", fmt::format("{}", fitted.elongation_percent), "0 to 100 percent"));
  // Not from a file: coefficients and temperatures nobody's shop sees are refused before they bend the layout.
  constexpr double most_growth = 0.02;
  for (const double share : {growth.block, growth.chain})
    if (!(std::fabs(share) <= most_growth))
      problems.push_back(problem_at("growth", fmt::format("{}", share), fmt::format("-{0} to {0}", most_growth)));
  return problems;
}

Problem no_way_problem(const Engine& engine, const NoWay& fault) {
  const Loop& loop = engine.loops[fault.loop];
  const std::string& from = loop.sprockets[fault.strand].name;
  const std::string& to = loop.sprockets[(fault.strand + 1) % loop.sprockets.size()].name;
  const auto on_strand = [&](const Guide& guide) { return guide.strand[0] == from && guide.strand[1] == to; };
  std::string key = loop_key(fault.loop) + "guide";
  if (loop.tensioner && on_strand(loop.tensioner->shoe)) {
    key = loop_key(fault.loop) + "tensioner";
  } else {
    const auto guide = std::find_if(loop.guides.begin(), loop.guides.end(), on_strand);
    key += fmt::format("[{}]", guide - loop.guides.begin() + 1);
  }
  return problem_at(
      key, fault.what(), "at least a pitch of straight chain before and after each arc",
      fmt::format("from {} to {}: look at centre_mm and radius_mm, and at the tensioner's travel_mm", from, to));
}

} // namespace

Drive::Drive(const Engine& engine, const Fitted& fitted, const Growth& growth)
    : crank_key_rad_(radians(fitted.crank_key_deg)) {
  stages_.reserve(engine.loops.size());
  for (std::size_t i = 0; i < engine.loops.size(); ++i) {
    try {
      add_stage(engine, fitted, growth, i);
    } catch (NoWay& fault) {
      fault.loop = i;
      throw;
    }
  }
  add_camshafts(engine, fitted);
}

void Drive::add_stage(const Engine& engine, const Fitted& fitted, const Growth& growth, std::size_t index) {
  DrawnLoop drawn = draw_loop(engine, fitted, growth, index);
  stages_.emplace_back(ChainLoop(std::move(drawn.drawing)),
                       ChainLoop(draw_loop(engine, Fitted{}, Growth{}, index).drawing));
  Stage& stage = stages_.back();
  stage.arcs = std::move(drawn.arcs);
  stage.sign = running_sign(engine, index);
  double driver_lead_rad = 0.0;
  if (index > 0) {
    stage.driver = driver_of(engine, index);
    driver_lead_rad = stages_[stage.driver.loop].reference_lead_rad[stage.driver.sprocket];
    const std::string& camshaft = sprocket_at(engine, stage.driver).camshaft;
    if (!camshaft.empty()) stage.shaft_rad = radians(camshaft_offset_deg(fitted, camshaft));
  }
  const bool drawn_so = is_drawn_so(fitted, growth);
  stage.reference_shifts = stage.reference.marked_shifts(driven(index, 0.0, true, Turning::forward).turn_rad);
  const std::array<double, most_sprockets> reference_leads_rad = stage.reference.mean_leads_rad();
  const std::array<double, most_sprockets> leads_rad = drawn_so ? reference_leads_rad : stage.loop.mean_leads_rad();
  const Loop& loop = engine.loops[index];
  for (std::size_t i = 0; i < loop.sprockets.size(); ++i) {
    stage.shifts[i] = stage.reference_shifts[i] + (i == 0 ? 0 : lay_at(fitted, loop.sprockets[i]));
    stage.mark_clock_deg.push_back(loop.sprockets[i].mark_clock_deg);
    const double step_rad = stage.loop.drawing().sprockets[i].step_rad;
    const double ratio = static_cast<double>(loop.sprockets[0].teeth) / loop.sprockets[i].teeth;
    stage.reference_lead_rad[i] =
        ratio * driver_lead_rad + reference_leads_rad[i] + stage.reference_shifts[i] * step_rad;
    stage.lead_change_rad[i] = leads_rad[i] - reference_leads_rad[i];
    stage.reference_turn_rad.push_back(sprocket_rad({index, i}, 0.0, true, Turning::forward));
  }
  stage.as_drawn = drawn_so && stage.shifts == stage.reference_shifts;
}

void Drive::add_camshafts(const Engine& engine, const Fitted& fitted) {
  // Everything but wear, centres and warmth moves a camshaft by an exact amount; those by the change of the tooth means
  // of the loops that lead to it.
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
    CamshaftPlace camshaft;
    camshaft.sprocket = *find_cam_sprocket(engine, engine.camshafts[i].name);
    camshaft.offset_rad = radians(camshaft_offset_deg(fitted, engine.camshafts[i].name));
    camshaft.phase_deg = set_phase_deg(engine, fitted, i);
    double change_rad = 0.0;
    double ratio = 1.0;
    for (SprocketPlace at = camshaft.sprocket;; at = stages_[at.loop].driver) {
      change_rad += ratio * stages_[at.loop].lead_change_rad[at.sprocket];
      const std::vector<Sprocket>& sprockets = engine.loops[at.loop].sprockets;
      ratio *= static_cast<double>(sprockets[0].teeth) / sprockets[at.sprocket].teeth;
      if (at.loop == 0) break;
    }
    camshaft.phase_deg += 2.0 * degrees(change_rad);
    camshafts_.push_back(camshaft);
  }
}

Result<Drive> Drive::assemble(const Engine& engine, const Fitted& fitted, const Growth& growth) {
  if (Problems problems = fitted_faults(fitted, growth); !problems.empty()) return problems;
  if (Problems problems = layout_faults(engine, fitted, growth); !problems.empty()) return problems;
  if (Problems problems = layout_faults(engine, Fitted{}, Growth{}); !problems.empty()) return problems;
  try {
    Drive drive(engine, fitted, growth);
    if (Problems problems = drive.measure(engine); !problems.empty()) return problems;
    return drive;
  } catch (const NoWay& fault) {
    return no_way_problem(engine, fault);
  }
}

double Drive::set_phase_deg(const Engine& engine, const Fitted& fitted, std::size_t camshaft) {
  const std::string& name = engine.camshafts[camshaft].name;
  double cam_deg = camshaft_offset_deg(fitted, name);
  double lay_deg = 0.0; // crank degrees
  SprocketPlace at = *find_cam_sprocket(engine, name);
  double ratio = 1.0; // turns of the camshaft for one of the sprocket that stands at `at`
  for (;;) {
    const Sprocket& sprocket = sprocket_at(engine, at);
    lay_deg += ratio * 720.0 / sprocket.teeth * lay_at(fitted, sprocket);
    ratio *= static_cast<double>(engine.loops[at.loop].sprockets[0].teeth) / sprocket.teeth;
    if (at.loop == 0) break;
    at = driver_of(engine, at.loop);
    // A later loop driven from a camshaft is set by that camshaft's key and holes as well.
    if (const std::string& driving = sprocket_at(engine, at).camshaft; !driving.empty())
      cam_deg += ratio * camshaft_offset_deg(fitted, driving);
  }
  return lay_deg + fitted.crank_key_deg + 2.0 * cam_deg;
}

double Drive::phase_deg(const Engine& engine, const Fitted& fitted, std::size_t camshaft) {
  return Drive(engine, fitted, {}).phase_deg(camshaft);
}

double Drive::phase_deg(std::size_t camshaft) const {
  return camshafts_[camshaft].phase_deg;
}

Extent Drive::slack_mm(std::size_t loop) const {
  return stages_[loop].slack_mm;
}

Extent Drive::travel_mm(std::size_t loop) const {
  return stages_[loop].travel_mm;
}

double Drive::greatest_bow_mm(std::size_t loop) const {
  return stages_[loop].greatest_bow_mm;
}

double Drive::mark_error_deg(std::size_t camshaft) const {
  const SprocketPlace place = camshafts_[camshaft].sprocket;
  return degrees(stages_[place.loop].reference_turn_rad[place.sprocket]);
}

double Drive::mark_error_teeth(std::size_t camshaft) const {
  const SprocketPlace place = camshafts_[camshaft].sprocket;
  return mark_error_deg(camshaft) / degrees(stages_[place.loop].loop.drawing().sprockets[place.sprocket].step_rad);
}

Drive::Driven Drive::driven_by_crank(double cycles, double within_rad, bool reference) const {
  const int teeth = stages_[0].loop.drawing().sprockets[0].teeth;
  // Beyond this a crank angle no longer holds its degrees, and teeth no longer fit their integer.
  constexpr double most_cycles = 1e12;
  cycles = std::fmax(-most_cycles, std::fmin(most_cycles, cycles));
  return {reference ? within_rad : within_rad + crank_key_rad_, 2LL * static_cast<long long>(cycles) * teeth};
}

Drive::Driven Drive::driven_by_shaft(std::size_t index, const Driven& before, double driver_turn_rad,
                                     bool reference) const {
  // The chain before has gone on by so many whole teeth besides; what of them is not whole teeth here is turned.
  const Stage& stage = stages_[index];
  const SeatPolygon& here = stage.loop.drawing().sprockets[0];
  const long long on_shaft = stages_[stage.driver.loop].loop.drawing().sprockets[stage.driver.sprocket].teeth;
  const long long teeth = before.carried_teeth * here.teeth;
  const long long whole = teeth / on_shaft - (teeth % on_shaft < 0 ? 1 : 0);
  const long long rest = teeth - whole * on_shaft;
  double driving_rad = driver_turn_rad + static_cast<double>(rest) / static_cast<double>(on_shaft) * here.step_rad;
  if (!reference) driving_rad += stage.shaft_rad;
  return {driving_rad, whole};
}

Drive::Driven Drive::driven(std::size_t index, double crank_rad, bool reference, Turning turning) const {
  if (index == 0) {
    const double cycles = std::floor(crank_rad / cycle_rad);
    return driven_by_crank(cycles, crank_rad - cycles * cycle_rad, reference);
  }
  const SprocketPlace driver = stages_[index].driver;
  const Stage& before = stages_[driver.loop];
  const Driven at = driven(driver.loop, crank_rad, reference, turning);
  const ChainLoop& loop = reference ? before.reference : before.loop;
  const double turned_rad = loop.sprocket_turn_rad(driver.sprocket, at.turn_rad,
                                                   reference ? before.reference_shifts : before.shifts, turning);
  return driven_by_shaft(index, at, turned_rad, reference);
}

double Drive::sprocket_rad(SprocketPlace place, double crank_rad, bool reference, Turning turning) const {
  const Stage& stage = stages_[place.loop];
  const Driven at = driven(place.loop, crank_rad, reference, turning);
  const ChainLoop& loop = reference ? stage.reference : stage.loop;
  const double turned_rad =
      loop.sprocket_turn_rad(place.sprocket, at.turn_rad, reference ? stage.reference_shifts : stage.shifts, turning);
  if (at.carried_teeth == 0) return turned_rad;
  const int teeth = loop.drawing().sprockets[place.sprocket].teeth;
  const long long turns = at.carried_teeth / teeth;
  return turned_rad + static_cast<double>(turns) * turn_rad +
         static_cast<double>(at.carried_teeth - turns * teeth) * loop.drawing().sprockets[place.sprocket].step_rad;
}

double Drive::camshaft_rad(double crank_rad, std::size_t camshaft, Turning turning) const {
  const CamshaftPlace& place = camshafts_[camshaft];
  return sprocket_rad(place.sprocket, crank_rad, false, turning) + place.offset_rad -
         stages_[place.sprocket.loop].reference_lead_rad[place.sprocket.sprocket];
}

HangBack Drive::hang_back(double crank_deg, std::size_t camshaft) const {
  const double crank_rad = radians(crank_deg);
  const double left_rad = camshaft_rad(crank_rad, camshaft, Turning::backward);
  HangBack found;
  found.cam_deg = degrees(left_rad - camshaft_rad(crank_rad, camshaft));
  found.crank_deg = 2.0 * found.cam_deg;
  // The camshaft turns at half the crank's speed but for the ripple, so each correction leaves a few percent.
  double forward_rad = 0.0;
  constexpr int most_steps = 40;
  for (int step = 0; step < most_steps; ++step) {
    const double more_rad = 2.0 * (left_rad - camshaft_rad(crank_rad + forward_rad, camshaft));
    forward_rad += more_rad;
    if (std::fabs(more_rad) < 1e-14) break;
  }
  found.turn_forward_deg = degrees(forward_rad);
  return found;
}

} // namespace phasewright
