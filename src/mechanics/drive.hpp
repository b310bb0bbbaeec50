// The timing drive as fitted: where every sprocket, camshaft and pin stands at any crank angle.
#pragma once

#include "mechanics/drive_pose.hpp"
#include "mechanics/strand.hpp"
#include "parts/build.hpp"
#include "parts/problem.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace phasewright {

// Crank and cam sprocket with a chain at one pitch on one pair of centres, in the running plane. Seat 0 of each is the
// marked gap, or the gap just ahead of the marked tooth.
class ChainLoop {
public:
  ChainLoop(const Engine& engine, double pitch_mm, double centre_change_mm);

  // `shift`: which seats of the two sprockets hold the same pin; one more puts the cam one tooth ahead.
  struct Lie {
    StrandLie taut;
    int cam_seat;        // the cam sprocket's last seat before the taut strand
    double cam_turn_rad; // how far the cam sprocket stands round from where its file mark points
  };
  [[nodiscard]] Lie lie(double crank_sprocket_rad, int shift) const;

  // The slack strand of such a lie: last seat on the crank, first on the cam, links between and straight distance.
  struct Slack {
    int crank_seat;
    int cam_seat;
    int links;
    double span_mm;
    glm::dvec2 crank_pin_mm;
    glm::dvec2 cam_pin_mm;
    double crank_past_mm; // how far the crank's seat stands past the foot of the perpendicular on the strand's line
    double cam_past_mm;   // likewise the cam's; each within half a pitch
    double excess_mm;     // negative = the chain does not reach
  };
  [[nodiscard]] Slack slack(const Lie& lie) const;

  // Mean over a tooth of (cam sprocket turn - crank sprocket turn / ratio), for shift 0 (unit: rad).
  [[nodiscard]] double mean_lead_rad() const;
  // The shift that brings the marks nearest to facing at crank 0.
  [[nodiscard]] int marked_shift() const;

  [[nodiscard]] const SeatPolygon& crank() const { return taut_.pull(); }
  [[nodiscard]] const SeatPolygon& cam() const { return taut_.driven(); }
  [[nodiscard]] double pitch_mm() const { return pitch_mm_; }
  [[nodiscard]] int links() const { return links_; }

private:
  double pitch_mm_;
  int links_;
  TautStrand taut_;
  double crank_seat_rad_; // where seat 0 stands when the sprocket has not turned
  double cam_seat_rad_;
  double crank_wrap_rad_; // from the taut strand's tangent point round to the slack strand's
  double cam_wrap_rad_;   // from the slack strand's tangent point round to the taut strand's
};

struct Extent {
  double least = 0;
  double greatest = 0;
};

// What warmth does: shares by which the block (all centres, guides and tensioner, about the crank) and the chain with
// its sprockets have grown over the drawing.
struct Growth {
  double block = 0;
  double chain = 0;
};

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
  Drive(const Engine& engine, const Fitted& fitted, const Growth& growth);
  [[nodiscard]] Problems measure_slack();
  void place_pins(const ChainLoop::Lie& lie, const ChainLoop::Slack& slack, long long carried, DrivePose& into) const;
  [[nodiscard]] glm::dvec2 to_world(glm::dvec2 running_plane_mm) const;

  ChainLoop loop_;
  ChainLoop reference_;
  int shift_;
  int reference_shift_;
  double crank_key_rad_;
  double cam_offset_rad_;     // cam key, hole pair and slot together
  double reference_lead_rad_; // mean lead of the reference assembly, shift included
  double reference_turn_rad_; // cam sprocket turn in the reference assembly at crank 0
  bool clockwise_;
  double crank_mark_rad_;
  double cam_mark_rad_;
  std::size_t camshafts_;
  double phase_deg_ = 0;
  double mark_error_deg_ = 0;
  double least_slack_mm_ = 0;
  double greatest_slack_mm_ = 0;
};

} // namespace phasewright
