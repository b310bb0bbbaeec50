#include "geometry/angle.hpp"
#include "reference/loops_accepted.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <thread>
#include <vector>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

bool is_guided(const Engine& engine) {
  return std::any_of(engine.loops.begin(), engine.loops.end(), [](const Loop& loop) { return !loop.guides.empty(); });
}

// How far the slope of a camshaft may stray from 1/2: by the cosine of half a tooth at every sprocket, and of half the
// angle of a chord at every guide, as the chain runs on and off.
double slope_spread(const Engine& engine) {
  double spread = 1.0;
  for (const Loop& loop : engine.loops) {
    for (const Sprocket& sprocket : loop.sprockets) spread /= std::cos(pi / sprocket.teeth);
    for (const Guide& guide : loop.guides)
      spread /= std::pow(std::cos(loop.chain.pitch_mm / (2.0 * guide.radius_mm)), 2);
  }
  return spread;
}

// Which links lie where: while this stays the same nothing seats or leaves.
std::vector<std::size_t> seating(const DrivePose& pose) {
  std::vector<std::size_t> found;
  for (const LoopPose& loop : pose.loops)
    for (const StrandPose& strand : loop.strands) {
      found.push_back(strand.first_pin);
      found.push_back(static_cast<std::size_t>(strand.links));
    }
  return found;
}

// All of a pose that is a number, for comparisons to the last bit.
std::vector<double> numbers(const DrivePose& pose) {
  std::vector<double> all;
  const auto add = [&all](glm::dvec2 point) { all.insert(all.end(), {point.x, point.y}); };
  for (const LoopPose& loop : pose.loops) {
    for (const SprocketPose& sprocket : loop.sprockets)
      all.insert(all.end(), {sprocket.turned_deg, sprocket.mark_clock_deg});
    for (const StrandPose& strand : loop.strands)
      all.insert(all.end(), {strand.span_mm, strand.slack_mm, strand.bow_mm, static_cast<double>(strand.links),
                             static_cast<double>(strand.first_pin)});
    for (const ArcPose& arc : loop.arcs) add(arc.centre_mm), add(arc.first_mm), add(arc.last_mm);
    if (loop.tensioner) all.insert(all.end(), {loop.tensioner->travel_mm, loop.tensioner->travel_left_mm});
    for (const glm::dvec2 pin : loop.pins_mm) add(pin);
  }
  for (const CamshaftPose& camshaft : pose.camshafts) all.insert(all.end(), {camshaft.turned_deg, camshaft.phase_deg});
  return all;
}

bool same_bits(const std::vector<double>& a, const std::vector<double>& b) {
  return a.size() == b.size() && std::memcmp(a.data(), b.data(), a.size() * sizeof(double)) == 0;
}

double worn_pitch_mm(const Loop& loop, const Fitted& fitted) {
  return loop.chain.pitch_mm * (1.0 + fitted.elongation_percent / 100.0);
}

} // namespace

TEST_CASE("on any loop the camshafts run at half the crank's speed but for the polygons", "[loops]") {
  std::mt19937 random(60);
  for (int i = 0; i < 300; ++i) {
    const Accepted made = accepted(random, i % 5 == 0 ? random_stages : any_loop);
    const RandomDrive& drawn = made.drawn;
    const Drive& drive = made.drive;
    const double spread = slope_spread(drawn.engine);
    for (std::size_t cam = 0; cam < drawn.engine.camshafts.size(); ++cam) {
      constexpr int steps = 720;
      double least = 1.0, most = 0.0, before = drive.camshaft_rad(0.0, cam);
      for (int k = 1; k <= steps; ++k) {
        const double now = drive.camshaft_rad(2.0 * turn_rad * k / steps, cam);
        const double slope = (now - before) / (2.0 * turn_rad / steps);
        least = std::fmin(least, slope);
        most = std::fmax(most, slope);
        before = now;
      }
      INFO("drive " << i << " camshaft " << cam);
      CHECK(least > 0.5 / spread - 1e-12);
      CHECK(most < 0.5 * spread + 1e-12);
    }
  }
}

// As in the sweep of two-sprocket drives, each instant is closed in on until the crank angles on either side are
// neighbouring doubles. Slack strands are drawn shapes and may give by a little there.
TEST_CASE("on any loop nothing jumps at the instant a roller seats or leaves", "[loops]") {
  std::mt19937 random(61);
  double worst_mm = 0.0, worst_deg = 0.0, worst_travel_mm = 0.0;
  int instants = 0;
  for (int i = 0; i < 150; ++i) {
    const Accepted made = accepted(random, i % 5 == 0 ? random_stages : any_loop);
    const RandomDrive& drawn = made.drawn;
    const Drive& drive = made.drive;
    const Turning turning = i % 2 == 0 ? Turning::forward : Turning::backward;
    const double tooth_deg = 360.0 / drawn.engine.loops[0].sprockets[0].teeth;
    const double from_deg = between(random, -720.0, 720.0);
    constexpr int looks = 40;
    for (int k = 1; k <= looks; ++k) {
      double low = from_deg + tooth_deg * (k - 1) / looks, high = from_deg + tooth_deg * k / looks;
      DrivePose before = drive.pose(low, turning);
      if (seating(before) == seating(drive.pose(high, turning))) continue;
      for (;;) {
        const double middle = 0.5 * (low + high);
        if (!(middle > low && middle < high)) break;
        (seating(before) == seating(drive.pose(middle, turning)) ? low : high) = middle;
      }
      before = drive.pose(low, turning);
      const DrivePose after = drive.pose(high, turning);
      INFO("drive " << i << " at " << low);
      for (std::size_t c = 0; c < before.camshafts.size(); ++c)
        worst_deg = std::fmax(worst_deg, std::fabs(after.camshafts[c].turned_deg - before.camshafts[c].turned_deg));
      for (std::size_t l = 0; l < before.loops.size(); ++l) {
        const LoopPose &was = before.loops[l], &is = after.loops[l];
        const std::size_t count = was.pins_mm.size();
        const auto slack = [count](const LoopPose& pose, std::size_t pin) {
          return std::any_of(pose.strands.begin(), pose.strands.end(), [&](const StrandPose& strand) {
            return strand.state == StrandState::slack &&
                   (pin + count - strand.first_pin) % count <= static_cast<std::size_t>(strand.links);
          });
        };
        for (std::size_t pin = 0; pin < count; ++pin)
          if (!slack(was, pin) && !slack(is, pin))
            worst_mm = std::fmax(worst_mm, length2(is.pins_mm[pin] - was.pins_mm[pin]));
        if (was.tensioner)
          worst_travel_mm = std::fmax(worst_travel_mm, std::fabs(is.tensioner->travel_mm - was.tensioner->travel_mm));
      }
      ++instants;
    }
  }
  CHECK(instants > 500);
  CHECK(worst_mm < 1e-8);
  CHECK(worst_deg < 1e-11);
  CHECK(worst_travel_mm < 1e-8);
}

// Crank angles that a double holds exactly with whole cycles added. Idlers need not come back, nor the pins to their
// own places, but the crank's and camshafts' sprockets, and a pin wherever one was.
TEST_CASE("on any loop two turns of the crank bring back the same, to the last bit", "[loops]") {
  std::mt19937 random(62);
  for (int i = 0; i < 200; ++i) {
    const Accepted made = accepted(random, any_loop);
    const Loop& loop = made.drawn.engine.loops[0];
    for (const Turning turning : {Turning::forward, Turning::backward}) {
      const double crank_deg = whole_between(random, 0, 720 * 64 - 1) / 64.0;
      const int cycles = whole_between(random, -5, 20);
      INFO("drive " << i << " at " << crank_deg << ", " << cycles << " cycles on");
      const DrivePose first = made.drive.pose(crank_deg, turning);
      const DrivePose later = made.drive.pose(crank_deg + 720.0 * cycles, turning);
      const LoopPose &a = first.loops[0], &b = later.loops[0];
      for (std::size_t c = 0; c < first.camshafts.size(); ++c) {
        CHECK(later.camshafts[c].phase_deg == first.camshafts[c].phase_deg);
        CHECK_THAT(later.camshafts[c].turned_deg - first.camshafts[c].turned_deg, WithinAbs(360.0 * cycles, 1e-11));
      }
      const std::size_t count = a.pins_mm.size();
      const std::size_t moved = b.strands[0].first_pin + count - a.strands[0].first_pin;
      bool same = true;
      for (std::size_t pin = 0; pin < count; ++pin) same &= b.pins_mm[(pin + moved) % count] == a.pins_mm[pin];
      CHECK(same);
      // A mark is told with whole turns added and taken off again: a bit or two may be lost on them.
      for (std::size_t s = 0; s < loop.sprockets.size(); ++s)
        if (s == 0 || !loop.sprockets[s].camshaft.empty())
          CHECK_THAT(wrap_180(b.sprockets[s].mark_clock_deg - a.sprockets[s].mark_clock_deg), WithinAbs(0.0, 1e-12));
      // The chain has run on by the crank's teeth.
      const long long run_on = static_cast<long long>(moved) + 2LL * loop.sprockets[0].teeth * cycles;
      CHECK(run_on % static_cast<long long>(count) == 0);
    }
  }
}

// Trapezium rule over a tooth, as for two sprockets. Over two loops the first makes the second uneven, and each loop's
// own mean is what the phase is made of: the difference is of the second order of the ripple.
TEST_CASE("on any loop the camshafts stand ahead by the phase on average over a tooth", "[loops]") {
  std::mt19937 random(63);
  double worst_deg = 0.0, worst_stages_deg = 0.0;
  for (int i = 0; i < 80; ++i) {
    const bool stages = i % 4 == 0;
    const Accepted made = accepted(random, stages ? random_stages : any_loop);
    const RandomDrive& drawn = made.drawn;
    const Drive& drive = made.drive;
    const double over_rad = stages ? 2.0 * turn_rad * 3.0 : turn_rad / drawn.engine.loops[0].sprockets[0].teeth;
    const int samples = stages ? 20000 : 4000;
    for (std::size_t cam = 0; cam < drawn.engine.camshafts.size(); ++cam) {
      double sum_rad = 0.0;
      for (int k = 0; k < samples; ++k) {
        const double crank_rad = over_rad * k / samples;
        sum_rad += 2.0 * drive.camshaft_rad(crank_rad, cam) - crank_rad;
      }
      double& worst = stages ? worst_stages_deg : worst_deg;
      worst = std::fmax(worst, std::fabs(degrees(sum_rad / samples) - drive.phase_deg(cam)));
    }
  }
  CHECK(worst_deg < 1e-6);
  CHECK(worst_stages_deg < 1e-3);
}

// Wear by the change of the pitches along the tangents. In two loops the first one's change is geared down.
TEST_CASE("on any loop wear moves the camshafts by the change of the pitches along the pulled strands", "[loops]") {
  std::mt19937 random(64);
  double worst_teeth = 0.0, worst_guided_teeth = 0.0, greatest_teeth = 0.0;
  for (int i = 0; i < 300; ++i) {
    RandomDrive drawn = sound_loop(random);
    if (drawn.fitted.elongation_percent == 0.0) continue;
    const Loop& loop = drawn.engine.loops[0];
    for (std::size_t cam = 0; cam < drawn.engine.camshafts.size(); ++cam) {
      const SprocketPlace place = *find_cam_sprocket(drawn.engine, drawn.engine.camshafts[cam].name);
      const int teeth = loop.sprockets[place.sprocket].teeth;
      const double moved_deg =
          Drive::phase_deg(drawn.engine, drawn.fitted, cam) - Drive::set_phase_deg(drawn.engine, drawn.fitted, cam);
      const std::optional<double> expected = sprocket_shift_teeth(
          loop, handed(drawn.engine.rotation), place.sprocket, loop.chain.pitch_mm, worn_pitch_mm(loop, drawn.fitted));
      REQUIRE(expected.has_value());
      double& worst = is_guided(drawn.engine) ? worst_guided_teeth : worst_teeth;
      worst = std::fmax(worst, std::fabs(moved_deg * teeth / 720.0 - *expected));
      greatest_teeth = std::fmax(greatest_teeth, std::fabs(*expected));
    }
  }
  CHECK(worst_teeth < 3e-4);
  CHECK(worst_guided_teeth < 0.02);
  CHECK(greatest_teeth > 0.5);
}

TEST_CASE("on any loop a camshaft turned back stands where a turn forward by what is told brings it", "[loops]") {
  std::mt19937 random(65);
  double worst_rad = 0.0, worst_two = 0.0;
  int two = 0;
  for (int i = 0; i < 200; ++i) {
    const Accepted made = accepted(random, any_loop);
    const RandomDrive& drawn = made.drawn;
    const Drive& drive = made.drive;
    const Loop& loop = drawn.engine.loops[0];
    for (std::size_t cam = 0; cam < drawn.engine.camshafts.size(); ++cam) {
      const double crank_deg = between(random, -720.0, 1440.0);
      const double crank_rad = radians(crank_deg);
      const HangBack back = drive.hang_back(crank_deg, cam);
      const double behind_rad = drive.camshaft_rad(crank_rad, cam, Turning::backward);
      CHECK(back.cam_deg >= 0.0);
      CHECK_THAT(back.crank_deg, WithinAbs(2.0 * back.cam_deg, 1e-12));
      CHECK_THAT(degrees(behind_rad - drive.camshaft_rad(crank_rad, cam)), WithinAbs(back.cam_deg, 1e-9));
      worst_rad = std::fmax(
          worst_rad, std::fabs(drive.camshaft_rad(crank_rad + radians(back.turn_forward_deg), cam) - behind_rad));
      if (loop.sprockets.size() > 2 || is_guided(drawn.engine) || loop.tensioner) continue;
      // The cam sprocket gives until the strand that was slack is straight.
      const double slack_mm = 0.5 * (drive.slack_mm().least + drive.slack_mm().greatest);
      const double radius_mm = worn_pitch_mm(loop, drawn.fitted) / (2.0 * std::sin(pi / loop.sprockets[1].teeth));
      worst_two = std::fmax(worst_two, std::fabs(radians(back.cam_deg) * radius_mm - slack_mm) /
                                           worn_pitch_mm(loop, drawn.fitted));
      ++two;
    }
  }
  CHECK(worst_rad < 1e-9);
  CHECK(two >= 5);
  CHECK(worst_two < 0.03); // both strands' polygons breathe meanwhile
}

TEST_CASE("poses are the same to the last bit whatever the number of threads", "[loops]") {
  std::mt19937 random(66);
  for (int i = 0; i < 12; ++i) {
    const Accepted made = accepted(random, i % 3 == 0 ? random_stages : any_loop);
    const Drive& drive = made.drive;
    constexpr std::size_t poses = 240;
    const auto run = [&](std::size_t threads) {
      std::vector<std::vector<double>> found(poses);
      std::vector<std::thread> running;
      for (std::size_t t = 0; t < threads; ++t)
        running.emplace_back([&, t] {
          DrivePose pose; // used again and again, as a viewer does
          for (std::size_t k = t; k < poses; k += threads) {
            drive.pose(3.0 * static_cast<double>(k) - 31.7, pose, k % 3 == 0 ? Turning::backward : Turning::forward);
            found[k] = numbers(pose);
          }
        });
      for (std::thread& thread : running) thread.join();
      return found;
    };
    const auto one = run(1);
    for (const std::size_t threads : {std::size_t{2}, std::size_t{4}}) {
      const auto many = run(threads);
      bool same = true;
      for (std::size_t k = 0; k < poses; ++k) same &= same_bits(one[k], many[k]);
      CHECK(same);
    }
  }
}
