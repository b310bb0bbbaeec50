// Where every pin of the chain stands: on the sprockets' seats, along the taut strand, and along the slack strand's
// bow.
#include "geometry/angle.hpp"
#include "mechanics/drive.hpp"

#include <cmath>

namespace phasewright {

namespace {

// Rotation as a complex number: chains of pins turn by the same small angle again and again.
glm::dvec2 turned(glm::dvec2 v, glm::dvec2 by) {
  return {v.x * by.x - v.y * by.y, v.x * by.y + v.y * by.x};
}

// The drawn shape of a slack strand: each link leans from the strand's line by an angle whose half has the tangent
// `lean` times the sine of its place between the two feet where a taut line would touch, so that the strand leaves and
// meets the sprockets in line with it and bows outward between. The true shape depends on weight and friction; this one
// closes exactly, and does not jump when a roller seats, because the link that is added or taken away then lies in
// line.
class Bow {
public:
  Bow(const ChainLoop::Slack& slack, double pitch_mm)
      : links_(slack.links), span_(slack.span_mm / pitch_mm), first_(0.5 + slack.crank_past_mm / pitch_mm),
        step_rad_(turn_rad / (slack.links + (slack.crank_past_mm - slack.cam_past_mm) / pitch_mm)),
        step_(unit_vector(step_rad_)), place_(unit_vector(first_ * step_rad_)) {
    solve();
  }

  // Calls `use(direction)` for each link in turn, in the frame in which the strand's straight line is the first axis.
  template <class Use>
  void each(Use use) const {
    const glm::dvec2 straighten = {sum_.x / length2(sum_), -sum_.y / length2(sum_)};
    lean_over(lean_, [&](glm::dvec2 link, double) { use(turned(link, straighten)); });
  }

private:
  template <class Use>
  void lean_over(double lean, Use use) const {
    // Places run once round between the feet; sines of equal steps follow one another by rotation.
    glm::dvec2 place = place_;
    for (int i = 0; i < links_; ++i) {
      // A direction by the tangent t of its half angle, outward being to the right: unit length with no sine to
      // compute.
      const double t = -lean * place.y;
      const double scale = 1.0 / (1.0 + t * t);
      use(scale * glm::dvec2{1.0 - t * t, 2.0 * t}, scale * place.y);
      place = turned(place, step_);
    }
  }

  // Newton for the lean at which the links' sum is as long as the straight distance. From the second-order estimate two
  // or three steps reach rounding.
  void solve() {
    sum_ = {1.0, 0.0};
    if (!(span_ < links_)) return;
    double squares = 0.0;
    glm::dvec2 place = place_;
    for (int i = 0; i < links_; ++i, place = turned(place, step_)) squares += place.y * place.y;
    if (!(squares > 0.0)) return;
    lean_ = std::sqrt((links_ - span_) / (2.0 * squares));
    constexpr int most_steps = 12;
    for (int step = 0; step < most_steps; ++step) {
      glm::dvec2 slope{};
      sum_ = {};
      lean_over(lean_, [&](glm::dvec2 link, double share) {
        sum_ += link;
        slope -= 2.0 * share * left_of(link);
      });
      const double length = length2(sum_);
      if (std::fabs(length - span_) <= 4e-15 * span_) return;
      lean_ -= (length - span_) * length / dot2(sum_, slope);
    }
  }

  int links_;
  double span_;  // straight distance in pitches
  double first_; // the first link's middle past the crank's foot, in pitches
  double step_rad_;
  glm::dvec2 step_;
  glm::dvec2 place_;
  double lean_ = 0.0;
  glm::dvec2 sum_{};
};

} // namespace

void Drive::place_pins(const ChainLoop::Lie& lie, const ChainLoop::Slack& slack, long long carried,
                       DrivePose& into) const {
  const int count = loop_.links();
  into.loops[0].pins_mm.resize(static_cast<std::size_t>(count));
  const long long first = (lie.taut.pull_seat - carried) % count;
  int index = static_cast<int>(first < 0 ? first + count : first);
  const auto put = [&](glm::dvec2 pin) {
    into.loops[0].pins_mm[static_cast<std::size_t>(index)] = to_world(pin);
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

  // Slack strand, closing exactly on the cam's first seat.
  const glm::dvec2 way = loop_.pitch_mm() / slack.span_mm * (slack.cam_pin_mm - slack.crank_pin_mm);
  glm::dvec2 pin = slack.crank_pin_mm;
  int left = slack.links - 1;
  Bow(slack, loop_.pitch_mm()).each([&](glm::dvec2 link) {
    pin += turned(way, link);
    if (left-- > 0) put(pin);
  });

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
