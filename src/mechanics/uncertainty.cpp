#include "mechanics/uncertainty.hpp"

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>

#include <cassert>
#include <cmath>

namespace phasewright {

double u_rectangular(double half_width) {
  return half_width / std::sqrt(3.0);
}

double u_triangular(double half_width) {
  return half_width / std::sqrt(6.0);
}

double u_arcsine(double half_width) {
  return half_width / std::sqrt(2.0);
}

TypeA type_a(std::span<const double> readings) {
  TypeA result;
  if (readings.empty()) return result;
  const auto count = static_cast<double>(readings.size());
  for (const double reading : readings) result.mean += reading / count;
  if (readings.size() < 2) return result;
  double squares = 0.0;
  for (const double reading : readings) squares += (reading - result.mean) * (reading - result.mean);
  result.freedom = count - 1.0;
  result.deviation = std::sqrt(squares / result.freedom);
  result.u = result.deviation / std::sqrt(count);
  return result;
}

WeightedMean weighted_mean(std::span<const double> figures, std::span<const double> u) {
  assert(figures.size() == u.size());
  WeightedMean result;
  if (figures.empty()) return result;
  double weights = 0.0;
  for (std::size_t i = 0; i < figures.size(); ++i) {
    weights += 1.0 / (u[i] * u[i]);
    result.mean += figures[i] / (u[i] * u[i]);
  }
  result.mean /= weights;
  result.u = 1.0 / std::sqrt(weights);
  double squares = 0.0;
  for (std::size_t i = 0; i < figures.size(); ++i) squares += std::pow((figures[i] - result.mean) / u[i], 2);
  if (const std::optional<double> widened = birge_ratio(squares, static_cast<double>(figures.size() - 1))) {
    result.scattered = true;
    result.u *= *widened;
  }
  return result;
}

std::optional<double> birge_ratio(double sum_of_squares, double freedom) {
  if (!(freedom > 0.0) || !(sum_of_squares > quantile(boost::math::chi_squared(freedom), 0.95))) return std::nullopt;
  return std::sqrt(sum_of_squares / freedom);
}

Propagated propagate(const std::function<double(std::span<const double>)>& model, std::span<const Quantity> inputs,
                     std::span<const double> correlation) {
  const std::size_t count = inputs.size();
  assert(correlation.empty() || correlation.size() == count * count);
  std::vector<double> at;
  at.reserve(count);
  for (const Quantity& input : inputs) at.push_back(input.value);
  Propagated result;
  result.value = model(at);
  for (std::size_t i = 0; i < count; ++i) {
    const double step = inputs[i].u;
    double slope = 0.0;
    if (step > 0.0) {
      at[i] = inputs[i].value + step;
      const double above = model(at);
      at[i] = inputs[i].value - step;
      slope = (above - model(at)) / (2.0 * step);
      at[i] = inputs[i].value;
    }
    result.slopes.push_back(slope);
    result.parts.push_back(std::fabs(slope) * inputs[i].u);
  }
  double variance = 0.0;
  double fourths = 0.0; // sum of u_i^4 / freedom_i
  for (std::size_t i = 0; i < count; ++i) {
    variance += result.parts[i] * result.parts[i];
    if (result.parts[i] > 0.0) fourths += std::pow(result.parts[i], 4) / inputs[i].freedom;
    for (std::size_t j = i + 1; j < count && !correlation.empty(); ++j)
      variance += 2.0 * result.slopes[i] * result.slopes[j] * inputs[i].u * inputs[j].u * correlation[i * count + j];
  }
  result.u = std::sqrt(std::fmax(0.0, variance)); // inputs that cancel may leave a rounding error below 0
  result.freedom = fourths > 0.0 ? variance * variance / fourths : std::numeric_limits<double>::infinity();
  return result;
}

double coverage_factor(double freedom, double level) {
  const double upper = 0.5 + level / 2.0;
  if (!(freedom > 0.0)) return std::numeric_limits<double>::infinity();
  if (std::isinf(freedom)) return quantile(boost::math::normal(), upper);
  return quantile(boost::math::students_t(freedom), upper);
}

} // namespace phasewright
