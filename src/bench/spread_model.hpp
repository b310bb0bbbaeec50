// How far a camshaft's phase goes off for what each part is out by.
#pragma once

#include "parts/build.hpp"
#include "parts/problem.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace phasewright {

// A cause that moves the phase by an even amount: `deg_per_unit` crank degrees for each unit.
struct SpreadSource {
  std::string cause;
  double half_width = 0;
  std::string unit; // "mm" or "deg"
  double deg_per_unit = 0;
};

// What one chain's length and the centre distance do together: the sum of coefficient[i][j] s^i t^j, crank degrees. s
// runs from -1 to 1 over the centre distance's tolerance, t over the chain's, from nominal (-1) to longest (1).
struct SpreadSurface {
  std::string cause;               // of the chain
  std::size_t order = 0;           // terms in each direction
  std::vector<double> coefficient; // row after row, i x order + j

  [[nodiscard]] double at(double s, double t) const;
};

// One camshaft's phase: nominal, and all sources and surfaces added to it.
struct SpreadModel {
  double nominal_deg = 0;
  std::vector<SpreadSource> sources;
  std::vector<SpreadSurface> chains;
  double centre_half_width_mm = 0;
  double chain_half_width_percent = 0;
};

// How much of the variance goes with each variable alone: the variance of the phase's mean over all other variables
// (the numerator of a first-order index; Sobol 1993, Saltelli et al. 2008). Exact: every variable is rectangular, and
// the model a sum of lines and of polynomials.
struct SpreadVariances {
  double mean_deg = 0; // of the phase
  double total = 0;    // crank degrees squared
  double centre = 0;
  std::vector<double> chains;  // as SpreadModel::chains
  std::vector<double> sources; // as SpreadModel::sources
};
[[nodiscard]] SpreadVariances variances(const SpreadModel& model);

// By camshaft. Problems: as Drive::assemble, with the tolerances at their ends too.
[[nodiscard]] Result<std::vector<SpreadModel>> spread_models(const Engine& engine, const Fitted& fitted,
                                                             const Tolerances& tolerances);

} // namespace phasewright
