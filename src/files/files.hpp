// Engine, build and lobe files: reading them and saving a build. The formats are described beside their readers:
// engine_reader.cpp, build_reader.cpp, lobe_table.hpp. Nothing here needs to trust the files: sizes, counts and nesting
// are limited (limits.hpp).
//
//   auto opened = open_any("sandling-14.build.toml", "models");  // an engine or a build; tells which by itself
//   if (!opened) fmt::print(stderr, "{}", to_text(opened.problems()));
//   auto mechanism = Mechanism::assemble(opened->engine, opened->build.fitted);
//   if (!mechanism) { Problems problems = mechanism.problems(); locate(problems, opened->sources); ... }
//   opened->build.fitted.lay = 0;
//   if (auto problem = save_build(opened->build_path, opened->build)) ...
#pragma once

#include "files/source_map.hpp"
#include "parts/build.hpp"
#include "parts/engine.hpp"
#include "parts/problem.hpp"

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace phasewright {

// "KEY=VALUE" each: key as in SourceMap, or a table of a list by its name ("sprocket.cam.teeth"); value as in TOML,
// quotes not needed round a word. The key's first part says whether it belongs to the engine or to the build.
using Overrides = std::vector<std::string>;

struct Opened {
  std::shared_ptr<const Engine> engine; // never null
  Build build;                          // with an engine file alone: nothing fitted, nothing in stock
  std::string engine_path;
  std::string build_path;   // empty with an engine file alone
  bool compiled_in = false; // the demo: there is no file to save to
  SourceMap sources;        // of both files
  // What the files leave in doubt but may be right, a line each: "marram-inlet.csv:41: row 33: 0.12 mm above the curve
  // through its neighbours; check the reading".
  std::vector<std::string> cautions;
};

// Opens an engine file or a build file with its engine. A build's engine is looked for beside the build file, then in
// `models_folder` (unless empty), then among the demo files compiled in. Lobe tables are looked for beside the engine
// file. Problems: every fault of both files at once.
[[nodiscard]] Result<Opened> open_any(const std::filesystem::path& path,
                                      const std::filesystem::path& models_folder = {}, const Overrides& overrides = {});

// The demo build, from the copy compiled into the program.
[[nodiscard]] Result<Opened> open_demo(const Overrides& overrides = {});

// `text` of a build file with the values of `build`: only what differs is changed; comments, order and layout stay.
// Keys that are missing are put at the end of their table, tables at the end of the file. Problems: `text` is not a
// sound build file, or would be none with these values (too many sets of readings, say).
[[nodiscard]] Result<std::string> edit_build_text(std::string_view text, const Build& build);

// A whole new build file. Values that are the defaults are left out.
[[nodiscard]] std::string build_text(const Build& build);

// The build that `text` says, for an engine that is open already. `file`: as messages call it. Problems: every fault of
// the text, and what does not fit the engine.
[[nodiscard]] Result<Build> read_build_text(std::string_view text, const std::string& file, const Engine& engine);

// "2026-05-14": a day the calendar has, as builds write it.
[[nodiscard]] bool is_date(const std::string& text);

// Saves a build into its file, as edit_build_text; a file that is not there yet is made new. Nothing
// is saved that could not be read again.
[[nodiscard]] std::optional<Problem> save_build(const std::filesystem::path& path, const Build& build);

// Writes a whole file or leaves what was there: a temporary file in the same folder, flushed to the disk, then renamed.
// Permissions of a file that is replaced are kept, and a symbolic link goes on pointing at it. Nothing is left behind
// on failure.
[[nodiscard]] std::optional<Problem> write_atomic(const std::filesystem::path& path, std::string_view text);

} // namespace phasewright
