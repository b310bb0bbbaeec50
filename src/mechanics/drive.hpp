// The timing drive as fitted: where every sprocket, camshaft and pin stands at any crank angle.
#pragma once

#include "mechanics/chain_loop.hpp"
#include "mechanics/drive_layout.hpp"
#include "mechanics/drive_pose.hpp"
#include "mechanics/extent.hpp"
#include "parts/build.hpp"
#include "parts/problem.hpp"

#include <array>
#include <cstddef>
#include <utility>
#include <vector>

namespace phasewright {

// How far a camshaft hangs back when the crank was last turned backward.
struct HangBack {
  double cam_deg = 0;          // how far ahead of its place after a turn forward it stands, cam degrees
  double crank_deg = 0;        // the same in crank degrees: what a reading would be wrong by
  double turn_forward_deg = 0; // crank degrees to turn forward before readings are true again
};

// A drive of one or more chain loops, assembled. Immutable; safe to use from many threads.
class Drive {
public:
  // Problems name the key at fault: sprockets that overlap, a chain too short or longer than it can be laid, a
  // tensioner out of travel, a guide that cuts a sprocket, teeth that do not give 1:2 at a camshaft, an order of
  // sprockets no chain can follow, figures in `fitted` that are not finite.
  static Result<Drive> assemble(const Engine& engine, const Fitted& fitted, const Growth& growth = {});

  // Angle of a camshaft in its running direction (unit: rad), exact, polygon effect included. In the reference assembly
  // its mean over a tooth equals crank_rad / 2. Any finite crank angle. `camshaft`: index into Engine::camshafts.
  [[nodiscard]] double camshaft_rad(double crank_rad, std::size_t camshaft = 0,
                                    Turning turning = Turning::forward) const;

  // Tooth mean of (camshaft angle - crank / 2), in crank degrees: the phase. In a drive of several loops, each loop's
  // own tooth mean is taken.
  [[nodiscard]] double phase_deg(std::size_t camshaft = 0) const;
  // The same without asking whether the chain would reach; the layout must be one that assemble() accepts.
  [[nodiscard]] static double phase_deg(const Engine& engine, const Fitted& fitted, std::size_t camshaft = 0);
  // What lay, keys, hole pair and slots alone do to the phase: an exact amount each, whatever the chain's wear.
  [[nodiscard]] static double set_phase_deg(const Engine& engine, const Fitted& fitted, std::size_t camshaft = 0);

  // Excess of a loop's slack strand over a tooth (unit: mm); both 0 with a tensioner.
  [[nodiscard]] Extent slack_mm(std::size_t loop = 0) const;
  // About how far the slack strand bows at mid-span with the greatest of it (unit: mm).
  [[nodiscard]] double greatest_bow_mm(std::size_t loop = 0) const;
  // Travel of a loop's tensioner over a tooth (unit: mm); both 0 without one.
  [[nodiscard]] Extent travel_mm(std::size_t loop = 0) const;

  // How far from facing a camshaft sprocket's mark stands in the reference assembly, in degrees of that sprocket (+ =
  // in its running direction) and in its teeth. Beyond a quarter tooth a mark, the link count or a centre is wrong.
  [[nodiscard]] double mark_error_deg(std::size_t camshaft = 0) const;
  [[nodiscard]] double mark_error_teeth(std::size_t camshaft = 0) const;

  // What readings taken at this crank angle after a turn backward are wrong by. The camshaft is taken to stay where the
  // chain left it until the chain pulls again; valve springs may push it either way within that.
  [[nodiscard]] HangBack hang_back(double crank_deg, std::size_t camshaft = 0) const;

  [[nodiscard]] DrivePose pose(double crank_deg, Turning turning = Turning::forward) const;
  // Without a new allocation once `into` has been used.
  void pose(double crank_deg, DrivePose& into, Turning turning = Turning::forward) const;

private:
  // One loop with what it takes to place it in the engine.
  struct Stage {
    Stage(ChainLoop fitted_loop, ChainLoop reference_loop)
        : loop(std::move(fitted_loop)), reference(std::move(reference_loop)) {}

    ChainLoop loop;
    ChainLoop reference; // nominal pitch, nominal centres
    Shifts shifts{};
    Shifts reference_shifts{};
    std::vector<ArcPlace> arcs;
    bool as_drawn = false;  // the loop is the reference
    double sign = 1.0;      // running plane to world
    SprocketPlace driver{}; // on whose shaft it is driven; for the first loop nothing
    double shaft_rad = 0.0; // how far key and holes set the driving sprocket ahead of the shaft's own sprocket
    std::vector<double> mark_clock_deg;
    std::vector<double> reference_turn_rad;                  // by sprocket, at crank 0 of the reference assembly
    std::array<double, most_sprockets> lead_change_rad{};    // of this loop's mean leads against the reference's
    std::array<double, most_sprockets> reference_lead_rad{}; // over crank angle, all loops before included
    Extent slack_mm;
    Extent travel_mm;
    double greatest_bow_mm = 0.0;
  };
  struct CamshaftPlace {
    SprocketPlace sprocket{};
    double offset_rad = 0.0; // cam key, hole pair and slot together
    double phase_deg = 0.0;
  };
  // Where a loop is driven at a crank angle: the driving sprocket's turn, less so many whole teeth.
  struct Driven {
    double turn_rad = 0.0;
    long long carried_teeth = 0;
  };

  Drive(const Engine& engine, const Fitted& fitted, const Growth& growth);
  void add_stage(const Engine& engine, const Fitted& fitted, const Growth& growth, std::size_t index);
  void add_camshafts(const Engine& engine, const Fitted& fitted);
  [[nodiscard]] Problems measure(const Engine& engine);
  [[nodiscard]] Problems measure_stage(const Engine& engine, std::size_t index);
  [[nodiscard]] Problems measure_slack(const Engine& engine, std::size_t index);
  [[nodiscard]] Problems measure_travel(std::size_t index);

  [[nodiscard]] Driven driven(std::size_t stage, double crank_rad, bool reference, Turning turning) const;
  [[nodiscard]] Driven driven_by_crank(double cycles, double within_rad, bool reference) const;
  [[nodiscard]] Driven driven_by_shaft(std::size_t stage, const Driven& before, double driver_turn_rad,
                                       bool reference) const;
  [[nodiscard]] double sprocket_rad(SprocketPlace place, double crank_rad, bool reference, Turning turning) const;
  void pose_loop(std::size_t stage, const LoopLie& lie, long long carried_teeth, Turning turning, LoopPose& into) const;
  static void pose_arcs(const Stage& stage, const LoopLie& lie, const StrandPaths& paths, Turning turning,
                        LoopPose& into);

  // Turns the crank makes while every camshaft and every tooth of it come back to where they were: crank angles are
  // reduced by this much before anything is solved, so that the result repeats to the last bit.
  static constexpr double cycle_rad = 2.0 * turn_rad;

  std::vector<Stage> stages_;
  std::vector<CamshaftPlace> camshafts_;
  double crank_key_rad_ = 0.0;
};

} // namespace phasewright
