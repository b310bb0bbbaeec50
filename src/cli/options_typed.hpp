// Options on their way from the command line to Options: CLI11 sorts the words, then they are read.
#pragma once

#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "parts/viewer_words.hpp"

#include <CLI/CLI.hpp>

#include <optional>
#include <string>
#include <vector>

namespace phasewright::cli {

// Options as they were typed; read into Options once CLI11 has sorted them.
struct Typed {
  std::string crank, turned, lay, top, size, theme, plan, as, from, page, magnify, apart, scale, frames;
  std::string loop, band, count, links, centre_change, block_growth, chain_growth, rise; // of the chain
  std::string cylinder, at, altitude, exponent;                                          // of the events
  std::vector<std::string> lifts;
  std::string of, step;   // of the curves; `of` of a film as well
  std::string fps, turns; // of a film
  std::string drawn_cylinder;
  std::string key_at, key_deg, key_step;
  bool spread = false; // of the phase
  std::string builds, seed, threads;
  std::string paper, dpi, units, diameter, bore, reads; // of what is printed
  std::string option;                                   // of the plan, to be fitted
  std::string level, first_seed, drills;                // of drills
};

[[nodiscard]] Problem usage_fault(std::string option, std::string found, std::string allowed, std::string advice = {});

[[nodiscard]] bool takes(const Command& command, Takes what);

// Tells CLI11 what the command takes, with the words of its help. What needs no reading goes into `options` at once,
// the rest into `typed`; both must outlive `app`.
void add_options(CLI::App& app, const Command& command, Options& options, Typed& typed);

// Reads what was typed; the first fault, or nothing.
[[nodiscard]] std::optional<Problem> read_typed(const Command& command, const Typed& typed, Options& options);

} // namespace phasewright::cli
