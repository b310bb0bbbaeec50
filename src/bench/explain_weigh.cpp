#include "bench/explain_weigh.hpp"

#include "geometry/angle.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace phasewright {

namespace {

// Sum of squares along one straight piece, read - from - t step, t from 0 to 1.
struct Piece {
  double at_start = 0; // sum of squares at t = 0
  double down = 0;     // its fall per t there, halved
  double bend = 0;     // squared length of the step

  [[nodiscard]] double squares(double t) const { return std::fmax(0.0, at_start - 2.0 * t * down + t * t * bend); }
  [[nodiscard]] double lowest_at() const { return bend > 0.0 ? std::clamp(down / bend, 0.0, 1.0) : 0.0; }
};

Piece piece_of(const Path& path, Eigen::Index column, const Eigen::VectorXd& read) {
  const Eigen::VectorXd left = read - path.shifts.col(column);
  const Eigen::VectorXd step = path.shifts.col(column + 1) - path.shifts.col(column);
  return {left.squaredNorm(), left.dot(step), step.squaredNorm()};
}

// The integral over t of exp(-squares / 2), less the factor exp(-least / 2).
double bulk(const Piece& piece) {
  constexpr double all_but_flat = 1e-12;
  if (piece.bend < all_but_flat) return 1.0;
  const double width = std::sqrt(piece.bend);
  const double lowest = piece.down / piece.bend;
  if (lowest >= 0.0 && lowest <= 1.0)
    return std::sqrt(pi / 2.0) / width *
           (std::erf((1.0 - lowest) * width / std::sqrt(2.0)) + std::erf(lowest * width / std::sqrt(2.0)));
  // From its lower end, `s` standard deviations out, it falls off: a normal law's tail.
  const double s = (lowest < 0.0 ? -lowest : lowest - 1.0) * width;
  constexpr double far_out = 20.0; // beyond, the tail is an exponential to better than a quarter of a percent
  if (s > far_out) return -std::expm1(-width * (s + width / 2.0)) / (width * s);
  return std::sqrt(pi / 2.0) / width * std::exp(s * s / 2.0) *
         (std::erfc(s / std::sqrt(2.0)) - std::erfc((s + width) / std::sqrt(2.0)));
}

double log_sum(double a, double b) {
  const double more = std::max(a, b);
  return std::isinf(more) ? more : more + std::log(std::exp(a - more) + std::exp(b - more));
}

struct Lowest {
  double amount = 0;
  double squares = std::numeric_limits<double>::infinity();
};

Lowest lowest_along(const Path& path, const Eigen::VectorXd& read) {
  if (path.amounts.size() < 2) return {0.0, (read - path.shifts.col(0)).squaredNorm()};
  Lowest lowest;
  for (Eigen::Index i = 0; i + 1 < path.shifts.cols(); ++i) {
    const Piece piece = piece_of(path, i, read);
    const double t = piece.lowest_at();
    const double squares = piece.squares(t);
    const auto at = static_cast<std::size_t>(i);
    if (squares < lowest.squares) lowest = {path.amounts[at] + t * (path.amounts[at + 1] - path.amounts[at]), squares};
  }
  return lowest;
}

std::size_t piece_with(const Path& path, double amount) {
  const auto after = std::upper_bound(path.amounts.begin(), path.amounts.end(), amount);
  const auto last = static_cast<std::ptrdiff_t>(path.amounts.size()) - 2;
  return static_cast<std::size_t>(std::clamp(after - path.amounts.begin() - 1, std::ptrdiff_t{0}, last));
}

// By how much the shift changes for each unit of the amount.
Eigen::VectorXd slope_at(const Path& path, double amount) {
  const std::size_t i = piece_with(path, amount);
  const auto column = static_cast<Eigen::Index>(i);
  return (path.shifts.col(column + 1) - path.shifts.col(column)) / (path.amounts[i + 1] - path.amounts[i]);
}

double span_of(const Path& path) {
  return path.amounts.back() - path.amounts.front();
}

} // namespace

Eigen::VectorXd shift_at(const Path& path, double amount) {
  if (path.amounts.size() < 2) return path.shifts.col(0);
  const std::size_t i = piece_with(path, amount);
  return path.shifts.col(static_cast<Eigen::Index>(i)) + (amount - path.amounts[i]) * slope_at(path, amount);
}

Weighed weigh(const Path& path, const Eigen::VectorXd& read) {
  Weighed weighed;
  const Lowest lowest = lowest_along(path, read);
  weighed.amounts[0] = lowest.amount;
  weighed.misfit = lowest.squares;
  weighed.shift = shift_at(path, lowest.amount);
  weighed.log_evidence = std::log(path.weight);
  if (path.amounts.size() < 2) {
    weighed.log_evidence -= lowest.squares / 2.0;
    return weighed;
  }
  double log_all = -std::numeric_limits<double>::infinity();
  for (Eigen::Index i = 0; i + 1 < path.shifts.cols(); ++i) {
    const Piece piece = piece_of(path, i, read);
    const auto at = static_cast<std::size_t>(i);
    const double share = (path.amounts[at + 1] - path.amounts[at]) / span_of(path);
    log_all = log_sum(log_all, std::log(share * bulk(piece)) - piece.squares(piece.lowest_at()) / 2.0);
  }
  weighed.log_evidence += log_all;
  return weighed;
}

Weighed weigh_pair(const Path& a, const Path& b, const Eigen::VectorXd& read) {
  const bool a_moves = a.amounts.size() > 1;
  const bool b_moves = b.amounts.size() > 1;
  if (!a_moves || !b_moves) {
    // One stands still: what is left is a single explanation.
    const Path& still = a_moves ? b : a;
    const Path& other = a_moves ? a : b;
    Weighed weighed = weigh(other, read - still.shifts.col(0));
    weighed.log_evidence += std::log(still.weight);
    weighed.shift += still.shifts.col(0);
    weighed.amounts = a_moves ? std::array{weighed.amounts[0], 0.0} : std::array{0.0, weighed.amounts[0]};
    return weighed;
  }
  // Each in turn along its path, the other held.
  double amount_a = lowest_along(a, read).amount;
  double amount_b = 0.0;
  double squares = std::numeric_limits<double>::infinity();
  constexpr int most_turns = 60;
  for (int turn = 0; turn < most_turns; ++turn) {
    amount_b = lowest_along(b, read - shift_at(a, amount_a)).amount;
    const Lowest lowest = lowest_along(a, read - shift_at(b, amount_b));
    amount_a = lowest.amount;
    const bool settled = squares - lowest.squares < 1e-9 * (1.0 + lowest.squares);
    squares = lowest.squares;
    if (settled) break;
  }
  const Eigen::VectorXd by_a = slope_at(a, amount_a);
  const Eigen::VectorXd by_b = slope_at(b, amount_b);
  const double cross = by_a.dot(by_b);
  const double determinant = by_a.squaredNorm() * by_b.squaredNorm() - cross * cross;
  // No more than all of the amounts.
  const double within = determinant > 0.0 ? 2.0 * pi / std::sqrt(determinant) / (span_of(a) * span_of(b)) : 1.0;
  Weighed weighed;
  weighed.amounts = {amount_a, amount_b};
  weighed.misfit = squares;
  weighed.shift = shift_at(a, amount_a) + shift_at(b, amount_b);
  weighed.log_evidence = std::log(a.weight) + std::log(b.weight) - squares / 2.0 + std::log(std::min(1.0, within));
  return weighed;
}

std::vector<double> probabilities(const std::vector<Weighed>& weighed) {
  double log_all = -std::numeric_limits<double>::infinity();
  for (const Weighed& one : weighed) log_all = log_sum(log_all, one.log_evidence);
  std::vector<double> shares;
  shares.reserve(weighed.size());
  for (const Weighed& one : weighed) shares.push_back(std::exp(one.log_evidence - log_all));
  return shares;
}

} // namespace phasewright
