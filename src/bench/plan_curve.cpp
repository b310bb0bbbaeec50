#include "bench/plan_curve.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

constexpr double step_deg = 1.0;
// More than the curve between its points and the chain's ripple come to.
constexpr double doubtful_mm = 0.03;
// A phase this near a crossing is solved for itself.
constexpr double at_crossing_deg = 1e-4;

} // namespace

LimitedCurve::LimitedCurve(const ClearanceModel& model, ValveKind kind, double limit_mm, double from_deg, double to_deg)
    : model_(&model), kind_(kind), limit_mm_(limit_mm), least_at_(model.least_at(kind)),
      low_deg_(step_deg * std::floor(from_deg / step_deg) - step_deg) {
  const auto points = static_cast<std::size_t>(std::ceil((to_deg - low_deg_) / step_deg)) + 2;
  least_mm_.reserve(points);
  for (std::size_t i = 0; i < points; ++i)
    least_mm_.push_back(least_at_(low_deg_ + step_deg * static_cast<double>(i), 0.0));
  find_near_stretches();
}

double LimitedCurve::curve_mm(double extra_deg) const {
  const double place = std::clamp((extra_deg - low_deg_) / step_deg, 0.0, static_cast<double>(least_mm_.size()) - 1.0);
  const auto before = std::min(static_cast<std::size_t>(place), least_mm_.size() - 2);
  const double share = place - static_cast<double>(before);
  return least_mm_[before] + share * (least_mm_[before + 1] - least_mm_[before]);
}

void LimitedCurve::find_near_stretches() {
  const auto near = [&](std::size_t i) {
    const double low = std::min(least_mm_[i], least_mm_[i + 1]);
    const double high = std::max(least_mm_[i], least_mm_[i + 1]);
    return low < limit_mm_ + doubtful_mm && high > limit_mm_ - doubtful_mm;
  };
  const auto at_deg = [&](std::size_t i) { return low_deg_ + step_deg * static_cast<double>(i); };
  for (std::size_t i = 0; i + 1 < least_mm_.size(); ++i) {
    if (!near(i)) continue;
    const std::size_t first = i;
    while (i + 2 < least_mm_.size() && near(i + 1)) ++i;
    Near stretch{at_deg(first), at_deg(i + 1), false, 0.0, 0.0};
    const auto begin = least_mm_.begin() + static_cast<std::ptrdiff_t>(first);
    const auto end = least_mm_.begin() + static_cast<std::ptrdiff_t>(i + 2);
    // The ends must be clear of doubt, else another crossing may lie just past them.
    const bool apart = std::fabs(*begin - limit_mm_) >= doubtful_mm && std::fabs(*(end - 1) - limit_mm_) >= doubtful_mm;
    const bool rises = std::adjacent_find(begin, end, [](double a, double b) { return !(a < b); }) == end;
    const bool falls = std::adjacent_find(begin, end, [](double a, double b) { return !(a > b); }) == end;
    if (apart && (rises || falls) && (*begin < limit_mm_) != (*(end - 1) < limit_mm_)) {
      std::size_t at = first;
      while ((least_mm_[at + 1] < limit_mm_) == (*begin < limit_mm_)) ++at;
      stretch.crosses = true;
      stretch.crossing_slope = (least_mm_[at + 1] - least_mm_[at]) / step_deg;
      stretch.crossing_deg = at_deg(at) + (limit_mm_ - least_mm_[at]) / stretch.crossing_slope;
    }
    near_.push_back(stretch);
  }
}

// By secants from where the curve crosses, the first along the curve's own slope: the function is all but straight
// there. Nothing when that does not settle inside the stretch.
std::optional<double> LimitedCurve::solve_crossing_deg(const Near& near, double by_crank_deg) const {
  double deg = near.crossing_deg;
  double slope = near.crossing_slope;
  double before_deg = deg;
  double before_mm = 0.0;
  constexpr int most_steps = 12;
  for (int step = 0; step < most_steps && deg >= near.from_deg && deg <= near.to_deg; ++step) {
    const double over_mm = least_at_(deg, by_crank_deg) - limit_mm_;
    if (step > 0) slope = (over_mm - before_mm) / (deg - before_deg);
    const double next_deg = deg - over_mm / slope;
    if (!std::isfinite(next_deg)) break;
    if (std::fabs(next_deg - deg) <= at_crossing_deg / 10.0) return next_deg;
    before_deg = deg;
    before_mm = over_mm;
    deg = next_deg;
  }
  return std::nullopt;
}

double LimitedCurve::solved_mm(double extra_deg, double by_crank_deg) const {
  return model_->least_axial(kind_, extra_deg, by_crank_deg).least_mm;
}

double LimitedCurve::at_mm(double extra_deg, double by_crank_deg) const {
  const double mm = curve_mm(extra_deg);
  if (std::fabs(mm - limit_mm_) >= doubtful_mm) return mm;
  const auto stretch = std::ranges::find_if(
      near_, [&](const Near& near) { return extra_deg >= near.from_deg && extra_deg <= near.to_deg; });
  if (stretch == near_.end() || !stretch->crosses) return solved_mm(extra_deg, by_crank_deg);
  const auto& at_limit_deg = crossings_.value({static_cast<std::size_t>(stretch - near_.begin()), by_crank_deg},
                                              [&] { return solve_crossing_deg(*stretch, by_crank_deg); });
  if (!at_limit_deg || std::fabs(extra_deg - *at_limit_deg) < at_crossing_deg)
    return solved_mm(extra_deg, by_crank_deg);
  // The curve, moved so that it reaches the limit where the drive does.
  return curve_mm(extra_deg + stretch->crossing_deg - *at_limit_deg);
}

} // namespace phasewright
