#include "mechanics/gap_fit.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

double wild_over_mm(double dimension_limit_mm) {
  return std::max(2.0, 10.0 * dimension_limit_mm);
}

GapFit fit_gap(std::span<const SingleGap> readings, double unread_u_mm) {
  GapFit fit;
  fit.readings = static_cast<int>(readings.size());
  if (readings.empty()) {
    fit.u_mm = unread_u_mm;
    return fit;
  }
  const auto whole_u_mm = [](const SingleGap& reading) { return std::hypot(reading.u_mm, reading.shared_mm); };
  double weights = 0.0;
  double weighted_mm = 0.0;
  double own = 0.0;
  double shared = 0.0;
  for (const SingleGap& reading : readings) {
    const double weight = 1.0 / std::pow(whole_u_mm(reading), 2);
    weights += weight;
    weighted_mm += weight * reading.correction_mm;
    own += std::pow(weight * reading.u_mm, 2);
    shared += weight * reading.shared_mm;
  }
  fit.correction_mm = weighted_mm / weights;
  fit.u_mm = std::hypot(std::sqrt(own), shared) / weights;
  double chi2 = 0.0;
  for (const SingleGap& reading : readings) {
    fit.left_mm.push_back(reading.correction_mm - fit.correction_mm);
    chi2 += std::pow(fit.left_mm.back() / whole_u_mm(reading), 2);
  }
  const std::optional<double> widened = birge_ratio(chi2, static_cast<double>(readings.size() - 1));
  fit.scattered = widened.has_value();
  if (widened) fit.u_mm *= *widened;
  return fit;
}

} // namespace phasewright
