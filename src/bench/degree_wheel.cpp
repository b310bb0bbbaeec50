// True TDC from piston-stop readings.
#include "bench/degree_parts.hpp"
#include "geometry/angle.hpp"
#include "mechanics/uncertainty.hpp"

#include <boost/math/tools/roots.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

double wrap_half_cycle(double deg) {
  return wrap_720(deg + 360.0) - 360.0;
}

std::vector<Outlier> find_outliers(const std::vector<double>& figures_deg, const std::vector<double>& u_deg,
                                   const std::function<bool(std::size_t, const std::vector<bool>&)>& may_go) {
  constexpr double most_u = 6.0;
  constexpr std::size_t fewest_others = 3;
  std::vector<Outlier> found;
  std::vector<bool> kept(figures_deg.size(), true);
  for (std::size_t left = figures_deg.size(); left > fewest_others; --left) {
    Outlier worst;
    double worst_u = most_u;
    for (std::size_t i = 0; i < figures_deg.size(); ++i) {
      if (!kept[i] || !may_go(i, kept)) continue;
      std::vector<double> others_deg;
      std::vector<double> others_u_deg;
      for (std::size_t j = 0; j < figures_deg.size(); ++j) {
        if (j == i || !kept[j]) continue;
        others_deg.push_back(figures_deg[j]);
        others_u_deg.push_back(u_deg[j]);
      }
      const WeightedMean others = weighted_mean(others_deg, others_u_deg);
      const double off_deg = figures_deg[i] - others.mean;
      const double off_u = std::fabs(off_deg) / std::hypot(u_deg[i], others.u);
      if (!(off_u > worst_u)) continue;
      worst_u = off_u;
      worst = {i, off_deg, static_cast<int>(others_deg.size())};
    }
    if (worst.others == 0) break;
    kept[worst.index] = false;
    found.push_back(worst);
  }
  return found;
}

// The piston stands equally low at both readings. With an offset pin that is at unequal angles either side of TDC: the
// angle after it is where the drop equals that at an angle so far back as the readings are apart.
StopPair stop_pair(const SliderCrank& crank, double before_deg, double after_deg) {
  StopPair pair;
  pair.apart_deg = wrap_360(after_deg - before_deg);
  boost::uintmax_t steps = 200;
  const auto [low, high] = boost::math::tools::toms748_solve(
      [&](double deg) { return crank.drop_mm(deg) - crank.drop_mm(deg - pair.apart_deg); }, 0.0, pair.apart_deg,
      boost::math::tools::eps_tolerance<double>(50), steps);
  const double true_after_deg = 0.5 * (low + high);
  pair.correction_deg = wrap_180(true_after_deg - after_deg);
  pair.drop_mm = crank.drop_mm(true_after_deg);
  return pair;
}

WheelZero read_wheel(const SliderCrank& crank, const Measured& measured, const Instruments& instruments,
                     std::vector<std::string>& outliers) {
  WheelZero zero;
  const double reading_u_deg = u_of_limit(instruments.wheel_deg);
  if (measured.stop_deg.empty()) {
    zero.u_deg = reading_u_deg;
    return zero;
  }
  zero.read = true;
  // Half the sum of two readings, each within the wheel's limit; an offset pin changes that by a hundredth or so.
  const double pair_u_deg = reading_u_deg / std::sqrt(2.0);
  std::vector<double> corrections_deg; // not wrapped, so that a mean can be taken
  for (std::size_t i = 0; i < measured.stop_deg.size(); ++i) {
    const StopPair pair = stop_pair(crank, measured.stop_deg[i][0], measured.stop_deg[i][1]);
    corrections_deg.push_back(i == 0 ? pair.correction_deg
                                     : corrections_deg[0] + wrap_180(pair.correction_deg - corrections_deg[0]));
    zero.pairs.push_back({.reading = i, .correction_deg = pair.correction_deg, .drop_mm = pair.drop_mm});
  }
  const std::vector<double> u_deg(corrections_deg.size(), pair_u_deg);
  for (const Outlier& out : find_outliers(corrections_deg, u_deg, [](std::size_t, const auto&) { return true; })) {
    zero.pairs[out.index].left_out = true;
    outliers.push_back(fmt::format(
        "stop readings {}: they say {:+.2f}°, the {} others {:+.2f}°; left out, read them again", out.index + 1,
        wrap_180(corrections_deg[out.index]), out.others, wrap_180(corrections_deg[out.index] - out.off_deg)));
  }
  std::vector<double> kept_deg;
  for (const WheelZero::Pair& pair : zero.pairs)
    if (!pair.left_out) kept_deg.push_back(corrections_deg[pair.reading]);
  const WeightedMean mean = weighted_mean(kept_deg, std::vector<double>(kept_deg.size(), pair_u_deg));
  zero.tdc_correction_deg = wrap_180(mean.mean);
  zero.u_deg = mean.u;
  zero.scattered = mean.scattered;
  for (WheelZero::Pair& pair : zero.pairs) pair.left_deg = corrections_deg[pair.reading] - mean.mean;
  return zero;
}

} // namespace phasewright
