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
  std::size_t from = 0;      // index of the sprocket it leaves, in the direction of travel
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
  double turned_deg = 0;     // camshaft itself (cam degrees), 0 = reference assembly at crank 0, tooth mean
  double phase_deg = 0;      // crank degrees ahead of the reference assembly at this crank angle
};

struct DrivePose {
  double crank_deg = 0;
  std::vector<SprocketPose> sprockets; // as Engine::sprockets
  std::vector<CamshaftPose> camshafts; // as Engine::camshafts
  std::vector<StrandPose> strands;     // strand i leaves sprocket i
  std::vector<glm::dvec2> pins_mm;     // x right, y up; pin i keeps its identity as the drive turns, and starts link i
};

// A two-sprocket drive (crank and cam), assembled. Immutable; safe to use from many threads.
class Drive {
public:
  // Problems name the key at fault: sprockets that overlap, a chain that is too short or longer than it can be laid,
  // teeth that do not give 1:2, marks that cannot face. `fitted` as checked by the file reader.
  static Result<Drive> assemble(const Engine& engine, const Fitted& fitted);

  // Angle of the camshaft in the running direction (unit: rad), exact, polygon effect included. In the reference
  // assembly its mean over a tooth equals crank_rad / 2. Any finite crank angle.
  [[nodiscard]] double camshaft_rad(double crank_rad) const;

  // Tooth mean of (camshaft angle - crank / 2), in crank degrees: the phase.
  [[nodiscard]] double phase_deg() const { return phase_deg_; }

  // Least and greatest excess of the slack strand over a tooth (unit: mm).
  [[nodiscard]] double least_slack_mm() const { return least_slack_mm_; }
  [[nodiscard]] double greatest_slack_mm() const { return greatest_slack_mm_; }

  // How far from facing the cam's mark stands in the reference assembly, in cam degrees (+ = in the running direction)
  // and in cam teeth. Beyond a quarter tooth a mark, the link count or the centre distance is wrong.
  [[nodiscard]] double mark_error_deg() const { return mark_error_deg_; }
  [[nodiscard]] double mark_error_teeth() const;

  // Pins strictly between the crank's and the cam's marks along the taut strand at `crank_deg` 0, both marked seats or
  // the first seat past a marked tooth counted: the count a builder uses to check the lay.
  [[nodiscard]] int pins_between_marks() const;

  [[nodiscard]] DrivePose pose(double crank_deg) const;
  void pose(double crank_deg, DrivePose& into) const; // without a new allocation once `into` has been used

private:
  Drive() = default;
  // ...
};

} // namespace phasewright
