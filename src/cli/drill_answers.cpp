// A drill's answer sheet.
#include "cli/drill_sheets.hpp"
#include "cli/fit_page.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

namespace phasewright::cli {

namespace {

constexpr std::size_t most_listed = 8;

// The truth is their first.
std::string alike_page(const std::vector<NamedFaults>& left) {
  if (left.size() == 1) return "Careful readings leave nothing else: no other answer is right.\n";
  std::vector<std::string> others;
  for (std::size_t i = 1; i < std::min(left.size(), most_listed); ++i) others.push_back(named_words(left[i]));
  std::string page = fmt::format("As right as that, for no readings tell them apart: {}", fmt::join(others, "; "));
  if (left.size() > most_listed) page += fmt::format("; and {} more", left.size() - most_listed);
  return page + ".\n";
}

// `two`: of two hidden faults no reading alone need be explained by one.
std::string tells_words(const ReadingTold& told, bool two) {
  if (!told.tells) return "nothing";
  if (told.rules_out.empty() && told.leaves.empty()) return "wrong";
  if (told.leaves.empty()) return two ? "wrong; not by one fault" : "wrong, and only so";
  if (two)
    return fmt::format("wrong; {} alone would fit",
                       count_words(static_cast<int>(told.leaves.size()), "fault", "faults"));
  return fmt::format("wrong; {} would fit too", count_words(static_cast<int>(told.leaves.size()), "other", "others"));
}

std::string told_page(const Debrief& debrief) {
  const bool two = debrief.truth.size() > 1;
  std::vector<std::vector<std::string>> rows{{"Reading", "by the card", "off, u", "it alone tells"}};
  for (const ReadingTold& told : debrief.readings)
    rows.push_back({told.reading, told.right, fixed(told.apart, 1), tells_words(told, two)});
  return table({Align::left, Align::left, Align::right, Align::left}, rows) +
         "by the card: what it would be if nothing was wrong, on the wheel as its stop stands. off, u: how far the "
         "truth "
         "is from that, in standard uncertainties; from 4 on it surely shows.\n";
}

std::string explained_page(const Debrief& debrief) {
  std::string page;
  if (debrief.explained) {
    const Explanation& explained = *debrief.explained;
    page += "What phasewright explain makes of these readings:\n";
    std::vector<std::vector<std::string>> rows{{"%", "cause"}};
    for (std::size_t i = 0; i < std::min<std::size_t>(explained.causes.size(), 4); ++i)
      rows.push_back({fixed(100.0 * explained.causes[i].probability, 1), named_words(explained.causes[i].faults)});
    page += table({Align::right, Align::left}, rows);
    page += explained.next ? fmt::format("The best reading next: {}.\n", explained.next->words)
                           : std::string("No further reading would tell more.\n");
  }
  for (const std::string& words : debrief.beside) page += fmt::format("{}\n", words);
  return page;
}

Json named_json(const std::vector<NamedFaults>& all) {
  Json json = Json::array();
  for (const NamedFaults& named : all) json.add(words_json(named));
  return json;
}

Json told_json(const ReadingTold& told) {
  return Json::object({{"reading", told.reading},
                       {"read", told.read},
                       {"right", told.right},
                       {"apart", told.apart},
                       {"tells", told.tells},
                       {"rules_out", words_json(told.rules_out)},
                       {"leaves", words_json(told.leaves)}});
}

Json explained_json(const std::optional<Explanation>& explained) {
  if (!explained) return {};
  Json causes = Json::array();
  for (const Cause& cause : explained->causes)
    causes.add(Json::object({{"faults", words_json(cause.faults)}, {"probability", cause.probability}}));
  return Json::object({{"causes", causes},
                       {"nothing_fits", explained->nothing_fits},
                       {"next_reading", explained->next ? Json(explained->next->words) : Json()}});
}

Json works_json(const Cure& cure) {
  Json works = Json::array();
  for (const DrillWork work : cure.works) works.add(to_word(work));
  return works;
}

} // namespace

std::string answer_sheet(const DrillSheet& sheet, const DrillAnswers& answers) {
  const Drill& drill = sheet.drill;
  std::string page = fmt::format("{}: answers, for the teacher\n{}\n\n", drill.given.title, drill.engine().name);
  for (const HiddenFault& fault : drill.truth->faults)
    page += fmt::format("Wrong: {}. It is called \"{}\".\n", fault.words, fault.key);
  page += alike_page(answers.debrief.left_by_careful);
  page += "\nPuts it right:\n";
  for (const std::string& words : answers.cure.words) page += fmt::format("  {}\n", words);
  page += fmt::format("\n{}\n{}", told_page(answers.debrief), explained_page(answers.debrief));
  return page;
}

Json answers_json(const DrillSheet& sheet, const DrillAnswers& answers) {
  const DrillTruth& truth = *sheet.drill.truth;
  Json faults = Json::array();
  for (const HiddenFault& fault : truth.faults)
    faults.add(Json::object({{"fault", fault.key},
                             {"amount", fault.unit.empty() ? Json() : Json(fault.amount)},
                             {"unit", fault.unit},
                             {"words", fault.words}}));
  Json readings = Json::array();
  for (const ReadingTold& told : answers.debrief.readings) readings.add(told_json(told));
  return Json::object({{"faults", faults},
                       {"wheel_zero_deg", truth.wheel_zero_deg},
                       {"wheel_moved_deg", truth.wheel_moved_deg},
                       {"cannot_be_told_from", named_json(answers.debrief.left_by_careful)},
                       {"cure", words_json(answers.cure.words)},
                       {"works", works_json(answers.cure.cure)},
                       {"readings", readings},
                       {"explained", explained_json(answers.debrief.explained)},
                       {"beside", words_json(answers.debrief.beside)},
                       {"words", words_json(answers.debrief.words)}});
}

} // namespace phasewright::cli
