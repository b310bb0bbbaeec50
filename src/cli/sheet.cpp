// The build sheet, printed or as a web page.
#include "paper/draw_sheet.hpp"
#include "paper/sheet_html.hpp"

#include "cli/commands.hpp"
#include "cli/fit_page.hpp"
#include "cli/printed.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

namespace phasewright::cli {

namespace {

const char* to_word(paper::SheetTone tone) {
  return tone == paper::SheetTone::bad ? "out of limits" : tone == paper::SheetTone::warning ? "to be done" : "good";
}

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

// Every figure that stands on it.
void add_sheet(const paper::BuildSheet& sheet, Json& json) {
  Json parts = Json::object({});
  for (const paper::SheetPart* part : sheet.parts()) parts.set(part->key.c_str(), part_json(*part));
  Json checks = Json::array();
  for (const paper::SheetCheck& check : sheet.checks) checks.add(check.words);
  json.set("title", sheet.title).set("engine", sheet.engine).set("date", sheet.date);
  json.set("verdict", sheet.verdict.words).set("safe", sheet.safe).set("units", unit_word(sheet.units));
  Json standings = Json::array();
  for (const paper::SheetWords& one : sheet.standings)
    standings.add(Json::object({{"words", one.words}, {"standing", to_word(one.tone)}}));
  json.set("standings", standings);
  json.set("parts", parts).set("fasteners", table_json(sheet.fasteners)).set("checks", checks);
}

// Of the web page what write_printed says of a print.
Result<Answer> write_page(const paper::BuildSheet& sheet, const std::string& output) {
  if (std::optional<Problem> trouble = write_atomic(output, paper::sheet_html(sheet))) return *std::move(trouble);
  Answer answer;
  answer.page = fmt::format("{}: the build sheet as one web page.\n", output);
  answer.json = Json::object({{"file", output}, {"files", Json::array({output})}, {"pages", 1}});
  return answer;
}

Result<paper::BuildSheet> asked_sheet(const Context& context) {
  const PrintOptions& asked = context.options.print;
  return paper::build_sheet(context.opened, {.option = asked.record ? 0 : asked.plan.value_or(1),
                                             .lay_reach = context.options.lay_reach,
                                             .units = asked.thou ? Units::thou : Units::mm});
}

} // namespace

Result<paper::Print> sheet_print(const Context& context) {
  const Result<paper::BuildSheet> sheet = asked_sheet(context);
  if (!sheet) return sheet.problems();
  return paper::draw_sheet(*sheet, paper_size(context));
}

Result<Answer> sheet_command(const Context& context) {
  const PrintOptions& asked = context.options.print;
  const Result<paper::BuildSheet> sheet = asked_sheet(context);
  if (!sheet) return sheet.problems();
  Result<Answer> answer =
      asked.output.ends_with(".html")
          ? write_page(*sheet, asked.output)
          : write_printed(context, paper::draw_sheet(*sheet, paper_size(context)), "the build sheet");
  if (!answer) return answer;
  answer->exit_code = sheet->verdict.tone == paper::SheetTone::bad ? exit_out_of_limits : exit_done;
  std::string standings;
  for (const paper::SheetWords& one : sheet->standings)
    standings += fmt::format("  {}: {}\n", to_word(one.tone), one.words);
  answer->page = wrapped(fmt::format("{}\n{}{}\n{}", sheet->verdict.words, standings, answer->page, cautions()));
  add_sheet(*sheet, answer->json);
  return answer;
}

} // namespace phasewright::cli
