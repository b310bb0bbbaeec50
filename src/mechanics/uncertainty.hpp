// Standard uncertainties and how they combine: JCGM 100:2008 (the GUM).
#pragma once

#include <functional>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace phasewright {

// Standard uncertainty of something that may be out by no more than a half width, 0 or more.
[[nodiscard]] double u_rectangular(double half_width); // no value in between likelier: a/sqrt 3, JCGM 100 4.3.7
[[nodiscard]] double u_triangular(double half_width);  // likelier in the middle: a/sqrt 6, 4.3.9
[[nodiscard]] double u_arcsine(double half_width);     // likelier at the ends: a/sqrt 2
// Of an instrument by its limit of error: rectangular.
[[nodiscard]] inline double u_of_limit(double limit) {
  return u_rectangular(limit);
}

// Repeats of one reading: JCGM 100 4.2.
struct TypeA {
  double mean = 0;
  double deviation = 0; // of a single reading
  double u = 0;         // of the mean: deviation / sqrt n
  double freedom = 0;   // n - 1
};
// Of one reading, or none, the deviation is not known: 0, with freedom 0.
[[nodiscard]] TypeA type_a(std::span<const double> readings);

// Several figures for one unknown, each with its own standard uncertainty, more than 0.
struct WeightedMean {
  double mean = 0;
  double u = 0;           // by the figures' uncertainties, widened when they are scattered
  bool scattered = false; // they differ by more than their uncertainties explain
};
// Each weighs by 1/u^2. Of no figures all is 0.
[[nodiscard]] WeightedMean weighted_mean(std::span<const double> figures, std::span<const double> u);

// The Birge ratio where a weighted sum of squares passes the 95 % point of chi-squared: what uncertainties are to be
// widened by (R. T. Birge, Physical Review 40 (1932) 207; from memory). Nothing where chance explains it, and for no
// degrees of freedom.
[[nodiscard]] std::optional<double> birge_ratio(double sum_of_squares, double freedom);

// One input of a measurement.
struct Quantity {
  std::string name;
  double value = 0;
  double u = 0;                                             // standard uncertainty, 0 or more
  double freedom = std::numeric_limits<double>::infinity(); // how well u itself is known
};

struct Propagated {
  double value = 0;
  double u = 0;               // combined
  double freedom = 0;         // effective, Welch-Satterthwaite, JCGM 100 G.4.2; infinite when all are
  std::vector<double> slopes; // sensitivity coefficients, by input
  std::vector<double> parts;  // |slope| u of each
};

// The law of propagation, JCGM 100 5.1.2, first order; with `correlation` (row by row, as many rows as inputs) 5.2.2.
// Slopes are central differences over a standard uncertainty either way (5.1.3, note 2). The effective freedom is that
// of inputs that are independent, also when they are not: nothing better is known.
[[nodiscard]] Propagated propagate(const std::function<double(std::span<const double>)>& model,
                                   std::span<const Quantity> inputs, std::span<const double> correlation = {});

// Student's t for a two-sided level of confidence (0 to 1, both excluded): JCGM 100 table G.2. An infinite freedom
// gives the normal law's; one that is not more than 0, of which nothing is known, gives infinity.
[[nodiscard]] double coverage_factor(double freedom, double level);

} // namespace phasewright
