#include "files/lobe_noise.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright {

namespace {

constexpr std::size_t reach = 4; // rows on either side
constexpr double least_off_mm = 0.05;
constexpr double off_per_square_step_mm = 0.0075; // for each square degree
constexpr double off_over_median = 6;
constexpr double even_steps_gain = 256.0 / 70.0;  // sum of the binomials of 8 over the middle one
constexpr std::size_t least_rows_for_median = 40; // of fewer, one bad row's echoes would be half
constexpr double base_circle_mm = 0.02;
constexpr std::ptrdiff_t least_lifted_rows = 12;
constexpr std::size_t most_strays = 20;

class Smoothness {
public:
  // `cam_deg` rises; two rows at least.
  Smoothness(const std::vector<double>& cam_deg, const std::vector<double>& lift_mm) : rows_(cam_deg.size()) {
    const double first_step = cam_deg[1] - cam_deg[0];
    const double last_step = cam_deg[rows_ - 1] - cam_deg[rows_ - 2];
    for (std::size_t i = reach; i > 0; --i)
      add_row(cam_deg.front() - static_cast<double>(i) * first_step, lift_mm.front());
    for (std::size_t i = 0; i < rows_; ++i) add_row(cam_deg[i], lift_mm[i]);
    for (std::size_t i = 1; i <= reach; ++i)
      add_row(cam_deg.back() + static_cast<double>(i) * last_step, lift_mm.back());
    off_mm_.resize(rows_);
    threshold_mm_.resize(rows_);
    for (std::size_t i = 0; i < rows_; ++i) weigh(i);
    raise_threshold();
  }

  std::vector<StrayReading> strays() {
    std::vector<StrayReading> found;
    while (found.size() < most_strays) {
      const std::size_t row = worst();
      const bool again =
          std::any_of(found.begin(), found.end(), [row](const StrayReading& stray) { return stray.row == row; });
      if (!(excess(row) > 1) || again) break;
      found.push_back({row, off_mm_[row]});
      lift_mm_[row + reach] -= off_mm_[row];
      for (std::size_t i = row > reach ? row - reach : 0; i < std::min(rows_, row + reach + 1); ++i) weigh_lift(i);
    }
    std::sort(found.begin(), found.end(), [](const StrayReading& a, const StrayReading& b) { return a.row < b.row; });
    return found;
  }

private:
  using Weights = std::array<double, 2 * reach + 1>; // of a row's estimate; the row's own is not used

  void add_row(double cam_deg, double lift_mm) {
    cam_deg_.push_back(cam_deg);
    lift_mm_.push_back(lift_mm);
  }

  // Lagrange's weights of the eight neighbours of row `row` at its place.
  [[nodiscard]] Weights weights(std::size_t row) const {
    const double* deg = &cam_deg_[row]; // of the first neighbour
    Weights weight{};
    for (std::size_t j = 0; j < weight.size(); ++j) {
      if (j == reach) continue;
      double over = 1;
      double under = 1;
      for (std::size_t k = 0; k < weight.size(); ++k) {
        if (k == j || k == reach) continue;
        over *= deg[reach] - deg[k];
        under *= deg[j] - deg[k];
      }
      weight[j] = over / under;
    }
    return weight;
  }

  void weigh_lift(std::size_t row) { off_mm_[row] = off(row, weights(row)); }

  [[nodiscard]] double off(std::size_t row, const Weights& weight) const {
    double off_mm = lift_mm_[row + reach];
    for (std::size_t j = 0; j < weight.size(); ++j) off_mm -= weight[j] * lift_mm_[row + j];
    return off_mm;
  }

  void weigh(std::size_t row) {
    const Weights weight = weights(row);
    off_mm_[row] = off(row, weight);
    // Uneven steps can make much of small errors of the neighbours.
    double gain = 1;
    double step_deg = 0;
    for (std::size_t j = 0; j < weight.size(); ++j) {
      gain += std::abs(weight[j]);
      if (j > 0) step_deg = std::max(step_deg, cam_deg_[row + j] - cam_deg_[row + j - 1]);
    }
    threshold_mm_[row] =
        std::max(least_off_mm, off_per_square_step_mm * step_deg * step_deg) * std::max(1.0, gain / even_steps_gain);
  }

  void raise_threshold() {
    if (rows_ < least_rows_for_median) return;
    std::vector<double> sizes;
    for (const double off_mm : off_mm_) sizes.push_back(std::abs(off_mm));
    const auto middle = sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2);
    std::nth_element(sizes.begin(), middle, sizes.end());
    for (double& threshold_mm : threshold_mm_) threshold_mm = std::max(threshold_mm, off_over_median * *middle);
  }

  [[nodiscard]] double excess(std::size_t row) const { return std::abs(off_mm_[row]) / threshold_mm_[row]; }

  [[nodiscard]] std::size_t worst() const {
    std::size_t worst = 0;
    for (std::size_t i = 1; i < rows_; ++i)
      if (excess(i) > excess(worst)) worst = i;
    return worst;
  }

  std::size_t rows_;
  std::vector<double> cam_deg_; // with `reach` rows of the base circle before and after
  std::vector<double> lift_mm_;
  std::vector<double> off_mm_; // of each row
  std::vector<double> threshold_mm_;
};

} // namespace

std::vector<StrayReading> stray_readings(const std::vector<double>& cam_deg, const std::vector<double>& lift_mm) {
  const auto lifted = std::count_if(lift_mm.begin(), lift_mm.end(), [](double lift) { return lift > base_circle_mm; });
  if (lifted < least_lifted_rows) return {};
  return Smoothness(cam_deg, lift_mm).strays();
}

} // namespace phasewright
