#include "geometry/smoothing.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <cstddef>

namespace phasewright {

namespace {

constexpr std::size_t order = 3;         // of the differences
constexpr std::size_t level = order + 1; // figures held at each end: `order` beyond it, and the end's own

// The penalty's matrix, the differences' weights squared and summed: symmetric, `order` places to each side of its
// diagonal. Row i holds places i to i + order.
using Band = std::vector<std::array<double, order + 1>>;

Band penalty(std::span<const double> x) {
  Band band(x.size(), std::array<double, order + 1>{});
  const double step = (x.back() - x.front()) / static_cast<double>(x.size() - 1);
  for (std::size_t first = 0; first + order < x.size(); ++first) {
    std::array<double, order + 1> weight{};
    for (std::size_t j = 0; j <= order; ++j) {
      double under = 1;
      for (std::size_t k = 0; k <= order; ++k)
        if (k != j) under *= (x[first + j] - x[first + k]) / step;
      weight[j] = 1 / under;
    }
    for (std::size_t j = 0; j <= order; ++j)
      for (std::size_t k = j; k <= order; ++k) band[first + j][k - j] += weight[j] * weight[k];
  }
  return band;
}

// Solves (1 + stiffness penalty) z = y by the factors of Cholesky without roots. `level` figures at each end are held
// so firmly that they stay.
std::vector<double> solve(const Band& penalty, double stiffness, std::span<const double> y) {
  const std::size_t size = y.size();
  const double firm = 1e9 * std::fmax(1.0, stiffness);
  const auto hold = [&](std::size_t i) { return i < level || i + level >= size ? firm : 1.0; };
  Band lower(size, std::array<double, order + 1>{}); // [0] the diagonal, [j] the factor of row i + j to row i
  std::vector<double> z(size);
  for (std::size_t i = 0; i < size; ++i) {
    z[i] = hold(i) * y[i];
    for (std::size_t j = 0; j <= order && i + j < size; ++j) {
      double sum = stiffness * penalty[i][j] + (j == 0 ? hold(i) : 0.0);
      for (std::size_t back = 1; back + j <= order && back <= i; ++back)
        sum -= lower[i - back][back] * lower[i - back][0] * lower[i - back][back + j];
      lower[i][j] = j == 0 ? sum : sum / lower[i][0];
    }
    for (std::size_t back = 1; back <= order && back <= i; ++back) z[i] -= lower[i - back][back] * z[i - back];
  }
  for (std::size_t i = size; i-- > 0;) {
    z[i] /= lower[i][0];
    for (std::size_t j = 1; j <= order && i + j < size; ++j) z[i] -= lower[i][j] * z[i + j];
  }
  return z;
}

} // namespace

std::vector<double> smoothed(std::span<const double> x, std::span<const double> y, double u, double most) {
  assert(x.size() == y.size());
  std::vector<double> best(y.begin(), y.end());
  const std::size_t size = y.size();
  if (size < order + 2 || !(u > 0) || !(most > 0)) return best;
  std::vector<double> at(x.begin(), x.end());
  std::vector<double> read(y.begin(), y.end());
  const double first_step = x[1] - x[0];
  const double last_step = x[size - 1] - x[size - 2];
  for (std::size_t i = 0; i < order; ++i) {
    at.insert(at.begin(), at.front() - first_step);
    at.push_back(at.back() + last_step);
  }
  read.insert(read.begin(), order, y.front());
  read.insert(read.end(), order, y.back());
  const Band band = penalty(at);
  const auto allowed = [&](const std::vector<double>& z) {
    double square = 0;
    for (std::size_t i = 0; i < size; ++i) {
      const double moved = z[i + order] - y[i];
      if (!(std::fabs(moved) <= most)) return false;
      square += moved * moved;
    }
    return square <= u * u * static_cast<double>(size);
  };
  // Each step halves, on a scale of powers of ten, the reach in which the greatest allowed stiffness lies.
  double low = -6;
  double high = 8;
  for (int steps = 0; steps < 10; ++steps) {
    const double middle = (low + high) / 2;
    const std::vector<double> z = solve(band, std::pow(10.0, middle), read);
    if (allowed(z)) {
      std::copy_n(z.begin() + order, size, best.begin());
      low = middle;
    } else {
      high = middle;
    }
  }
  best.front() = y.front();
  best.back() = y.back();
  return best;
}

} // namespace phasewright
