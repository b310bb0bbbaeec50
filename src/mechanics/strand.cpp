#include "mechanics/strand.hpp"

#include "geometry/angle.hpp"

#include <cmath>
#include <stdexcept>

namespace phasewright {

namespace {

// A seat counts as inside the strand's line up to this share of half a pitch beyond it: at the instant a roller seats,
// two pairs of seats describe the same line and rounding must not send the search from one to the other and back.
constexpr double seat_slip = 1e-12;

// Each wrong guess moves one seat toward the right pair, and rounding is at most one seat off at either end.
constexpr int most_corrections = 8;

} // namespace

double pitch_radius_mm(double pitch_mm, int teeth) {
  return pitch_mm / (2.0 * std::sin(pi / teeth));
}

SeatPolygon seat_polygon(glm::dvec2 centre_mm, int teeth, double pitch_mm) {
  return {centre_mm, teeth, pitch_radius_mm(pitch_mm, teeth), turn_rad / teeth};
}

double tangent_normal_rad(const SeatPolygon& from, const SeatPolygon& to) {
  const glm::dvec2 apart = to.centre_mm - from.centre_mm;
  return wrap_pi(std::atan2(apart.y, apart.x) - pi / 2.0 + std::asin((from.radius_mm - to.radius_mm) / length2(apart)));
}

TautStrand::TautStrand(const SeatPolygon& driven, const SeatPolygon& pull, double pitch_mm)
    : driven_(driven), pull_(pull), pitch_mm_(pitch_mm), tangent_rad_(tangent_normal_rad(driven, pull)),
      along_(left_of(unit_vector(tangent_rad_))) {}

StrandLie TautStrand::at(double pull_turn_rad) const {
  const double half_pitch_mm = 0.5 * pitch_mm_ * (1.0 + seat_slip);
  int seat = static_cast<int>(std::lround((tangent_rad_ - pull_turn_rad) / pull_.step_rad));
  int links = 0;
  StrandLie lie{};
  for (int correction = 0;; ++correction) {
    if (correction == most_corrections) throw std::logic_error("taut strand: no pair of seats found");
    lie.pull_rad = pull_turn_rad + seat * pull_.step_rad;
    const glm::dvec2 arm = pull_.radius_mm * unit_vector(lie.pull_rad);
    lie.pull_pin_mm = pull_.centre_mm + arm;
    const glm::dvec2 reach = lie.pull_pin_mm - driven_.centre_mm;
    if (correction == 0) links = static_cast<int>(std::lround(dot2(reach, along_) / pitch_mm_));

    // The far end lies where the circle of `links` pitches about the near end cuts the driven pitch circle, on the
    // right of the way to the pulling sprocket.
    const double length_mm = links * pitch_mm_;
    const double reach2 = dot2(reach, reach);
    const double reach_mm = std::sqrt(reach2);
    const double near_mm = (reach2 + driven_.radius_mm * driven_.radius_mm - length_mm * length_mm) / (2.0 * reach_mm);
    const double aside_mm = std::sqrt(std::fmax(0.0, driven_.radius_mm * driven_.radius_mm - near_mm * near_mm));
    const glm::dvec2 ahead = reach / reach_mm;
    const glm::dvec2 far_arm = near_mm * ahead - aside_mm * left_of(ahead);
    lie.driven_pin_mm = driven_.centre_mm + far_arm;

    // No other seat may stand outside the line: its ends lie within half a pitch of the feet of the perpendiculars.
    const glm::dvec2 way = (lie.pull_pin_mm - lie.driven_pin_mm) / length_mm;
    const double pull_ahead_mm = dot2(arm, way);
    const double driven_ahead_mm = dot2(far_arm, way);
    if (pull_ahead_mm > half_pitch_mm) {
      --seat;
      --links;
    } else if (pull_ahead_mm < -half_pitch_mm) {
      ++seat;
      ++links;
    } else if (driven_ahead_mm > half_pitch_mm) {
      ++links;
    } else if (driven_ahead_mm < -half_pitch_mm) {
      --links;
    } else {
      const double angle = std::atan2(far_arm.y, far_arm.x);
      lie.driven_rad = angle + turn_rad * std::round((tangent_rad_ - angle) / turn_rad);
      lie.pull_seat = seat;
      lie.links = links;
      return lie;
    }
  }
}

} // namespace phasewright
