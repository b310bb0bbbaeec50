// The timing drive as fitted: where every sprocket, camshaft and pin stands at any crank angle.
#pragma once

#include "mechanics/strand.hpp"
#include "parts/build.hpp"
#include "parts/problem.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace phasewright {

enum class StrandState { taut, slack, tensioned };
[[nodiscard]] const char* to_word(StrandState state);

struct StrandPose {
  std::size_t from = 0; // index of the sprocket it leaves, in the direction of travel
  std::size_t to = 0;
  int links = 0;
  StrandState state = StrandState::taut;
  double span_mm = 0;        // straight distance between its end pins
  double slack_mm = 0;       // chain length less the straight distance; 0 when taut
  double bow_mm = 0;         // mid-span bow of the excess, about sqrt(3 span slack / 8)
  std::size_t first_pin = 0; // index into pins_mm of its end at `from`; the next `links` pins follow on the strand
};

struct SprocketPose {
  double turned_deg = 0;     // in the running direction, from crank 0 of the reference assembly
  double mark_clock_deg = 0; // where its mark points, [0, 360)
};

struct CamshaftPose {
  double turned_deg = 0; // camshaft itself (cam degrees), 0 = reference assembly at crank 0, tooth mean
  double phase_deg = 0;  // crank degrees ahead of the reference assembly at this crank angle
};

struct DrivePose {
  double crank_deg = 0;
  std::vector<SprocketPose> sprockets; // as Engine::sprockets
  std::vector<CamshaftPose> camshafts; // as Engine::camshafts
  std::vector<StrandPose> strands;     // strand i leaves sprocket i
  std::vector<glm::dvec2> pins_mm;     // x right, y up; pin i keeps its identity as the drive turns, and starts link i
};

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

// A two-sprocket drive (crank and cam), assembled. Immutable; safe to use from many threads.
class Drive {
public:
  // Problems name the key at fault: sprockets that overlap, a chain that is too short or longer than it can be laid,
  // teeth that do not give 1:2, parts whose mechanics are not covered yet, figures in `fitted` that are not finite.
  static Result<Drive> assemble(const Engine& engine, const Fitted& fitted);

  // Angle of the camshaft in the running direction (unit: rad), exact, polygon effect included. In the reference
  // assembly its mean over a tooth equals crank_rad / 2. Any finite crank angle.
  [[nodiscard]] double camshaft_rad(double crank_rad) const;

  // Tooth mean of (camshaft angle - crank / 2), in crank degrees: the phase.
  [[nodiscard]] double phase_deg() const { return phase_deg_; }
  // The same without asking whether the chain would reach; the sprockets must be two, as assemble() asks.
  [[nodiscard]] static double phase_deg(const Engine& engine, const Fitted& fitted);

  // What lay, keys, hole pair and slots alone do to the phase: an exact amount each, whatever the chain's wear.
  [[nodiscard]] static double set_phase_deg(const Engine& engine, const Fitted& fitted);

  // Least and greatest excess of the slack strand over a tooth (unit: mm).
  [[nodiscard]] double least_slack_mm() const { return least_slack_mm_; }
  [[nodiscard]] double greatest_slack_mm() const { return greatest_slack_mm_; }
  // About how far the slack strand bows at mid-span with that (unit: mm).
  [[nodiscard]] double greatest_bow_mm() const;

  // How far from facing the cam's mark stands in the reference assembly, in cam degrees (+ = in the running direction)
  // and in cam teeth. Beyond a quarter tooth a mark, the link count or the centre distance is wrong.
  [[nodiscard]] double mark_error_deg() const { return mark_error_deg_; }
  [[nodiscard]] double mark_error_teeth() const;

  [[nodiscard]] DrivePose pose(double crank_deg) const;
  void pose(double crank_deg, DrivePose& into) const; // without a new allocation once `into` has been used

private:
  Drive(const Engine& engine, const Fitted& fitted);
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
