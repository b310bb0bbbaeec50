#include "geometry/tooth_form.hpp"

#include "geometry/angle.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace phasewright {

namespace {

// Widest pitch of the small chains, for which b_f1 is a lesser share of b1 (unit: mm).
constexpr double small_pitch_mm = 12.7;

// The flank: an arc about `centre`, run through from `from_rad` down to `to_rad`.
struct Flank {
  glm::dvec2 centre;
  double from_rad;
  double to_rad;
  bool pointed;
};

// The flank goes on from the seating arc without a corner, so its centre lies on the line from the seat's centre
// through their common point, as far again outside the gap.
Flank flank_of(const ToothForm& form) {
  const double half_rad = form.seating_rad / 2.0;
  const glm::dvec2 out{std::sin(half_rad), -std::cos(half_rad)};
  const glm::dvec2 centre =
      glm::dvec2{0.0, form.pitch_radius_mm} + (form.seating_radius_mm + form.flank_radius_mm) * out;
  const double reach = length2(centre);
  const double re = form.flank_radius_mm;
  const double to_tip = (form.tip_radius_mm * form.tip_radius_mm - reach * reach - re * re) / (2.0 * re * reach);
  const double tip_rad = std::atan2(centre.y, centre.x) + std::acos(std::clamp(to_tip, -1.0, 1.0));
  // Where it would cross the middle of the tooth.
  const double tooth_rad = pi / form.teeth;
  const double to_middle = -(centre.x * std::cos(tooth_rad) - centre.y * std::sin(tooth_rad)) / re;
  const double middle_rad = to_middle > -1.0 ? std::acos(std::min(to_middle, 1.0)) - tooth_rad : -pi;
  return {centre, pi / 2.0 + half_rad, std::max(tip_rad, middle_rad), middle_rad >= tip_rad};
}

// A point turned clockwise about the origin.
glm::dvec2 turned_clockwise(glm::dvec2 v, double rad) {
  const double c = std::cos(rad);
  const double s = std::sin(rad);
  return {v.x * c + v.y * s, v.y * c - v.x * s};
}

} // namespace

ToothForm tooth_form(double pitch_mm, double roller_mm, double inner_width_mm, int rows, int teeth, GapForm gap) {
  assert(teeth >= 6 && rows >= 1);
  const double z = teeth;
  const double least_seat_mm = 0.505 * roller_mm;
  const double greatest_seat_mm = 0.505 * roller_mm + 0.069 * std::cbrt(roller_mm);
  const double smallest_flank_mm = 0.12 * roller_mm * (z + 2.0);
  const double largest_flank_mm = 0.008 * roller_mm * (z * z + 180.0);
  const double least_angle_deg = 120.0 - 90.0 / z;
  const double greatest_angle_deg = 140.0 - 90.0 / z;
  const double largest_share = gap == GapForm::smallest ? 0.0 : gap == GapForm::largest ? 1.0 : 0.5;

  ToothForm form;
  form.teeth = teeth;
  form.pitch_radius_mm = pitch_mm / (2.0 * std::sin(pi / z));
  form.seating_radius_mm = std::lerp(least_seat_mm, greatest_seat_mm, largest_share);
  form.seating_rad = radians(std::lerp(greatest_angle_deg, least_angle_deg, largest_share));
  form.flank_radius_mm = std::lerp(smallest_flank_mm, largest_flank_mm, largest_share);
  form.least_tip_radius_mm = form.pitch_radius_mm + (pitch_mm * (1.0 - 1.6 / z) - roller_mm) / 2.0;
  form.greatest_tip_radius_mm = form.pitch_radius_mm + (1.25 * pitch_mm - roller_mm) / 2.0;
  form.tip_radius_mm = (form.least_tip_radius_mm + form.greatest_tip_radius_mm) / 2.0;
  form.gap_bottom_radius_mm = form.pitch_radius_mm - form.seating_radius_mm;
  form.root_radius_mm = form.pitch_radius_mm - roller_mm / 2.0;
  form.width_mm = tooth_width_mm(pitch_mm, inner_width_mm, rows);
  form.side_relief_mm = std::min(0.125 * pitch_mm, 0.35 * form.width_mm);
  form.side_radius_mm = pitch_mm;
  return form;
}

double tooth_width_mm(double pitch_mm, double inner_width_mm, int rows) {
  if (pitch_mm <= small_pitch_mm) return (rows == 1 ? 0.93 : 0.91) * inner_width_mm;
  return (rows == 1 ? 0.95 : 0.93) * inner_width_mm;
}

bool is_pointed(const ToothForm& form) {
  return flank_of(form).pointed;
}

std::vector<glm::dvec2> half_gap_mm(const ToothForm& form, int seat_points, int flank_points) {
  assert(seat_points >= 1 && flank_points >= 1);
  std::vector<glm::dvec2> points;
  points.reserve(static_cast<std::size_t>(1 + seat_points + flank_points));
  const glm::dvec2 seat{0.0, form.pitch_radius_mm};
  for (int i = 0; i <= seat_points; ++i) {
    const double rad = form.seating_rad / 2.0 * i / seat_points;
    points.push_back(seat + form.seating_radius_mm * glm::dvec2{std::sin(rad), -std::cos(rad)});
  }
  const Flank flank = flank_of(form);
  for (int i = 1; i <= flank_points; ++i)
    points.push_back(flank.centre + form.flank_radius_mm *
                                        unit_vector(std::lerp(flank.from_rad, flank.to_rad, double(i) / flank_points)));
  return points;
}

std::vector<glm::dvec2> tooth_outline_mm(const ToothForm& form, int seat_points, int flank_points) {
  const std::vector<glm::dvec2> half = half_gap_mm(form, seat_points, flank_points);
  const bool pointed = is_pointed(form);
  std::vector<glm::dvec2> outline;
  outline.reserve(2 * half.size() * static_cast<std::size_t>(form.teeth));
  for (int gap = 0; gap < form.teeth; ++gap) {
    const double gap_rad = -turn_rad * gap / form.teeth; // gaps follow one another anticlockwise
    const auto put = [&](glm::dvec2 point) { outline.push_back(turned_clockwise(point, gap_rad)); };
    // From the tooth on the right of the gap over the gap to the tooth on its left. A pointed tooth's tip is shared.
    for (std::size_t i = half.size() - (pointed ? 1 : 0); i-- > 0;) put(half[i]);
    for (std::size_t i = 1; i < half.size(); ++i) put({-half[i].x, half[i].y});
    if (!pointed) outline.push_back(turned_clockwise({0.0, form.tip_radius_mm}, gap_rad - pi / form.teeth));
  }
  return outline;
}

double working_height_mm(const ToothForm& form) {
  return form.least_tip_radius_mm - form.pitch_radius_mm;
}

double greatest_working_height_mm(const ToothForm& form) {
  return form.greatest_tip_radius_mm - form.pitch_radius_mm;
}

double elongation_at_height_percent(const ToothForm& form, double height_mm) {
  return 100.0 * height_mm / form.pitch_radius_mm;
}

double half_width_at_mm(const ToothForm& form, double radius_mm) {
  const double rx = form.side_radius_mm;
  const double ba = form.side_relief_mm;
  // The relief's arc leaves the side face without a corner, so far below the tip; never below the gap.
  const double depth_mm = std::min(std::sqrt(ba * (2.0 * rx - ba)), form.tip_radius_mm - form.gap_bottom_radius_mm);
  const double up_mm = std::clamp(radius_mm - (form.tip_radius_mm - depth_mm), 0.0, depth_mm);
  return form.width_mm / 2.0 - (rx - std::sqrt(rx * rx - up_mm * up_mm));
}

} // namespace phasewright
