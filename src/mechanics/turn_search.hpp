// The least of a figure around a circle, where it may jump and be nothing in places.
#pragma once

#include "geometry/angle.hpp"

#include <boost/math/tools/minima.hpp>
#include <glm/vec2.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

namespace phasewright {

// Looks around a circle: evenly spaced ones, and one close to either side of every corner, where what is looked at may
// begin, end or jump.
class TurnLooks {
public:
  struct Look {
    double rad;
    glm::dvec2 turn; // cosine and sine
  };

  static constexpr std::size_t even = 48;
  static constexpr double step_rad = turn_rad / static_cast<double>(even);

  explicit TurnLooks(const std::vector<double>& corners_rad = {}) {
    // Far beside what rounding does to a corner, and a hundredth of a micrometre on a piston.
    constexpr double aside_rad = 2e-7;
    std::vector<double> all_rad;
    for (std::size_t i = 0; i < even; ++i) all_rad.push_back(static_cast<double>(i) * step_rad);
    for (const double corner_rad : corners_rad)
      for (const double rad : {corner_rad - aside_rad, corner_rad + aside_rad})
        all_rad.push_back(rad - turn_rad * std::floor(rad / turn_rad));
    std::ranges::sort(all_rad);
    for (const double rad : all_rad) looks_.push_back({rad, unit_vector(rad)});
  }

  [[nodiscard]] std::size_t size() const { return looks_.size(); }
  [[nodiscard]] const Look& operator[](std::size_t i) const { return looks_[i]; }
  // The angle of the look before the i-th or after it, without a jump of a turn.
  [[nodiscard]] double rad_before(std::size_t i) const {
    return i == 0 ? looks_.back().rad - turn_rad : looks_[i - 1].rad;
  }
  [[nodiscard]] double rad_after(std::size_t i) const {
    return i + 1 == size() ? looks_.front().rad + turn_rad : looks_[i + 1].rad;
  }

private:
  std::vector<Look> looks_;
};

inline constexpr double nothing_mm = std::numeric_limits<double>::infinity();

// How much a distance may change from one look to the next on a circle: as far as the looks are apart, and two times
// that for the end of a wall that climbs as it goes round.
[[nodiscard]] inline double may_fall_mm(double radius_mm) {
  return 3.0 * radius_mm * TurnLooks::step_rad;
}

// The lesser of `known_mm` and the least of `figure(turn)` around the circle; infinity = nothing there. Every valley
// between looks that could be lower is gone down into, and every place where the figure ends is looked at, but where
// even `may_fall_mm` less than at the look before would not be the least.
template <class Figure>
[[nodiscard]] double least_around(const TurnLooks& looks, double known_mm, double may_fall_mm, Figure figure) {
  std::vector<double> seen_mm(looks.size());
  for (std::size_t i = 0; i < looks.size(); ++i) {
    seen_mm[i] = figure(looks[i].turn);
    if (seen_mm[i] < known_mm) known_mm = seen_mm[i];
  }
  // The last place toward `gone_rad` where there is something.
  const auto end_rad = [&figure](double there_rad, double gone_rad) {
    constexpr int halvings = 30;
    for (int i = 0; i < halvings; ++i) {
      const double middle_rad = (there_rad + gone_rad) / 2.0;
      (figure(unit_vector(middle_rad)) < nothing_mm ? there_rad : gone_rad) = middle_rad;
    }
    return there_rad;
  };
  // Where one face follows another there may be two valleys close together: closer looks tell them apart.
  const auto lowest_mm = [&figure](double low_rad, double high_rad) {
    constexpr std::size_t parts = 16;
    const double part_rad = (high_rad - low_rad) / static_cast<double>(parts);
    const auto at_rad = [&](std::size_t part) { return low_rad + static_cast<double>(part) * part_rad; };
    const auto bounded = [&figure](double rad) { return std::fmin(figure(unit_vector(rad)), 1e9); };
    std::array<double, parts + 1> mm{};
    for (std::size_t part = 0; part <= parts; ++part) mm[part] = bounded(at_rad(part));
    double least_mm = std::ranges::min(mm);
    for (std::size_t part = 0; part <= parts; ++part) {
      const std::size_t before = part == 0 ? 0 : part - 1;
      const std::size_t after = std::min(parts, part + 1);
      if (mm[part] > mm[before] || mm[part] > mm[after] || (mm[before] == mm[part] && mm[part] == mm[after])) continue;
      least_mm =
          std::fmin(least_mm, boost::math::tools::brent_find_minima(bounded, at_rad(before), at_rad(after), 26).second);
    }
    return least_mm;
  };
  for (std::size_t i = 0; i < looks.size(); ++i) {
    const double here_mm = seen_mm[i];
    if (!(here_mm < nothing_mm) || here_mm - may_fall_mm >= known_mm) continue;
    const double at_rad = looks[i].rad;
    double before_mm = seen_mm[i == 0 ? looks.size() - 1 : i - 1];
    double after_mm = seen_mm[i + 1 == looks.size() ? 0 : i + 1];
    double from_rad = looks.rad_before(i);
    double to_rad = looks.rad_after(i);
    // Shortly before it ends a wall that is cut aslant grows shorter from one side, and may be lowest on the way.
    if (!(before_mm < nothing_mm)) {
      before_mm = figure(unit_vector(from_rad = end_rad(at_rad, from_rad)));
      known_mm = std::fmin(known_mm, lowest_mm(from_rad, at_rad));
    }
    if (!(after_mm < nothing_mm)) {
      after_mm = figure(unit_vector(to_rad = end_rad(at_rad, to_rad)));
      known_mm = std::fmin(known_mm, lowest_mm(at_rad, to_rad));
    }
    known_mm = std::fmin(known_mm, std::fmin(before_mm, after_mm));
    if (here_mm > before_mm || here_mm > after_mm || (here_mm == before_mm && here_mm == after_mm)) continue;
    known_mm = std::fmin(known_mm, lowest_mm(from_rad, to_rad));
  }
  return known_mm;
}

} // namespace phasewright
