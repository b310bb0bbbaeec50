// The README's console examples are what the program says. PHASEWRIGHT_APPROVE=1 in the environment rewrites them; look
// at the difference before it is committed.
#include "cli/program.hpp"
#include "support/catch.hpp"

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

using namespace phasewright::testing;

namespace {

const std::string readme_path = std::string(PHASEWRIGHT_TEST_DIR) + "/../README.md";

// Quotes are not needed in the README's commands; words are what stands between blanks.
std::vector<std::string> words_of(const std::string& line) {
  std::istringstream in(line);
  std::vector<std::string> words;
  for (std::string word; in >> word;) words.push_back(word);
  return words;
}

} // namespace

TEST_CASE("the README's console examples are true", "[cli][readme]") {
  const std::string readme = read_file(readme_path);
  const std::filesystem::path before = std::filesystem::current_path();
  std::filesystem::current_path(std::filesystem::path(readme_path).parent_path()); // from where its paths are meant
  const std::string opening = "```console\n$ phasewright ";
  std::string renewed;
  std::size_t at = 0;
  int examples = 0;
  for (std::size_t begin; (begin = readme.find(opening, at)) != std::string::npos; ++examples) {
    const std::size_t command = begin + opening.size();
    const std::size_t output = readme.find('\n', command) + 1;
    const std::size_t end = readme.find("```\n", output);
    REQUIRE(end != std::string::npos);
    const Run run = run_program(words_of(readme.substr(command, output - command)));
    INFO(readme.substr(command, output - command));
    CHECK((run.exit_code == 0 || run.exit_code == 1));
    if (std::getenv("PHASEWRIGHT_APPROVE") == nullptr) CHECK(run.out == readme.substr(output, end - output));
    renewed += readme.substr(at, output - at) + run.out;
    at = end;
  }
  CHECK(examples >= 4);
  std::filesystem::current_path(before);
  if (std::getenv("PHASEWRIGHT_APPROVE") != nullptr)
    std::ofstream(readme_path, std::ios::binary) << renewed + readme.substr(at);
}
