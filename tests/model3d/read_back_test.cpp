// The exported file read by assimp, an importer of other people's, against the poses of the mechanics.
#include "exported.hpp"
#include "geometry/angle.hpp"
#include "mechanics/drive_layout.hpp"
#include "model3d/cycle.hpp"
#include "read_back.hpp"

#include <fmt/format.h>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

constexpr double within_mm = 1e-3;
constexpr std::array angles_deg{37.3, 211.719, 503.08};

double at_s(double crank_deg) {
  return crank_deg * cycle_s / cycle_deg;
}

double apart_mm(glm::dvec2 a, glm::dvec2 b) {
  return glm::length(a - b);
}

void check_sprockets(const ReadBack& model, const Modelled& one, double crank_deg) {
  const Pose pose = one.mechanism.pose(crank_deg);
  for (std::size_t l = 0; l < one.engine().loops.size(); ++l)
    for (std::size_t i = 0; i < one.engine().loops[l].sprockets.size(); ++i) {
      const Loop& loop = one.engine().loops[l];
      const std::string name = loop.sprockets[i].name + " sprocket";
      INFO(name);
      const double out_mm = loop.chain.pitch_mm / (2.0 * std::sin(pi / loop.sprockets[i].teeth)); // its pitch circle
      const double clock_deg = pose.drive.loops[l].sprockets[i].mark_clock_deg;
      const glm::dvec2 mark_mm = fitted_centre_mm(one.engine(), one.mechanism.fitted(), SprocketPlace{l, i}) +
                                 out_mm * glm::dvec2{sin_deg(clock_deg), cos_deg(clock_deg)};
      CHECK(apart_mm(model.point_mm(name, {0, out_mm, 0}, at_s(crank_deg)), mark_mm) < within_mm);
    }
}

void check_chains(const ReadBack& model, const Modelled& one, double crank_deg) {
  const Pose pose = one.mechanism.pose(crank_deg);
  constexpr std::array stages{", first stage", ", second stage"};
  for (std::size_t l = 0; l < pose.drive.loops.size(); ++l) {
    const std::string stage = pose.drive.loops.size() == 1 ? "" : stages.at(l);
    const std::vector<glm::dvec2>& pins = pose.drive.loops[l].pins_mm;
    for (std::size_t i = 0; i < pins.size(); i += 7) {
      INFO("pin " << i + 1 << stage);
      const glm::dvec2 next = pins[(i + 1) % pins.size()];
      CHECK(apart_mm(model.origin_mm(fmt::format("chain pin {}{}", i + 1, stage), at_s(crank_deg)), pins[i]) <
            within_mm);
      const double half_mm = glm::length(next - pins[i]) / 2.0;
      CHECK(apart_mm(model.point_mm(fmt::format("chain link {}{}", i + 1, stage), {half_mm, 0, 0}, at_s(crank_deg)),
                     next) < within_mm);
    }
  }
}

void check_valves(const ReadBack& model, const Modelled& one, double crank_deg) {
  for (const ValvePose& valve : one.mechanism.pose(crank_deg).valves) {
    const std::string name = fmt::format("{} valve No. {}", to_word(valve.valve), valve.cylinder);
    INFO(name);
    double shut_deg = 0.0;
    while (one.mechanism.valve_lift_mm(valve.valve, valve.cylinder, shut_deg) > 0.0) shut_deg += 10.0;
    const glm::dvec3 moved = model.origin_mm(name, at_s(crank_deg)) - model.origin_mm(name, at_s(shut_deg));
    // Its head looks along -z of its own frame.
    const glm::dvec3 axis(model.world(name, 0.0)[2]);
    CHECK(glm::length(moved + valve.lift_mm * axis) < within_mm);
  }
}

void check_pistons(const ReadBack& model, const Modelled& one, double crank_deg) {
  const Block& block = one.engine().block;
  const double way = one.engine().rotation == Rotation::clockwise ? -1.0 : 1.0;
  for (const PistonPose& piston : one.mechanism.pose(crank_deg).pistons) {
    INFO("cylinder " << piston.cylinder);
    const std::string name = fmt::format("piston No. {}", piston.cylinder);
    const double first_mm = one.mechanism.piston_drop_mm(piston.cylinder, 0.0);
    const glm::dvec3 at = model.origin_mm(name, at_s(crank_deg));
    const glm::dvec3 moved = at - model.origin_mm(name, 0.0);
    const glm::dvec3 axis(model.world(name, 0.0)[2]); // toward the crown
    CHECK(glm::length(moved - (first_mm - piston.drop_mm) * axis) < within_mm);

    // The rod's big end goes round with the crank, evenly, on a circle of half the stroke; its small end is the pin.
    const std::string rod = fmt::format("rod No. {}", piston.cylinder);
    const glm::dvec2 big_before = model.origin_mm(rod, 0.0);
    const double rad = radians(way * crank_deg);
    const glm::dvec2 big{std::cos(rad) * big_before.x - std::sin(rad) * big_before.y,
                         std::sin(rad) * big_before.x + std::cos(rad) * big_before.y};
    CHECK(apart_mm(model.origin_mm(rod, at_s(crank_deg)), big) < within_mm);
    CHECK_THAT(glm::length(big_before), WithinAbs(one.mechanism.slider_crank().throw_mm(), within_mm));
    const glm::dvec3 small = model.point_mm(rod, {0, block.rod_mm, 0}, at_s(crank_deg));
    CHECK(glm::length(small - model.origin_mm(fmt::format("gudgeon pin No. {}", piston.cylinder), at_s(crank_deg))) <
          within_mm);
    CHECK_THAT(glm::length(small - at), WithinAbs(std::fabs(block.pin_offset_mm), within_mm));
  }
}

} // namespace

TEST_CASE("read back by assimp, named parts stand where the mechanics have them", "[model3d]") {
  for (const Modelled& one : modelled()) {
    const ReadBack model(exported(one).glb);
    CHECK_THAT(model.duration_s(), WithinAbs(cycle_s, 1e-6));
    for (const double crank_deg : angles_deg) {
      INFO(one.name << ", crank " << crank_deg);
      check_sprockets(model, one, crank_deg);
      check_chains(model, one, crank_deg);
      check_valves(model, one, crank_deg);
      check_pistons(model, one, crank_deg);
    }
  }
}

TEST_CASE("read back by assimp, meshes are the scene's own, in metres", "[model3d]") {
  for (const Modelled& one : modelled()) {
    INFO(one.name);
    const Model3d& made = exported(one);
    const ReadBack model(made.glb);
    std::size_t triangles = 0;
    std::size_t bad = 0;
    for (unsigned m = 0; m < model.scene().mNumMeshes; ++m) {
      const aiMesh& mesh = *model.scene().mMeshes[m];
      triangles += mesh.mNumFaces;
      for (unsigned v = 0; v < mesh.mNumVertices; ++v) {
        if (!(std::fabs(double{mesh.mNormals[v].Length()} - 1.0) < 1e-6)) ++bad;
        if (!(mesh.mVertices[v].Length() < 1.0f)) ++bad; // nothing is a metre large
      }
    }
    CHECK(bad == 0);
    CHECK(triangles > 0);
    CHECK(triangles < made.triangles); // as stored; most are drawn more than once
    // Across the first piston: the bore, but for its clearance.
    const aiNode* piston = model.scene().mRootNode->FindNode("piston No. 1");
    REQUIRE(piston != nullptr);
    double wide_mm = 0.0;
    const aiMesh& mesh = *model.scene().mMeshes[piston->mMeshes[0]];
    for (unsigned v = 0; v < mesh.mNumVertices; ++v)
      wide_mm = std::max(wide_mm, 2000.0 * std::hypot(double{mesh.mVertices[v].x}, double{mesh.mVertices[v].y}));
    CHECK_THAT(wide_mm, WithinRel(one.engine().block.bore_mm, 0.02));
  }
}
