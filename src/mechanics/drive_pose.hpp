// Where every sprocket, camshaft, strand and pin of the timing drive stands at one crank angle: plain data.
#pragma once

#include <glm/vec2.hpp>

#include <cstddef>
#include <optional>
#include <vector>

namespace phasewright {

// Which way the crank was last turned. Readings are true after a turn forward only: turned backward, the crank pulls
// the other side of the chain, and the camshafts hang back by its slack.
enum class Turning { forward, backward };
[[nodiscard]] const char* to_word(Turning turning);

// taut: pulled straight, a whole number of pitches long. tensioned: kept straight by the tensioner, whether its shoe
// bears on this strand or holds it through an idler. slack: longer than the way.
enum class StrandState { taut, slack, tensioned };
[[nodiscard]] const char* to_word(StrandState state);

struct StrandPose {
  std::size_t from = 0; // index of the sprocket it leaves, in the direction of travel
  std::size_t to = 0;
  int links = 0;
  StrandState state = StrandState::taut;
  double span_mm = 0;        // straight distance between its end pins; along guides, the way the pins take
  double slack_mm = 0;       // chain length less that distance; 0 unless slack
  double bow_mm = 0;         // mid-span bow of the excess, about sqrt(3 span slack / 8)
  std::size_t first_pin = 0; // index into pins_mm of its end at `from`; the next `links` pins follow on the strand
};

struct SprocketPose {
  // In the direction the crank runs, from crank 0 of the reference assembly; a sprocket on the chain's back counts
  // down.
  double turned_deg = 0;
  double mark_clock_deg = 0; // where its mark points, [0, 360)
};

// Where a guide or the tensioner's shoe bears on the chain.
struct ArcPose {
  glm::dvec2 centre_mm{}; // of the arc, which the tensioner moves; x right, y up
  bool bears = false;     // false: the chain passes clear of it
  glm::dvec2 first_mm{};  // on the pins' line, where the chain meets it, in the direction of travel ...
  glm::dvec2 last_mm{};   // ... and leaves it; the point nearest to the chain, twice, when it does not bear
  std::size_t strand = 0; // index of the strand
};

struct TensionerPose {
  double travel_mm = 0;
  double travel_left_mm = 0; // to the greatest travel the file allows; negative = run out
};

struct LoopPose {
  std::vector<SprocketPose> sprockets; // as Loop::sprockets
  std::vector<StrandPose> strands;     // strand i leaves sprocket i
  std::vector<ArcPose> arcs;           // as Loop::guides, then the tensioner's shoe when there is one
  std::optional<TensionerPose> tensioner;
  std::vector<glm::dvec2> pins_mm; // x right, y up; pin i keeps its identity as the drive turns, and starts link i
};

struct CamshaftPose {
  double turned_deg = 0; // camshaft itself (cam degrees), its own running direction, 0 = reference assembly at crank 0
  double phase_deg = 0;  // crank degrees ahead of the reference assembly (turned forward) at this crank angle
};

struct DrivePose {
  double crank_deg = 0;
  Turning turning = Turning::forward;
  std::vector<LoopPose> loops;         // as Engine::loops
  std::vector<CamshaftPose> camshafts; // as Engine::camshafts
};

} // namespace phasewright
