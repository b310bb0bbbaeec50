// What a builder can count on the chain: pins from mark to mark, turns until marks, bright links and teeth meet again.
#pragma once

#include "bench/mark_count.hpp"

#include <optional>
#include <string>
#include <vector>

namespace phasewright {

// Pins strictly between a camshaft's mark and the crank's, where both are in the chain together.
struct MarksOfCamshaft {
  std::string camshaft;
  std::optional<MarkCount> taut_side; // from the camshaft's mark to the crank's in the direction of travel
  std::optional<MarkCount> back;      // from the crank's mark to the camshaft's in the direction of travel
};

// Each way round the first loop, through the sprockets between, by camshaft driven from that loop, in the order the
// chain meets them.
[[nodiscard]] std::vector<MarksOfCamshaft> count_marks(const Engine& engine, const Drive& drive);

// The least lay, from -10 to 10, with which that many pins along the taut side can be counted in some turn of the
// crank. All else as fitted, wear and keys included: they do not change the count. Nothing when there is no such lay,
// the drive cannot be assembled, or the marks are never in the chain together as marked.
struct LayFromCount {
  int lay = 0;
  int as_marked = 0; // what would be counted in that turn of the crank with lay 0
  std::string words; // "11 pins from mark to mark: one tooth retarded"
};
[[nodiscard]] std::optional<LayFromCount> lay_from_count(const Engine& engine, const Fitted& fitted,
                                                         const std::string& camshaft, int pins);

// How often the same link meets the same tooth: least common multiple of links and teeth.
struct Hunting {
  std::string sprocket;
  int teeth = 0;
  int shared = 1;      // greatest common divisor of teeth and links: 1 = every link meets every tooth
  long long turns = 0; // of that sprocket until a link meets the same tooth again
  long long crank_turns_num = 0, crank_turns_den = 1; // the same in crank turns, as a fraction in lowest terms
};
struct MarkCycle {
  std::string camshaft;
  int crank_turns = 2; // the camshaft's mark and that of the loop's first sprocket stand again where they did
  long long bright_crank_turns = 0; // bright links stand on the marks again after so many, all of them
};
struct CountTable {
  std::vector<Hunting> hunting;                                     // by sprocket of the loop
  long long chain_rounds_crank_num = 0, chain_rounds_crank_den = 1; // crank turns in which the chain goes round once
  std::vector<MarkCycle> marks;                                     // by camshaft of the loop
};
// Whole numbers, exact. Of an engine whose drive can be assembled.
[[nodiscard]] CountTable count_table(const Engine& engine, std::size_t loop = 0);

} // namespace phasewright
