// The build sheet: what it says is what the bench computes, and what it prints can be read, whatever the build.
#include "paper/outside.hpp"
#include "support/paper_checks.hpp"

#include "bench/degree.hpp"
#include "bench/plan_words.hpp"
#include "mechanics/clearance.hpp"
#include "paper/draw_sheet.hpp"
#include "paper/sheet_html.hpp"
#include "paper/write.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <filesystem>

using namespace phasewright;
using namespace phasewright::paper;
using namespace phasewright::testing;

namespace {

const std::filesystem::path models = PHASEWRIGHT_MODELS;

Opened demo(const Overrides& overrides = {}) {
  Result<Opened> opened = open_demo(overrides);
  INFO((opened ? std::string() : to_text(opened.problems())));
  REQUIRE(opened);
  return *std::move(opened);
}

Opened model(const std::string& name) {
  Result<Opened> opened = open_any(models / name, models);
  REQUIRE(opened);
  return *std::move(opened);
}

BuildSheet sheet_of(const Opened& opened, const SheetOptions& options = {}) {
  Result<BuildSheet> sheet = build_sheet(opened, options);
  INFO((sheet ? std::string() : to_text(sheet.problems())));
  REQUIRE(sheet);
  return *std::move(sheet);
}

const SheetTable& table_of(const SheetPart& part, const std::string& key) {
  const auto at = std::ranges::find(part.tables, key, &SheetTable::key);
  INFO(key);
  REQUIRE(at != part.tables.end());
  return *at;
}

const SheetCell& cell_of(const SheetTable& table, const std::string& row, const std::string& column) {
  const auto at = std::ranges::find(table.rows, row, &SheetRow::key);
  INFO(row << ", " << column);
  REQUIRE(at != table.rows.end());
  const auto head = std::ranges::find(table.head, column);
  REQUIRE(head != table.head.end());
  return at->cells[static_cast<std::size_t>(head - table.head.begin())];
}

bool says(const SheetPart& part, const std::string& words) {
  return std::ranges::any_of(part.words,
                             [&](const SheetWords& one) { return one.words.find(words) != std::string::npos; });
}

// Lines are broken where the page has no room: blanks do not count.
std::string without_blanks(const std::string& text) {
  std::string bare;
  for (const char c : text)
    if (std::isspace(static_cast<unsigned char>(c)) == 0) bare += c;
  return bare;
}

std::vector<std::string> all_words(const BuildSheet& sheet) {
  std::vector<std::string> words{sheet.title, sheet.verdict.words};
  const auto add_table = [&words](const SheetTable& table) {
    if (table.rows.empty()) return;
    for (const std::string& head : table.head) words.push_back(head);
    for (const SheetRow& row : table.rows)
      for (const SheetCell& cell : row.cells) words.push_back(cell.words);
  };
  for (const SheetPart* part : sheet.parts()) {
    for (const SheetWords& one : part->words) words.push_back(one.words);
    for (const SheetTable& table : part->tables) add_table(table);
  }
  add_table(sheet.fasteners);
  for (const SheetCheck& check : sheet.checks) words.push_back(check.words);
  for (const std::string& caution : sheet.cautions) words.push_back(caution);
  return words;
}

void check_pages(const BuildSheet& sheet, const std::string& name) {
  for (const PaperSize size : {PaperSize::a4, PaperSize::letter}) {
    const Print print = draw_sheet(sheet, size);
    for (std::size_t i = 0; i < print.pages.size(); ++i) {
      INFO(name << ", " << to_word(size) << ", page " << i + 1);
      CHECK(print.pages[i].size_mm == page_size_mm(size));
      CHECK(page_faults(print.pages[i]) == std::vector<std::string>{});
    }
    std::string printed;
    for (const Page& page : print.pages)
      for (const std::string& text : texts_of(page)) printed += without_blanks(text) + "\n";
    for (const std::string& words : all_words(sheet)) {
      INFO(name << ": " << words);
      CHECK(printed.find(without_blanks(words)) != std::string::npos);
    }
  }
}

// As many readings as a patient builder takes, and more fasteners than any of the demo's engines has.
Overrides crowded() {
  std::string lobes;
  for (int i = 0; i < 40; ++i) {
    const double off_deg = 0.05 * (i % 5);
    lobes += i % 2 == 0 ? fmt::format("{{valve=\"inlet\",cylinder=1,lift_mm=5.0,opens_deg={},closes_deg={}}},",
                                      51.5 + off_deg, 166.5 + off_deg)
                        : fmt::format("{{valve=\"exhaust\",cylinder=1,lift_mm=5.0,opens_deg={},closes_deg={}}},",
                                      558.0 + off_deg, 668.0 + off_deg);
  }
  Overrides overrides{"measured.lobe=[" + lobes + "]"};
  for (int i = 0; i < 12; ++i)
    overrides.push_back(
        fmt::format("fastener.\"bolt {} of the front cover\"={{torque_nm={},locks=\"tab washer\"}}", i + 1, 8 + i));
  return overrides;
}

} // namespace

TEST_CASE("The sheet's figures are the bench's", "[sheet]") {
  const Opened opened = demo();
  const Engine& engine = *opened.engine;
  const BuildSheet sheet = sheet_of(opened);

  const Result<Plan> plan = plan_corrections(engine, opened.build);
  REQUIRE(plan);
  const PlanOption best = plan->options.front();
  const SheetTable& options = table_of(sheet.correction, "options");
  CHECK(cell_of(options, "option_1", "phase, crank").words == signed_deg_text(best.phase_deg[0], 2));
  CHECK(cell_of(options, "option_1", "how it is fitted").words == option_words(engine, *plan, best));
  CHECK(options.rows.size() == 5);
  CHECK(says(sheet.correction, option_words(engine, *plan, best)));
  REQUIRE(sheet.keys.size() == 1);
  CHECK(says(sheet.correction, sheet.keys.front().picture.words));

  const Result<Mechanism> planned = Mechanism::assemble(opened.engine, fitted_with(engine, *plan, best));
  REQUIRE(planned);
  const Result<Events> events = valve_events(*planned);
  REQUIRE(events);
  const SheetTable& table = table_of(sheet.events, "events");
  CHECK(cell_of(table, "inlet_closes", "planned").words ==
        event_words(EventKind::inlet_closes, events->camshafts[0].inlet->at_check.closes_deg));
  // The maker's card puts the centre at 106; 2 degrees of cam key are 4 of crank earlier (twice the cam's).
  const double before = *cell_of(table, "inlet_centre", "as fitted").figure;
  const double after = *cell_of(table, "inlet_centre", "planned").figure;
  CHECK_THAT(before - after, WithinAbs(4.0, 0.11)); // both to a tenth

  const Result<DegreeRead> read = read_degree(engine, opened.build.measured, opened.build.instruments);
  REQUIRE(read);
  const SheetTable& phases = table_of(sheet.readings, "phase");
  CHECK_THAT(*cell_of(phases, "cam", "phase").figure, WithinAbs(read->camshafts[0].phase_deg, 0.00501));
  CHECK_THAT(*cell_of(phases, "cam", "may be out by").figure, WithinAbs(2.0 * read->camshafts[0].u_deg, 0.00501));

  const SheetTable& gaps = table_of(sheet.clearances, "gaps");
  CHECK_THAT(*cell_of(gaps, "inlet_axial", "planned").figure, WithinAbs(*best.now(ValveKind::inlet), 0.02));
  CHECK(sheet.safe);
  CHECK(sheet.verdict.tone == SheetTone::good);
  REQUIRE(sheet.states.size() == 2);
  CHECK(sheet.states[1].lift_mm[0].at(110) == planned->valve_lift_mm(ValveKind::inlet, 1, 110.0));
}

TEST_CASE("A sheet records what is fitted, against what was fitted before", "[sheet]") {
  const Opened opened = demo({"history=[]"});
  const BuildSheet record = sheet_of(opened, {.option = 0});
  CHECK(record.correction.title == "What is fitted");
  CHECK(record.keys.empty()); // straight keys
  REQUIRE(record.states.size() == 1);
  CHECK(record.states[0].name == "as fitted");
  CHECK(record.verdict.words.starts_with("As fitted"));

  // After the plan's best was fitted, the history tells what stood there.
  const Result<Plan> plan = plan_corrections(*opened.engine, opened.build);
  REQUIRE(plan);
  Opened later = opened;
  later.build = fitted_build(*opened.engine, opened.build, *plan, plan->options.front());
  const BuildSheet after = sheet_of(later, {.option = 0});
  REQUIRE(after.states.size() == 2);
  CHECK(after.states[0].name == "on 2026-05-14");
  const SheetTable& settings = table_of(after.correction, "settings");
  CHECK(cell_of(settings, "cam_key_cam", "on 2026-05-14").words == "cam key straight");
  CHECK(cell_of(settings, "cam_key_cam", "as fitted").words == "cam key 2°, shaft half leading");
  REQUIRE(after.keys.size() == 1);
  CHECK(after.keys[0].picture.key_deg == 2.0);
}

TEST_CASE("A sheet that is not safe says so first, and prints", "[sheet]") {
  const Opened opened = demo({"fitted.lay=3", "measured={}"});
  const BuildSheet sheet = sheet_of(opened, {.option = 0});
  CHECK_FALSE(sheet.safe);
  CHECK(sheet.verdict.tone == SheetTone::bad);
  CHECK(sheet.verdict.words.starts_with("NOT SAFE"));
  bool under = false;
  for (const SheetRow& row : table_of(sheet.clearances, "gaps").rows) under = under || row.tone == SheetTone::bad;
  CHECK(under);
  check_pages(sheet, "not safe");
}

TEST_CASE("An option the plan has not got is refused", "[sheet]") {
  const Result<BuildSheet> sheet = build_sheet(demo(), {.option = 5000});
  REQUIRE_FALSE(sheet);
  CHECK(sheet.problems().front().file == "--plan");
  CHECK(sheet.problems().front().allowed == "1 to 189");
}

TEST_CASE("Every model's sheet prints with nothing cut off or lying over another", "[sheet]") {
  for (const auto& file : std::filesystem::directory_iterator(models)) {
    if (file.path().extension() != ".toml") continue;
    const std::string name = file.path().filename().string();
    for (const int option : {0, 1})
      for (const Units units : {Units::mm, Units::thou})
        check_pages(sheet_of(model(name), {.option = option, .units = units}), name);
  }
}

TEST_CASE("Long titles, names in any script, many readings and many fasteners print", "[sheet]") {
  const std::string long_title(160, 'm');
  const std::string many_words =
      "The launch whose owner wanted its whole history on the title line, and every name that she ever had, in order";
  for (const Overrides& overrides :
       {Overrides{"title=\"" + long_title + "\""}, Overrides{"title=\"" + many_words + "\""},
        Overrides{"title=\"Κινητήρας Μάρραμ, мотор № 14, מנוע\""}, Overrides{"title=\"\""}, crowded(),
        Overrides{"measured={}"}, Overrides{"stock={}"},
        Overrides{"measured.note=\"" + many_words + ", every one of them, and then her engines\""}}) {
    const Opened opened = demo(overrides);
    for (const int option : {0, 1}) check_pages(sheet_of(opened, {.option = option}), overrides.front().substr(0, 60));
  }
}

TEST_CASE("The PDF's text holds every figure, with its fonts in it and its parts as bookmarks", "[sheet]") {
  const PrintFolder folder;
  for (const Opened& opened : {demo(), demo(crowded()), model("dunlin-3.build.toml")}) {
    const BuildSheet sheet = sheet_of(opened);
    REQUIRE(write_print(draw_sheet(sheet, PaperSize::a4), folder / "sheet.pdf"));
    const std::string text = said_by("pdftotext -raw " + (folder / "sheet.pdf") + " -");
    const std::string bare = without_blanks(text);
    for (const SheetPart* part : sheet.parts())
      for (const SheetTable& table : part->tables)
        for (const SheetRow& row : table.rows)
          for (const SheetCell& cell : row.cells) {
            INFO(part->key << ", " << row.key << ": " << cell.words);
            CHECK(bare.find(without_blanks(cell.words)) != std::string::npos);
          }
    const std::string fonts = said_by("pdffonts " + (folder / "sheet.pdf"));
    CHECK(count_of(fonts, "DejaVu") >= 2);
    CHECK(count_of(fonts, " no  ") == 0); // each is embedded and has its characters' names
    const std::string info = said_by("pdfinfo " + (folder / "sheet.pdf"));
    CHECK(info.find(sheet.title) != std::string::npos);
    CHECK(said_by("qpdf --json --json-key=outlines " + (folder / "sheet.pdf")).find("Valve events") !=
          std::string::npos);
    // The same bytes twice.
    CHECK(to_pdf(draw_sheet(sheet, PaperSize::a4)) == to_pdf(draw_sheet(sheet_of(opened), PaperSize::a4)));
  }
}

TEST_CASE("The web page holds every figure and is well formed", "[sheet]") {
  const PrintFolder folder;
  for (const Opened& opened : {demo(), demo({"title=\"<b>&\\\"</title>\""}), model("dunlin-3.build.toml")}) {
    const BuildSheet sheet = sheet_of(opened);
    const std::string html = sheet_html(sheet);
    CHECK(html == sheet_html(sheet_of(opened)));
    CHECK(html.find("<script") == std::string::npos);
    CHECK(html.find("http") == std::string::npos); // nothing is fetched
    { std::ofstream(folder / "sheet.html", std::ios::binary) << html; }
    // Python's own parser reads what a browser would show.
    const std::string shown = said_by(
        fmt::format("{} {}/html_text.py {}", PHASEWRIGHT_PYTHON, PHASEWRIGHT_TEST_SOURCE, folder / "sheet.html"));
    for (const std::string& words : all_words(sheet)) {
      INFO(words);
      CHECK(without_blanks(shown).find(without_blanks(words)) != std::string::npos);
    }
  }
}
