// Readings that might be taken next, and which of them tells two explanations apart best.
#pragma once

#include "bench/explain.hpp"
#include "bench/explain_figures.hpp"

#include <optional>
#include <string>
#include <vector>

namespace phasewright {

struct Candidates {
  Measured layout;
  std::vector<Figure> figures;
  Eigen::VectorXd u; // standard uncertainty of each when it has been read
};
// Lobes of No. 1 at two lifts and where the indicator may stand, a stop read again, the clearances about overlap TDC,
// and pins to each camshaft. Those the engine does not have are left out.
[[nodiscard]] Candidates candidates_for(const Mechanism& drawn, const Measured& layout, const Instruments& instruments);

// What the candidates would show with a fault, by its amount; NaN where they cannot be taken.
struct FreshPath {
  std::vector<double> amounts;
  std::vector<Eigen::VectorXd> figures;
};
// With one fault, or with two, whose changes add up; `nothing_wrong` is what they are changes from.
[[nodiscard]] Eigen::VectorXd fresh_figures(const Candidates& candidates, const FreshPath& path, double amount,
                                            const FreshPath* other, double other_amount,
                                            const FreshPath& nothing_wrong);

// `against`: as NextReading, which of the causes `b` is; `a` is the first. Nothing when no reading would set them two
// standard uncertainties apart.
[[nodiscard]] std::optional<NextReading> next_reading(const Candidates& candidates, const Eigen::VectorXd& a,
                                                      const Eigen::VectorXd& b, std::size_t against);

} // namespace phasewright
