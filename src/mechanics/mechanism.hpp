// Engine plus what is fitted, assembled: the pose of everything at one crank angle. This is the whole interface between
// the mechanics and the picture.
#pragma once

#include "mechanics/crank.hpp"
#include "mechanics/drive.hpp"
#include "mechanics/lobe.hpp"
#include "mechanics/valve_gear.hpp"

#include <memory>

namespace phasewright {

struct ValvePose {
  ValveKind valve = ValveKind::inlet;
  int cylinder = 1;
  double lift_mm = 0;            // at the valve
  double tappet_mm = 0;          // at the tappet
  double lobe_from_nose_deg = 0; // cam degrees past the nose, [-180, 180)
  double swing_deg = 0;          // of rocker or finger from shut, + = opening; 0 with a constant ratio
};

struct PistonPose {
  int cylinder = 1;
  double drop_mm = 0; // below TDC
};

struct Pose {
  DrivePose drive;
  std::vector<ValvePose> valves; // every cylinder, inlet then exhaust
  std::vector<PistonPose> pistons;
};

class Mechanism {
public:
  static Result<Mechanism> assemble(std::shared_ptr<const Engine> engine, const Fitted& fitted);
  static Result<Mechanism> assemble(const Engine& engine, const Fitted& fitted); // keeps a copy of the engine

  // The same engine with something else fitted: only the drive is solved anew.
  [[nodiscard]] Result<Mechanism> refitted(const Fitted& fitted) const;

  // Any finite angle; 0 = No. 1 at overlap TDC.
  [[nodiscard]] Pose pose(double crank_deg, Turning turning = Turning::forward) const;
  [[nodiscard]] double valve_lift_mm(ValveKind kind, int cylinder, double crank_deg) const;
  [[nodiscard]] double piston_drop_mm(int cylinder, double crank_deg) const;

  [[nodiscard]] const Engine& engine() const { return *engine_; }
  [[nodiscard]] const std::shared_ptr<const Engine>& engine_shared() const { return engine_; }
  [[nodiscard]] const Fitted& fitted() const { return fitted_; }
  [[nodiscard]] const Drive& drive() const { return drive_; }
  [[nodiscard]] const SliderCrank& slider_crank() const { return crank_; }

  // The valve gear of that kind, or nothing when the engine has none.
  [[nodiscard]] const ValveMotion* motion(ValveKind kind) const;

private:
  Mechanism(std::shared_ptr<const Engine> engine, const Fitted& fitted, Drive drive, std::vector<ValveMotion> motions);

  std::shared_ptr<const Engine> engine_;
  Fitted fitted_;
  Drive drive_;
  SliderCrank crank_;
  std::vector<ValveMotion> motions_;
};

} // namespace phasewright
