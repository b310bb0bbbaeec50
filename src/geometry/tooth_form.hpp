// Sprocket tooth by ISO 606: one tooth gap from its sizes, and the outline it makes.
//
// Sources: ISO 606:2015, 5.3.2 (diameters), 5.4.2 (tooth gap), 5.5.2 (tip diameters), 5.6.2 (rim profile). That the
// smallest gap has the least seating radius, the greatest seating angle and the flank radius 0.12 d1 (z + 2), and the
// largest gap the other three, is from memory; so are the tooth width factors other than 0.95. The side relief is half
// way between 0.10 p and 0.15 p; on a narrow tooth it leaves 30 % of the width at the tip.
#pragma once

#include <glm/vec2.hpp>

#include <vector>

namespace phasewright {

enum class GapForm { smallest, largest, mean }; // mean: every size half way between the two

struct ToothForm {
  int teeth = 0;
  double pitch_radius_mm = 0;     // p / (2 sin(180 deg / z)): the rollers' centres
  double seating_radius_mm = 0;   // r_i
  double seating_rad = 0;         // alpha, the angle the seating arc spans
  double flank_radius_mm = 0;     // r_e, convex
  double tip_radius_mm = 0;       // what the outline is cut off at: half way between least and greatest d_a / 2
  double least_tip_radius_mm = 0; // d_a,min / 2
  double greatest_tip_radius_mm = 0;
  double gap_bottom_radius_mm = 0; // pitch radius - r_i; the outline reaches in so far
  double root_radius_mm = 0;       // d_f / 2 = pitch radius - d1 / 2, nominal
  double width_mm = 0;             // b_f1
  double side_relief_mm = 0;       // b_a, taken off each side at the tip
  double side_radius_mm = 0;       // r_x, with which the side is relieved
};

// Pitch, largest roller diameter d1, least inner width b1 (unit: mm); teeth 6 to 200, rows 1 to 3.
[[nodiscard]] ToothForm tooth_form(double pitch_mm, double roller_mm, double inner_width_mm, int rows, int teeth,
                                   GapForm gap = GapForm::mean);

// b_f1, the greatest width of a tooth of a sprocket for 1 to 3 rows, from pitch and least inner width b1 (unit: mm).
[[nodiscard]] double tooth_width_mm(double pitch_mm, double inner_width_mm, int rows);

// Half a gap, clockwise of its middle: from the bottom of the gap, which lies on +y, along seat and flank to where the
// flank meets the tip circle or, on a pointed tooth, the middle of the tooth (unit: mm).
// 1 + seat_points + flank_points points; both counts at least 1.
[[nodiscard]] std::vector<glm::dvec2> half_gap_mm(const ToothForm& form, int seat_points = 5, int flank_points = 4);

// Whether the flanks of a tooth meet below the tip circle.
[[nodiscard]] bool is_pointed(const ToothForm& form);

// The whole outline, anticlockwise, closed (the last point is not the first again), with the bottom of a gap on +y.
[[nodiscard]] std::vector<glm::dvec2> tooth_outline_mm(const ToothForm& form, int seat_points = 5,
                                                       int flank_points = 4);

// How far a roller's centre can ride out above the pitch circle before it stands on the (least) tip circle (unit: mm).
// Not above 0 for a roller so thick that the least tip circle lies within the pitch circle.
[[nodiscard]] double working_height_mm(const ToothForm& form);

// The same to the greatest tip circle (unit: mm).
[[nodiscard]] double greatest_working_height_mm(const ToothForm& form);

// Elongation of the chain at which its rollers' centres ride so far above the pitch circle: a chain longer by x percent
// lies on a circle larger by x percent, since d = p / sin(180 deg / z) (unit: percent).
[[nodiscard]] double elongation_at_height_percent(const ToothForm& form, double height_mm);

// Half the tooth's width at a radius: full below the relief, less toward the tip (unit: mm).
[[nodiscard]] double half_width_at_mm(const ToothForm& form, double radius_mm);

} // namespace phasewright
