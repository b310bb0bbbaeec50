#include "geometry/angle.hpp"
#include "reference/loops.hpp"
#include "support/catch.hpp"

#include <box2d/box2d.h>

#include <algorithm>
#include <cmath>
#include <vector>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

// Box2D reckons in single precision and lets joints gape by b2_linearSlop, 0.005 of its units: 0.00025 mm here.
constexpr double units_per_mm = 20.0;

b2Vec2 to_units(glm::dvec2 mm) {
  return {static_cast<float>(mm.x * units_per_mm), static_cast<float>(mm.y * units_per_mm)};
}

glm::dvec2 to_mm(b2Vec2 units) {
  return glm::dvec2{units.x, units.y} / units_per_mm;
}

// A chain loop of rigid links and pin joints. The crank stands still; every other sprocket turns freely on its centre,
// pulled back against its running direction by a light torque. Pins that the chain has laid into gaps are seats of
// their sprocket; links between are bodies of their own, joined by pins. Everything is damped and comes to rest.
class RigidChain {
public:
  // Only how many links each strand has, and which pins lie in gaps, is taken from the pose. Sprockets start turned on
  // by `ahead_mm` at the rim, so that the pulled strands hang and nothing is yet where it will be.
  RigidChain(const RandomDrive& drawn, const LoopPose& pose, double crank_deg, double ahead_mm)
      : loop_(drawn.engine.loops[0]), pose_(pose), handed_(handed(drawn.engine.rotation)),
        pitch_mm_(fitted_pitch_mm(drawn)), world_({0.0F, 0.0F}) {
    world_.SetAllowSleeping(false);
    b2BodyDef ground;
    ground_ = world_.CreateBody(&ground);
    const Sprocket& crank = loop_.sprockets[0];
    crank_seats_ = seats_mm(crank, crank.centre_mm, pitch_mm_,
                            crank.mark_clock_deg - handed_ * (crank_deg + drawn.fitted.crank_key_deg));
    for (std::size_t i = 0; i < loop_.sprockets.size(); ++i) add_sprocket(i, ahead_mm);
    for (std::size_t i = 0; i < loop_.sprockets.size(); ++i) add_strand(i);
  }

  // Steps until nothing has moved by more than `still_mm` for a while. False when it never comes to rest.
  [[nodiscard]] bool rest(double still_mm) {
    constexpr int most_looks = 400, steps_per_look = 50, iterations = 60;
    std::vector<glm::dvec2> before = places_mm();
    for (int look = 0; look < most_looks; ++look) {
      for (int step = 0; step < steps_per_look; ++step) {
        for (std::size_t i = 1; i < sprockets_.size(); ++i) sprockets_[i]->ApplyTorque(drag(i), true);
        world_.Step(1.0F / 60.0F, iterations, iterations);
      }
      const std::vector<glm::dvec2> now = places_mm();
      double moved_mm = 0.0;
      for (std::size_t i = 0; i < now.size(); ++i) moved_mm = std::fmax(moved_mm, length2(now[i] - before[i]));
      if (moved_mm < still_mm) return true;
      before = now;
    }
    return false;
  }

  // Where the pin stands at the end of a strand that its sprocket gives or takes.
  [[nodiscard]] glm::dvec2 pin_mm(std::size_t strand, std::size_t link) const {
    const float half = static_cast<float>(0.5 * pitch_mm_ * units_per_mm);
    const std::vector<b2Body*>& links = strands_[strand];
    return link < links.size() ? to_mm(links[link]->GetWorldPoint({-half, 0.0F}))
                               : to_mm(links.back()->GetWorldPoint({half, 0.0F}));
  }

  // How far a sprocket has come to stand from where the pose has it, at the rim.
  [[nodiscard]] double rim_mm(std::size_t sprocket) const {
    const glm::dvec2 seat = to_mm(sprockets_[sprocket]->GetWorldPoint(first_seat_[sprocket]));
    return length2(seat - pin_of_pose(pose_.strands[sprocket].first_pin));
  }

private:
  [[nodiscard]] glm::dvec2 pin_of_pose(std::size_t pin) const { return pose_.pins_mm[pin % pose_.pins_mm.size()]; }

  [[nodiscard]] double side(std::size_t sprocket) const {
    return loop_.sprockets[sprocket].wrap == Wrap::inside ? 1.0 : -1.0;
  }

  // Each sprocket adds as much to the pull on the chain.
  [[nodiscard]] float drag(std::size_t sprocket) const {
    constexpr double pull = 2e4;
    const double radius_mm = pitch_mm_ / (2.0 * std::sin(pi / loop_.sprockets[sprocket].teeth));
    return static_cast<float>(-handed_ * side(sprocket) * pull * radius_mm * units_per_mm);
  }

  void add_sprocket(std::size_t i, double ahead_mm) {
    const Sprocket& sprocket = loop_.sprockets[i];
    const double radius_mm = pitch_mm_ / (2.0 * std::sin(pi / sprocket.teeth));
    b2BodyDef def;
    def.type = i == 0 ? b2_staticBody : b2_dynamicBody;
    def.position = to_units(sprocket.centre_mm);
    def.angle = i == 0 ? 0.0F : static_cast<float>(handed_ * side(i) * ahead_mm / radius_mm);
    def.angularDamping = 4.0F;
    b2Body* body = world_.CreateBody(&def);
    if (i > 0) {
      const float units = static_cast<float>(radius_mm * units_per_mm);
      const b2MassData mass{5.0F, {0.0F, 0.0F}, 5.0F * units * units};
      body->SetMassData(&mass);
      b2RevoluteJointDef bearing;
      bearing.Initialize(ground_, body, def.position);
      world_.CreateJoint(&bearing);
    }
    sprockets_.push_back(body);
    // In the body's own frame: the seat of its last pin, by the pose's place for it, or for the crank by its mark.
    glm::dvec2 seat = pin_of_pose(pose_.strands[i].first_pin);
    if (i == 0)
      seat = *std::min_element(crank_seats_.begin(), crank_seats_.end(),
                               [seat](glm::dvec2 a, glm::dvec2 b) { return length2(a - seat) < length2(b - seat); });
    first_seat_.push_back(to_units(seat - sprocket.centre_mm));
  }

  // The seat of a sprocket so many pins before the last one it holds.
  [[nodiscard]] b2Vec2 seat_units(std::size_t i, std::size_t pins_before) const {
    const double turn = -handed_ * side(i) * turn_rad * static_cast<double>(pins_before) / loop_.sprockets[i].teeth;
    const double x = static_cast<double>(first_seat_[i].x), y = static_cast<double>(first_seat_[i].y),
                 c = std::cos(turn), s = std::sin(turn);
    return {static_cast<float>(c * x - s * y), static_cast<float>(s * x + c * y)};
  }

  void add_strand(std::size_t i) {
    const StrandPose& strand = pose_.strands[i];
    const std::size_t next = (i + 1) % loop_.sprockets.size(), count = pose_.pins_mm.size();
    const std::size_t end_pin = strand.first_pin + static_cast<std::size_t>(strand.links);
    const b2Vec2 end_seat = seat_units(next, (pose_.strands[next].first_pin + 2 * count - end_pin) % count);
    const glm::dvec2 from = to_mm(sprockets_[i]->GetWorldPoint(first_seat_[i]));
    const glm::dvec2 to = to_mm(sprockets_[next]->GetWorldPoint(end_seat));
    // Links start on a shallow bow toward the loop's inside, a little short for it.
    const glm::dvec2 inward = handed_ * left_of((to - from) / length2(to - from));
    const auto point = [&](int k) {
      const double share = static_cast<double>(k) / strand.links;
      return from + share * (to - from) + 4.0 * share * (1.0 - share) * inward;
    };
    std::vector<b2Body*>& links = strands_.emplace_back();
    const float half = static_cast<float>(0.5 * pitch_mm_ * units_per_mm);
    for (int k = 0; k < strand.links; ++k) {
      const glm::dvec2 way = point(k + 1) - point(k);
      b2BodyDef def;
      def.type = b2_dynamicBody;
      def.position = to_units(0.5 * (point(k) + point(k + 1)));
      def.angle = static_cast<float>(std::atan2(way.y, way.x));
      def.linearDamping = 4.0F;
      def.angularDamping = 4.0F;
      b2Body* link = world_.CreateBody(&def);
      const b2MassData mass{1.0F, {0.0F, 0.0F}, half * half / 3.0F};
      link->SetMassData(&mass);
      if (k == 0)
        join(sprockets_[i], first_seat_[i], link, {-half, 0.0F});
      else
        join(links.back(), {half, 0.0F}, link, {-half, 0.0F});
      links.push_back(link);
    }
    join(links.back(), {half, 0.0F}, sprockets_[next], end_seat);
  }

  void join(b2Body* a, b2Vec2 at_a, b2Body* b, b2Vec2 at_b) {
    b2RevoluteJointDef pin;
    pin.bodyA = a;
    pin.bodyB = b;
    pin.localAnchorA = at_a;
    pin.localAnchorB = at_b;
    world_.CreateJoint(&pin);
  }

  [[nodiscard]] std::vector<glm::dvec2> places_mm() const {
    std::vector<glm::dvec2> all;
    for (std::size_t i = 0; i < sprockets_.size(); ++i)
      all.push_back(to_mm(sprockets_[i]->GetWorldPoint(first_seat_[i])));
    for (const std::vector<b2Body*>& strand : strands_)
      for (const b2Body* link : strand) all.push_back(to_mm(link->GetPosition()));
    return all;
  }

  const Loop& loop_;
  const LoopPose& pose_;
  double handed_;
  double pitch_mm_;
  b2World world_;
  b2Body* ground_ = nullptr;
  std::vector<glm::dvec2> crank_seats_;
  std::vector<b2Body*> sprockets_;
  std::vector<b2Vec2> first_seat_;
  std::vector<std::vector<b2Body*>> strands_;
};

} // namespace

// Box2D, a general-purpose rigid-body engine, finds by forces what the drive finds by geometry: twin camshafts and an
// idler on the back. Found: at most 0.001 mm apart, which is what single precision and gaping joints leave.
TEST_CASE("a chain of rigid links comes to rest where the drive has it", "[box2d]") {
  std::mt19937 random(80);
  double worst_rim_mm = 0.0, worst_pin_mm = 0.0;
  for (int i = 0; i < 4; ++i) {
    LoopWish wish;
    wish.sprockets = 4;
    wish.camshafts = 2;
    wish.on_the_back = 1;
    const RandomDrive drawn = sound_loop(random, wish);
    const Result<Drive> drive = Drive::assemble(drawn.engine, drawn.fitted);
    REQUIRE(drive.ok());
    const double crank_deg = between(random, 0.0, 720.0);
    const DrivePose pose = drive->pose(crank_deg);
    INFO("drive " << i << " at " << crank_deg);
    RigidChain chain(drawn, pose.loops[0], crank_deg, 0.5);
    REQUIRE(chain.rest(1e-5));
    for (std::size_t s = 1; s < drawn.engine.loops[0].sprockets.size(); ++s)
      worst_rim_mm = std::fmax(worst_rim_mm, chain.rim_mm(s));
    for (const StrandPose& strand : pose.loops[0].strands)
      for (std::size_t k = 0; strand.state == StrandState::taut && k <= static_cast<std::size_t>(strand.links); ++k)
        worst_pin_mm = std::fmax(worst_pin_mm,
                                 length2(chain.pin_mm(strand.from, k) -
                                         pose.loops[0].pins_mm[(strand.first_pin + k) % pose.loops[0].pins_mm.size()]));
  }
  CHECK(worst_rim_mm < 0.005);
  CHECK(worst_pin_mm < 0.005);
}
