#include "mechanics/lobe_law.hpp"

#include "geometry/angle.hpp"
#include "mechanics/card_flank.hpp"

#include <boost/math/tools/roots.hpp>
#include <fmt/format.h>

#include <array>
#include <cmath>
#include <optional>
#include <utility>

namespace phasewright {

namespace {

// Powers looked among. Below 1 the nose would be a spike whose jerk has no bound; at 40 a flank's last bit already
// bends as no follower's spring would bear.
constexpr double least_power = 1.0;
constexpr double most_power = 40.0;
constexpr double silent_ramp_deg = 20.0; // crank degrees

struct CardLaw final : LobeProfile::Law {
  CardFlank opening;
  CardFlank closing;

  explicit CardLaw(const std::pair<CardFlank, CardFlank>& flanks) : opening(flanks.first), closing(flanks.second) {}

  [[nodiscard]] LiftState at(double from_nose_rad) const override {
    if (from_nose_rad >= 0.0) return closing.at(from_nose_rad);
    LiftState state = opening.at(-from_nose_rad);
    state.per_rad_mm = -state.per_rad_mm;
    state.per_rad3_mm = -state.per_rad3_mm;
    return state;
  }
  [[nodiscard]] double lift_mm(double from_nose_rad) const override {
    return from_nose_rad >= 0.0 ? closing.lift_mm(from_nose_rad) : opening.lift_mm(-from_nose_rad);
  }
  [[nodiscard]] double opens_rad() const override { return -opening.ends_rad(); }
  [[nodiscard]] double closes_rad() const override { return closing.ends_rad(); }
};

template <class Function>
double root_between(const Function& function, double low, double high) {
  boost::uintmax_t steps = 200;
  const auto [left, right] =
      boost::math::tools::toms748_solve(function, low, high, boost::math::tools::eps_tolerance<double>(52), steps);
  return 0.5 * (left + right);
}

using Flanks = std::pair<CardFlank, CardFlank>;

// All lobes with a card's lift, seats and ramps, one for each power of the opening flank. The closing flank's is such
// that both bend alike at the nose, where the lobe then has no step in its second derivative.
class CardFamily {
public:
  CardFamily(const LobeCard& card, const std::array<LobeRamp, 2>& ramps, double check_mm)
      : lift_mm_(card.lift_mm), seat_rad_(radians(card.seat_duration_deg) / 4.0), ramps_(ramps), check_mm_(check_mm),
        alike_(ramps[0].lift_mm == ramps[1].lift_mm && ramps[0].length_deg == ramps[1].length_deg) {
    if (alike_) return;
    // Powers whose bend at the nose the closing flank has as well.
    least_ = power_of_bend(0, std::fmax(bend(0, least_power), bend(1, least_power)));
    most_ = power_of_bend(0, std::fmin(bend(0, most_power), bend(1, most_power)));
  }

  [[nodiscard]] double least() const { return least_; }
  [[nodiscard]] double most() const { return most_; }

  [[nodiscard]] Flanks flanks(double power) const {
    const CardFlank opening = flank(0, power);
    if (alike_) return {opening, opening};
    return {opening, flank(1, power_of_bend(1, opening.bend_at_nose()))};
  }
  [[nodiscard]] double duration_deg(double power) const { // crank degrees, at check lift
    const auto [opening, closing] = flanks(power);
    return degrees(2.0 * (opening.reaches_rad(check_mm_) + closing.reaches_rad(check_mm_)));
  }
  [[nodiscard]] bool falls(double power) const {
    const auto [opening, closing] = flanks(power);
    return opening.falls_all_the_way() && closing.falls_all_the_way();
  }

private:
  [[nodiscard]] CardFlank flank(std::size_t side, double power) const {
    return {lift_mm_, seat_rad_, ramps_[side], power};
  }
  [[nodiscard]] double bend(std::size_t side, double power) const { return flank(side, power).bend_at_nose(); }
  // The greater the power, the rounder the nose.
  [[nodiscard]] double power_of_bend(std::size_t side, double wanted) const {
    if (wanted <= bend(side, least_power)) return least_power;
    if (wanted >= bend(side, most_power)) return most_power;
    return root_between([&](double power) { return bend(side, power) - wanted; }, least_power, most_power);
  }

  double lift_mm_;
  double seat_rad_;
  std::array<LobeRamp, 2> ramps_;
  double check_mm_;
  bool alike_;
  double least_ = least_power;
  double most_ = most_power;
};

// The first and the last power whose flanks fall all the way, to a thousandth; nothing when none of those looked at.
std::optional<std::array<double, 2>> falling_powers(const CardFamily& family) {
  if (!(family.least() < family.most())) return std::nullopt;
  constexpr int looks = 60;
  const auto look = [&](int i) { return family.least() * std::pow(family.most() / family.least(), i / double{looks}); };
  int first = 0;
  while (first <= looks && !family.falls(look(first))) ++first;
  if (first > looks) return std::nullopt;
  int last = first;
  while (last < looks && family.falls(look(last + 1))) ++last;
  const auto edge = [&](double falls, double does_not) {
    while (std::fabs(falls - does_not) > 0.001) {
      const double middle = 0.5 * (falls + does_not);
      (family.falls(middle) ? falls : does_not) = middle;
    }
    return falls;
  };
  return std::array{first == 0 ? look(0) : edge(look(first), look(first - 1)),
                    last == looks ? look(looks) : edge(look(last), look(last + 1))};
}

std::optional<double> power_between(const CardFamily& family, double duration_deg, double low, double high) {
  const auto over = [&](double power) { return family.duration_deg(power) - duration_deg; };
  if (!(over(low) <= 0.0 && over(high) >= 0.0)) return std::nullopt;
  return root_between(over, low, high);
}

std::optional<Problem> ramp_fault(const LobeRamp& ramp, const LobeCard& card, double check_mm, const std::string& key) {
  if (ramp.lift_mm > 0.0 && !(ramp.length_deg > 0.0))
    return problem_at(key + ".length_deg", fmt::format("{}", ramp.length_deg), "more than 0");
  if (!(ramp.lift_mm < check_mm))
    return problem_at(key, fmt::format("a ramp {:.3f} mm high at the tappet", ramp.lift_mm),
                      fmt::format("less than the check lift, {:.3f} mm there", check_mm),
                      "the check lift is then on the flank, inside the duration at the seat");
  if (ramp.lift_mm > 0.0 && !(card.seat_duration_deg / 2.0 + ramp.length_deg <= 360.0))
    return problem_at(key + ".length_deg", fmt::format("{}", ramp.length_deg),
                      fmt::format("at most {}", 360.0 - card.seat_duration_deg / 2.0),
                      "half a turn of the camshaft is the most either side of the nose");
  return std::nullopt;
}

std::optional<Problem> card_fault(const LobeCard& card, const std::array<LobeRamp, 2>& ramps, double check_mm,
                                  const std::string& key) {
  if (!(card.lift_mm > check_mm))
    return problem_at(key + ".lift_mm", fmt::format("{} mm", card.lift_mm),
                      fmt::format("more than the check lift, {:.3f} mm at the tappet", check_mm));
  if (!(card.duration_deg > 0.0 && card.seat_duration_deg > card.duration_deg))
    return problem_at(key + ".seat_duration_deg", fmt::format("{}", card.seat_duration_deg),
                      fmt::format("more than the duration at check lift, {}", card.duration_deg));
  if (!(card.seat_duration_deg <= 720.0))
    return problem_at(key + ".seat_duration_deg", fmt::format("{}", card.seat_duration_deg), "at most 720");
  const std::array<bool, 2> stated{card.ramp.has_value(), card.ramp || card.closing_ramp};
  const std::array<const char*, 2> names{".ramp", card.closing_ramp ? ".closing_ramp" : ".ramp"};
  for (std::size_t side = 0; side < 2; ++side)
    if (std::optional<Problem> fault = ramp_fault(ramps[side], card, check_mm, stated[side] ? key + names[side] : key))
      return fault;
  return std::nullopt;
}

Problem no_such_lobe(const LobeCard& card, const CardFamily& family,
                     const std::optional<std::array<double, 2>>& falling, const std::string& key) {
  if (!falling)
    return problem_at(card.ramp ? key + ".ramp" : key, "ramps that no flank goes over into without rising again",
                      "lower or longer ramps");
  const double least_deg = std::ceil(family.duration_deg((*falling)[0]) * 10.0) / 10.0;
  const double most_deg = std::floor(family.duration_deg((*falling)[1]) * 10.0) / 10.0;
  return problem_at(key + ".duration_deg", fmt::format("{}", card.duration_deg),
                    fmt::format("{:.1f} to {:.1f} with {} mm of lift and {} at the seat", least_deg, most_deg,
                                card.lift_mm, card.seat_duration_deg),
                    card.duration_deg < least_deg ? "a longer duration at check lift, or a shorter one at the seat"
                                                  : "a shorter duration at check lift, or a longer one at the seat");
}

} // namespace

Result<std::shared_ptr<const LobeProfile::Law>> card_law(const LobeCard& card, const CardLevels& levels,
                                                         const std::string& key) {
  const LobeRamp opening = card.ramp.value_or(LobeRamp{levels.lash_mm, silent_ramp_deg});
  const std::array<LobeRamp, 2> ramps{opening, card.closing_ramp.value_or(opening)};
  if (std::optional<Problem> fault = card_fault(card, ramps, levels.check_mm, key)) return *std::move(fault);
  const CardFamily family(card, ramps, levels.check_mm);
  const auto made = [&family](double power) {
    return std::shared_ptr<const LobeProfile::Law>(std::make_shared<CardLaw>(family.flanks(power)));
  };
  std::optional<double> power = power_between(family, card.duration_deg, family.least(), family.most());
  if (power && family.falls(*power)) return made(*power);
  const auto falling = falling_powers(family);
  power = falling ? power_between(family, card.duration_deg, (*falling)[0], (*falling)[1]) : std::nullopt;
  if (power) return made(*power);
  return no_such_lobe(card, family, falling, key);
}

} // namespace phasewright
