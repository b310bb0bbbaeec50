// The build sheet, printed or as a web page.
#include "paper/draw_sheet.hpp"
#include "paper/sheet_html.hpp"
#include "paper/write.hpp"

#include "cli/commands.hpp"
#include "cli/fit_page.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

#include <filesystem>

namespace phasewright::cli {

namespace {

Json cell_json(const paper::SheetCell& cell) {
  return Json::object({{"words", cell.words}, {"figure", cell.figure}});
}

Json table_json(const paper::SheetTable& table) {
  Json rows = Json::object({});
  for (const paper::SheetRow& row : table.rows) {
    Json cells = Json::array();
    for (const paper::SheetCell& cell : row.cells) cells.add(cell_json(cell));
    rows.set(row.key.c_str(), cells);
  }
  return Json::object({{"columns", words_json(table.head)}, {"rows", rows}});
}

Json part_json(const paper::SheetPart& part) {
  Json words = Json::array();
  for (const paper::SheetWords& one : part.words) words.add(one.words);
  Json tables = Json::object({});
  for (const paper::SheetTable& table : part.tables) tables.set(table.key.c_str(), table_json(table));
  return Json::object({{"title", part.title}, {"words", words}, {"tables", tables}, {"notes", words_json(part.notes)}});
}

Json sheet_json(const paper::BuildSheet& sheet) {
  Json parts = Json::object({});
  for (const paper::SheetPart* part : sheet.parts()) parts.set(part->key.c_str(), part_json(*part));
  Json checks = Json::array();
  for (const paper::SheetCheck& check : sheet.checks) checks.add(check.words);
  Json json = Json::object({{"title", sheet.title},
                            {"engine", sheet.engine},
                            {"date", sheet.date},
                            {"verdict", sheet.verdict.words},
                            {"safe", sheet.safe},
                            {"units", unit_word(sheet.units)},
                            {"parts", parts}});
  json.set("fasteners", table_json(sheet.fasteners)).set("checks", checks).set("cautions", words_json(sheet.cautions));
  return json;
}

Result<std::vector<std::string>> write(const paper::BuildSheet& sheet, const SheetPrint& asked, std::size_t& pages) {
  if (asked.output.ends_with(".html")) {
    pages = 1;
    if (std::optional<Problem> trouble = write_atomic(asked.output, paper::sheet_html(sheet)))
      return *std::move(trouble);
    return std::vector<std::string>{asked.output};
  }
  const paper::Print print = paper::draw_sheet(sheet, asked.letter ? paper::PaperSize::letter : paper::PaperSize::a4);
  pages = print.pages.size();
  return paper::write_print(print, asked.output);
}

} // namespace

Result<Answer> sheet_command(const Context& context) {
  const SheetPrint& asked = context.options.sheet;
  const Result<paper::BuildSheet> sheet =
      paper::build_sheet(context.opened, {.option = asked.record ? 0 : context.options.draw.plan.value_or(1),
                                          .lay_reach = context.options.lay_reach,
                                          .units = asked.thou ? Units::thou : Units::mm});
  if (!sheet) return sheet.problems();
  std::size_t pages = 0;
  const Result<std::vector<std::string>> files = write(*sheet, asked, pages);
  if (!files) return files.problems();

  Answer answer;
  answer.exit_code = sheet->verdict.tone == paper::SheetTone::bad ? exit_out_of_limits : exit_done;
  answer.page = fmt::format("{}\n{}: {}.\n\n{}", sheet->verdict.words, fmt::join(*files, ", "),
                            count_words(static_cast<int>(pages), "page", "pages"), cautions());
  answer.page = wrapped(answer.page);
  answer.json = sheet_json(*sheet);
  answer.json.set("files", words_json(*files)).set("pages", static_cast<int>(pages));
  return answer;
}

} // namespace phasewright::cli
