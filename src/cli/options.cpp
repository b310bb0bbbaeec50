#include "cli/options.hpp"

#include "cli/options_typed.hpp"
#include "cli/words.hpp"
#include "files/key_path.hpp"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace phasewright::cli {

Problem usage_fault(std::string option, std::string found, std::string allowed, std::string advice) {
  return {.file = {},
          .line = 0,
          .column = 0,
          .key = std::move(option),
          .found = std::move(found),
          .allowed = std::move(allowed),
          .advice = std::move(advice)};
}

bool takes(const Command& command, Takes what) {
  return std::ranges::find(command.takes, what) != command.takes.end();
}

namespace {

// Words left over after CLI11 took what it knows.
std::optional<Problem> leftover_fault(const CLI::App& app) {
  std::vector<std::string> rest = app.remaining();
  std::erase(rest, "--"); // what follows it has been taken for a FILE
  if (rest.empty()) return std::nullopt;
  const std::string& word = rest.front();
  if (word.size() < 2 || word.front() != '-')
    return usage_fault({}, {}, {}, fmt::format("one FILE at a time: \"{}\" is a second", word));
  std::vector<std::string> known;
  for (const CLI::Option* option : app.get_options())
    for (const std::string& name : option->get_lnames()) known.push_back("--" + name);
  const std::string name = word.substr(0, word.find('='));
  const std::string near = nearest_word(name, known);
  return usage_fault({}, {}, {},
                     fmt::format("no such option: {}{}", name, near.empty() ? "" : "; did you mean " + near + "?"));
}

std::string help_text(CLI::App& app, const Command& command) {
  app.description(wrapped(fmt::format("{}: {}\n\n{}", command.name, command.summary, command.detail)));
  app.footer(fmt::format("Example:\n  {}", command.example));
  return app.help();
}

} // namespace

Parsed parse_options(const Command& command, const std::vector<std::string>& arguments) {
  // A script's unset variable: it must not stand for the demo or for a default.
  if (std::ranges::find(arguments, "") != arguments.end())
    return {.options = {}, .help = {}, .fault = usage_fault({}, {}, {}, "an empty word stands among the options")};
  Options options;
  Typed typed;
  CLI::App app("", fmt::format("phasewright {}", command.name));
  app.set_help_flag("-h,--help", "this text");
  app.allow_extras();
  add_options(app, command, options, typed);
  std::vector<std::string> reversed(arguments.rbegin(), arguments.rend()); // as CLI11 wants them
  try {
    app.parse(reversed);
  } catch (const CLI::CallForHelp&) {
    return {.options = {}, .help = help_text(app, command), .fault = {}};
  } catch (const CLI::ParseError& error) {
    std::string words = error.what();
    std::ranges::replace(words, '\n', ' ');
    return {.options = {}, .help = {}, .fault = usage_fault({}, {}, {}, words)};
  }
  if (std::optional<Problem> fault = leftover_fault(app)) return {.options = {}, .help = {}, .fault = std::move(fault)};
  if (std::optional<Problem> fault = read_typed(command, typed, options))
    return {.options = {}, .help = {}, .fault = std::move(fault)};
  return {.options = std::move(options), .help = {}, .fault = {}};
}

} // namespace phasewright::cli
