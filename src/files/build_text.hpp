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

// Every key of one set of readings, in a table of that name. `fitted`: what is fitted now, which the readings need not
// say they were taken with; null = they say it.
[[nodiscard]] std::vector<BuildEntry> measured_entries(const Measured& measured, const std::string& table,
                                                       const Fitted* fitted);

// What is fitted, in one line: "{ lay = 1, crank_key_deg = 2 }".
[[nodiscard]] std::string fitted_text(const Fitted& fitted);

// The sets of the history from that one on, each with its [[header]]; empty without any.
[[nodiscard]] std::string history_text(const Build& build, std::size_t from);

// One set of the history in one value: "{ date = "2026-04-21", with = {} }".
[[nodiscard]] std::string history_value(const Measured& set);

// Every key of the format but the history's, in its order.
[[nodiscard]] std::vector<BuildEntry> build_entries(const Build& build);

} // namespace phasewright
