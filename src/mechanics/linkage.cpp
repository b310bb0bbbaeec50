#include "mechanics/linkage.hpp"

#include "geometry/angle.hpp"
#include "mechanics/finger.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <variant>

namespace phasewright {

namespace {

constexpr double steepest_rad = radians(80.0); // from square; beyond, a lever pushes more along itself than around

// One end of a lever: what its end's travel along a straight line is for a swing.
class LeverEnd {
public:
  LeverEnd(double arm_mm, double shut_deg)
      : arm_mm_(arm_mm), shut_rad_(radians(shut_deg)), shut_sine_(std::sin(shut_rad_)) {}

  [[nodiscard]] double travel_mm(double swing_rad) const {
    return arm_mm_ * (std::sin(shut_rad_ + swing_rad) - shut_sine_);
  }
  [[nodiscard]] double per_rad_mm(double swing_rad) const { return arm_mm_ * std::cos(shut_rad_ + swing_rad); }
  [[nodiscard]] double per_rad2_mm(double swing_rad) const { return -arm_mm_ * std::sin(shut_rad_ + swing_rad); }
  // Travels the arm is too short for stop where it stands along the line.
  [[nodiscard]] double swing_rad(double travel_mm) const {
    return std::asin(std::clamp(shut_sine_ + travel_mm / arm_mm_, -1.0, 1.0)) - shut_rad_;
  }
  [[nodiscard]] double sine_at(double travel_mm) const { return shut_sine_ + travel_mm / arm_mm_; }
  [[nodiscard]] double shut_rad() const { return shut_rad_; }

private:
  double arm_mm_;
  double shut_rad_;
  double shut_sine_;
};

struct ConstantRatio {
  double ratio;

  [[nodiscard]] LinkState at(double tappet_mm) const { return {ratio * tappet_mm, ratio, 0.0}; }
  [[nodiscard]] double valve_mm(double tappet_mm) const { return ratio * tappet_mm; }
  [[nodiscard]] double tappet_mm(double valve_mm) const { return valve_mm / ratio; }
  [[nodiscard]] double swing_rad(double) const { return 0.0; }
};

// Both ends' travels follow from the swing, which follows from the tappet's.
struct Rocker {
  LeverEnd push;
  LeverEnd valve;

  explicit Rocker(const RockerArms& arms)
      : push(arms.push_arm_mm, arms.push_arm_deg), valve(arms.valve_arm_mm, arms.valve_arm_deg) {}

  [[nodiscard]] LinkState at(double tappet_mm) const {
    const double swing_rad = push.swing_rad(tappet_mm);
    const double push_mm = push.per_rad_mm(swing_rad);
    const double ratio = valve.per_rad_mm(swing_rad) / push_mm;
    // d ratio / d tappet = (valve'' - ratio push'') / push'^2, derivatives by the swing.
    const double bend = (valve.per_rad2_mm(swing_rad) - ratio * push.per_rad2_mm(swing_rad)) / (push_mm * push_mm);
    return {valve.travel_mm(swing_rad), ratio, bend};
  }
  [[nodiscard]] double valve_mm(double tappet_mm) const { return valve.travel_mm(push.swing_rad(tappet_mm)); }
  // A valve lift out of reach comes back as a tappet lift out of reach.
  [[nodiscard]] double tappet_mm(double valve_mm) const {
    return push.travel_mm(std::fmin(valve.swing_rad(valve_mm), pi / 2.0 - push.shut_rad()));
  }
  [[nodiscard]] double swing_rad(double tappet_mm) const { return push.swing_rad(tappet_mm); }
};

struct Finger {
  FingerTriangle triangle;
  LeverEnd valve;
  double shut_rad; // at the pivot, from the camshaft's axis to the pad

  Finger(const FingerArms& arms, double base_radius_mm)
      : triangle(arms, base_radius_mm), valve(arms.valve_arm_mm, arms.valve_arm_deg),
        shut_rad(triangle.at_pivot(triangle.out_mm(0.0)).rad) {}

  [[nodiscard]] LinkState at(double tappet_mm) const {
    const AngleState pivot = triangle.at_pivot(triangle.out_mm(tappet_mm));
    const double swing_rad = pivot.rad - shut_rad;
    const double per_rad_mm = valve.per_rad_mm(swing_rad);
    return {valve.travel_mm(swing_rad), per_rad_mm * pivot.per_mm,
            valve.per_rad2_mm(swing_rad) * pivot.per_mm * pivot.per_mm + per_rad_mm * pivot.per_mm2};
  }
  [[nodiscard]] double valve_mm(double tappet_mm) const { return valve.travel_mm(swing_rad(tappet_mm)); }
  [[nodiscard]] double tappet_mm(double valve_mm) const {
    return triangle.out_at_pivot_rad(shut_rad + valve.swing_rad(valve_mm)) - triangle.out_mm(0.0);
  }
  [[nodiscard]] double swing_rad(double tappet_mm) const {
    return triangle.at_pivot(triangle.out_mm(tappet_mm)).rad - shut_rad;
  }
};

std::string square_words(double from_square_rad) {
  return fmt::format("{:.1f} deg from square at the greatest lift", degrees(from_square_rad));
}

// Whether an end stands too far from square with that swing, and how far.
std::optional<std::string> too_steep(double angle_rad) {
  if (std::fabs(angle_rad) <= steepest_rad) return std::nullopt;
  return square_words(angle_rad);
}

std::optional<Problem> rocker_fault(const Rocker& rocker, double greatest_tappet_mm, const std::string& key) {
  constexpr const char* most = "at most 80 deg";
  constexpr const char* advice = "a longer arm, or one further before square with the valve shut";
  const double sine = rocker.push.sine_at(greatest_tappet_mm);
  if (!(sine <= std::sin(steepest_rad)))
    return problem_at(key + ".rocker.push_arm_mm",
                      sine < 1.0 ? square_words(std::asin(sine)) : "too short for the greatest lift", most, advice);
  const double valve_rad = rocker.valve.shut_rad() + rocker.push.swing_rad(greatest_tappet_mm);
  if (const auto found = too_steep(valve_rad)) return problem_at(key + ".rocker.valve_arm_deg", *found, most, advice);
  return std::nullopt;
}

std::optional<Problem> finger_fault(const FingerArms& arms, const Finger& finger, double greatest_tappet_mm,
                                    const std::string& key) {
  const FingerTriangle& triangle = finger.triangle;
  for (const double lift_mm : {0.0, greatest_tappet_mm}) {
    const double out_mm = triangle.out_mm(lift_mm);
    if (triangle.closes(out_mm) && std::fabs(triangle.from_square_rad(out_mm)) <= steepest_rad) continue;
    // Law of cosines with 80 deg from square at the pad: the arms that stand less far from square.
    const double across_mm = out_mm * std::cos(steepest_rad);
    const double along_mm = out_mm * std::sin(steepest_rad);
    const double reach_mm2 = triangle.pivot_mm() * triangle.pivot_mm() - across_mm * across_mm;
    if (!(reach_mm2 > 0.0))
      return problem_at(key + ".finger.pivot_mm",
                        fmt::format("{:.2f} mm from the camshaft's axis", triangle.pivot_mm()),
                        fmt::format("more than {:.2f} mm", across_mm));
    const double root_mm = std::sqrt(reach_mm2);
    return problem_at(key + ".finger.pad_arm_mm", fmt::format("{} mm", arms.pad_arm_mm),
                      fmt::format("{:.2f} to {:.2f} mm", std::fabs(root_mm - along_mm), root_mm + along_mm),
                      lift_mm == 0.0 ? "the finger does not meet its lobe's base circle within 80 deg from square"
                                     : "the finger does not reach the lobe's nose within 80 deg from square");
  }
  if (!(std::sin(triangle.direction(triangle.out_mm(0.0)).rad) > 0.0))
    return problem_at(key + ".finger.pivot_mm", fmt::format("[{}, {}]", arms.pivot_mm.x, arms.pivot_mm.y),
                      "a pivot from which the pad lies under the camshaft");
  const double valve_rad = finger.valve.shut_rad() + finger.swing_rad(greatest_tappet_mm);
  if (const auto found = too_steep(valve_rad))
    return problem_at(key + ".finger.valve_arm_deg", *found, "at most 80 deg",
                      "a longer pad arm, or a valve arm further before square with the valve shut");
  return std::nullopt;
}

} // namespace

struct Linkage::Law {
  std::variant<ConstantRatio, Rocker, Finger> way;
};

Linkage::Linkage(std::shared_ptr<const Law> law) : law_(std::move(law)) {}

Result<Linkage> Linkage::make(const ValveGear& gear, double greatest_tappet_mm, const std::string& key) {
  if (gear.follower == Follower::finger && gear.finger) {
    const Finger finger(*gear.finger, gear.base_radius_mm);
    if (std::optional<Problem> fault = finger_fault(*gear.finger, finger, greatest_tappet_mm, key))
      return *std::move(fault);
    return Linkage(std::make_shared<Law>(Law{finger}));
  }
  if (gear.follower != Follower::finger && gear.rocker) {
    const Rocker rocker(*gear.rocker);
    if (std::optional<Problem> fault = rocker_fault(rocker, greatest_tappet_mm, key)) return *std::move(fault);
    return Linkage(std::make_shared<Law>(Law{rocker}));
  }
  if (!(gear.rocker_ratio > 0.0))
    return problem_at(key + ".rocker_ratio", fmt::format("{}", gear.rocker_ratio), "more than 0");
  return Linkage(std::make_shared<Law>(Law{ConstantRatio{gear.rocker_ratio}}));
}

LinkState Linkage::at(double tappet_mm) const {
  return std::visit([&](const auto& way) { return way.at(tappet_mm); }, law_->way);
}
double Linkage::valve_mm(double tappet_mm) const {
  return std::visit([&](const auto& way) { return way.valve_mm(tappet_mm); }, law_->way);
}
double Linkage::tappet_mm(double valve_mm) const {
  return std::visit([&](const auto& way) { return way.tappet_mm(valve_mm); }, law_->way);
}
double Linkage::swing_rad(double tappet_mm) const {
  return std::visit([&](const auto& way) { return way.swing_rad(tappet_mm); }, law_->way);
}
bool Linkage::varies() const {
  return !std::holds_alternative<ConstantRatio>(law_->way);
}

} // namespace phasewright
