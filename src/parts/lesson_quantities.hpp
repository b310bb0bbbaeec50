// The quantities that a lesson's conditions may be about: the one table of them. What each comes to is worked out by
// bench/lesson_quantities.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace phasewright {

enum class LessonQuantity {
  crank_deg,
  crank_turned_deg,
  turned_forward_deg,
  turned_back_deg,
  camshaft_turned_deg,
  turning,
  hang_back_deg,
  stroke,
  piston_drop_mm,
  inlet_lift_mm,
  exhaust_lift_mm,
  lesser_lift_mm,
  lifts_apart_mm,
  inlet_tappet_mm,
  exhaust_tappet_mm,
  from_inlet_centre_deg,
  from_exhaust_centre_deg,
  inlet_gap_mm,
  exhaust_gap_mm,
  inlet_least_mm,
  exhaust_least_mm,
  from_inlet_least_deg,
  from_exhaust_least_deg,
  safe,
  phase_deg,
  phase_here_deg,
  off_target_deg,
  lay,
  crank_key_deg,
  cam_key_deg,
  crank_key_leads,
  cam_key_leads,
  crank_step,
  cam_step,
  elongation_percent,
  centre_change_mm,
  tooth_deg,
  taut_side,
  slack_mm,
  crank_mark_deg,
  cam_mark_deg,
  marks,
  inlet_opens_deg,
  inlet_closes_deg,
  exhaust_opens_deg,
  exhaust_closes_deg,
  inlet_centre_deg,
  exhaust_centre_deg,
  overlap_deg,
  wheel_deg,
  at_stop,
  stop_pairs,
  tdc_correction_deg,
  tdc_off_deg,
  inlet_pairs,
  exhaust_pairs,
  inlet_centre_read_deg,
  exhaust_centre_read_deg,
  phase_read_deg,
  phase_read_off_deg,
  alignment,
  gap_mm,
  behind_mm,
  shims_mm,
  end_float,
  end_float_mm,
  float_readings,
  float_by_parts_mm,
  page,
  view,
  shown
};

struct LessonQuantityRow {
  LessonQuantity quantity;
  std::string_view name;
  std::string_view
      unit; // "mm", "deg" (crank degrees unless the meaning says otherwise), "%"; empty = a count or a word
  std::string_view meaning; // what a teacher has to know of it
  double period = 0;        // 720 or 360: an angle that comes round again; 0 = none
  // Of which of several it may be asked about.
  bool by_state = false; // fitted or planned
  bool by_camshaft = false;
  bool by_cylinder = false;
  std::vector<std::string_view> words = {}; // what it may be, when it is a word; else empty
};

// In the order of the enum, one for each.
[[nodiscard]] std::span<const LessonQuantityRow> lesson_quantities();
[[nodiscard]] const LessonQuantityRow& row_of(LessonQuantity quantity);
// Null when none is called so.
[[nodiscard]] const LessonQuantityRow* find_lesson_quantity(std::string_view name);

// How a figure of it reads, with as many decimals as it is good to and without its unit: "8.67", "-19.0", "2".
[[nodiscard]] std::string figure_text(const LessonQuantityRow& row, double figure);

} // namespace phasewright
