// What every command's help and refusals have to hold.
#pragma once

#include "cli/program.hpp"
#include "support/catch.hpp"

#include <sstream>
#include <string>
#include <vector>

namespace phasewright::testing {

// The words of the example that a command's help shows, the command's name first, what is said about it left out.
inline std::vector<std::string> example_of(const std::string& command) {
  INFO(command);
  const std::string help = run_program({command, "--help"}).out;
  const std::string before = "Example:\n  phasewright ";
  const std::size_t at = help.find(before);
  REQUIRE(at != std::string::npos);
  const std::size_t from = at + before.size();
  std::istringstream line(help.substr(from, help.find_first_of("#\n", from) - from));
  std::vector<std::string> words;
  for (std::string word; line >> word;) words.push_back(word);
  REQUIRE(words.front() == command);
  return words;
}

// It ends with 2, says that on standard error and nothing on standard output.
inline void check_refused(const Run& run, const std::string& said) {
  INFO(said);
  INFO(run.err);
  CHECK(run.exit_code == 2);
  CHECK(run.out.empty());
  CHECK(run.err.find(said) != std::string::npos);
}

} // namespace phasewright::testing
