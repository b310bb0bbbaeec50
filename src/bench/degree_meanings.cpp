// What a lobe reading that cannot be right may have been meant to say.
#include "bench/degree_parts.hpp"
#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright {

namespace {

// The lobe may not be ground to its card.
constexpr double near_duration_deg = 6.0;

// The figures moved about, on the same lobe at the same lift.
void add_other_figures(const Meant& plain, const MeantBy& by, std::vector<Meant>& all) {
  const auto add = [&](Slip slip, const char* words, double opens_deg, double closes_deg, double alone_deg,
                       double correction_deg) {
    Meant& meant = all.emplace_back(plain);
    meant.slip = slip;
    meant.words = words;
    meant.reading.opens_deg = opens_deg;
    meant.reading.closes_deg = closes_deg;
    meant.alone_deg = alone_deg;
    meant.correction_deg = correction_deg;
  };
  const double opens_deg = plain.reading.opens_deg;
  const double closes_deg = plain.reading.closes_deg;
  for (const double times : {1.0, 2.0}) // the stop may have been read in degrees of the crank
    add(Slip::cam_degrees, "degrees of the camshaft put down for degrees of the crank; twice the figures fit",
        2.0 * opens_deg, 2.0 * closes_deg, by.within_deg, times * by.correction_deg);
  add(Slip::sides_swapped, "opens and closes stand the wrong way round", closes_deg, opens_deg, by.within_deg,
      by.correction_deg);
  for (const double times : {-1.0, 1.0}) // the stop likewise, or off the right one of a wheel's two scales
    add(Slip::wheel_reversed, "the wheel's numbers run against the engine", -opens_deg, -closes_deg, by.within_deg,
        times * by.correction_deg);
  add(Slip::full_turn, "a whole turn out, firing TDC taken for overlap TDC", opens_deg + 360.0, closes_deg + 360.0,
      slip_far_deg, by.correction_deg);
  add(Slip::full_turn, "opens is a whole turn out", opens_deg + 360.0, closes_deg, by.within_deg, by.correction_deg);
  add(Slip::full_turn, "closes is a whole turn out", opens_deg, closes_deg + 360.0, by.within_deg, by.correction_deg);
}

// Half a cycle apart a cylinder's figures are those of a whole turn, which is told as that.
void add_other_lobes(const Block& block, const Meant& plain, std::vector<Meant>& all) {
  const LobeReading& read = plain.reading;
  Meant other = plain;
  other.slip = Slip::other_valve;
  other.reading.valve = read.valve == ValveKind::inlet ? ValveKind::exhaust : ValveKind::inlet;
  other.words = fmt::format("the figures are those of the {} valve", to_word(other.reading.valve));
  all.push_back(other);
  for (int cylinder = 1; cylinder <= block.cylinders; ++cylinder) {
    const double apart_deg = wrap_360(cylinder_delay_deg(block, cylinder) - cylinder_delay_deg(block, read.cylinder));
    if (cylinder == read.cylinder || apart_deg < 1e-6 || apart_deg > 360.0 - 1e-6) continue;
    Meant& meant = all.emplace_back(plain);
    meant.slip = Slip::other_cylinder;
    meant.words = fmt::format("the figures are those of cylinder No. {}", cylinder);
    meant.reading.cylinder = cylinder;
  }
}

// The indicator stood on the other end of the rocker. The middle stays, so that only the duration tells.
void add_other_place(const PairFit& pair, const Meant& plain, const MeantBy& by, std::vector<Meant>& all) {
  const bool tappet = pair.at == CheckAt::tappet;
  Meant& meant = all.emplace_back(plain);
  meant.slip = Slip::other_lift;
  meant.words = fmt::format("the duration is that of a lift at the {}, not at the {}", tappet ? "valve" : "tappet",
                            tappet ? "tappet" : "valve");
  meant.reading.at = tappet ? CheckAt::valve : CheckAt::tappet;
  meant.duration_deg = 3.0 * pair.read.u_duration_deg;
  meant.near_deg = std::fmax(2.0, 4.0 * pair.read.u_deg);
  meant.alone_deg = by.within_deg;
}

// One side read after turning back, the other after turning forward.
void add_turned_within(const PairFit& pair, const Meant& plain, const MeantBy& by, std::vector<Meant>& all) {
  for (const bool opening : {true, false}) {
    Meant& meant = all.emplace_back(plain);
    meant.slip = Slip::turned_backward;
    meant.words = fmt::format("{} is early by the slack: read while turning back", opening ? "opens" : "closes");
    (opening ? meant.opening : meant.closing) = Turning::backward;
    meant.duration_deg = 3.0 * pair.read.u_duration_deg;
    meant.near_deg = 4.0 * pair.read.u_deg;
    meant.alone_deg = 4.0 * std::hypot(pair.read.u_deg, by.wheel_u_deg);
  }
}

} // namespace

std::vector<Meant> meanings(const Mechanism& mechanism, const LobeReading& read, const PairFit& pair,
                            const MeantBy& by) {
  Meant plain;
  plain.reading = read;
  plain.correction_deg = by.correction_deg;
  plain.duration_deg = std::fmax(near_duration_deg, 6.0 * pair.read.u_duration_deg);
  std::vector<Meant> all;
  add_other_figures(plain, by, all);
  add_other_lobes(mechanism.engine().block, plain, all);
  add_other_place(pair, plain, by, all);
  add_turned_within(pair, plain, by, all);
  return all;
}

} // namespace phasewright
