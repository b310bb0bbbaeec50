#include "cli/printed.hpp"

#include "cli/cautions.hpp"
#include "cli/words.hpp"
#include "paper/write.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright::cli {

namespace {

int unknown_characters(const paper::Print& print) {
  int count = 0;
  for (const paper::Page& page : print.pages)
    for (const paper::Element& element : page.elements)
      if (const auto* text = std::get_if<paper::Text>(&element)) count += text->unknown_characters;
  return count;
}

} // namespace

std::vector<std::string> printed_cautions(const Context& context) {
  std::string words = cautions();
  std::ranges::replace(words, '\n', ' ');
  words.erase(words.find_last_not_of(' ') + 1);
  std::vector<std::string> all{words};
  for (const std::string& caution : cautions_over(context.opened)) all.push_back("Caution: " + caution + ".");
  return all;
}

std::string printed_warning(const Verdict& verdict) {
  return verdict.safe == false ? verdict.words : std::string();
}

std::vector<std::string> with_doubt(std::vector<std::string> notes, const Verdict& verdict) {
  if (verdict.safe != false && !verdict.plain) notes.push_back(verdict.words);
  return notes;
}

Result<Answer> write_printed(const Context& context, const paper::Print& print, const std::string& what) {
  const PrintOptions& asked = context.options.print;
  const Result<std::vector<std::string>> names = paper::write_print(print, asked.output, asked.dpi);
  if (!names) return names.problems();
  Answer answer;
  answer.page = fmt::format("{}: {}, {} of {}.\n", asked.output, what,
                            count_words(static_cast<int>(print.pages.size()), "page", "pages"),
                            paper::to_name(paper_size(context)));
  Json files = Json::array();
  for (const std::string& name : *names) files.add(name);
  if (names->size() > 1) answer.page += fmt::format("Its pages are {} to {}.\n", names->front(), names->back());
  if (const int unknown = unknown_characters(print); unknown > 0)
    answer.page += fmt::format("No font on this machine has {}: boxes stand for them.\n",
                               count_words(unknown, "of its characters", "of its characters"));
  answer.json = Json::object({{"file", asked.output},
                              {"files", files},
                              {"pages", static_cast<int>(print.pages.size())},
                              {"paper", paper::to_word(paper_size(context))}});
  if (paper::file_kind(asked.output) == paper::FileKind::png) answer.json.set("dpi", asked.dpi);
  return answer;
}

} // namespace phasewright::cli
