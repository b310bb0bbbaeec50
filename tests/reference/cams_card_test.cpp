#include "geometry/angle.hpp"
#include "mechanics/lobe.hpp"
#include "support/catch.hpp"

#include <array>
#include <cmath>
#include <string>
#include <vector>

using namespace phasewright;

namespace {

constexpr CardLevels levels{.check_mm = 1.27, .lash_mm = 0.24};

struct Ramps {
  LobeRamp opening, closing;
};

// What a card that is silent means: the lash over 20 crank degrees, and closing as opening.
Ramps ramps_of(const LobeCard& card) {
  const LobeRamp opening = card.ramp.value_or(LobeRamp{.lift_mm = levels.lash_mm, .length_deg = 20.0});
  return {opening, card.closing_ramp.value_or(opening)};
}

std::vector<LobeCard> cards() {
  const LobeRamp gentle{.lift_mm = 0.25, .length_deg = 36.0}, longer{.lift_mm = 0.3, .length_deg = 50.0};
  return {
      {.lift_mm = 6.9, .duration_deg = 218.0, .seat_duration_deg = 280.0, .ramp = {}, .closing_ramp = {}},
      {.lift_mm = 6.0, .duration_deg = 210.0, .seat_duration_deg = 286.0, .ramp = gentle, .closing_ramp = longer},
      {.lift_mm = 8.4, .duration_deg = 234.0, .seat_duration_deg = 292.0, .ramp = gentle, .closing_ramp = {}},
      {.lift_mm = 5.2, .duration_deg = 196.0, .seat_duration_deg = 262.0, .ramp = {}, .closing_ramp = longer},
  };
}

// Where the lift passes a level between two angles of which the first is lower: by halving.
double passes_rad(const LobeProfile& lobe, double level_mm, double low_rad, double high_rad) {
  for (int i = 0; i < 100; ++i) {
    const double middle_rad = 0.5 * (low_rad + high_rad);
    (lobe.at(middle_rad).lift_mm < level_mm ? low_rad : high_rad) = middle_rad;
  }
  return 0.5 * (low_rad + high_rad);
}

// Solves for the coefficients by elimination with the greatest pivot.
std::array<long double, 4> solved(std::array<std::array<long double, 5>, 4> m) {
  for (std::size_t i = 0; i < 4; ++i) {
    std::size_t pivot = i;
    for (std::size_t k = i; k < 4; ++k)
      if (std::fabs(m[k][i]) > std::fabs(m[pivot][i])) pivot = k;
    std::swap(m[i], m[pivot]);
    for (std::size_t k = 0; k < 4; ++k) {
      if (k == i) continue;
      const long double share = m[k][i] / m[i][i];
      for (std::size_t c = i; c < 5; ++c) m[k][c] -= share * m[i][c];
    }
  }
  return {m[0][4] / m[0][0], m[1][4] / m[1][1], m[2][4] / m[2][2], m[3][4] / m[3][3]};
}

// Lift below the nose as a sum of four powers, from lift and three derivatives at the flank's foot (y = 1).
class FourPowers {
public:
  FourPowers(long double step, const std::array<long double, 4>& foot) {
    std::array<std::array<long double, 5>, 4> rows{};
    for (std::size_t j = 0; j < 4; ++j) {
      powers_[j] = 2 + static_cast<long double>(j) * step;
      rows[0][j] = 1;
      rows[1][j] = powers_[j];
      rows[2][j] = powers_[j] * (powers_[j] - 1);
      rows[3][j] = powers_[j] * (powers_[j] - 1) * (powers_[j] - 2);
    }
    for (std::size_t i = 0; i < 4; ++i) rows[i][4] = foot[i];
    factors_ = solved(rows);
  }
  [[nodiscard]] double at(double y) const {
    long double sum = 0;
    for (std::size_t j = 0; j < 4; ++j) sum += factors_[j] * std::pow(static_cast<long double>(y), powers_[j]);
    return static_cast<double>(sum);
  }

private:
  std::array<long double, 4> powers_{}, factors_{};
};

// The flank from the nose to `foot_rad`, held against four powers of which the step is found from its middle alone.
void is_four_powers(const LobeProfile& lobe, double lift_mm, double foot_rad) {
  const LiftState foot = lobe.at(foot_rad * (1.0 - 1e-12));
  const long double length = foot_rad; // negative on the opening side: y is 1 at the foot of either
  const std::array<long double, 4> from_nose{foot.lift_mm - lift_mm, foot.per_rad_mm * length,
                                             foot.per_rad2_mm * length * length,
                                             foot.per_rad3_mm * length * length * length};
  const double middle_mm = lobe.lift_mm(0.5 * foot_rad) - lift_mm;
  // Several steps may meet the middle; the right one meets all of the flank.
  double best_mm = 1e9;
  const auto off_mm = [&](double step) { return FourPowers(step, from_nose).at(0.5) - middle_mm; };
  for (double from = 0.9; from < 40.0; from *= 1.02) {
    double low = from, high = from * 1.02;
    if (!(off_mm(low) * off_mm(high) <= 0.0)) continue;
    for (int i = 0; i < 80; ++i) {
      const double middle = 0.5 * (low + high);
      (off_mm(low) * off_mm(middle) <= 0.0 ? high : low) = middle;
    }
    const FourPowers law(0.5 * (low + high), from_nose);
    double worst_mm = 0.0;
    for (int i = 0; i <= 200; ++i)
      worst_mm = std::fmax(worst_mm, std::fabs(law.at(i / 200.0) + lift_mm - lobe.lift_mm(foot_rad * i / 200.0)));
    best_mm = std::fmin(best_mm, worst_mm);
  }
  CHECK(best_mm < 1e-8);
}

} // namespace

// Only what the card says, looked for by trial on the finished lobe.
TEST_CASE("a card's lobe has the card's lift, durations and ramps", "[card]") {
  for (const LobeCard& card : cards()) {
    const Ramps ramps = ramps_of(card);
    const Result<LobeProfile> made = LobeProfile::make(card, "lobe", levels);
    INFO("lift " << card.lift_mm << ": " << (made ? std::string() : to_text(made.problems())));
    REQUIRE(made.ok());
    const LobeProfile& lobe = *made;
    CHECK_THAT(lobe.at(0.0).lift_mm, WithinAbs(card.lift_mm, 1e-12));
    CHECK_THAT(lobe.at(0.0).per_rad_mm, WithinAbs(0.0, 1e-12));
    CHECK(lobe.at(0.0).per_rad2_mm < 0.0);
    for (int i = -1800; i < 1800; ++i) CHECK(lobe.lift_mm(radians(0.1 * i)) <= card.lift_mm);
    const double opens_rad = lobe.opens_rad(), closes_rad = lobe.closes_rad();
    // A cam degree is two of the crank.
    const double check_rad =
        passes_rad(lobe, levels.check_mm, closes_rad, 0.0) - passes_rad(lobe, levels.check_mm, opens_rad, 0.0);
    CHECK_THAT(2.0 * degrees(check_rad), WithinAbs(card.duration_deg, 1e-6));
    const double up_rad = opens_rad + radians(ramps.opening.length_deg / 2.0);
    const double down_rad = closes_rad - radians(ramps.closing.length_deg / 2.0);
    CHECK_THAT(2.0 * degrees(down_rad - up_rad), WithinAbs(card.seat_duration_deg, 1e-9));
    CHECK_THAT(lobe.lift_mm(up_rad), WithinAbs(ramps.opening.lift_mm, 1e-9));
    CHECK_THAT(lobe.lift_mm(down_rad), WithinAbs(ramps.closing.lift_mm, 1e-9));
    CHECK_THAT(lobe.lift_mm(opens_rad), WithinAbs(0.0, 1e-12));
    CHECK_THAT(lobe.lift_mm(closes_rad), WithinAbs(0.0, 1e-12));
    CHECK(lobe.lift_mm(opens_rad - 1e-3) == 0.0);
    CHECK(lobe.lift_mm(closes_rad + 1e-3) == 0.0);
    is_four_powers(lobe, card.lift_mm, up_rad);
    is_four_powers(lobe, card.lift_mm, down_rad);
  }
}

// Up to the nose and down from it without a dip, without a step in lift, speed or acceleration, and each derivative the
// difference of the one before.
TEST_CASE("a card's lobe runs smoothly from base circle to base circle", "[card]") {
  for (const LobeCard& card : cards()) {
    const LobeProfile lobe = *LobeProfile::make(card, "lobe", levels);
    const double from_rad = lobe.opens_rad() - 0.01, to_rad = lobe.closes_rad() + 0.01;
    constexpr int looks = 200000;
    const double step_rad = (to_rad - from_rad) / looks;
    LiftState before = lobe.at(from_rad);
    double worst_slope = 0.0, worst_bend = 0.0, dip_mm = 0.0, step_of_bend = 0.0;
    for (int i = 1; i <= looks; ++i) {
      const double rad = from_rad + step_rad * i;
      const LiftState now = lobe.at(rad);
      worst_slope = std::fmax(worst_slope, std::fabs((now.lift_mm - before.lift_mm) / step_rad -
                                                     0.5 * (now.per_rad_mm + before.per_rad_mm)));
      worst_bend = std::fmax(worst_bend, std::fabs((now.per_rad_mm - before.per_rad_mm) / step_rad -
                                                   0.5 * (now.per_rad2_mm + before.per_rad2_mm)));
      step_of_bend = std::fmax(step_of_bend, std::fabs(now.per_rad2_mm - before.per_rad2_mm));
      const double rise_mm = now.lift_mm - before.lift_mm;
      if (std::fabs(rad) > step_rad) dip_mm = std::fmax(dip_mm, rad < 0.0 ? -rise_mm : rise_mm);
      before = now;
    }
    INFO("lift " << card.lift_mm << ": slope " << worst_slope << ", bend " << worst_bend << ", step " << step_of_bend);
    CHECK(dip_mm < 1e-12);
    CHECK(worst_slope < 1e-6);
    CHECK(worst_bend < 1e-3);
    CHECK(step_of_bend < 0.1);
  }
}
