#include "mechanics/mechanism.hpp"

#include "geometry/angle.hpp"
#include "mechanics/volumes.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright {

namespace {

Result<std::vector<ValveMotion>> make_motions(const Engine& engine) {
  std::vector<ValveMotion> motions;
  Problems problems;
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
      if (!(kind == ValveKind::inlet ? engine.camshafts[i].inlet : engine.camshafts[i].exhaust)) continue;
      Result<ValveMotion> motion = ValveMotion::make(engine.camshafts[i], i, kind);
      if (motion)
        motions.push_back(*std::move(motion));
      else
        problems.insert(problems.end(), motion.problems().begin(), motion.problems().end());
    }
  }
  if (!problems.empty()) return problems;
  return motions;
}

} // namespace

Mechanism::Mechanism(std::shared_ptr<const Engine> engine, const Fitted& fitted, Drive drive,
                     std::vector<ValveMotion> motions)
    : engine_(std::move(engine)), fitted_(fitted), drive_(std::move(drive)), crank_(engine_->block),
      motions_(std::move(motions)) {}

Result<Mechanism> Mechanism::assemble(std::shared_ptr<const Engine> engine, const Fitted& fitted) {
  Result<Drive> drive = Drive::assemble(*engine, fitted);
  Result<std::vector<ValveMotion>> motions = make_motions(*engine);
  Problems problems;
  if (!drive) problems = drive.problems();
  if (!motions) problems.insert(problems.end(), motions.problems().begin(), motions.problems().end());
  if (const double left_cc = clearance_cc(engine->block); !(left_cc > 0.0))
    problems.push_back(problem_at(
        "block.chamber_cc", fmt::format("{:.2f} cc left at TDC, chamber, gasket, deck and crown together", left_cc),
        "more than 0"));
  if (!problems.empty()) return problems;
  return Mechanism(std::move(engine), fitted, *std::move(drive), *std::move(motions));
}

Result<Mechanism> Mechanism::assemble(const Engine& engine, const Fitted& fitted) {
  return assemble(std::make_shared<const Engine>(engine), fitted);
}

Result<Mechanism> Mechanism::refitted(const Fitted& fitted) const {
  Result<Drive> drive = Drive::assemble(*engine_, fitted);
  if (!drive) return drive.problems();
  return Mechanism(engine_, fitted, *std::move(drive), motions_);
}

const ValveMotion* Mechanism::motion(ValveKind kind) const {
  const auto found = std::ranges::find(motions_, kind, &ValveMotion::kind);
  return found == motions_.end() ? nullptr : &*found;
}

double Mechanism::piston_drop_mm(int cylinder, double crank_deg) const {
  return crank_.drop_mm(crank_deg - cylinder_delay_deg(engine_->block, cylinder));
}

double Mechanism::valve_lift_mm(ValveKind kind, int cylinder, double crank_deg) const {
  const ValveMotion* gear = motion(kind);
  if (gear == nullptr) return 0.0;
  const double camshaft_rad = drive_.camshaft_rad(radians(crank_deg), gear->camshaft_index());
  return gear->valve_lift_mm(gear->from_nose_rad(camshaft_rad, cylinder_delay_deg(engine_->block, cylinder)));
}

Pose Mechanism::pose(double crank_deg, Turning turning) const {
  Pose made;
  drive_.pose(crank_deg, made.drive, turning);
  std::vector<double> camshaft_rad; // by camshaft
  for (std::size_t i = 0; i < engine_->camshafts.size(); ++i)
    camshaft_rad.push_back(drive_.camshaft_rad(radians(crank_deg), i, turning));
  for (int cylinder = 1; cylinder <= engine_->block.cylinders; ++cylinder) {
    const double delay_deg = cylinder_delay_deg(engine_->block, cylinder);
    for (const ValveMotion& gear : motions_) {
      const double from_nose_rad = gear.from_nose_rad(camshaft_rad[gear.camshaft_index()], delay_deg);
      const double tappet_mm = gear.tappet_lift_mm(from_nose_rad);
      made.valves.push_back({gear.kind(), cylinder, gear.valve_lift_mm(from_nose_rad), tappet_mm,
                             degrees(from_nose_rad), degrees(gear.linkage().swing_rad(tappet_mm))});
    }
    made.pistons.push_back({cylinder, piston_drop_mm(cylinder, crank_deg)});
  }
  return made;
}

} // namespace phasewright
