// The sections of the `chain` command's answer.
#pragma once

#include "cli/json.hpp"
#include "cli/options.hpp"
#include "mechanics/wear.hpp"

#include <string>

namespace phasewright::cli {

struct Section {
  std::string page;
  Json json;
};

// One loop of the drive, as it is fitted.
struct ChainCase {
  const Engine& engine;
  const Fitted& fitted;
  std::size_t loop;
  const ChainOptions& asked;

  [[nodiscard]] const Loop& drawn() const { return engine.loops[loop]; }
};

// What a worn drive fails by first: "the tensioner runs out of travel". Of a study in which it does.
[[nodiscard]] std::string gives_out_words(const ChainCase& chain, const WearStudy& study);

[[nodiscard]] Section wear_section(const ChainCase& chain, const WearStudy& study);
// Problems: what was asked for and cannot be had.
[[nodiscard]] Result<Section> centres_section(const ChainCase& chain);
// `drive`: as fitted; none when it cannot be assembled so.
[[nodiscard]] Result<Section> counting_section(const ChainCase& chain, const Drive* drive);

} // namespace phasewright::cli
