// Drills: an engine on the bench with something wrong that is hidden, drawn by seed and level.
//
//   auto drill = draw_drill(engine, build, {7, 2});         // `build` may be an empty one: then the card is made up
//   drill->given                                            // what the job card says: an ordinary build to work on
//   DrillBench bench(*drill);                               // the instruments: drill_bench.hpp
//   auto lift = bench.indicator_mm(kind, 1, CheckAt::tappet, {crank_deg, turning, number});
//   auto judged = judge_faults(*drill, {"chain one tooth back"}, taken);   // drill_judge.hpp
//   auto cured = judge_cure(*drill, {"chain one tooth back"}, cure);       // drill_cure.hpp
//   auto told = debrief(*drill, taken);                                    // drill_debrief.hpp
//
// What a viewer must keep of a drill: seed, level, the build the apprentice works on (it begins as `given`), how many
// readings were taken so far (ReadingAt::number), which way the crank was last turned, and the lash readings, which no
// build file holds (TakenReadings). All else comes back from seed, level, engine and build.
//
// A drill is hard work to draw, and to judge by readings of a layout of its own: about as long as explain.
#pragma once

#include "bench/drill_faults.hpp"
#include "mechanics/mechanism.hpp"
#include "parts/build.hpp"
#include "parts/problem.hpp"

#include <array>
#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <vector>

namespace phasewright {

inline constexpr int most_drill_number = 2147483547; // that commands and viewer draw; a hundred more fit an int
struct DrillAsk {
  std::uint64_t seed = 1; // 0 to most_drill_number
  int level = 1;          // 1 to most_drill_level
};

// The job card and what goes with it, shared by all drills that have the same.
struct DrillCard;

struct HiddenFault {
  std::string key; // as DrillFault
  DrillKind kind = DrillKind::lay;
  std::string of;
  double amount = 0; // where it has one, as explain counts it: the figure itself, not how far it is off; 0 = has none
  std::string unit;  // of that; empty = none
  std::string words; // "the chain lies one tooth back of its mark"
};

// What is true, and is not for the apprentice's eyes.
struct DrillTruth {
  std::vector<HiddenFault> faults;    // one, or two
  Mechanism mechanism;                // the engine as it really is
  Turning turning = Turning::forward; // while the readings on the card were taken
  double wheel_zero_deg = 0;          // the wheel shows so much too much ...
  double wheel_moved_deg = 0;         // ... and now, since the stop on the card was read, so much more
  std::array<double, 2> gap_mm{};     // closed gaps more than drawn: inlet, exhaust; within instruments.dimension_mm
  double behind_mm = 0;               // the crank's sprocket behind (+) or proud of (-) the others, its middle
  double tilt_mm = 0;                 // its far edge further behind than its near one, at its pitch circle
  std::map<std::string, double> float_mm; // end float, by camshaft: all of them
};

struct Drill {
  DrillAsk ask;
  std::shared_ptr<const DrillCard> card;
  // What the card says is fitted, what is wanted (the lobe centres that the card's own state has), shelf, instruments.
  // Without readings; or, where `handed_on`, with the stop and lobe readings of those who had it before.
  Build given;
  // A fault of how it was read can only be in readings that somebody else has taken; so as not to give it away, some of
  // the other drills have such readings too.
  bool handed_on = false;
  std::string float_of; // the camshaft whose end float is asked for; empty = no limits are stated for any
  std::shared_ptr<const DrillTruth> truth;

  [[nodiscard]] const Engine& engine() const; // as its file has it
  [[nodiscard]] std::shared_ptr<const Engine> engine_shared() const;
  // All that may be named, whatever is hidden.
  [[nodiscard]] const std::vector<DrillFault>& faults() const;
};

// Where many drills of one engine come from. Of an engine that is put together by the marks on straight keys there are
// three cards: as the build says, with an offset crank key, and with offset keys at the camshafts. Immutable.
class DrillCourse {
public:
  // `build`: what is fitted, its stock, instruments, tolerances and clearance limits; its readings, history and target
  // are left aside. An empty one (Build{}) is a plain engine. Problems: as Explainer::make.
  static Result<DrillCourse> make(std::shared_ptr<const Engine> engine, const Build& build);

  // The same for the same seed and level, always. No fault is drawn that careful readings would not surely show, and
  // none with which a valve would touch the piston. Problems: a level that is none; nothing of that level can be told
  // on this engine.
  [[nodiscard]] Result<Drill> draw(const DrillAsk& ask) const;

private:
  explicit DrillCourse(std::vector<std::shared_ptr<const DrillCard>> cards) : cards_(std::move(cards)) {}
  std::vector<std::shared_ptr<const DrillCard>> cards_;
};

// One of them. Problems: as both.
[[nodiscard]] Result<Drill> draw_drill(std::shared_ptr<const Engine> engine, const Build& build, const DrillAsk& ask);

} // namespace phasewright
