// Runs the program as its users do: another process, its exit code, what it wrote.
#pragma once

#include <string>
#include <vector>

namespace phasewright::testing {

struct Run {
  int exit_code = -1; // -1 when a signal ended it
  std::string out;
  std::string err;
};

struct RunWith {
  std::vector<std::string> environment; // "NAME=VALUE", in place of those of the same name
  std::string out_file;                 // where standard output goes instead of into Run::out; "-" = closed
  std::string directory;                // where it is started; empty = here
};

// Throws std::runtime_error when the program cannot be started.
[[nodiscard]] Run run_program(const std::vector<std::string>& arguments, const RunWith& with = {});

// The whole file; empty when it cannot be read.
[[nodiscard]] std::string read_file(const std::string& path);

[[nodiscard]] std::string models_path(const std::string& name); // of a file in models/

} // namespace phasewright::testing
