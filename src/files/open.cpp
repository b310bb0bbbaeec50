#include "files/build_reader.hpp"
#include "files/demo_models.hpp"
#include "files/engine_reader.hpp"
#include "files/files.hpp"
#include "files/limits.hpp"
#include "files/override.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright {

namespace {

// One document with its name and its faults.
struct Document {
  Folder folder;
  std::string name;
  std::string shown;
  Node root;
  Report report;
};

Result<Document> read_document(const Folder& folder, const std::string& name) {
  auto text = read_text(folder, name, limits::document_bytes);
  if (!text) return text.problems();
  const std::string shown = shown_path(folder, name);
  auto root = parse_document(*text, shown);
  if (!root) return root.problems();
  return Document{folder, name, shown, std::move(*root), {}};
}

// Gives the faults of a document their places, in the order of the file.
Problems placed(Document& document, const SourceMap& sources) {
  Problems problems = std::move(document.report.problems());
  locate(problems, sources);
  std::stable_sort(problems.begin(), problems.end(), [](const Problem& a, const Problem& b) {
    return std::pair(a.line, a.column) < std::pair(b.line, b.column);
  });
  if (problems.size() > limits::problems) {
    Problem more;
    more.file = document.shown;
    more.advice = fmt::format("and {} more faults", problems.size() - limits::problems);
    problems.resize(limits::problems);
    problems.push_back(std::move(more));
  }
  return problems;
}

void append(Problems& to, Problems from) {
  to.insert(to.end(), from.begin(), from.end());
}

std::string format_of(const Document& document) {
  const Node* format = find(document.root, "format");
  return format != nullptr && format->kind == Node::Kind::text ? format->text : "";
}

Problem wrong_format(const Document& document, const std::string& allowed) {
  Problem problem;
  problem.key = "format";
  problem.allowed = allowed;
  if (find(document.root, "format") == nullptr) problem.found = "nothing";
  Problems one{problem};
  SourceMap sources;
  map_sources(document.root, document.shown, sources);
  locate(one, sources);
  return one.front();
}

// The engine file of a build: beside it, in the models folder, or compiled in.
std::optional<Folder> find_engine(const Folder& beside, const std::filesystem::path& models_folder,
                                  const std::string& name) {
  std::vector<Folder> folders{beside};
  if (!models_folder.empty()) folders.push_back({models_folder, false});
  folders.push_back({{}, true});
  const auto found = std::find_if(folders.begin(), folders.end(), [&name](const Folder& f) { return exists(f, name); });
  if (found == folders.end()) return std::nullopt;
  return *found;
}

struct EngineOutcome {
  std::optional<Engine> engine; // nothing when there are problems
  Problems problems;
  std::vector<std::string> cautions;
};

EngineOutcome engine_of(Document& document, const Overrides& overrides, SourceMap& sources) {
  EngineOutcome outcome;
  apply_overrides(overrides, nullptr, &document.root, outcome.problems);
  SourceMap own;
  map_sources(document.root, document.shown, own);
  LobeTableNotes notes;
  Engine engine = read_engine(document.root, document.folder, document.report, notes);
  append(outcome.problems, placed(document, own));
  append(outcome.problems, std::move(notes.problems));
  outcome.cautions = std::move(notes.cautions);
  sources.spots.merge(own.spots); // the build's `format` stays
  if (outcome.problems.empty()) outcome.engine = std::move(engine);
  return outcome;
}

Result<Opened> open_engine(Document document, const Overrides& overrides) {
  Opened opened;
  Document build{document.folder, "", "--set", {}, {}};
  build.root.from_override = true;
  Problems problems;
  apply_overrides(overrides, &build.root, nullptr, problems);
  // No build file: its keys can come from overrides only.
  map_sources(build.root, "--set", opened.sources);
  opened.build = read_build(build.root, false, build.report);
  opened.build.engine = document.name;
  opened.sources.spots.erase(""); // the engine file stands for what has no key
  EngineOutcome outcome = engine_of(document, overrides, opened.sources);
  if (outcome.engine) check_build(opened.build, *outcome.engine, build.report);
  append(problems, placed(build, opened.sources));
  append(problems, std::move(outcome.problems));
  if (!problems.empty()) return problems;
  opened.engine = std::make_shared<const Engine>(std::move(*outcome.engine));
  opened.cautions = std::move(outcome.cautions);
  opened.engine_path = document.shown;
  opened.compiled_in = document.folder.compiled_in;
  return opened;
}

// Problems of the engine file of `build`; the engine goes into `opened`.
std::optional<Engine> engine_for(const Build& build, Document& document, const std::filesystem::path& models_folder,
                                 const Overrides& overrides, Opened& opened, Problems& problems) {
  if (build.engine.empty()) return std::nullopt; // missing or faulty: said already
  const auto folder = find_engine(document.folder, models_folder, build.engine);
  if (!folder) {
    document.report.add("engine", "", "an engine file beside the build file or in the models folder",
                        "there is no such file");
    return std::nullopt;
  }
  auto engine_document = read_document(*folder, build.engine);
  if (!engine_document) {
    append(problems, engine_document.problems());
    return std::nullopt;
  }
  if (format_of(*engine_document) != engine_format) {
    problems.push_back(wrong_format(*engine_document, fmt::format("\"{}\"", engine_format)));
    return std::nullopt;
  }
  EngineOutcome outcome = engine_of(*engine_document, overrides, opened.sources);
  append(problems, std::move(outcome.problems));
  opened.engine_path = engine_document->shown;
  opened.cautions = std::move(outcome.cautions);
  return std::move(outcome.engine);
}

Result<Opened> open_build(Document document, const std::filesystem::path& models_folder, const Overrides& overrides) {
  Opened opened;
  Problems problems;
  // An override is a what-if; the readings in the file were taken on the engine and with what is fitted as the files
  // say.
  const Result<Opened> as_filed =
      overrides.empty() ? Result<Opened>(Problem{}) : open_build(document, models_folder, {});
  apply_overrides(overrides, &document.root, nullptr, problems);
  SourceMap own;
  map_sources(document.root, document.shown, own);
  opened.sources = own;
  opened.build = read_build(document.root, true, document.report);
  Problems engine_problems;
  auto engine = engine_for(opened.build, document, models_folder, overrides, opened, engine_problems);
  if (engine) check_build(opened.build, *engine, document.report);
  append(problems, placed(document, own));
  append(problems, std::move(engine_problems));
  if (!problems.empty()) return problems;
  opened.engine = std::make_shared<const Engine>(std::move(*engine));
  opened.build_path = document.shown;
  opened.compiled_in = document.folder.compiled_in;
  if (as_filed) {
    opened.build.measured.with = as_filed->build.measured.with;
    opened.build.measured.engine = as_filed->engine;
  }
  return opened;
}

Result<Opened> open_in(const Folder& folder, const std::string& name, const std::filesystem::path& models_folder,
                       const Overrides& overrides) {
  auto document = read_document(folder, name);
  if (!document) return document.problems();
  const std::string format = format_of(*document);
  if (format == engine_format) return open_engine(std::move(*document), overrides);
  if (format == build_format) return open_build(std::move(*document), models_folder, overrides);
  return wrong_format(*document, fmt::format("\"{}\" or \"{}\"", engine_format, build_format));
}

} // namespace

Result<Opened> open_any(const std::filesystem::path& path, const std::filesystem::path& models_folder,
                        const Overrides& overrides) {
  return open_in({path.parent_path(), false}, path.filename().string(), models_folder, overrides);
}

Result<Opened> open_demo(const Overrides& overrides) {
  return open_in({{}, true}, std::string(demo_build_name), {}, overrides);
}

} // namespace phasewright
