// Which faults explain the readings.
#include "bench/explain.hpp"

#include "cli/commands.hpp"
#include "cli/fit_page.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright::cli {

namespace {

// Causes on the page; the answer for programs has all.
constexpr std::size_t most_rows = 8;

std::string name_of(const Cause& cause) {
  std::string name;
  for (const std::string& fault : cause.faults) name += (name.empty() ? "" : " and ") + fault;
  return name.empty() ? "nothing is wrong" : name;
}

std::string percent(double probability) {
  if (probability > 0.9995) return "over 99.9";
  return probability < 0.001 ? "under 0.1" : fixed(100.0 * probability, 1);
}

std::string verdict(const Explanation& found) {
  const Cause& first = found.causes.front();
  if (found.nothing_fits)
    return "NOTHING FITS: whatever is weighed, these readings leave more than chance would once in a thousand. Read "
           "them again, beginning with the piston stop, and see with degree whether one was written down wrongly.\n";
  if (first.faults.empty()) {
    return fmt::format(
        "The readings are what this build should show ({} %). A small fault may hide in what instruments "
        "and parts may be out by.\n",
        percent(first.probability));
  }
  std::string page = fmt::format("Likeliest, {} %: {}.\n", percent(first.probability), first.words);
  if (found.causes.size() > 1 && found.causes[1].tied)
    page += "It is a tie: these readings cannot tell it from those marked = under it; only how often each is met "
            "does.\n";
  return page;
}

std::string table_of(const Explanation& found) {
  std::vector<std::vector<std::string>> rows{{"", "%", "left", "cause"}};
  for (std::size_t i = 0; i < std::min(found.causes.size(), most_rows); ++i) {
    const Cause& cause = found.causes[i];
    rows.push_back({cause.tied ? "=" : fmt::format("{}", i + 1), percent(cause.probability), fixed(cause.misfit, 1),
                    cause.faults.size() == 1 ? cause.words : name_of(cause)});
  }
  return table({Align::right, Align::right, Align::right, Align::left}, rows);
}

std::string page_of(const std::string& title, const Explanation& found) {
  std::string page = title + "\n" + verdict(found) + "\n" + table_of(found);
  page +=
      fmt::format("left: the weighted squares it leaves; with {} figures about {} is chance. =: cannot be told from "
                  "the one above by these readings.\n",
                  found.figures, found.figures);
  if (found.next)
    page += fmt::format("\nTo tell the first {}, {}. That sets them {} standard uncertainties apart.\n",
                        found.next->against == 1 ? std::string("two apart")
                                                 : "from \"" + name_of(found.causes[found.next->against]) + "\"",
                        found.next->words, fixed(found.next->apart, 0));
  else if (found.causes.size() > 1 && !found.nothing_fits)
    page += "\nNo further reading of lobes, stop, clearance or pins would tell these apart.\n";
  page +=
      "\nA likely cause is not proof: see it with your own eyes, by marks, keys and a count of pins, before anything "
      "is taken apart for it and before the engine is run. How often each is met is our own guess.\n";
  return wrapped(page);
}

Json cause_json(const Cause& cause) {
  Json json = Json::object();
  json.set("cause", name_of(cause));
  Json faults = Json::array();
  for (const std::string& fault : cause.faults) faults.add(fault);
  json.set("faults", faults);
  json.set("probability", cause.probability);
  json.set("misfit", cause.misfit);
  json.set("amount", cause.amount ? Json(*cause.amount) : Json());
  json.set("unit", cause.unit);
  json.set("tied", cause.tied);
  json.set("words", cause.words);
  return json;
}

} // namespace

Result<Answer> explain_command(const Context& context) {
  const Result<Explanation> found = explain(*context.opened.engine, context.opened.build);
  if (!found) return found.problems();
  Answer answer;
  answer.exit_code = found->nothing_fits ? exit_out_of_limits : exit_done;
  answer.page = page_of(title_words(*context.opened.engine, context.opened.build), *found);
  Json causes = Json::array();
  for (const Cause& cause : found->causes) causes.add(cause_json(cause));
  answer.json.set("figures", found->figures);
  answer.json.set("nothing_fits", found->nothing_fits);
  answer.json.set("causes", causes);
  if (found->next) {
    Json next = Json::object();
    next.set("words", found->next->words);
    next.set("against", name_of(found->causes[found->next->against]));
    next.set("apart", found->next->apart);
    answer.json.set("next_reading", next);
  } else {
    answer.json.set("next_reading", Json());
  }
  return answer;
}

} // namespace phasewright::cli
