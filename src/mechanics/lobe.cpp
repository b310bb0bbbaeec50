#include "mechanics/lobe.hpp"

#include "geometry/angle.hpp"
#include "mechanics/lobe_law.hpp"

#include <boost/math/tools/minima.hpp>
#include <boost/math/tools/roots.hpp>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// Most angles asked for are inside already, and wrapping them would cost a division and their last bit.
double within_turn(double rad) {
  return rad >= -pi && rad < pi ? rad : wrap_pi(rad);
}

} // namespace

LobeProfile::LobeProfile(std::shared_ptr<const Law> law) : law_(std::move(law)) {
  const auto [at_rad, negative_lift_mm] = boost::math::tools::brent_find_minima(
      [this](double rad) { return -law_->lift_mm(rad); }, law_->opens_rad(), law_->closes_rad(), 50);
  // The search stops a rounding error away from a symmetric nose.
  const double at_zero_mm = law_->lift_mm(0.0);
  const bool nose_is_zero = at_zero_mm >= -negative_lift_mm - 1e-12;
  greatest_lift_mm_ = nose_is_zero ? at_zero_mm : -negative_lift_mm;
  greatest_at_rad_ = nose_is_zero ? 0.0 : at_rad;
}

Result<LobeProfile> LobeProfile::make(const Lobe& lobe, const std::string& key, const CardLevels& card) {
  Result<std::shared_ptr<const Law>> law = [&] {
    if (const auto* table = std::get_if<LobeTable>(&lobe)) return table_law(*table, key);
    if (const auto* polynomial = std::get_if<LobePolynomial>(&lobe)) return polynomial_law(*polynomial, key);
    return card_law(std::get<LobeCard>(lobe), card, key);
  }();
  if (!law) return law.problems();
  return LobeProfile(*std::move(law));
}

LiftState LobeProfile::at(double from_nose_rad) const {
  return law_->at(within_turn(from_nose_rad));
}

double LobeProfile::lift_mm(double from_nose_rad) const {
  return law_->lift_mm(within_turn(from_nose_rad));
}

double LobeProfile::opens_rad() const {
  return law_->opens_rad();
}
double LobeProfile::closes_rad() const {
  return law_->closes_rad();
}

std::optional<std::array<double, 2>> LobeProfile::crossings_rad(double lift_mm) const {
  if (!(lift_mm <= greatest_lift_mm_)) return std::nullopt;
  const auto above = [&](double rad) { return law_->lift_mm(rad) - lift_mm; };
  const auto crossing = [&](double foot_rad) {
    if (above(foot_rad) >= 0.0) return foot_rad;
    if (above(greatest_at_rad_) <= 0.0) return greatest_at_rad_;
    boost::uintmax_t steps = 200;
    const auto [low, high] = boost::math::tools::toms748_solve(above, std::min(foot_rad, greatest_at_rad_),
                                                               std::max(foot_rad, greatest_at_rad_),
                                                               boost::math::tools::eps_tolerance<double>(52), steps);
    return 0.5 * (low + high);
  };
  return std::array{crossing(law_->opens_rad()), crossing(law_->closes_rad())};
}

} // namespace phasewright
