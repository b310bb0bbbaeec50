#include "reference/loops_geometry.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace phasewright::testing {

namespace {

constexpr double pi_rad = std::numbers::pi;

double length(glm::dvec2 v) {
  return std::hypot(v.x, v.y);
}

glm::dvec2 turned(glm::dvec2 v, double rad) {
  return {v.x * std::cos(rad) - v.y * std::sin(rad), v.x * std::sin(rad) + v.y * std::cos(rad)};
}

double cross(glm::dvec2 a, glm::dvec2 b) {
  return a.x * b.y - a.y * b.x;
}

double distance_to_leg(glm::dvec2 point, const Leg& leg) {
  const glm::dvec2 way = leg.to_mm - leg.from_mm, out = point - leg.from_mm;
  const double share = (out.x * way.x + out.y * way.y) / (way.x * way.x + way.y * way.y);
  return length(out - std::clamp(share, 0.0, 1.0) * way);
}

bool crossing(const Leg& a, const Leg& b) {
  const glm::dvec2 along = a.to_mm - a.from_mm, other = b.to_mm - b.from_mm;
  return cross(along, b.from_mm - a.from_mm) * cross(along, b.to_mm - a.from_mm) < 0.0 &&
         cross(other, a.from_mm - b.from_mm) * cross(other, a.to_mm - b.from_mm) < 0.0;
}

bool clear_circles(const Loop& loop) {
  for (std::size_t i = 0; i < loop.sprockets.size(); ++i)
    for (std::size_t k = 0; k < i; ++k)
      if (length(loop.sprockets[i].centre_mm - loop.sprockets[k].centre_mm) <
          tip_radius_mm(loop.chain, loop.sprockets[i].teeth) + tip_radius_mm(loop.chain, loop.sprockets[k].teeth) + 1.0)
        return false;
  return true;
}

} // namespace

double handed(Rotation rotation) {
  return rotation == Rotation::anticlockwise ? 1.0 : -1.0;
}

std::optional<Way> way_round(std::vector<Round> rounds, double handed) {
  Way way{std::move(rounds), {}, {}};
  const std::size_t count = way.rounds.size();
  for (std::size_t i = 0; i < count; ++i) {
    const Round& from = way.rounds[i];
    const Round& to = way.rounds[(i + 1) % count];
    const glm::dvec2 apart = to.centre_mm - from.centre_mm;
    const double lean = (from.side * from.radius_mm - to.side * to.radius_mm) / length(apart);
    if (!(std::fabs(lean) < 1.0)) return std::nullopt;
    const glm::dvec2 along = turned(apart / length(apart), handed * std::asin(lean));
    const glm::dvec2 outward = handed * glm::dvec2{along.y, -along.x};
    way.legs.push_back(
        {from.centre_mm + from.side * from.radius_mm * outward, to.centre_mm + to.side * to.radius_mm * outward});
  }
  for (std::size_t i = 0; i < count; ++i) {
    const Leg& in = way.legs[(i + count - 1) % count];
    const Leg& out = way.legs[i];
    const glm::dvec2 before = in.to_mm - in.from_mm, after = out.to_mm - out.from_mm;
    const double bend =
        handed * way.rounds[i].side * std::atan2(cross(before, after), before.x * after.x + before.y * after.y);
    way.wrap_rad.push_back(bend < 0.0 ? bend + 2.0 * pi_rad : bend);
  }
  return way;
}

Round guide_round(const Loop& loop, std::size_t guide, double travel_mm) {
  const bool shoe = guide == loop.guides.size();
  const Guide& rail = shoe ? loop.tensioner->shoe : loop.guides[guide];
  Round round{rail.centre_mm, rail.radius_mm + loop.chain.plate_height_mm / 2.0, rail.side == Side::inside ? 1.0 : -1.0,
              0, guide};
  if (shoe) {
    const double push_rad = loop.tensioner->push_clock_deg * pi_rad / 180.0;
    round.centre_mm += travel_mm * glm::dvec2{std::sin(push_rad), std::cos(push_rad)};
  }
  return round;
}

std::optional<Way> way_of(const Loop& loop, double handed, double pitch_mm, double travel_mm) {
  std::vector<Round> rounds;
  const std::size_t arcs = loop.guides.size() + (loop.tensioner ? 1 : 0);
  for (std::size_t i = 0; i < loop.sprockets.size(); ++i) {
    const Sprocket& sprocket = loop.sprockets[i];
    const glm::dvec2 ahead = loop.sprockets[(i + 1) % loop.sprockets.size()].centre_mm - sprocket.centre_mm;
    rounds.push_back({sprocket.centre_mm, pitch_mm / (2.0 * std::sin(pi_rad / sprocket.teeth)),
                      sprocket.wrap == Wrap::inside ? 1.0 : -1.0, sprocket.teeth, i});
    const std::size_t first = rounds.size();
    for (std::size_t guide = 0; guide < arcs; ++guide) {
      const Guide& rail = guide == loop.guides.size() ? loop.tensioner->shoe : loop.guides[guide];
      if (rail.strand[0] == sprocket.name) rounds.push_back(guide_round(loop, guide, travel_mm));
    }
    std::sort(rounds.begin() + static_cast<std::ptrdiff_t>(first), rounds.end(),
              [ahead](const Round& a, const Round& b) {
                const glm::dvec2 apart = b.centre_mm - a.centre_mm;
                return apart.x * ahead.x + apart.y * ahead.y > 0.0;
              });
  }
  // A guide that the chain would have to bend the wrong way for does not bear; the one farthest from it goes first.
  for (;;) {
    std::optional<Way> way = way_round(rounds, handed);
    if (!way) return std::nullopt;
    std::size_t worst = rounds.size();
    for (std::size_t i = 0; i < rounds.size(); ++i)
      if (rounds[i].teeth == 0 && way->wrap_rad[i] > pi_rad &&
          (worst == rounds.size() || way->wrap_rad[i] < way->wrap_rad[worst]))
        worst = i;
    if (worst == rounds.size()) return way;
    rounds.erase(rounds.begin() + static_cast<std::ptrdiff_t>(worst));
  }
}

double pitches(const Way& way, double pitch_mm) {
  double sum = 0.0;
  for (std::size_t i = 0; i < way.rounds.size(); ++i) {
    const Round& round = way.rounds[i];
    const double link_rad =
        round.teeth > 0 ? 2.0 * pi_rad / round.teeth : 2.0 * std::asin(pitch_mm / (2.0 * round.radius_mm));
    sum += way.wrap_rad[i] / link_rad + length(way.legs[i].to_mm - way.legs[i].from_mm) / pitch_mm;
  }
  return sum;
}

std::optional<double> closing_travel_mm(const Loop& loop, double handed, double pitch_mm, double low_mm,
                                        double high_mm) {
  const auto over = [&](double travel_mm) {
    const std::optional<Way> way = way_of(loop, handed, pitch_mm, travel_mm);
    return way ? pitches(*way, pitch_mm) - loop.chain.links : std::nan("");
  };
  // A shoe pushed too far leaves no way, so the first closing place is walked up to.
  if (!(over(low_mm) <= 0.0)) return std::nullopt;
  constexpr int steps = 100;
  const double step_mm = (high_mm - low_mm) / steps;
  int reached = 1;
  while (reached <= steps && over(low_mm + reached * step_mm) < 0.0) ++reached;
  high_mm = low_mm + reached * step_mm;
  if (reached > steps || !(over(high_mm) >= 0.0)) return std::nullopt;
  low_mm = high_mm - step_mm;
  for (int i = 0; i < 60; ++i) {
    const double middle_mm = 0.5 * (low_mm + high_mm);
    (over(middle_mm) < 0.0 ? low_mm : high_mm) = middle_mm;
  }
  return 0.5 * (low_mm + high_mm);
}

namespace {

// Pitches from a fixed direction on sprocket `from` to one on sprocket `to`, but for a constant; the directions of
// travel there are told as well, since they may pass the cut of the angle.
struct Between {
  double pitches = 0;
  double leaves_rad = 0;
  double enters_rad = 0;
};

std::optional<Between> between_sprockets(const Loop& loop, double handed, std::size_t from, std::size_t to,
                                         double pitch_mm) {
  const std::optional<Way> way = way_of(loop, handed, pitch_mm);
  if (!way) return std::nullopt;
  const std::size_t count = way->rounds.size();
  const auto place = [&way](std::size_t sprocket) {
    std::size_t i = 0;
    while (way->rounds[i].teeth == 0 || way->rounds[i].index != sprocket) ++i;
    return i;
  };
  const auto direction_rad = [&](std::size_t leg) {
    const glm::dvec2 along = way->legs[leg].to_mm - way->legs[leg].from_mm;
    return handed * std::atan2(along.y, along.x);
  };
  Between found;
  found.leaves_rad = direction_rad(place(from));
  for (std::size_t i = place(from);; i = (i + 1) % count) {
    found.pitches += length(way->legs[i].to_mm - way->legs[i].from_mm) / pitch_mm;
    const std::size_t next = (i + 1) % count;
    if (next == place(to)) {
      found.enters_rad = direction_rad(i);
      return found;
    }
    const Round& round = way->rounds[next];
    const double link_rad =
        round.teeth > 0 ? 2.0 * pi_rad / round.teeth : 2.0 * std::asin(pitch_mm / (2.0 * round.radius_mm));
    found.pitches += way->wrap_rad[next] / link_rad;
  }
}

} // namespace

std::optional<double> sprocket_shift_teeth(const Loop& loop, double handed, std::size_t sprocket, double new_mm,
                                           double worn_mm) {
  bool held = false; // by the strands between the driving sprocket and the tensioner
  for (std::size_t i = 0; loop.tensioner && i < loop.sprockets.size(); ++i)
    if (loop.sprockets[i].name == loop.tensioner->shoe.strand[0]) held = sprocket <= i;
  const std::size_t from = held ? 0 : sprocket, to = held ? sprocket : 0;
  // The shoe stands on neither way: it lies upstream of the one and downstream of the other.
  Loop bare = loop;
  bare.tensioner.reset();
  const auto before = between_sprockets(bare, handed, from, to, new_mm);
  const auto after = between_sprockets(bare, handed, from, to, worn_mm);
  if (!before || !after) return std::nullopt;
  const auto share = [](const Sprocket& s, double rad) {
    return (s.wrap == Wrap::inside ? 1.0 : -1.0) * std::remainder(rad, 2.0 * pi_rad) * s.teeth / (2.0 * pi_rad);
  };
  const double change = after->pitches - before->pitches +
                        share(loop.sprockets[from], after->leaves_rad - before->leaves_rad) -
                        share(loop.sprockets[to], after->enters_rad - before->enters_rad);
  return held ? -change : change;
}

double tip_radius_mm(const Chain& chain, int teeth) {
  return (chain.pitch_mm / std::sin(pi_rad / teeth) + 1.25 * chain.pitch_mm - chain.roller_mm) / 2.0;
}

bool sound(const Loop& loop, const Way& way) {
  if (!clear_circles(loop)) return false;
  const std::size_t count = way.rounds.size();
  double turn_rad = 0.0;
  for (std::size_t i = 0; i < count; ++i) {
    const Round& round = way.rounds[i];
    turn_rad += round.side * way.wrap_rad[i];
    if (round.teeth > 0 && (way.wrap_rad[i] < 1.5 * 2.0 * pi_rad / round.teeth || way.wrap_rad[i] > 5.2)) return false;
    if (length(way.legs[i].to_mm - way.legs[i].from_mm) < 2.0 * loop.chain.pitch_mm) return false;
    for (std::size_t k = 0; k < count; ++k) {
      if (crossing(way.legs[i], way.legs[k])) return false;
      const bool its_own = k == i || (k + 1) % count == i;
      if (!its_own && round.teeth > 0 &&
          distance_to_leg(round.centre_mm, way.legs[k]) <
              tip_radius_mm(loop.chain, round.teeth) + loop.chain.plate_height_mm / 2.0)
        return false;
    }
  }
  return std::fabs(turn_rad - 2.0 * pi_rad) < 1e-9;
}

} // namespace phasewright::testing
