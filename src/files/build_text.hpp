// A build as the values of a build file.
#pragma once

#include "parts/build.hpp"

#include <string>
#include <vector>

namespace phasewright {

struct BuildEntry {
  std::string table; // "fitted"; empty for the keys before the first table
  std::string key;
  std::string value; // as TOML; empty when the build has none, and the key must not stand there
  bool is_default;   // says no more than a file without it

  friend bool operator==(const BuildEntry&, const BuildEntry&) = default;
};

// Every key of the format, in its order.
[[nodiscard]] std::vector<BuildEntry> build_entries(const Build& build);

} // namespace phasewright
