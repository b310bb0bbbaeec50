// How likely each of several explanations is, when the readings' errors are normal: Bayes, with what an explanation
// foretells going straight from one figure of its amount to the next.
#pragma once

#include <Eigen/Core>

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

namespace phasewright {

// An explanation's foretold figures less those of the first (that nothing is wrong), made independent and of unit
// variance; one column for each of `amounts`, one column when it has none.
struct Path {
  Eigen::MatrixXd shifts;
  std::vector<double> amounts; // rising
  double weight = 0;           // before anything is read
};

struct Weighed {
  std::array<std::optional<std::size_t>, 2> paths; // index; of a single explanation the first only
  std::array<double, 2> amounts{};                 // best figure of each
  double misfit = 0;                               // weighted sum of squares left with those
  double log_evidence = 0;                         // natural, weight and all amounts together, but for a constant
  Eigen::VectorXd shift;                           // foretold with those amounts
};

// `read`: the readings less what is foretold when nothing is wrong, made independent likewise. All amounts between the
// first and the last are as likely as each other before.
[[nodiscard]] Weighed weigh(const Path& path, const Eigen::VectorXd& read);
// Both at once: their shifts add. Where both have an amount the evidence is that of the normal law about the best ones
// (Laplace's approximation).
[[nodiscard]] Weighed weigh_pair(const Path& a, const Path& b, const Eigen::VectorXd& read);

// Probabilities that together are 1.
[[nodiscard]] std::vector<double> probabilities(const std::vector<Weighed>& weighed);

// The shift at an amount (within the path's).
[[nodiscard]] Eigen::VectorXd shift_at(const Path& path, double amount);

} // namespace phasewright
