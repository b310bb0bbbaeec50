#include "files/learners.hpp"

#include "files/files.hpp"
#include "files/limits.hpp"
#include "files/reader.hpp"
#include "files/text_file.hpp"
#include "files/toml_value.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright {

namespace {

namespace fs = std::filesystem;

constexpr const char* learners_format = "phasewright-learners/1";
constexpr std::size_t most_name_bytes = 80;
constexpr std::size_t most_learners = 1000;
constexpr std::size_t most_lessons = 500; // of one learner
constexpr int most_steps = 99;

LessonProgress read_one(Reader row) {
  LessonProgress progress;
  progress.lesson = row.text("name");
  progress.step = row.whole("step", 0, most_steps, 0);
  progress.done = row.truth("done", false);
  progress.date = row.text("date", "");
  if (!progress.date.empty() && !is_date(progress.date) && row.report().sound(row.path("date")))
    row.report().add(row.path("date"), "", "a day as \"YYYY-MM-DD\", in quotes");
  row.finish();
  return progress;
}

std::vector<Learner> read_all(Reader root, Report& report) {
  std::vector<Learner> learners;
  if (root.text("format") != learners_format && report.sound("format"))
    report.add("format", "", fmt::format("\"{}\"", learners_format));
  for (Reader& row : root.tables("learner", 0, most_learners, "learners")) {
    Learner learner;
    learner.name = row.text("name");
    if (!is_learner_name(learner.name) && report.sound(row.path("name")))
      report.add(row.path("name"), "", fmt::format("1 to {} characters on one line", most_name_bytes));
    const bool twice = std::ranges::find(learners, learner.name, &Learner::name) != learners.end();
    if (twice && report.sound(row.path("name"))) report.add(row.path("name"), "", "each learner once");
    for (const Reader& lesson : row.tables("lessons", 0, most_lessons, "lessons"))
      learner.lessons.push_back(read_one(lesson));
    row.finish();
    learners.push_back(std::move(learner));
  }
  root.finish();
  return learners;
}

std::string learners_text(const std::vector<Learner>& learners) {
  std::string text = fmt::format(
      "# How far each learner has come. Delete a learner here, or the file, and it is forgotten.\nformat = \"{}\"\n",
      learners_format);
  for (const Learner& learner : learners) {
    text += fmt::format("\n[[learner]]\nname = {}\nlessons = [\n", toml(learner.name));
    for (const LessonProgress& one : learner.lessons)
      text += fmt::format("  {{ name = {}, step = {}, done = {}{} }},\n", toml(one.lesson), one.step, one.done,
                          one.date.empty() ? "" : fmt::format(", date = {}", toml(one.date)));
    text += "]\n";
  }
  return text;
}

void merge(LessonProgress& kept, const LessonProgress& now) {
  kept.step = std::max(kept.step, now.step);
  if (now.done && !kept.done) kept.date = now.date;
  kept.done = kept.done || now.done;
}

} // namespace

bool is_learner_name(std::string_view name) {
  const bool control =
      std::ranges::any_of(name, [](char c) { return static_cast<unsigned char>(c) < 0x20u || c == 0x7F; });
  return !control && name.size() <= most_name_bytes && name.find_first_not_of(' ') != std::string_view::npos;
}

Result<std::vector<Learner>> read_learners(const fs::path& folder) {
  std::error_code ignored;
  const fs::path path = folder / learners_file_name;
  if (folder.empty() || !fs::exists(path, ignored)) return std::vector<Learner>{};
  const auto text = read_text({folder, false}, learners_file_name, limits::document_bytes);
  if (!text) return text.problems();
  const Result<Node> root = parse_document(*text, path.string());
  if (!root) return root.problems();
  Report report;
  std::vector<Learner> learners = read_all(Reader(report, &*root, ""), report);
  if (report.empty()) return learners;
  SourceMap sources;
  map_sources(*root, path.string(), sources);
  locate(report.problems(), sources);
  return std::move(report.problems());
}

const LessonProgress* find_progress(const std::vector<Learner>& learners, std::string_view name,
                                    std::string_view lesson) {
  const auto learner = std::ranges::find(learners, name, &Learner::name);
  if (learner == learners.end()) return nullptr;
  const auto found = std::ranges::find(learner->lessons, lesson, &LessonProgress::lesson);
  return found == learner->lessons.end() ? nullptr : &*found;
}

std::optional<Problem> record_progress(const fs::path& folder, const std::string& name,
                                       const LessonProgress& progress) {
  if (folder.empty() || name.empty()) return std::nullopt;
  if (!is_learner_name(name))
    return problem_at("name", name, fmt::format("1 to {} characters on one line", most_name_bytes));
  Result<std::vector<Learner>> read = read_learners(folder);
  if (!read) return read.problems().front();
  std::vector<Learner> learners = *std::move(read);
  auto learner = std::ranges::find(learners, name, &Learner::name);
  if (learner == learners.end()) learner = learners.insert(learner, Learner{name, {}});
  auto kept = std::ranges::find(learner->lessons, progress.lesson, &LessonProgress::lesson);
  if (kept == learner->lessons.end())
    learner->lessons.push_back(progress);
  else
    merge(*kept, progress);
  std::error_code fault;
  fs::create_directories(folder, fault);
  return write_atomic(folder / learners_file_name, learners_text(learners));
}

} // namespace phasewright
