// A drill's class sheet and its answer sheet.
#pragma once

#include "bench/drill.hpp"
#include "bench/drill_cure.hpp"
#include "bench/drill_debrief.hpp"
#include "bench/drill_readings.hpp"
#include "cli/json.hpp"

#include <optional>
#include <string>

namespace phasewright::cli {

struct DrillSheet {
  Drill drill;
  TakenReadings taken; // careful ones
  bool shows_readings = false;
};

// What the apprentice is told. Nothing of what is true is in it.
[[nodiscard]] std::string class_sheet(const DrillSheet& sheet);
[[nodiscard]] Json class_json(const DrillSheet& sheet);

struct DrillAnswers {
  Debrief debrief; // by the careful readings
  RightCure cure;
};
[[nodiscard]] std::string answer_sheet(const DrillSheet& sheet, const DrillAnswers& answers);
[[nodiscard]] Json answers_json(const DrillSheet& sheet, const DrillAnswers& answers);

} // namespace phasewright::cli
