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

namespace {

std::optional<Problem> output_fault(const Context& context, bool may_be_own) {
  const Opened& opened = context.opened;
  const std::string& wanted = context.options.save.output;
  if (!context.options.overrides.empty())
    return problem_at("--set", "values for one run beside what is to be saved", "none; write them into the file first");
  if (wanted.empty()) return std::nullopt;
  if (!wanted.ends_with(".build.toml")) return problem_at("-o", wanted, "a file name that ends in .build.toml");
  std::error_code ignored;
  const bool own = !opened.compiled_in && !opened.build_path.empty() &&
                   std::filesystem::equivalent(wanted, opened.build_path, ignored);
  if (own && may_be_own) return std::nullopt;
  if (std::filesystem::exists(wanted, ignored))
    return problem_at("-o", wanted,
                      may_be_own ? "the build's own file or one that is not there yet" : "one that is not there yet");
  if (!finds_its_engine(context, wanted))
    return problem_at("-o", wanted, "a file in the folder of " + opened.engine_path,
                      "from elsewhere the build would not find this engine");
  return std::nullopt;
}

} // namespace

Result<std::string> save_new(const Context& context, const Build& build) {
  if (std::optional<Problem> fault = output_fault(context, false)) return *std::move(fault);
  const std::string& path = context.options.save.output;
  if (std::optional<Problem> trouble = save_build(path, build)) return Problems{*std::move(trouble)};
  return path;
}

Result<std::string> save_changed(const Context& context, const Build& changed) {
  if (std::optional<Problem> fault = output_fault(context, true)) return *std::move(fault);
  const Opened& opened = context.opened;
  const std::string& wanted = context.options.save.output;
  const bool own = !opened.compiled_in && !opened.build_path.empty();
  if (wanted.empty() && !own)
    return problem_at("-o", "nothing", "a file name that ends in .build.toml; there is no build file to save into");
  const std::string path = wanted.empty() ? opened.build_path : wanted;
  std::error_code ignored;
  const bool same = own && std::filesystem::equivalent(path, opened.build_path, ignored);
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
