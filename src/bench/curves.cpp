#include "bench/curves.hpp"

#include "geometry/angle.hpp"
#include "mechanics/volumes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

constexpr double phase_reach_deg = 20.0;

// From `from` in even steps, and `to` itself.
std::vector<double> even_steps(double from, double to, double step) {
  constexpr double of_a_step = 1e-6; // a last step shorter than this is rounding
  const auto whole = static_cast<std::size_t>(std::ceil((to - from) / step - of_a_step));
  std::vector<double> at;
  for (std::size_t i = 0; i < whole; ++i) at.push_back(from + static_cast<double>(i) * step);
  at.push_back(to);
  return at;
}

std::vector<const ValveMotion*> motions_of(const Mechanism& mechanism) {
  std::vector<const ValveMotion*> motions;
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust})
    if (const ValveMotion* motion = mechanism.motion(kind)) motions.push_back(motion);
  return motions;
}

void name_motion(CurveTable& table, const std::string& what) {
  for (const char* unit : {"mm", "mm_per_deg", "mm_per_deg2", "mm_per_deg3"})
    table.columns.push_back(fmt::format("{}_{}", what, unit));
}

// `rad_per_deg`: radians of the camshaft to a degree of what the row counts.
void add_motion(std::vector<double>& row, const MotionState& state, double rad_per_deg) {
  row.push_back(state.lift_mm);
  row.push_back(state.first * rad_per_deg);
  row.push_back(state.second * rad_per_deg * rad_per_deg);
  row.push_back(state.third * rad_per_deg * rad_per_deg * rad_per_deg);
}

std::vector<std::string> cycle_columns(const Mechanism& mechanism, const ClearanceModel* clearances) {
  CurveTable table;
  table.columns.emplace_back("crank_deg");
  for (std::size_t i = 0; i < mechanism.engine().camshafts.size(); ++i)
    table.columns.push_back(fmt::format("camshaft_{}_deg", i + 1));
  for (const ValveMotion* motion : motions_of(mechanism)) {
    name_motion(table, fmt::format("{}_tappet", to_word(motion->kind())));
    name_motion(table, fmt::format("{}_valve", to_word(motion->kind())));
  }
  for (const char* name : {"piston_drop_mm", "piston_mm_per_deg", "piston_mm_per_deg2", "rod_deg", "volume_cc"})
    table.columns.emplace_back(name);
  if (clearances == nullptr) return table.columns;
  for (const ValveMotion* motion : motions_of(mechanism))
    for (const char* what : {"axial_mm", "distance_mm"})
      table.columns.push_back(fmt::format("{}_{}", to_word(motion->kind()), what));
  if (clearances->between_at(0.0)) table.columns.emplace_back("valve_to_valve_mm");
  return table.columns;
}

} // namespace

MotionState tappet_motion(const ValveMotion& motion, double from_nose_rad) {
  const LiftState lift = motion.lobe().at(from_nose_rad);
  return {lift.lift_mm, lift.per_rad_mm, lift.per_rad2_mm, lift.per_rad3_mm};
}

MotionState valve_motion(const ValveMotion& motion, double from_nose_rad) {
  const ValveState valve = motion.valve_state(from_nose_rad);
  if (!(valve.lift_mm > 0.0)) return {};
  const LiftState lift = motion.lobe().at(from_nose_rad);
  const LinkState link = motion.linkage().at(lift.lift_mm);
  // How the bend itself changes with lift is not given; it is smooth, so that a difference over a thousandth of a
  // millimetre has it to many figures.
  double bend_change = 0.0;
  if (motion.linkage().varies()) {
    constexpr double reach_mm = 5e-4;
    const double low_mm = std::fmax(0.0, lift.lift_mm - reach_mm);
    const double high_mm = std::fmin(motion.lobe().greatest_lift_mm(), lift.lift_mm + reach_mm);
    if (high_mm > low_mm)
      bend_change =
          (motion.linkage().at(high_mm).bend_per_mm - motion.linkage().at(low_mm).bend_per_mm) / (high_mm - low_mm);
  }
  const double speed = lift.per_rad_mm;
  const double third = link.ratio * lift.per_rad3_mm + 3.0 * link.bend_per_mm * speed * lift.per_rad2_mm +
                       bend_change * speed * speed * speed;
  return {valve.lift_mm, valve.per_rad_mm, valve.per_rad2_mm, third};
}

CurveTable cycle_curves(const Mechanism& mechanism, const ClearanceModel* clearances, double step_deg) {
  const std::vector<const ValveMotion*> motions = motions_of(mechanism);
  const double cam_rad_per_crank_deg = radians(0.5);
  const double crank_rad_per_deg = radians(1.0);
  CurveTable table{cycle_columns(mechanism, clearances), {}};
  for (const double crank_deg : even_steps(0.0, 720.0, step_deg)) {
    std::vector<double> row{crank_deg};
    for (std::size_t i = 0; i < mechanism.engine().camshafts.size(); ++i)
      row.push_back(degrees(mechanism.drive().camshaft_rad(radians(crank_deg), i)));
    for (const ValveMotion* motion : motions) {
      const double camshaft_rad = mechanism.drive().camshaft_rad(radians(crank_deg), motion->camshaft_index());
      const double from_nose_rad = motion->from_nose_rad(camshaft_rad, 0.0);
      add_motion(row, tappet_motion(*motion, from_nose_rad), cam_rad_per_crank_deg);
      add_motion(row, valve_motion(*motion, from_nose_rad), cam_rad_per_crank_deg);
    }
    const PistonState piston = mechanism.slider_crank().at(crank_deg);
    row.insert(row.end(), {piston.drop_mm, piston.per_rad_mm * crank_rad_per_deg,
                           piston.per_rad2_mm * crank_rad_per_deg * crank_rad_per_deg, piston.rod_deg,
                           volume_cc(mechanism.engine().block, piston.drop_mm)});
    if (clearances != nullptr) {
      for (const ValveMotion* motion : motions) {
        row.push_back(clearances->at(motion->kind(), crank_deg));
        row.push_back(clearances->distance_at(motion->kind(), crank_deg));
      }
      if (const std::optional<double> between_mm = clearances->between_at(crank_deg)) row.push_back(*between_mm);
    }
    table.rows.push_back(std::move(row));
  }
  return table;
}

CurveTable phase_curves(const Mechanism& mechanism, const ClearanceModel& clearances, double step_deg) {
  CurveTable table;
  table.columns.emplace_back("extra_deg");
  for (std::size_t i = 0; i < mechanism.engine().camshafts.size(); ++i)
    table.columns.push_back(fmt::format("phase_{}_deg", i + 1));
  const std::vector<const ValveMotion*> motions = motions_of(mechanism);
  for (const ValveMotion* motion : motions)
    table.columns.push_back(fmt::format("{}_least_mm", to_word(motion->kind())));
  for (const double extra_deg : even_steps(-phase_reach_deg, phase_reach_deg, step_deg)) {
    std::vector<double> row{extra_deg};
    for (std::size_t i = 0; i < mechanism.engine().camshafts.size(); ++i)
      row.push_back(mechanism.drive().phase_deg(i) + extra_deg);
    for (const ValveMotion* motion : motions) row.push_back(clearances.least_axial(motion->kind(), extra_deg).least_mm);
    table.rows.push_back(std::move(row));
  }
  return table;
}

CurveTable lobe_curves(const Mechanism& mechanism, double step_deg) {
  const std::vector<const ValveMotion*> motions = motions_of(mechanism);
  CurveTable table;
  table.columns.emplace_back("cam_deg");
  for (const ValveMotion* motion : motions) {
    const std::string kind = to_word(motion->kind());
    name_motion(table, kind + "_lift");
    for (const char* what : {"x_mm", "y_mm", "curvature_mm", "valve_mm", "ratio"})
      table.columns.push_back(fmt::format("{}_{}", kind, what));
  }
  for (const double cam_deg : even_steps(-180.0, 180.0, step_deg)) {
    std::vector<double> row{cam_deg};
    for (const ValveMotion* motion : motions) {
      const MotionState lift = tappet_motion(*motion, radians(cam_deg));
      const LobeContact contact = motion->contour().contact(radians(cam_deg));
      add_motion(row, lift, radians(1.0));
      row.insert(row.end(), {contact.in_lobe_mm.x, contact.in_lobe_mm.y, contact.curvature_mm,
                             motion->valve_lift_mm(radians(cam_deg)), motion->linkage().at(lift.lift_mm).ratio});
    }
    table.rows.push_back(std::move(row));
  }
  return table;
}

} // namespace phasewright
