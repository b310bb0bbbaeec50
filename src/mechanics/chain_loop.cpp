#include "geometry/angle.hpp"
#include "mechanics/drive.hpp"

#include <boost/math/quadrature/gauss.hpp>

#include <cmath>
#include <stdexcept>

namespace phasewright {

namespace {

double running_sign(const Engine& engine) {
  return engine.rotation == Rotation::clockwise ? 1.0 : -1.0;
}

// World to running plane: 12 o'clock becomes the first axis, the running direction anticlockwise.
glm::dvec2 to_running_plane(glm::dvec2 world_mm, double sign) {
  return {world_mm.y, sign * world_mm.x};
}

// Where a sprocket's seat 0 stands before it turns: at the mark, or half a tooth ahead of a marked tooth.
double first_seat_rad(const Sprocket& sprocket, double sign) {
  const double mark_rad = wrap_pi(radians(sign * sprocket.mark_clock_deg));
  return sprocket.mark == MarkOn::gap ? mark_rad : mark_rad + pi / sprocket.teeth;
}

glm::dvec2 moved_cam_centre(const Engine& engine, double centre_change_mm) {
  const glm::dvec2 crank = engine.loops[0].sprockets[0].centre_mm;
  const glm::dvec2 apart = engine.loops[0].sprockets[1].centre_mm - crank;
  return crank + apart * ((length2(apart) + centre_change_mm) / length2(apart));
}

TautStrand taut_strand(const Engine& engine, double pitch_mm, double centre_change_mm) {
  const double sign = running_sign(engine);
  const SeatPolygon cam = seat_polygon(to_running_plane(moved_cam_centre(engine, centre_change_mm), sign),
                                       engine.loops[0].sprockets[1].teeth, pitch_mm);
  const SeatPolygon crank = seat_polygon(to_running_plane(engine.loops[0].sprockets[0].centre_mm, sign),
                                         engine.loops[0].sprockets[0].teeth, pitch_mm);
  return {cam, crank, pitch_mm};
}

double whole_turn(double rad) {
  return rad - turn_rad * std::floor(rad / turn_rad);
}

} // namespace

ChainLoop::ChainLoop(const Engine& engine, double pitch_mm, double centre_change_mm)
    : pitch_mm_(pitch_mm), links_(engine.loops[0].chain.links), taut_(taut_strand(engine, pitch_mm, centre_change_mm)),
      crank_seat_rad_(first_seat_rad(engine.loops[0].sprockets[0], running_sign(engine))),
      cam_seat_rad_(first_seat_rad(engine.loops[0].sprockets[1], running_sign(engine))) {
  const double slack_rad = tangent_normal_rad(taut_.pull(), taut_.driven());
  crank_wrap_rad_ = whole_turn(slack_rad - taut_.tangent_rad());
  cam_wrap_rad_ = whole_turn(taut_.tangent_rad() - slack_rad);
}

ChainLoop::Lie ChainLoop::lie(double crank_sprocket_rad, int shift) const {
  Lie found{};
  found.taut = taut_.at(crank_sprocket_rad + crank_seat_rad_);
  found.cam_seat = found.taut.pull_seat - found.taut.links - shift;
  found.cam_turn_rad = found.taut.driven_rad - cam_seat_rad_ - found.cam_seat * cam().step_rad;
  return found;
}

ChainLoop::Slack ChainLoop::slack(const Lie& lie) const {
  // Guess both seats by the pitch circles' tangent, then move one at a time until no other stands outside the line.
  int crank_ahead =
      static_cast<int>(std::lround((taut_.tangent_rad() + crank_wrap_rad_ - lie.taut.pull_rad) / crank().step_rad));
  int cam_behind =
      static_cast<int>(std::lround((lie.taut.driven_rad - (taut_.tangent_rad() - cam_wrap_rad_)) / cam().step_rad));
  const double half_pitch_mm = 0.5 * pitch_mm_ * (1.0 + 1e-12);
  for (int correction = 0; correction < 8; ++correction) {
    const glm::dvec2 crank_arm = crank().radius_mm * unit_vector(lie.taut.pull_rad + crank_ahead * crank().step_rad);
    const glm::dvec2 cam_arm = cam().radius_mm * unit_vector(lie.taut.driven_rad - cam_behind * cam().step_rad);
    const glm::dvec2 crank_pin = crank().centre_mm + crank_arm;
    const glm::dvec2 cam_pin = cam().centre_mm + cam_arm;
    const double span_mm = length2(cam_pin - crank_pin);
    const glm::dvec2 way = (cam_pin - crank_pin) / span_mm;
    const double crank_past_mm = dot2(crank_arm, way);
    const double cam_past_mm = dot2(cam_arm, way);
    if (crank_past_mm > half_pitch_mm)
      --crank_ahead;
    else if (crank_past_mm < -half_pitch_mm)
      ++crank_ahead;
    else if (cam_past_mm > half_pitch_mm)
      ++cam_behind;
    else if (cam_past_mm < -half_pitch_mm)
      --cam_behind;
    else {
      const int links = links_ - lie.taut.links - crank_ahead - cam_behind;
      return {lie.taut.pull_seat + crank_ahead,
              lie.cam_seat - cam_behind,
              links,
              span_mm,
              crank_pin,
              cam_pin,
              crank_past_mm,
              cam_past_mm,
              links * pitch_mm_ - span_mm};
    }
  }
  throw std::logic_error("slack strand: no pair of seats found");
}

double ChainLoop::mean_lead_rad() const {
  const double ratio = static_cast<double>(crank().teeth) / cam().teeth;
  const auto lead = [&](double crank_rad) { return lie(crank_rad, 0).cam_turn_rad - ratio * crank_rad; };
  const auto seats = [&](double crank_rad) {
    const Lie at = lie(crank_rad, 0);
    return std::pair{at.taut.pull_seat, at.taut.links};
  };
  // Between the instants at which a roller seats or leaves the lead is smooth, and Gauss' rule is good to rounding.
  // Those instants are found by halving; there are two or three in a tooth.
  const double tooth_rad = crank().step_rad;
  constexpr int first_look = 32;
  constexpr double instant_rad = 1e-13;
  double sum = 0.0;
  double from = 0.0;
  for (int i = 0; i < first_look; ++i) {
    double low = tooth_rad * i / first_look;
    const double end = tooth_rad * (i + 1) / first_look;
    while (seats(low) != seats(end)) {
      double high = end;
      while (high - low > instant_rad) {
        const double middle = 0.5 * (low + high);
        (seats(middle) == seats(low) ? low : high) = middle;
      }
      sum += boost::math::quadrature::gauss<double, 20>::integrate(lead, from, low);
      from = low = high;
    }
  }
  sum += boost::math::quadrature::gauss<double, 20>::integrate(lead, from, tooth_rad);
  return sum / tooth_rad;
}

int ChainLoop::marked_shift() const {
  return -static_cast<int>(std::lround(lie(0.0, 0).cam_turn_rad / cam().step_rad));
}

} // namespace phasewright
