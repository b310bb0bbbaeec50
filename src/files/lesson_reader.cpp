#include "files/lesson_reader.hpp"

#include "files/lesson_checks.hpp"
#include "files/limits.hpp"
#include "files/reader.hpp"
#include "files/text_file.hpp"
#include "parts/viewer_words.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright {

namespace {

constexpr Range crank_deg{0, 720, "deg"};
constexpr Range turn_deg{-7200, 7200, "deg"};
constexpr Range figure{-10000, 10000, ""};
constexpr std::size_t most_steps = 12;
constexpr std::size_t most_conditions = 8;
constexpr std::size_t most_moves = 20;
constexpr std::size_t most_remarks = 8;
constexpr std::size_t most_settings = 40;
constexpr int most_cylinders = 16;

template <class List>
std::string word_list(const List& words) {
  std::string list;
  for (const auto& word : words) list += (list.empty() ? "" : ", ") + std::string(word);
  return list;
}

// One of a list of words; empty where the key is not there.
template <class List>
std::string read_word(Reader& table, const char* key, const List& words) {
  if (!table.has(key)) return {};
  const std::string word = table.text(key, "");
  if (!table.report().sound(table.path(key))) return {};
  if (std::ranges::find(words, word) != std::ranges::end(words)) return word;
  table.report().add(table.path(key), "", word_list(words));
  return {};
}

const LessonQuantityRow* read_quantity(Reader& table) {
  const std::string name = table.text("what");
  if (!table.report().sound(table.path("what")) || name.empty()) return nullptr;
  if (const LessonQuantityRow* row = find_lesson_quantity(name)) return row;
  refuse_quantity(table.path("what"), "", name, table.report());
  return nullptr;
}

// What a quantity does not take must not be said of it.
void refuse_unless(bool takes, Reader& table, const char* key, const LessonQuantityRow& row) {
  if (!takes && table.has(key))
    table.report().add(table.path(key), "", fmt::format("nothing: {} has no {}", row.name, key));
}

void read_figures(Reader& table, LessonCondition& condition) {
  const auto one = [&table](const char* key) {
    return table.has(key) ? std::optional(table.number(key, figure)) : std::nullopt;
  };
  condition.least = one("least");
  condition.most = one("most");
  condition.near = one("near");
  if (table.has("within")) condition.within = table.number("within", {1e-6, figure.most, ""});
  const bool band = condition.least || condition.most;
  Report& report = table.report();
  if (!report.sound(table.path())) return;
  if (condition.near && band)
    report.add(table.path("near"), "", "near and within, or least and most, not both");
  else if (!condition.near && !band)
    report.add(table.path(), "no figure", "least, most or both; or near and within");
  else if (condition.near && !table.has("within"))
    table.missing("within", "how far it may be from near, either way");
  else if (!condition.near && table.has("within"))
    table.missing("near", "the figure that it is to be within of");
  else if (condition.least && condition.most && *condition.least > *condition.most)
    report.add(table.path("most"), "", fmt::format("{} or more, as least has it", *condition.least));
}

LessonCondition read_condition(Reader table) {
  LessonCondition condition;
  if (!table.present()) return condition;
  const LessonQuantityRow* row = read_quantity(table);
  condition.planned = table.choice<bool>("of", {{"fitted", false}, {"planned", true}}, false);
  condition.camshaft = table.text("camshaft", "");
  condition.cylinder = table.whole("cylinder", 1, most_cylinders, 1);
  if (row == nullptr) {
    for (const char* key : {"is", "least", "most", "near", "within"}) (void)table.has(key);
    table.finish();
    return condition;
  }
  condition.what = row->quantity;
  refuse_unless(row->by_state, table, "of", *row);
  refuse_unless(row->by_camshaft, table, "camshaft", *row);
  refuse_unless(row->by_cylinder, table, "cylinder", *row);
  if (row->words.empty()) {
    refuse_unless(false, table, "is", *row);
    read_figures(table, condition);
  } else {
    condition.is = read_word(table, "is", row->words);
    if (!table.has("is")) table.missing("is", word_list(row->words));
    for (const char* key : {"least", "most", "near", "within"}) refuse_unless(false, table, key, *row);
  }
  table.finish();
  return condition;
}

std::vector<LessonCondition> read_conditions(Reader& table, const char* key, std::size_t least) {
  std::vector<LessonCondition> conditions;
  for (const Reader& row : table.tables(key, least, most_conditions, "conditions"))
    conditions.push_back(read_condition(row));
  return conditions;
}

LessonMoves read_moves(Reader& table, const char* key) {
  LessonMoves moves;
  for (Reader& row : table.tables(key, 0, most_moves, "moves")) {
    LessonMove move;
    constexpr std::array keys{"turn_by_deg", "turn_to_deg", "set", "page", "view", "show"};
    if (row.has(keys[0])) move.turn_by_deg = row.number(keys[0], turn_deg);
    if (row.has(keys[1])) move.turn_to_deg = row.number(keys[1], crank_deg);
    move.set = row.text(keys[2], "");
    move.page = read_word(row, keys[3], page_names);
    move.view = read_word(row, keys[4], view_names);
    move.shown = read_word(row, keys[5], shown_names);
    const auto count = std::ranges::count_if(keys, [&row](const char* one) { return row.has(one); });
    if (row.present() && count != 1)
      row.report().add(row.path(), fmt::format("{} of them", count), "one of " + word_list(keys));
    row.finish();
    moves.push_back(std::move(move));
  }
  return moves;
}

std::vector<LessonWrong> read_wrong(Reader& table) {
  std::vector<LessonWrong> all;
  for (Reader& row : table.tables("wrong", 0, most_remarks, "remarks")) {
    all.push_back({read_conditions(row, "when", 1), row.prose("say")});
    row.finish();
  }
  return all;
}

std::vector<LessonMoves> read_wrong_answers(Reader& table) {
  std::vector<LessonMoves> all;
  for (Reader& row : table.tables("wrong_answer", 0, most_remarks, "wrong answers")) {
    all.push_back(read_moves(row, "moves"));
    if (row.present() && !row.has("moves")) row.missing("moves", "a list of moves");
    row.finish();
  }
  return all;
}

// How the step begins.
void read_beginning(Reader& table, LessonStep& step) {
  step.page = read_word(table, "page", page_names);
  step.view = read_word(table, "view", view_names);
  step.shown = read_word(table, "show", shown_names);
  step.camshaft = table.text("camshaft", "");
  step.cylinder = table.whole("cylinder", 1, most_cylinders, 1);
  if (table.has("magnify")) step.magnify = table.number("magnify", {1, 10, ""});
  if (table.has("apart")) step.apart = table.number("apart", {0, 1, ""});
  if (table.has("crank_deg")) step.crank_deg = table.number("crank_deg", crank_deg);
  if (table.has("stop_mm")) step.stop_mm = table.number("stop_mm", {0.5, 300, "mm"});
  step.set = table.proses("set", most_settings, "settings");
}

LessonStep read_step(Reader table) {
  LessonStep step;
  if (!table.present()) return step;
  step.say = table.prose("say");
  step.task = table.prose("task", "");
  step.question = table.prose("question", "");
  step.right = table.prose("right", "");
  read_beginning(table, step);
  step.hints = table.proses("hints", most_remarks, "hints");
  step.must = read_conditions(table, "must", 0);
  step.wrong = read_wrong(table);
  step.answer = read_moves(table, "answer");
  step.wrong_answers = read_wrong_answers(table);
  table.finish();
  check_step(step, table);
  return step;
}

void read_glossary(Reader table, Lesson& lesson) {
  for (const std::string& term : table.keys()) lesson.words.emplace_back(term, table.prose(term));
}

Lesson read_lesson(const Node& root, Report& report) {
  Reader reader(report, &root, "");
  Lesson lesson;
  (void)reader.text("format"); // checked when the file was opened
  lesson.name = reader.text("name");
  lesson.title = reader.text("title");
  lesson.works_on = reader.text("works_on");
  lesson.cautions = reader.proses("cautions", most_remarks, "cautions");
  lesson.wheel_error_deg = reader.number("wheel_error_deg", {-30, 30, "deg"}, 0);
  read_glossary(reader.table("words", Reader::Need::optional), lesson);
  for (const Reader& step : reader.tables("step", 2, most_steps, "steps")) lesson.steps.push_back(read_step(step));
  reader.finish();
  check_lesson(lesson, report);
  return lesson;
}

Problems placed(Report& report, const SourceMap& sources) {
  Problems problems = std::move(report.problems());
  locate(problems, sources);
  std::ranges::stable_sort(problems, {},
                           [](const Problem& problem) { return std::pair(problem.line, problem.column); });
  if (problems.size() > limits::problems) problems.resize(limits::problems);
  return problems;
}

// Beside the lesson file, else among the models.
Result<Opened> open_works_on(const std::filesystem::path& beside, const std::filesystem::path& models_folder,
                             const std::string& name, Report& report) {
  std::error_code ignored;
  for (const std::filesystem::path& folder : {beside, models_folder})
    if (std::filesystem::exists(folder / name, ignored)) return open_any(folder / name, models_folder);
  report.add("works_on", "", "an engine or build file beside the lesson file or in the models folder",
             "there is no such file");
  return Problem{};
}

Problem wrong_format(const Node& root, const SourceMap& sources) {
  Problems one{
      problem_at("format", find(root, "format") == nullptr ? "nothing" : "", fmt::format("\"{}\"", lesson_format))};
  locate(one, sources);
  return one.front();
}

} // namespace

Result<OpenedLesson> open_lesson(const std::filesystem::path& path, const std::filesystem::path& models_folder) {
  const auto text = read_text({path.parent_path(), false}, path.filename().string(), limits::document_bytes);
  if (!text) return text.problems();
  const Result<Node> root = parse_document(*text, path.string());
  if (!root) return root.problems();
  SourceMap sources;
  map_sources(*root, path.string(), sources);
  const Node* format = find(*root, "format");
  if (format == nullptr || format->kind != Node::Kind::text || format->text != lesson_format)
    return wrong_format(*root, sources);
  Report report;
  Lesson lesson = read_lesson(*root, report);
  if (lesson.works_on.empty()) return placed(report, sources);
  Result<Opened> opened = open_works_on(path.parent_path(), models_folder, lesson.works_on, report);
  if (opened) check_with_engine(lesson, *opened, report);
  if (!report.empty()) return placed(report, sources);
  if (!opened) return opened.problems();
  return OpenedLesson{std::move(lesson), *std::move(opened), path.string(), std::move(sources)};
}

std::vector<LessonInFolder> lessons_in(const std::filesystem::path& folder,
                                       const std::filesystem::path& models_folder) {
  std::vector<std::filesystem::path> paths;
  std::error_code fault;
  for (auto entry = std::filesystem::directory_iterator(folder, fault);
       !fault && entry != std::filesystem::directory_iterator(); entry.increment(fault))
    if (entry->path().extension() == ".toml") paths.push_back(entry->path());
  std::ranges::sort(paths);
  std::vector<LessonInFolder> lessons;
  for (const std::filesystem::path& path : paths) {
    Result<OpenedLesson> opened = open_lesson(path, models_folder);
    const auto same = std::ranges::find_if(lessons, [&opened](const LessonInFolder& other) {
      return opened && other.opened && other.opened->lesson.name == opened->lesson.name;
    });
    if (same != lessons.end()) {
      Problems twice{problem_at("name", "", "a name of its own: " + same->path + " has this one")};
      locate(twice, opened->sources);
      opened = std::move(twice);
    }
    lessons.push_back({path.string(), std::move(opened)});
  }
  return lessons;
}

} // namespace phasewright
