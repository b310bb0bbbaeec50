#include "geometry/angle.hpp"
#include "reference/loops_accepted.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <sstream>
#include <string>
#include <vector>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

double worn_pitch_mm(const Loop& loop, const Fitted& fitted) {
  return loop.chain.pitch_mm * (1.0 + fitted.elongation_percent / 100.0);
}

double side(const Sprocket& sprocket) {
  return sprocket.wrap == Wrap::inside ? 1.0 : -1.0;
}

std::string described(const Engine& engine) {
  std::ostringstream text;
  text << to_word(engine.rotation);
  for (const Loop& loop : engine.loops) {
    text << " / " << loop.chain.links << " links:";
    for (const Sprocket& sprocket : loop.sprockets)
      text << ' ' << sprocket.teeth << (sprocket.wrap == Wrap::inside ? "" : "b")
           << (sprocket.camshaft.empty() ? "" : "c");
    for (const Guide& guide : loop.guides)
      text << (guide.side == Side::inside ? " inside" : " outside") << " guide after " << guide.strand[0];
    if (loop.tensioner) text << " tensioner after " << loop.tensioner->shoe.strand[0];
  }
  return text.str();
}

// The greatest of each fault seen (unit: mm).
struct Worst {
  double link = 0, seat = 0, outside = -1, bend = 0, span = 0, inside_arc = -1, arc = 0, off_way = 0;
};

void note(double& worst, double found) {
  worst = std::fmax(worst, std::isfinite(found) ? found : 1e9);
}

// One loop of a pose, looked at with the published geometry.
class LoopLook {
public:
  LoopLook(const Loop& loop, double handed, double pitch_mm, const LoopPose& pose, Worst& worst)
      : loop_(loop), handed_(handed), pitch_mm_(pitch_mm), pose_(pose), worst_(worst) {}

  void all() {
    REQUIRE(pose_.pins_mm.size() == static_cast<std::size_t>(loop_.chain.links));
    REQUIRE(pose_.sprockets.size() == loop_.sprockets.size());
    REQUIRE(pose_.strands.size() == loop_.sprockets.size());
    REQUIRE(pose_.arcs.size() == loop_.guides.size() + (loop_.tensioner ? 1 : 0));
    REQUIRE(pose_.tensioner.has_value() == loop_.tensioner.has_value());
    for (std::size_t i = 0; i < pose_.pins_mm.size(); ++i)
      note(worst_.link, std::fabs(length2(pin(i + 1) - pin(i)) - pitch_mm_));
    for (std::size_t i = 0; i < loop_.sprockets.size(); ++i) {
      const Sprocket& sprocket = loop_.sprockets[i];
      seats_.push_back(seats_mm(sprocket, sprocket.centre_mm, pitch_mm_, pose_.sprockets[i].mark_clock_deg));
    }
    for (std::size_t i = 0; i < loop_.sprockets.size(); ++i) wrapped(i);
    for (std::size_t i = 0; i < loop_.sprockets.size(); ++i) strand(i);
  }

private:
  [[nodiscard]] glm::dvec2 pin(std::size_t index) const { return pose_.pins_mm[index % pose_.pins_mm.size()]; }

  // Pins between the strand before and the one after sit in seats, one after the other in the chain's direction.
  void wrapped(std::size_t i) {
    const std::size_t count = pose_.pins_mm.size();
    const StrandPose& before = pose_.strands[(i + loop_.sprockets.size() - 1) % loop_.sprockets.size()];
    const glm::dvec2 centre = loop_.sprockets[i].centre_mm;
    for (std::size_t k = (before.first_pin + static_cast<std::size_t>(before.links)) % count;; ++k) {
      double nearest_mm = 1e9;
      for (const glm::dvec2 seat : seats_[i]) nearest_mm = std::fmin(nearest_mm, length2(seat - pin(k)));
      note(worst_.seat, nearest_mm);
      if (k % count == pose_.strands[i].first_pin) break;
      REQUIRE(k < 3 * count);
      if (handed_ * side(loop_.sprockets[i]) * cross2(pin(k) - centre, pin(k + 1) - centre) <= 0.0)
        note(worst_.seat, 1e9);
    }
  }

  void not_outside(std::size_t sprocket, glm::dvec2 from, glm::dvec2 to) {
    const glm::dvec2 centre = loop_.sprockets[sprocket].centre_mm;
    note(worst_.outside, farthest_outside_mm(seats_[sprocket], from, to, centre));
    if (handed_ * side(loop_.sprockets[sprocket]) * cross2(to - from, centre - from) <= 0.0) note(worst_.outside, 1e9);
  }

  void strand(std::size_t i) {
    const StrandPose& strand = pose_.strands[i];
    CHECK(strand.from == i);
    CHECK(strand.to == (i + 1) % loop_.sprockets.size());
    const std::size_t links = static_cast<std::size_t>(strand.links);
    std::vector<std::size_t> bearing;
    bool guided = false;
    for (std::size_t a = 0; a < pose_.arcs.size(); ++a) {
      const Guide& rail = a < loop_.guides.size() ? loop_.guides[a] : loop_.tensioner->shoe;
      const bool its_own = rail.strand[0] == loop_.sprockets[i].name;
      CHECK(its_own == (pose_.arcs[a].strand == i));
      if (!its_own) continue;
      guided = true;
      const Round round = guide_round(loop_, a, pose_.tensioner ? pose_.tensioner->travel_mm : 0.0);
      note(worst_.arc, length2(pose_.arcs[a].centre_mm - round.centre_mm));
      for (std::size_t k = 0; k <= links; ++k)
        note(worst_.inside_arc, round.radius_mm - length2(pin(strand.first_pin + k) - round.centre_mm));
      note(worst_.arc, std::fabs(length2(pose_.arcs[a].first_mm - round.centre_mm) - round.radius_mm));
      note(worst_.arc, std::fabs(length2(pose_.arcs[a].last_mm - round.centre_mm) - round.radius_mm));
      if (pose_.arcs[a].bears) bearing.push_back(a);
    }
    const glm::dvec2 first = pin(strand.first_pin), last = pin(strand.first_pin + links);
    std::sort(bearing.begin(), bearing.end(), [&](std::size_t a, std::size_t b) {
      return dot2(pose_.arcs[a].first_mm - first, last - first) < dot2(pose_.arcs[b].first_mm - first, last - first);
    });
    if (strand.state == StrandState::slack) {
      CHECK(strand.slack_mm >= 0.0);
      note(worst_.span, std::fabs(strand.links * pitch_mm_ - strand.span_mm - strand.slack_mm));
      if (!guided) note(worst_.span, std::fabs(length2(last - first) - strand.span_mm));
      return;
    }
    CHECK(strand.slack_mm == 0.0);
    std::vector<glm::dvec2> stops{first};
    for (const std::size_t a : bearing) stops.insert(stops.end(), {pose_.arcs[a].first_mm, pose_.arcs[a].last_mm});
    stops.push_back(last);
    not_outside(i, stops[0], stops[1]);
    not_outside((i + 1) % loop_.sprockets.size(), stops[stops.size() - 2], stops.back());
    for (std::size_t k = 0; k <= links; ++k) {
      const glm::dvec2 at = pin(strand.first_pin + k);
      if (bearing.empty())
        note(worst_.bend, length2(at - first - (last - first) * (static_cast<double>(k) / strand.links)));
      else
        note(worst_.off_way, off_way_mm(at, stops, bearing));
    }
    if (bearing.empty()) note(worst_.span, std::fabs(strand.span_mm - strand.links * pitch_mm_));
  }

  // How far a pin stands from the straight pieces between the stops and the arcs that join them.
  [[nodiscard]] double off_way_mm(glm::dvec2 at, const std::vector<glm::dvec2>& stops,
                                  const std::vector<std::size_t>& bearing) const {
    double least_mm = 1e9;
    for (std::size_t s = 0; s < stops.size(); s += 2) {
      const glm::dvec2 way = stops[s + 1] - stops[s];
      const double share = std::clamp(dot2(at - stops[s], way) / dot2(way, way), 0.0, 1.0);
      least_mm = std::fmin(least_mm, length2(at - stops[s] - share * way));
    }
    for (std::size_t a = 0; a < bearing.size(); ++a) {
      const glm::dvec2 centre = pose_.arcs[bearing[a]].centre_mm;
      const glm::dvec2 enter = stops[2 * a + 1] - centre, leave = stops[2 * a + 2] - centre;
      if (cross2(enter, at - centre) * cross2(at - centre, leave) >= 0.0 && dot2(at - centre, enter + leave) > 0.0)
        least_mm = std::fmin(least_mm, std::fabs(length2(at - centre) - length2(enter)));
    }
    return least_mm;
  }

  const Loop& loop_;
  double handed_;
  double pitch_mm_;
  const LoopPose& pose_;
  Worst& worst_;
  std::vector<std::vector<glm::dvec2>> seats_;
};

// The way the chain of a later loop travels depends on that of the sprocket that drives it.
std::vector<double> handed_of(const Engine& engine) {
  std::vector<double> ways{handed(engine.rotation)};
  for (std::size_t i = 1; i < engine.loops.size(); ++i) {
    const SprocketPlace place = *find_sprocket(engine, engine.loops[i].driven_from);
    ways.push_back(ways[place.loop] * side(sprocket_at(engine, place)));
  }
  return ways;
}

void look(const RandomDrive& drawn, const DrivePose& pose, Worst& worst) {
  const std::vector<double> ways = handed_of(drawn.engine);
  REQUIRE(pose.loops.size() == drawn.engine.loops.size());
  for (std::size_t i = 0; i < pose.loops.size(); ++i) {
    const Loop& loop = drawn.engine.loops[i];
    LoopLook(loop, ways[i], worn_pitch_mm(loop, drawn.fitted), pose.loops[i], worst).all();
  }
}

void check(const Worst& worst) {
  CHECK(worst.link < 1e-9);
  CHECK(worst.seat < 1e-9);
  CHECK(worst.outside < 1e-9);
  CHECK(worst.bend < 1e-9);
  CHECK(worst.span < 1e-9);
  CHECK(worst.inside_arc < 1e-9);
  CHECK(worst.arc < 1e-9);
  CHECK(worst.off_way < 1e-9);
}

} // namespace

TEST_CASE("a thousand drives of two to eight sprockets close, turned forward and backward", "[loops]") {
  std::mt19937 random(50);
  DrivePose pose;
  std::map<std::size_t, int> by_sprockets;
  int tensioned = 0, guided = 0, on_the_back = 0, twin = 0;
  for (int i = 0; i < 1000; ++i) {
    const Accepted made = accepted(random, any_loop);
    const RandomDrive& drawn = made.drawn;
    const Drive& drive = made.drive;
    const Loop& loop = drawn.engine.loops[0];
    INFO("drive " << i << ", " << described(drawn.engine));
    ++by_sprockets[loop.sprockets.size()];
    tensioned += loop.tensioner ? 1 : 0;
    guided += loop.guides.empty() ? 0 : 1;
    twin += drawn.engine.camshafts.size() > 1 ? 1 : 0;
    for (const Sprocket& sprocket : loop.sprockets) on_the_back += sprocket.wrap == Wrap::outside ? 1 : 0;
    Worst worst;
    for (int k = 0; k < 3; ++k) {
      for (const Turning turning : {Turning::forward, Turning::backward}) {
        const double crank_deg = between(random, -1500.0, 2200.0);
        drive.pose(crank_deg, pose, turning);
        INFO("at " << crank_deg << " " << to_word(turning));
        look(drawn, pose, worst);
        const LoopPose& at = pose.loops[0];
        const double running = drawn.engine.rotation == Rotation::clockwise ? 1.0 : -1.0;
        CHECK_THAT(wrap_180(at.sprockets[0].mark_clock_deg - loop.sprockets[0].mark_clock_deg -
                            running * (crank_deg + drawn.fitted.crank_key_deg)),
                   WithinAbs(0.0, 1e-9));
        CHECK(at.strands.back().state == (turning == Turning::forward ? StrandState::taut : StrandState::slack));
        if (!at.tensioner || turning == Turning::backward) continue;
        CHECK(at.tensioner->travel_mm >= loop.tensioner->travel_mm[0]);
        CHECK(at.tensioner->travel_mm <= loop.tensioner->travel_mm[1]);
        CHECK_THAT(at.tensioner->travel_left_mm,
                   WithinAbs(loop.tensioner->travel_mm[1] - at.tensioner->travel_mm, 1e-12));
        CHECK(at.tensioner->travel_mm > drive.travel_mm().least - 0.01);
        CHECK(at.tensioner->travel_mm < drive.travel_mm().greatest + 0.01);
      }
    }
    check(worst);
  }
  for (std::size_t count = 2; count <= 8; ++count) CHECK(by_sprockets[count] >= 50);
  CHECK(tensioned >= 300);
  CHECK(guided >= 300);
  CHECK(on_the_back >= 300);
  CHECK(twin >= 200);
}

namespace {

// Drives whose every later loop is driven from the shaft the loop before drives.
void stages_close(int count, unsigned seed, RandomDrive (*draw)(std::mt19937&)) {
  std::mt19937 random(seed);
  DrivePose pose;
  for (int i = 0; i < count; ++i) {
    const Accepted made = accepted(random, draw);
    const RandomDrive& drawn = made.drawn;
    const Drive& drive = made.drive;
    INFO("drive " << i << ", " << described(drawn.engine));
    Worst worst;
    std::vector<std::optional<double>> together_deg(drawn.engine.loops.size());
    for (int k = 0; k < 3; ++k) {
      for (const Turning turning : {Turning::forward, Turning::backward}) {
        drive.pose(between(random, -1500.0, 2200.0), pose, turning);
        look(drawn, pose, worst);
        // Both sprockets of a shaft turn together.
        for (std::size_t loop = 1; loop < drawn.engine.loops.size(); ++loop) {
          const SprocketPlace driver = *find_sprocket(drawn.engine, drawn.engine.loops[loop].driven_from);
          const double shaft_deg = pose.loops[driver.loop].sprockets[driver.sprocket].mark_clock_deg -
                                   pose.loops[loop].sprockets[0].mark_clock_deg;
          if (!together_deg[loop]) together_deg[loop] = shaft_deg;
          CHECK_THAT(wrap_180(shaft_deg - *together_deg[loop]), WithinAbs(0.0, 1e-9));
        }
      }
    }
    check(worst);
  }
}

} // namespace

TEST_CASE("two hundred drives of two stages close, turned forward and backward", "[loops]") {
  stages_close(200, 51, random_stages);
}

TEST_CASE("a hundred drives of three stages close, turned forward and backward", "[loops]") {
  stages_close(100, 52, random_three_stages);
}
