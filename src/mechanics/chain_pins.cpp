// Where every pin of the chain stands: on the sprockets' seats, along the taut strand, and along the slack strand's bow.
#include "geometry/angle.hpp"
#include "mechanics/drive.hpp"

#include <cmath>

namespace phasewright {

namespace {

// Rotation as a complex number: chains of pins turn by the same small angle again and again.
glm::dvec2 turned(glm::dvec2 v, glm::dvec2 by) { return {v.x * by.x - v.y * by.y, v.x * by.y + v.y * by.x}; }

// Half the angle between neighbouring links when `links` links of one pitch, bent into an arc, span `span` pitches:
// the root of sin(links x) / sin(x) = span. Newton from the series' first term; 0 when the strand is straight.
double half_bend_rad(int links, double span) {
  const double n = links;
  if (!(span < n) || links < 2) return 0.0;
  // sin(n x) / sin(x) = n (1 - (n^2 - 1) x^2 / 6 + (n^2 - 1)(3 n^2 - 7) x^4 / 360 - ...)
  const double short_by = 1.0 - span / n;
  const double square = n * n - 1.0;
  double x = std::sqrt(6.0 * short_by / square * (1.0 + short_by * (3.0 * n * n - 7.0) / (10.0 * square)));
  constexpr int most_steps = 20; // four do at 10 % slack; the limit is for arcs close to a whole circle
  for (int step = 0; step < most_steps; ++step) {
    const double s = std::sin(x), c = std::cos(x), sn = std::sin(n * x), cn = std::cos(n * x);
    const double miss = sn - span * s;
    const double slope = n * cn - span * c;
    const double move = miss / slope;
    x -= move;
    if (std::fabs(move) <= 1e-15 * x) break;
  }
  return x;
}

} // namespace

void Drive::place_pins(const ChainLoop::Lie& lie, const ChainLoop::Slack& slack, long long carried,
                       DrivePose& into) const {
  const int count = loop_.links();
  into.pins_mm.resize(static_cast<std::size_t>(count));
  const long long first = (lie.taut.pull_seat - carried) % count;
  int index = static_cast<int>(first < 0 ? first + count : first);
  const auto put = [&](glm::dvec2 pin) {
    into.pins_mm[static_cast<std::size_t>(index)] = to_world(pin);
    if (++index == count) index = 0;
  };

  // Crank, from the seat the taut strand enters to the one the slack strand leaves.
  glm::dvec2 arm = lie.taut.pull_pin_mm - loop_.crank().centre_mm;
  const glm::dvec2 crank_step = unit_vector(loop_.crank().step_rad);
  for (int seat = lie.taut.pull_seat; seat < slack.crank_seat; ++seat) {
    put(loop_.crank().centre_mm + arm);
    arm = turned(arm, crank_step);
  }
  put(slack.crank_pin_mm);

  // Slack strand: an arc of chords, bowed outward, that closes exactly on the cam's first seat.
  const glm::dvec2 way = (slack.cam_pin_mm - slack.crank_pin_mm) / slack.span_mm;
  const double half_bend = half_bend_rad(slack.links, slack.span_mm / loop_.pitch_mm());
  const glm::dvec2 bend = unit_vector(2.0 * half_bend);
  glm::dvec2 link = loop_.pitch_mm() * turned(way, unit_vector(-(slack.links - 1) * half_bend));
  glm::dvec2 pin = slack.crank_pin_mm;
  for (int i = 1; i < slack.links; ++i) {
    pin += link;
    put(pin);
    link = turned(link, bend);
  }

  // Cam, from the seat the slack strand enters to the one the taut strand leaves.
  arm = slack.cam_pin_mm - loop_.cam().centre_mm;
  const glm::dvec2 cam_step = unit_vector(loop_.cam().step_rad);
  for (int seat = slack.cam_seat; seat < lie.cam_seat; ++seat) {
    put(loop_.cam().centre_mm + arm);
    arm = turned(arm, cam_step);
  }
  put(lie.taut.driven_pin_mm);

  const glm::dvec2 taut_link = (lie.taut.pull_pin_mm - lie.taut.driven_pin_mm) / static_cast<double>(lie.taut.links);
  for (int i = 1; i < lie.taut.links; ++i) put(lie.taut.driven_pin_mm + static_cast<double>(i) * taut_link);
}

} // namespace phasewright
