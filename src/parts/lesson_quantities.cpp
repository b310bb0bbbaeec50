#include "parts/lesson_quantities.hpp"

#include "parts/viewer_words.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright {

namespace {

using Q = LessonQuantity;

template <std::size_t N>
std::vector<std::string_view> list_of(const std::array<std::string_view, N>& words) {
  return {words.begin(), words.end()};
}

std::vector<LessonQuantityRow> rows_of_turning() {
  return {
      {Q::crank_deg, "crank_deg", "deg",
       "where the crank stands in the cycle; 0 = No. 1 at TDC between exhaust and inlet", 720},
      {Q::crank_turned_deg, "crank_turned_deg", "deg",
       "how far the crank has been turned on since the step began, turning back taken off"},
      {Q::turned_forward_deg, "turned_forward_deg", "deg",
       "how far it has been turned in the running direction since the step began, in all"},
      {Q::turned_back_deg, "turned_back_deg", "deg",
       "how far it has been turned against the running direction since the step began, in all"},
      {Q::camshaft_turned_deg, "camshaft_turned_deg", "deg",
       "how far the camshaft has turned on since the step began, cam degrees", 0, true, true},
      {.quantity = Q::turning,
       .name = "turning",
       .unit = "",
       .meaning =
           "which way the crank was turned last; backward until what was lost by it has been turned forward again",
       .words = {"forward", "backward"}},
      {Q::hang_back_deg, "hang_back_deg", "deg",
       "by how much what the camshaft shows now is wrong because the crank was turned back; 0 after a turn forward", 0,
       true, true},
  };
}

std::vector<LessonQuantityRow> rows_of_cylinder() {
  return {
      {.quantity = Q::stroke,
       .name = "stroke",
       .unit = "",
       .meaning = "which stroke the cylinder is on, counted by half turns",
       .by_cylinder = true,
       .words = {"inlet", "compression", "power", "exhaust"}},
      {Q::piston_drop_mm, "piston_drop_mm", "mm", "how far the piston is below its highest place", 0, false, false,
       true},
      {Q::inlet_lift_mm, "inlet_lift_mm", "mm", "how far the inlet valve is off its seat", 0, true, false, true},
      {Q::exhaust_lift_mm, "exhaust_lift_mm", "mm", "how far the exhaust valve is off its seat", 0, true, false, true},
      {Q::lesser_lift_mm, "lesser_lift_mm", "mm", "the lift of the valve that is open less", 0, true, false, true},
      {Q::lifts_apart_mm, "lifts_apart_mm", "mm", "the inlet valve's lift less the exhaust valve's", 0, true, false,
       true},
      {Q::inlet_tappet_mm, "inlet_tappet_mm", "mm", "what a dial indicator on the inlet tappet shows", 0, true, false,
       true},
      {Q::exhaust_tappet_mm, "exhaust_tappet_mm", "mm", "what a dial indicator on the exhaust tappet shows", 0, true,
       false, true},
      {Q::from_inlet_centre_deg, "from_inlet_centre_deg", "deg",
       "how far the crank stands after the inlet lobe centre of No. 1", 720, true},
      {Q::from_exhaust_centre_deg, "from_exhaust_centre_deg", "deg",
       "how far the crank stands after the exhaust lobe centre of No. 1", 720, true},
      {Q::inlet_gap_mm, "inlet_gap_mm", "mm",
       "room between inlet valve and piston where the crank stands, along the valve's axis", 0, true},
      {Q::exhaust_gap_mm, "exhaust_gap_mm", "mm",
       "room between exhaust valve and piston where the crank stands, along the valve's axis", 0, true},
      {Q::inlet_least_mm, "inlet_least_mm", "mm", "the least room between inlet valve and piston in the whole cycle", 0,
       true},
      {Q::exhaust_least_mm, "exhaust_least_mm", "mm",
       "the least room between exhaust valve and piston in the whole cycle", 0, true},
      {Q::from_inlet_least_deg, "from_inlet_least_deg", "deg",
       "how far the crank stands after the place where the inlet valve comes nearest to the piston", 720, true},
      {Q::from_exhaust_least_deg, "from_exhaust_least_deg", "deg",
       "how far the crank stands after the place where the exhaust valve comes nearest to the piston", 720, true},
      {.quantity = Q::safe,
       .name = "safe",
       .unit = "",
       .meaning = "whether all clearances are over their limits, now and with the chain worn",
       .by_state = true,
       .words = {"yes", "no", "unknown"}},
  };
}

std::vector<LessonQuantityRow> rows_of_drive() {
  return {
      {Q::phase_deg, "phase_deg", "deg",
       "how far the camshaft stands ahead of the maker's card (- = behind), mean over a tooth", 0, true, true},
      {Q::phase_here_deg, "phase_here_deg", "deg", "the same where the crank stands, and as it was turned", 0, true,
       true},
      {Q::off_target_deg, "off_target_deg", "deg", "phase less what the build's target asks for", 0, true, true},
      {Q::lay, "lay", "", "teeth by which the chain is laid off the camshaft's mark, + = camshaft ahead", 0, true,
       true},
      {Q::crank_key_deg, "crank_key_deg", "deg", "by how much the crank's offset key sets the camshaft ahead", 0, true},
      {Q::cam_key_deg, "cam_key_deg", "deg", "by how much the camshaft's offset key sets it ahead, cam degrees", 0,
       true, true},
      {.quantity = Q::crank_key_leads,
       .name = "crank_key_leads",
       .unit = "",
       .meaning = "which half of the crank's key stands ahead in the running direction",
       .by_state = true,
       .words = {"sprocket half", "shaft half", "neither"}},
      {.quantity = Q::cam_key_leads,
       .name = "cam_key_leads",
       .unit = "",
       .meaning = "which half of the camshaft's key stands ahead in the running direction",
       .by_state = true,
       .by_camshaft = true,
       .words = {"sprocket half", "shaft half", "neither"}},
      {.quantity = Q::crank_step,
       .name = "crank_step",
       .unit = "",
       .meaning = "which way the upper half of the crank's key is stepped, seen from the timing end",
       .by_state = true,
       .words = {"clockwise", "anticlockwise", "none"}},
      {.quantity = Q::cam_step,
       .name = "cam_step",
       .unit = "",
       .meaning = "which way the upper half of the camshaft's key is stepped, seen from the timing end",
       .by_state = true,
       .by_camshaft = true,
       .words = {"clockwise", "anticlockwise", "none"}},
      {Q::elongation_percent, "elongation_percent", "%", "how much longer than new the chain is", 0, true},
      {Q::centre_change_mm, "centre_change_mm", "mm", "how much further apart crank and camshaft are than drawn", 0,
       true},
      {Q::tooth_deg, "tooth_deg", "deg", "what one tooth of the camshaft's sprocket is worth", 0, false, true},
      {.quantity = Q::taut_side,
       .name = "taut_side",
       .unit = "",
       .meaning = "on which side of the crank sprocket its chain is pulled straight, seen from the timing end",
       .by_state = true,
       .words = {"left", "right"}},
      {Q::slack_mm, "slack_mm", "mm",
       "how much longer the slack strand of the crank's chain is than its way; 0 where a tensioner takes it up", 0,
       true},
      {Q::crank_mark_deg, "crank_mark_deg", "deg",
       "how far the crank sprocket's mark points past the place where the marks face, degrees of the crank", 360},
      {Q::cam_mark_deg, "cam_mark_deg", "deg",
       "how far the camshaft sprocket's mark points past that place, cam degrees", 360, true, true},
      {.quantity = Q::marks,
       .name = "marks",
       .unit = "",
       .meaning = "whether both marks point, within a quarter tooth, where the maker has them face",
       .by_state = true,
       .by_camshaft = true,
       .words = {"facing", "apart"}},
  };
}

std::vector<LessonQuantityRow> rows_of_events() {
  return {
      {Q::inlet_opens_deg, "inlet_opens_deg", "deg", "inlet opening of No. 1 at check lift, before TDC", 0, true},
      {Q::inlet_closes_deg, "inlet_closes_deg", "deg", "inlet closing of No. 1 at check lift, after BDC", 0, true},
      {Q::exhaust_opens_deg, "exhaust_opens_deg", "deg", "exhaust opening of No. 1 at check lift, before BDC", 0, true},
      {Q::exhaust_closes_deg, "exhaust_closes_deg", "deg", "exhaust closing of No. 1 at check lift, after TDC", 0,
       true},
      {Q::inlet_centre_deg, "inlet_centre_deg", "deg", "inlet lobe centre of No. 1, after TDC", 0, true},
      {Q::exhaust_centre_deg, "exhaust_centre_deg", "deg", "exhaust lobe centre of No. 1, before TDC", 0, true},
      {Q::overlap_deg, "overlap_deg", "deg",
       "how long both valves are open at check lift; negative = a gap between them", 0, true},
  };
}

std::vector<LessonQuantityRow> rows_of_readings() {
  return {
      {Q::wheel_deg, "wheel_deg", "deg", "what the lesson's degree wheel shows at its pointer", 360},
      {.quantity = Q::at_stop,
       .name = "at_stop",
       .unit = "",
       .meaning = "whether the piston of No. 1 bears on the piston stop",
       .words = {"yes", "no"}},
      {Q::stop_pairs, "stop_pairs", "", "pairs of piston stop readings that have been put in"},
      {Q::tdc_correction_deg, "tdc_correction_deg", "deg", "what those readings say must be added to the wheel"},
      {Q::tdc_off_deg, "tdc_off_deg", "deg", "that less what must truly be added to the lesson's wheel"},
      {Q::inlet_pairs, "inlet_pairs", "", "pairs of inlet lobe readings that have been put in"},
      {Q::exhaust_pairs, "exhaust_pairs", "", "pairs of exhaust lobe readings that have been put in"},
      {Q::inlet_centre_read_deg, "inlet_centre_read_deg", "deg", "inlet lobe centre by the readings, after TDC", 0,
       false, false, true},
      {Q::exhaust_centre_read_deg, "exhaust_centre_read_deg", "deg", "exhaust lobe centre by the readings, before TDC",
       0, false, false, true},
      {Q::phase_read_deg, "phase_read_deg", "deg", "phase of the camshaft by the readings", 0, false, true},
      {Q::phase_read_off_deg, "phase_read_off_deg", "deg", "that less where the drive has it with what was fitted then",
       0, false, true},
      {.quantity = Q::alignment,
       .name = "alignment",
       .unit = "",
       .meaning = "whether the crank sprocket stands in one plane with the others, by the gap that was read and the "
                  "shims since",
       .words = {"within", "out", "unread"}},
      {Q::gap_mm, "gap_mm", "mm", "mean gap under the straight-edge, as it was read"},
      {Q::behind_mm, "behind_mm", "mm",
       "how far the crank sprocket stands behind the others (- = proud), shims since then counted"},
      {Q::shims_mm, "shims_mm", "mm", "shims behind the crank sprocket, together"},
      {.quantity = Q::end_float,
       .name = "end_float",
       .unit = "",
       .meaning = "the camshaft's end float against its limits",
       .words = {"inside", "below", "above", "unread"}},
      {Q::end_float_mm, "end_float_mm", "mm", "mean of the end float readings"},
      {Q::float_readings, "float_readings", "", "end float readings that have been put in"},
      {Q::float_by_parts_mm, "float_by_parts_mm", "mm",
       "end float by the parts: the boss less the retaining plate, both as they were measured"},
      {.quantity = Q::page,
       .name = "page",
       .unit = "",
       .meaning = "the viewer's page that is open",
       .words = list_of(page_names)},
      {.quantity = Q::view,
       .name = "view",
       .unit = "",
       .meaning = "where the drive is looked at from",
       .words = list_of(view_names)},
      {.quantity = Q::shown, .name = "shown", .unit = "", .meaning = "what is drawn", .words = list_of(shown_names)},
  };
}

} // namespace

std::span<const LessonQuantityRow> lesson_quantities() {
  static const std::vector<LessonQuantityRow> all = [] {
    std::vector<LessonQuantityRow> rows;
    for (const auto& part :
         {rows_of_turning(), rows_of_cylinder(), rows_of_drive(), rows_of_events(), rows_of_readings()})
      rows.insert(rows.end(), part.begin(), part.end());
    return rows;
  }();
  return all;
}

const LessonQuantityRow& row_of(LessonQuantity quantity) {
  return lesson_quantities()[static_cast<std::size_t>(quantity)];
}

const LessonQuantityRow* find_lesson_quantity(std::string_view name) {
  const auto found = std::ranges::find(lesson_quantities(), name, &LessonQuantityRow::name);
  return found == lesson_quantities().end() ? nullptr : &*found;
}

std::string figure_text(const LessonQuantityRow& row, double figure) {
  const int decimals = row.unit.empty() ? 0 : row.unit == "deg" ? 1 : 2;
  std::string text = fmt::format("{:.{}f}", figure, decimals);
  if (text.find_first_not_of("-0.") == std::string::npos && text.front() == '-') text.erase(0, 1); // never "-0.0"
  return text;
}

} // namespace phasewright
