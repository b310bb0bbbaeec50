#include "files/learners.hpp"

#include "files/files.hpp"
#include "files/limits.hpp"
#include "files/reader.hpp"
#include "files/text_file.hpp"
#include "files/toml_value.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

namespace phasewright {

namespace {

namespace fs = std::filesystem;

constexpr const char* learners_format = "phasewright-learners/1";
constexpr std::size_t most_name_bytes = 80;
constexpr std::size_t most_learners = 1000;
constexpr std::size_t most_lessons = 500;       // of one learner
constexpr std::size_t most_drills_each = 10000; // likewise; the file is full before that
constexpr int most_steps = 99;
constexpr int most_level = 9;

std::string read_date(Reader& row) {
  const std::string date = row.text("date", "");
  if (!date.empty() && !is_date(date) && row.report().sound(row.path("date")))
    row.report().add(row.path("date"), "", "a day as \"YYYY-MM-DD\", in quotes");
  return date;
}

LessonProgress read_lesson(Reader row) {
  LessonProgress progress;
  progress.lesson = row.text("name");
  progress.step = row.whole("step", 0, most_steps, 0);
  progress.done = row.truth("done", false);
  progress.date = read_date(row);
  row.finish();
  return progress;
}

DrillAnswered read_drill(Reader row) {
  DrillAnswered answer;
  answer.engine = row.text("engine");
  answer.number = row.whole("number", 0, std::numeric_limits<int>::max(), 0);
  answer.level = row.whole("level", 1, most_level, 1);
  answer.named = row.truth("named", false);
  answer.cured = row.truth("cured", false);
  answer.date = read_date(row);
  row.finish();
  return answer;
}

std::vector<Learner> read_all(Reader root, Report& report) {
  std::vector<Learner> learners;
  if (root.text("format") != learners_format && report.sound("format"))
    report.add("format", "", fmt::format("\"{}\"", learners_format));
  for (Reader& row : root.tables("learner", 0, most_learners, "learners")) {
    Learner learner;
    learner.name = row.text("name");
    if (!is_learner_name(learner.name) && report.sound(row.path("name")))
      report.add(row.path("name"), "", fmt::format("1 to {} bytes of text on one line", most_name_bytes));
    const bool twice = std::ranges::find(learners, learner.name, &Learner::name) != learners.end();
    if (twice && report.sound(row.path("name"))) report.add(row.path("name"), "", "each learner once");
    for (const Reader& lesson : row.tables("lessons", 0, most_lessons, "lessons"))
      learner.lessons.push_back(read_lesson(lesson));
    for (const Reader& drill : row.tables("drills", 0, most_drills_each, "drills"))
      learner.drills.push_back(read_drill(drill));
    row.finish();
    learners.push_back(std::move(learner));
  }
  root.finish();
  return learners;
}

std::string date_text(const std::string& date) {
  return date.empty() ? "" : fmt::format(", date = {}", toml(date));
}

std::string learners_text(const std::vector<Learner>& learners) {
  std::string text = fmt::format(
      "# How far each learner has come. Delete a learner here, or the file, and it is forgotten.\nformat = \"{}\"\n",
      learners_format);
  for (const Learner& learner : learners) {
    text += fmt::format("\n[[learner]]\nname = {}\nlessons = [\n", toml(learner.name));
    for (const LessonProgress& one : learner.lessons)
      text += fmt::format("  {{ name = {}, step = {}, done = {}{} }},\n", toml(one.lesson), one.step, one.done,
                          date_text(one.date));
    text += "]\n";
    if (learner.drills.empty()) continue;
    text += "drills = [\n";
    for (const DrillAnswered& one : learner.drills)
      text += fmt::format("  {{ engine = {}, number = {}, level = {}, named = {}, cured = {}{} }},\n", toml(one.engine),
                          one.number, one.level, one.named, one.cured, date_text(one.date));
    text += "]\n";
  }
  return text;
}

void merge(LessonProgress& kept, const LessonProgress& now) {
  kept.step = std::max(kept.step, now.step);
  if (now.done && !kept.done) kept.date = now.date;
  kept.done = kept.done || now.done;
}

// What the file says that has that text.
Result<std::vector<Learner>> read_from(const std::string& text, const fs::path& path) {
  if (const auto fault = check_text(text, path.string(), limits::document_bytes)) return *fault;
  const Result<Node> root = parse_document(text, path.string());
  if (!root) return root.problems();
  Report report;
  std::vector<Learner> learners = read_all(Reader(report, &*root, ""), report);
  if (report.empty()) return learners;
  SourceMap sources;
  map_sources(*root, path.string(), sources);
  locate(report.problems(), sources);
  return std::move(report.problems());
}

// Reads the file, has one learner changed in it, and writes it, unless it could not be read any more then.
template <typename Change>
std::optional<Problem> change_learner(const fs::path& folder, const std::string& name, const Change& change) {
  if (folder.empty() || name.empty()) return std::nullopt;
  if (!is_learner_name(name))
    return problem_at("name", name, fmt::format("1 to {} bytes of text on one line", most_name_bytes));
  Result<std::vector<Learner>> read = read_learners(folder);
  if (!read) return read.problems().front();
  std::vector<Learner> learners = *std::move(read);
  auto learner = std::ranges::find(learners, name, &Learner::name);
  if (learner == learners.end()) learner = learners.insert(learner, Learner{name, {}, {}});
  change(*learner);
  const fs::path path = folder / learners_file_name;
  const std::string text = learners_text(learners);
  if (const auto again = read_from(text, path); !again) {
    Problem full;
    full.file = path.string();
    full.advice =
        fmt::format("it is full, and nothing more is kept: delete learners in it, or put the file elsewhere ({})",
                    to_text(again.problems().front()));
    return full;
  }
  std::error_code fault;
  fs::create_directories(folder, fault);
  return write_atomic(path, text);
}

} // namespace

bool is_learner_name(std::string_view name) {
  const bool control =
      std::ranges::any_of(name, [](char c) { return static_cast<unsigned char>(c) < 0x20u || c == 0x7F; });
  return !control && !check_text(std::string(name), "", most_name_bytes) &&
         name.find_first_not_of(' ') != std::string_view::npos;
}

Result<std::vector<Learner>> read_learners(const fs::path& folder) {
  std::error_code ignored;
  const fs::path path = folder / learners_file_name;
  if (folder.empty() || !fs::exists(path, ignored)) return std::vector<Learner>{};
  const auto text = read_text({folder, false}, learners_file_name, limits::document_bytes);
  if (!text) return text.problems();
  return read_from(*text, path);
}

const LessonProgress* find_progress(const std::vector<Learner>& learners, std::string_view name,
                                    std::string_view lesson) {
  const auto learner = std::ranges::find(learners, name, &Learner::name);
  if (learner == learners.end()) return nullptr;
  const auto found = std::ranges::find(learner->lessons, lesson, &LessonProgress::lesson);
  return found == learner->lessons.end() ? nullptr : &*found;
}

std::vector<DrillAnswered> drills_answered(const std::vector<Learner>& learners, std::string_view name) {
  const auto learner = std::ranges::find(learners, name, &Learner::name);
  return learner == learners.end() ? std::vector<DrillAnswered>{} : learner->drills;
}

std::string drills_words(const std::vector<DrillAnswered>& drills) {
  if (drills.empty()) return "no drill answered yet";
  return fmt::format("{} {} answered: {} rightly named, {} put right", drills.size(),
                     drills.size() == 1 ? "drill" : "drills", std::ranges::count(drills, true, &DrillAnswered::named),
                     std::ranges::count(drills, true, &DrillAnswered::cured));
}

std::optional<Problem> record_progress(const fs::path& folder, const std::string& name,
                                       const LessonProgress& progress) {
  return change_learner(folder, name, [&](Learner& learner) {
    const auto kept = std::ranges::find(learner.lessons, progress.lesson, &LessonProgress::lesson);
    if (kept == learner.lessons.end())
      learner.lessons.push_back(progress);
    else
      merge(*kept, progress);
  });
}

std::optional<Problem> record_drill(const fs::path& folder, const std::string& name, const DrillAnswered& answer) {
  return change_learner(folder, name, [&](Learner& learner) {
    const bool again = std::ranges::any_of(learner.drills, [&](const DrillAnswered& kept) {
      return kept.engine == answer.engine && kept.number == answer.number && kept.level == answer.level;
    });
    if (!again) learner.drills.push_back(answer);
  });
}

} // namespace phasewright
