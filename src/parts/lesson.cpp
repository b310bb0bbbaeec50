#include "parts/lesson.hpp"

#include <fmt/format.h>

#include <sstream>

namespace phasewright {

namespace {

double words_in(const std::string& text) {
  std::istringstream in(text);
  double count = 0;
  for (std::string word; in >> word;) ++count;
  return count;
}

double seconds_for(const LessonMove& move) {
  if (move.turn_by_deg || move.turn_to_deg) return lesson_turn_s;
  return move.set.empty() ? lesson_page_s : lesson_set_s;
}

} // namespace

std::string subject_words(const LessonCondition& condition) {
  std::string words = condition.planned ? "planned " : "";
  words += row_of(condition.what).name;
  if (!condition.camshaft.empty()) words += fmt::format(" of \"{}\"", condition.camshaft);
  if (condition.cylinder != 1) words += fmt::format(" of No. {}", condition.cylinder);
  return words;
}

std::string wanted_words(const LessonCondition& condition) {
  if (!condition.is.empty()) return condition.is;
  const LessonQuantityRow& row = row_of(condition.what);
  const std::string unit = row.unit.empty() ? "" : fmt::format(" {}", row.unit);
  if (condition.near) return fmt::format("{}{}, give or take {}{}", *condition.near, unit, condition.within, unit);
  if (condition.least && condition.least == condition.most) return fmt::format("just {}{}", *condition.least, unit);
  if (condition.least && condition.most) return fmt::format("{} to {}{}", *condition.least, *condition.most, unit);
  if (condition.least) return fmt::format("{}{} or more", *condition.least, unit);
  return fmt::format("{}{} or less", condition.most.value_or(0.0), unit);
}

double lesson_minutes(const Lesson& lesson) {
  double words = words_in(lesson.title);
  double seconds = 0;
  for (const auto& [term, meaning] : lesson.words) words += words_in(term) + words_in(meaning);
  for (const std::string& caution : lesson.cautions) words += words_in(caution);
  for (const LessonStep& step : lesson.steps) {
    words += words_in(step.say) + words_in(step.task) + words_in(step.question) + words_in(step.right);
    for (const LessonMove& move : step.answer) seconds += seconds_for(move);
    if (!step.must.empty()) seconds += lesson_look_s;
    if (!step.question.empty()) seconds += lesson_think_s;
  }
  return words / lesson_words_per_minute + seconds / 60.0;
}

} // namespace phasewright
