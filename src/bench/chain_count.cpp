#include "bench/chain_count.hpp"

#include "mechanics/drive_layout.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cassert>
#include <cstdlib>
#include <numeric>

namespace phasewright {

namespace {

constexpr int most_lay = 10; // what Fitted::lay may be

std::string lay_words(int lay) {
  if (lay == 0) return "as marked";
  static constexpr std::array numbers{"one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"};
  const int teeth = std::abs(lay);
  return fmt::format("{} {} {}", numbers.at(static_cast<std::size_t>(teeth - 1)), teeth == 1 ? "tooth" : "teeth",
                     lay > 0 ? "advanced" : "retarded");
}

// Where the marks stand along the chain when it is laid on so.
std::optional<MarkPlaces> places_at_lay(const Engine& engine, Fitted fitted, const std::string& camshaft, int lay) {
  fitted.lay_of[camshaft] = lay;
  const Result<Drive> drive = Drive::assemble(engine, fitted);
  return drive ? std::optional(mark_places(engine, *drive)) : std::nullopt;
}

} // namespace

std::vector<MarksOfCamshaft> count_marks(const Engine& engine, const Drive& drive) {
  const MarkPlaces places = mark_places(engine, drive);
  std::vector<MarksOfCamshaft> marks;
  const std::vector<Sprocket>& sprockets = engine.loops[0].sprockets;
  for (std::size_t i = 1; i < sprockets.size(); ++i)
    if (!sprockets[i].camshaft.empty())
      marks.push_back({sprockets[i].camshaft, pins_between(places, i, 0), pins_between(places, 0, i)});
  return marks;
}

std::optional<LayFromCount> lay_from_count(const Engine& engine, const Fitted& fitted, const std::string& camshaft,
                                           int pins) {
  const std::optional<SprocketPlace> place = find_cam_sprocket(engine, camshaft);
  if (!place || place->loop != 0) return std::nullopt;
  const std::optional<MarkPlaces> marked = places_at_lay(engine, fitted, camshaft, 0);
  if (!marked) return std::nullopt;
  const std::optional<MarkCount> as_marked = pins_between(*marked, place->sprocket, 0);
  if (!as_marked) return std::nullopt;
  // A tooth ahead has a pin less before it; a turn of the crank more or less, so many teeth more or less.
  const int turn = engine.loops[0].sprockets[0].teeth;
  for (int size = 0; size <= most_lay; ++size)
    for (const int lay : {size, -size}) {
      if ((as_marked->pins - pins - lay) % turn != 0) continue;
      // Laid on so, the chain must have the count that was read: the marks may never be in it together.
      const std::optional<MarkPlaces> laid = places_at_lay(engine, fitted, camshaft, lay);
      if (!laid) continue;
      const std::vector<std::optional<int>> counts = pins_by_look(*laid, place->sprocket, 0);
      if (std::find(counts.begin(), counts.end(), std::optional(pins)) != counts.end())
        return LayFromCount{
            lay, pins + lay,
            fmt::format("{} {} from mark to mark: {}", pins, pins == 1 ? "pin" : "pins", lay_words(lay))};
    }
  return std::nullopt;
}

CountTable count_table(const Engine& engine, std::size_t loop) {
  assert(loop < engine.loops.size());
  const long long links = engine.loops[loop].chain.links;
  const std::vector<Sprocket>& sprockets = engine.loops[loop].sprockets;
  const auto in_crank_turns = [](long long turns, const TurnRatio& per_turn, long long& num, long long& den) {
    num = turns * per_turn.numerator;
    den *= per_turn.denominator;
    const long long shared = std::gcd(num, den);
    num /= shared;
    den /= shared;
  };
  CountTable table;
  for (std::size_t i = 0; i < sprockets.size(); ++i) {
    Hunting hunting;
    hunting.sprocket = sprockets[i].name;
    hunting.teeth = sprockets[i].teeth;
    hunting.shared = static_cast<int>(std::gcd(links, static_cast<long long>(hunting.teeth)));
    hunting.turns = links / hunting.shared;
    in_crank_turns(hunting.turns, crank_turns_per_turn(engine, {loop, i}), hunting.crank_turns_num,
                   hunting.crank_turns_den);
    table.hunting.push_back(std::move(hunting));
  }
  const TurnRatio first = crank_turns_per_turn(engine, {loop, 0});
  table.chain_rounds_crank_den = sprockets[0].teeth;
  in_crank_turns(links, first, table.chain_rounds_crank_num, table.chain_rounds_crank_den);
  for (std::size_t i = 0; i < sprockets.size(); ++i) {
    if (sprockets[i].camshaft.empty()) continue;
    // Both sprockets have turned a whole number of times; then so many teeth have gone by, a whole number as well.
    const long long turns = std::lcm(first.numerator, crank_turns_per_turn(engine, {loop, i}).numerator);
    const long long teeth = turns / first.numerator * first.denominator * sprockets[0].teeth;
    table.marks.push_back({sprockets[i].camshaft, static_cast<int>(turns), turns * (links / std::gcd(links, teeth))});
  }
  return table;
}

} // namespace phasewright
