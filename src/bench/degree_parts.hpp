// What read_degree() is put together from.
#pragma once

#include "bench/degree.hpp"

#include <functional>
#include <vector>

namespace phasewright {

// The equivalent angle of the cycle nearest to 0, [-360, 360).
[[nodiscard]] double wrap_half_cycle(double deg);

// One figure that the others do not bear out.
struct Outlier {
  std::size_t index = 0;
  double off_deg = 0; // it less the weighted mean of the others
  int others = 0;     // how many stand against it
};
// Figures for one unknown, with their standard uncertainties: the one furthest from what the others say goes first,
// until none is further than six standard uncertainties of the difference or fewer than three others are left.
// `may_go(index, kept)` tells whether one may be left out at all.
[[nodiscard]] std::vector<Outlier>
find_outliers(const std::vector<double>& figures_deg, const std::vector<double>& u_deg,
              const std::function<bool(std::size_t, const std::vector<bool>&)>& may_go);

// A piston stop's two wheel readings (unit: deg), whatever way the wheel is numbered.
struct StopPair {
  double apart_deg = 0; // from before to after TDC, [0, 360)
  double correction_deg = 0;
  double drop_mm = 0;
};
[[nodiscard]] StopPair stop_pair(const SliderCrank& crank, double before_deg, double after_deg);

[[nodiscard]] WheelZero read_wheel(const SliderCrank& crank, const Measured& measured, const Instruments& instruments,
                                   std::vector<std::string>& outliers);

// What one side's angle may be out by (unit: deg, standard): the wheel's limit and the indicator's over the slope. Near
// the nose the slope runs out; no reading can be further out than half the time the lobe is that high.
[[nodiscard]] double flank_u_deg(const Flank& flank, double duration_deg, const Instruments& instruments);

// A pair of readings against what the drive as fitted foretells.
struct PairFit {
  PairRead read;
  std::size_t camshaft = 0;
  CheckAt at = CheckAt::tappet;
  double late_deg = 0; // by how much the camshaft must stand later than drawn for the middle to fall where it was read
};
// Nothing when the lobe never lifts so far or there is no such valve.
[[nodiscard]] std::optional<PairFit> fit_pair(const Mechanism& mechanism, const LobeReading& reading,
                                              double correction_deg, const Instruments& instruments);

// Fills lobes, camshafts and outliers of `read`, whose wheel is known. `pairs` as Measured::lobe. Problems: a check
// lift that a lobe does not reach.
[[nodiscard]] Problems fit_lobes(const Mechanism& mechanism, const Measured& measured, std::vector<PairFit> pairs,
                                 DegreeRead& read);

// As far as figures stand away as written before a slip is looked for, and as near as they must come when put right
// (unit: crank deg).
inline constexpr double slip_far_deg = 10.0;

// One way a reading may have been meant, and how near it must then come to what is foretold.
struct Meant {
  Slip slip = Slip::cam_degrees;
  std::string words;
  LobeReading reading;
  double correction_deg = 0; // of the wheel
  Turning opening = Turning::forward;
  Turning closing = Turning::forward;
  double near_deg = slip_far_deg;  // middle against the other readings of the camshaft
  double alone_deg = slip_far_deg; // against the drive as fitted, when there are none
  double duration_deg = 0;
};
struct MeantBy {
  double correction_deg = 0; // of the wheel, whatever way round the stop readings stand
  double wheel_u_deg = 0;
  double within_deg = 0; // how far the drive may be out, when the duration is sure to be
};
[[nodiscard]] std::vector<Meant> meanings(const Mechanism& mechanism, const LobeReading& read, const PairFit& pair,
                                          const MeantBy& by);

// `pairs` and `wheel` as the figures are written.
[[nodiscard]] std::vector<SlipFound> find_slips(const Mechanism& mechanism, const Measured& measured,
                                                const Instruments& instruments, const std::vector<PairFit>& pairs,
                                                const WheelZero& wheel);

} // namespace phasewright
