// Readings as single figures, what is foretold of each, and how well each is known.
#pragma once

#include "bench/explain_faults.hpp"
#include "mechanics/clearance.hpp"
#include "parts/build.hpp"
#include "parts/problem.hpp"

#include <Eigen/Core>

#include <cstddef>
#include <optional>
#include <vector>

namespace phasewright {

enum class FigureKind { stop, opens, closes, clearance, pins };

// One figure of a set of readings: crank degrees, mm, or pins.
struct Figure {
  FigureKind kind = FigureKind::stop;
  std::size_t reading = 0; // index into its list in Measured

  [[nodiscard]] bool is_angle() const { return kind != FigureKind::clearance && kind != FigureKind::pins; }
};

// Every stop pair, both sides of every lobe pair, every clearance, every count of pins, in that order.
[[nodiscard]] std::vector<Figure> figures_of(const Measured& layout);

// What was read (units: as Figure). Of a stop pair by how much the wheel shows too much.
[[nodiscard]] Eigen::VectorXd read_figures(const std::vector<Figure>& figures, const SliderCrank& crank,
                                           const Measured& measured);

// What would be read without any error; NaN where a lobe is never lifted so far or marks are never in the chain
// together. Nothing where the drive cannot be. `anew`: with every care, the crank turned forward and each valve told
// from the other; a stop is read after the wheel moved.
[[nodiscard]] std::optional<Eigen::VectorXd> foretold_figures(const std::vector<Figure>& figures,
                                                              const Mechanism& drawn, const Supposed& supposed,
                                                              const Measured& layout, bool anew);

// `layout` with those figures in their places; its wheel is true.
[[nodiscard]] Measured with_figures(Measured layout, const std::vector<Figure>& figures,
                                    const Eigen::VectorXd& foretold, const SliderCrank& crank);

// Covariance of the figures with nothing wrong: what each is out by of its own, and what they share: the wheel's zero,
// how each camshaft and each kind of lobe stands within its parts' tolerances, and each kind of valve's closed gap. The
// angles of clearances are true ones, as Measured has them.
struct FigureErrors {
  Eigen::VectorXd own; // standard uncertainty, by figure
  Eigen::MatrixXd covariance;
};
[[nodiscard]] FigureErrors errors_of(const std::vector<Figure>& figures, const Mechanism& drawn, const Measured& layout,
                                     const Instruments& instruments, const Tolerances& tolerances);

// Differences of figures: angles the short way round the cycle.
[[nodiscard]] Eigen::VectorXd figures_apart(const std::vector<Figure>& figures, const Eigen::VectorXd& a,
                                            const Eigen::VectorXd& b);

} // namespace phasewright
