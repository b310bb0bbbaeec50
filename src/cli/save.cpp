#include "cli/save.hpp"

#include "files/files.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <fstream>
#include <sstream>

namespace phasewright::cli {

namespace {

std::string text_of(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

// Whether a build file saved there finds the engine that was opened: it looks beside itself, then among the models.
bool finds_its_engine(const Context& context, const std::filesystem::path& path) {
  const Opened& opened = context.opened;
  std::error_code ignored;
  if (opened.compiled_in) return true;
  for (const std::filesystem::path& folder : {path.parent_path(), context.resources.models})
    if (const std::filesystem::path there = folder / opened.build.engine; std::filesystem::exists(there, ignored))
      return std::filesystem::equivalent(there, opened.engine_path, ignored);
  return !std::filesystem::exists(opened.engine_path, ignored); // compiled in
}

} // namespace

Result<std::string> save_changed(const Context& context, const Build& changed) {
  const Opened& opened = context.opened;
  const std::string& wanted = context.options.save.output;
  if (!context.options.overrides.empty())
    return problem_at("--set", "values for one run beside what is to be saved", "none; write them into the file first");
  const bool own = !opened.compiled_in && !opened.build_path.empty();
  if (wanted.empty() && !own)
    return problem_at("-o", "nothing", "a file name that ends in .build.toml; there is no build file to save into");
  const std::string path = wanted.empty() ? opened.build_path : wanted;
  if (!wanted.empty() && !wanted.ends_with(".build.toml"))
    return problem_at("-o", wanted, "a file name that ends in .build.toml");
  std::error_code ignored;
  const bool same = own && std::filesystem::equivalent(path, opened.build_path, ignored);
  if (!same && std::filesystem::exists(path, ignored))
    return problem_at("-o", path, "the build's own file or one that is not there yet");
  if (!same && !finds_its_engine(context, path))
    return problem_at("-o", path, "a file in the folder of " + opened.engine_path,
                      "from elsewhere the build would not find this engine");
  if (same || !own) {
    if (std::optional<Problem> trouble = save_build(path, changed)) return Problems{*std::move(trouble)};
    return path;
  }
  const Result<std::string> text = edit_build_text(text_of(opened.build_path), changed);
  if (!text) return text.problems();
  if (std::optional<Problem> trouble = write_atomic(path, *text)) return Problems{*std::move(trouble)};
  return path;
}

} // namespace phasewright::cli
