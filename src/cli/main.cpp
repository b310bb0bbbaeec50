// phasewright COMMAND FILE [options]
#include "cli/cautions.hpp"
#include "cli/commands.hpp"
#include "cli/output.hpp"
#include "cli/words.hpp"
#include "files/key_path.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <csignal>
#include <exception>
#include <filesystem>

namespace {

using namespace phasewright;
using namespace phasewright::cli;

int refuse(const std::string& words, const std::string& hint) {
  print_error(fmt::format("phasewright: {}\ntry: {}\n", words, hint));
  return exit_unusable;
}

int print(const std::string& text, int exit_code) {
  const std::string reason = print_all(text);
  if (reason.empty()) return exit_code;
  print_error(fmt::format("phasewright: the answer could not be written: {}\n", reason));
  return exit_unusable;
}

std::string general_help() {
  std::string text = "Shows and computes the cam timing of a chain-driven engine before anything is fitted.\n\n"
                     "Usage: phasewright COMMAND [FILE] [options]\n\n"
                     "FILE is an engine or a build; without it, the demo build that is compiled in.\n\nCommands:\n";
  for (const Command& command : commands()) text += fmt::format("  {:<11}{}\n", command.name, command.summary);
  text +=
      "\nEvery command prints a page for a person, or with --json one JSON object, numbers in full; --set KEY=VALUE "
      "overrides a key of the file for one run; --help tells the rest. Exit codes: 0 done; 1 the answer is \"not "
      "safe\" or \"out of limits\"; 2 the input cannot be used; 130 a film ended by Ctrl+C.\n\n"
      "Example:\n  phasewright plan models/sandling-14.build.toml\n";
  return wrapped(text);
}

int unknown_command(const std::string& word) {
  std::vector<std::string> names;
  for (const Command& command : commands()) names.emplace_back(command.name);
  const std::string near = nearest_word(word, names);
  return refuse(fmt::format("no such command: \"{}\"{}", word, near.empty() ? "" : "; did you mean " + near + "?"),
                "phasewright --help");
}

// What the files leave in doubt goes with every answer that was made of them.
void add_cautions(Answer& answer, const std::vector<std::string>& cautions) {
  Json all = Json::array();
  std::string lines;
  for (const std::string& caution : cautions) {
    all.add(caution);
    lines += fmt::format("Caution: {}.\n", caution);
  }
  answer.json.set("cautions", all);
  if (!lines.empty() && !answer.page.empty()) answer.page += "\n" + lines;
}

// The engine or build that is asked about; nothing for lessons, which name their own.
Result<Opened> open_asked(const Command& command, const Options& options, const Resources& resources) {
  if (std::ranges::find(command.takes, Takes::lesson) != command.takes.end()) return Opened{};
  if (options.file.empty()) return open_demo(options.overrides);
  return open_any(options.file, resources.models, options.overrides);
}

int run_command(const Command& command, const std::vector<std::string>& arguments) {
  const auto started = std::chrono::steady_clock::now();
  Parsed parsed = parse_options(command, arguments);
  if (!parsed.help.empty()) return print(parsed.help, exit_done);
  if (parsed.fault) return refuse(to_text(*parsed.fault), fmt::format("phasewright {} --help", command.name));

  const Resources resources = find_resources();
  Result<Opened> opened = open_asked(command, *parsed.options, resources);
  if (!opened) {
    print_error(to_text(opened.problems()));
    return exit_unusable;
  }
  const Context context{
      .options = std::move(*parsed.options), .opened = *std::move(opened), .resources = resources, .started = started};
  Result<Answer> answer = command.run(context);
  if (!answer) {
    // An option's fault stands in no file.
    Problems problems = answer.problems();
    const auto of_files = std::stable_partition(problems.begin(), problems.end(),
                                                [](const Problem& problem) { return problem.key.starts_with("-"); });
    Problems in_files(of_files, problems.end());
    problems.erase(of_files, problems.end());
    locate(in_files, context.opened.sources);
    print_error(to_text(problems) + to_text(in_files));
    return exit_unusable;
  }
  if (answer->exit_code == exit_cancelled) return exit_cancelled;
  if (context.opened.engine) add_cautions(*answer, cautions_over(context.opened));
  const std::string text = context.options.json ? answer->json.text() : wrapped(answer->page);
  return text.empty() ? answer->exit_code : print(text, answer->exit_code);
}

bool names_a_file(const std::string& word) {
  std::error_code ignored;
  return word.ends_with(".toml") || std::filesystem::is_regular_file(word, ignored);
}

int run(const std::vector<std::string>& arguments) {
  const std::string first = arguments.empty() ? "" : arguments.front();
  if (first == "--help" || first == "-h" || first == "help") return print(general_help(), exit_done);
  if (first == "--version") return print("phasewright " PHASEWRIGHT_VERSION "\n", exit_done);
  if (const Command* command = find_command(first))
    return run_command(*command, {arguments.begin() + 1, arguments.end()});
  const bool no_command = arguments.empty() || (!first.empty() && first.front() == '-') || names_a_file(first);
  if (!no_command) return unknown_command(first);
  if (const Command* view = find_command("view")) return run_command(*view, arguments);
  if (arguments.empty()) return print(general_help(), exit_done);
  return refuse(fmt::format("a command comes first, not \"{}\"", first), "phasewright --help");
}

} // namespace

int main(int count, char** words) {
  // A reader that went away is reported by the write that fails.
  std::signal(SIGPIPE, SIG_IGN);
  try {
    return run({words + (count > 0 ? 1 : 0), words + count});
  } catch (const std::exception& error) {
    print_error(fmt::format("phasewright: {}\n", error.what()));
    return exit_unusable;
  }
}
