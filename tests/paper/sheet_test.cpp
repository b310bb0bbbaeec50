// The build sheet: what it says is what the bench computes, and what it prints can be read, whatever the build.
#include "paper/outside.hpp"
#include "support/paper_checks.hpp"

#include "bench/degree.hpp"
#include "bench/key_fit.hpp"
#include "bench/plan_words.hpp"
#include "mechanics/clearance.hpp"
#include "paper/draw_sheet.hpp"
#include "paper/sheet_html.hpp"
#include "paper/sheet_parts.hpp"
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
  for (const SheetWords& standing : sheet.standings) words.push_back(standing.words);
  for (const SheetKey& key : sheet.keys) words.push_back(key.name);
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
  CHECK(says(sheet.correction, sheet.keys.front().key.picture.words));

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
  CHECK(sheet.verdict.tone == SheetTone::warning); // shims are still to go in
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
  CHECK(after.keys[0].key.picture.key_deg == 2.0);
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

TEST_CASE("A sheet that is not safe asks for nothing that turns the engine, and fits nothing", "[sheet]") {
  const Result<Plan> plan = plan_corrections(*demo().engine, demo().build);
  REQUIRE(plan);
  int unsafe = 0;
  while (plan->options[static_cast<std::size_t>(unsafe)].safe) ++unsafe;
  const BuildSheet sheet = sheet_of(demo(), {.option = unsafe + 1});
  CHECK(says(sheet.correction, "NOT to be fitted: "));
  for (const SheetWords& one : sheet.correction.words) CHECK_FALSE(one.words.starts_with("Fit:"));
  for (const SheetCheck& check : sheet.checks) {
    CHECK(check.words.find("Turned two whole turns") == std::string::npos);
    CHECK(check.words.find("Wheel read anew") == std::string::npos);
  }
  CHECK(sheet.checks.front().words.starts_with("NOT to be turned"));
}

namespace {

bool stands(const BuildSheet& sheet, SheetTone tone, const std::string& words) {
  return std::ranges::any_of(sheet.standings, [&](const SheetWords& one) {
    return one.tone == tone && one.words.find(words) != std::string::npos;
  });
}

} // namespace

TEST_CASE("What any part of the bench finds out of limits stands at the sheet's head", "[sheet]") {
  struct Case {
    Overrides overrides;
    const char* words;
  };
  // Each is what the command of that part ends with 1 for.
  const std::vector<Case> cases{
      {{"fitted.elongation_percent=1.6"}, "its wear limit is 1.50 %"},
      {{"measured.key=[{shaft=\"cam\",height_mm=7.2,seat_depth_mm=5.02,hub_depth_mm=1.74}]"}, "Key of \"cam\""},
      {{"measured.float_mm=[0.03]"}, "End float"},
      {{"measured.lobe=[{valve=\"inlet\",cylinder=1,lift_mm=5,opens_deg=166.5,closes_deg=51.5}]"}, "written wrongly"},
      {{"measured.pins=17"}, "one tooth"},
      {{"stock.shim_mm=[]"}, "behind"},
  };
  for (const Case& one : cases) {
    INFO(one.overrides.front());
    const BuildSheet sheet = sheet_of(demo(one.overrides));
    CHECK(stands(sheet, SheetTone::bad, one.words));
    CHECK(sheet.verdict.tone == SheetTone::bad);
  }
  CHECK(stands(sheet_of(demo({"measured={}"})), SheetTone::warning, "not read with wheel and indicator"));
  CHECK(sheet_of(demo({"measured.gap_mm={near=0.01,far=0.01,under=\"crank\"}"})).verdict.tone == SheetTone::good);
}

TEST_CASE("A present state that is not safe is not hidden behind a plan that is", "[sheet]") {
  const BuildSheet sheet = sheet_of(demo({"fitted.lay=2", "measured={}"}));
  REQUIRE(sheet.safe);
  CHECK(stands(sheet, SheetTone::bad, "As it is fitted now it is NOT SAFE"));
  const SheetCell& before = cell_of(table_of(sheet.clearances, "gaps"), "inlet_axial", "as fitted");
  CHECK(before.tone == SheetTone::bad);
  CHECK(before.words.ends_with(" under"));
}

TEST_CASE("No clearance on paper reads as enough when it is not, and no limit as less than it is", "[sheet]") {
  for (const Units units : {Units::mm, Units::thou}) {
    const double unit_mm = units == Units::mm ? 1.0 : 0.0254;
    for (int i = 0; i < 4000; ++i) {
      const double limit_mm = 0.5 + 0.001 * (i % 997);
      const double gap_mm = limit_mm - 0.013 + 0.0007 * (i % 37);
      const double limit = *limit_cell(limit_mm, units).figure;
      const double gap = *gap_cell(gap_mm, limit_mm, units).figure;
      INFO(gap_mm << " of " << limit_mm << ": " << gap << " of " << limit);
      CHECK(limit >= limit_mm / unit_mm - 1e-6);
      if (gap_mm < limit_mm) CHECK(gap < limit);
      CHECK(std::fabs(gap - gap_mm / unit_mm) <= (units == Units::mm ? 0.0101 : 0.101));
    }
  }
  // 25.4 mm to the inch: 2.5 mm is 98.43 thou.
  CHECK(limit_cell(2.5, Units::thou).words == "98.5");
  CHECK(limit_cell(2.5, Units::mm).words == "2.50");
  // In any direction a gap is no wider than along the axis, on paper too.
  for (const auto& file : std::filesystem::directory_iterator(models)) {
    if (file.path().extension() != ".toml") continue;
    const BuildSheet sheet = sheet_of(model(file.path().filename().string()), {.option = 0});
    if (sheet.clearances.tables.empty()) continue;
    const SheetTable& gaps = table_of(sheet.clearances, "gaps");
    for (const char* valve : {"inlet", "exhaust"}) {
      const auto has = [&](const SheetRow& row) { return row.key == std::string(valve) + "_axial"; };
      if (std::ranges::none_of(gaps.rows, has)) continue;
      INFO(file.path() << ", " << valve);
      CHECK(*cell_of(gaps, std::string(valve) + "_any_way", "as fitted").figure <=
            *cell_of(gaps, std::string(valve) + "_axial", "as fitted").figure);
    }
  }
}

TEST_CASE("Each key's drawing stands under its own name, camshafts before the crank, as deep as its card has it",
          "[sheet]") {
  const BuildSheet sheet = sheet_of(model("dunlin-3.build.toml"));
  REQUIRE(sheet.keys.size() == 2);
  CHECK(sheet.keys[0].name == "cam key 3°, shaft half leading at \"inlet\"");
  CHECK(sheet.keys[1].name == "crank key 1°, sprocket half leading");
  const Opened opened = model("dunlin-3.build.toml");
  for (const SheetKey& key : sheet.keys) {
    const Result<KeyFit> fit =
        key_fit(*opened.engine, opened.build.measured, key.key.picture.shaft, opened.build.instruments);
    REQUIRE(fit);
    REQUIRE(key.key.fit);
    CHECK(key.key.fit->seat_depth_mm == fit->seat_depth_mm);
  }
  const Print print = draw_sheet(sheet, PaperSize::a4);
  std::vector<const Text*> texts;
  for (const Element& element : print.pages.front().elements)
    if (const auto* text = std::get_if<Text>(&element)) texts.push_back(text);
  const auto find = [&](const std::string& words, std::size_t from) {
    const auto at = std::find_if(texts.begin() + static_cast<std::ptrdiff_t>(from), texts.end(),
                                 [&](const Text* text) { return text->words == words; });
    REQUIRE(at != texts.end());
    return static_cast<std::size_t>(at - texts.begin());
  };
  for (const SheetKey& key : sheet.keys) {
    const std::size_t name = find(key.name, 0);
    const std::size_t drawn = find("shaft’s end at overlap TDC of No. 1", name);
    CHECK(drawn == name + 1); // the next that is written
    CHECK(texts[drawn]->corners_mm[0].y > texts[name]->corners_mm[0].y);
  }
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
