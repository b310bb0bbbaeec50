// What a shelf allows: the choices at crank and camshafts whose combinations a plan ranks.
#pragma once

#include "bench/plan.hpp"
#include "mechanics/drive.hpp"

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

namespace phasewright {

// Camshafts whose phase matters to a plan: the planned ones, then those that move inlet and exhaust valves.
inline constexpr std::size_t most_followed = most_planned + 2;
using Phases = std::array<double, most_followed>; // crank degrees

struct CrankChoice {
  double key_deg = 0;
  Phases moves{}; // what it does to the followed camshafts, against the base
  int changes = 0;
  std::array<double, most_planned> target_deg{}; // with this key fitted; another than with others where lifts are
                                                 // to be equal to those of a camshaft that the key moves as well
};

struct CamChoice {
  CamSetting setting;
  Phases moves{};
  Phases slot_moves{}; // what one cam degree of slot does
  int changes = 0;     // not counting a slot that is set anew
};

// One combination: places in the lists, and the slots where they are set to hit the target.
struct Combination {
  std::uint32_t crank = 0;
  std::array<std::uint32_t, most_planned> cams{};
  std::uint32_t slots_set = 0; // one bit for each planned camshaft
};

struct Choices {
  std::size_t planned = 0;                           // camshafts
  std::array<std::size_t, most_followed> followed{}; // index into Engine::camshafts
  Phases base_deg{};                                 // phases of Plan::base
  std::vector<CrankChoice> cranks;
  std::array<std::vector<CamChoice>, most_planned> cams;
  std::optional<std::array<double, 2>> slots_deg;
  std::array<double, most_planned> base_slot_deg{};

  // Least change first where all else is equal: options that tie are ranked in this order.
  [[nodiscard]] std::vector<Combination> combinations() const;
  [[nodiscard]] std::size_t count() const; // at most; slots may fall together with what is there

  // Phases of the followed camshafts, and what is set, with a combination.
  struct Set {
    Phases phase_deg{};
    std::array<double, most_planned> slot_deg{};
    int changes = 0;
  };
  [[nodiscard]] Set set(const Combination& combination) const;
};

// Settings of one camshaft (index into Engine::camshafts), the others left as they are.
void set_at(Fitted& fitted, const Engine& engine, std::size_t camshaft, const CamSetting& setting);

// `plan`: its camshafts, their targets (which every crank choice is given) and its base, which `drive` has fitted.
// `valve_camshafts`: those that move inlet and exhaust valves. `lay_reach` teeth either way of the marks.
[[nodiscard]] Choices choices_of(const Engine& engine, const Drive& drive, const Stock& stock, const Plan& plan,
                                 std::array<std::size_t, 2> valve_camshafts, int lay_reach);

} // namespace phasewright
