// The piston's crown as drawn, and the gap between it and the valves as figured.
#include "geometry/angle.hpp"
#include "mechanics/crown_gap.hpp"
#include "scene/crown.hpp"
#include "scene/gap_figures.hpp"
#include "scene/model.hpp"
#include "support/catch.hpp"

#include "engines.hpp"
#include "parts_of.hpp"

#include <fmt/format.h>
#include <glm/geometric.hpp>
#include <glm/matrix.hpp>

#include <algorithm>
#include <cmath>

using namespace phasewright;
using testing::of_part;

namespace {

// How far along a direction a line meets a placed mesh.
double way_to_mesh_mm(const Mesh& mesh, const glm::dmat4& placement, glm::dvec3 from, glm::dvec3 way) {
  const glm::dmat4 back = glm::inverse(placement);
  const glm::dvec3 start(back * glm::dvec4(from, 1.0));
  const glm::dvec3 along(back * glm::dvec4(way, 0.0));
  double nearest = 1e9;
  for (std::size_t i = 0; i + 2 < mesh.indices.size(); i += 3) {
    const auto at = [&](std::size_t k) { return glm::dvec3(mesh.vertices[mesh.indices[i + k]].position_mm); };
    const glm::dvec3 p = at(1) - at(0);
    const glm::dvec3 q = at(2) - at(0);
    const glm::dvec3 cross = glm::cross(along, q);
    const double det = glm::dot(p, cross);
    if (std::fabs(det) < 1e-12) continue;
    const glm::dvec3 offset = start - at(0);
    const double u = glm::dot(offset, cross) / det;
    const glm::dvec3 other = glm::cross(offset, p);
    const double v = glm::dot(along, other) / det;
    if (u < -1e-9 || v < -1e-9 || u + v > 1.0 + 1e-9) continue;
    const double t = glm::dot(q, other) / det;
    if (t > -1e-6) nearest = std::min(nearest, t);
  }
  return nearest;
}

Mechanism assembled(const std::shared_ptr<const Engine>& engine) {
  auto mechanism = Mechanism::assemble(engine, {});
  INFO((mechanism ? std::string() : to_text(mechanism.problems())));
  REQUIRE(mechanism.ok());
  return *mechanism;
}

const Label* find_label(const Scene& scene, const std::string& key) {
  const auto found = std::ranges::find_if(scene.labels, [&](const Label& label) { return label.key == key; });
  return found == scene.labels.end() ? nullptr : &*found;
}

std::shared_ptr<const Engine> engine_of(CrownShape shape, double lean_deg, bool pockets) {
  Engine engine = testing::leaning_engine();
  engine.block.crown = {.shape = shape, .height_mm = 3.0, .radius_mm = 30.0};
  for (Valve* valve : {&*engine.inlet_valve, &*engine.exhaust_valve}) {
    const double side = valve == &*engine.inlet_valve ? -1.0 : 1.0;
    valve->inclination_deg = lean_deg * side;
    valve->offset_mm.y = 3.0 * side;
    if (!pockets) valve->pocket = {};
  }
  return testing::share(engine);
}

} // namespace

TEST_CASE("along a valve's axis the crown drawn is as near as the crown computed", "[gap]") {
  for (const CrownShape shape : {CrownShape::flat, CrownShape::dished, CrownShape::domed})
    for (const double lean_deg : {0.0, 4.0, 17.0})
      for (const bool pockets : {false, true}) {
        INFO("shape " << static_cast<int>(shape) << ", leaning " << lean_deg << ", pockets " << pockets);
        const auto engine = engine_of(shape, lean_deg, pockets);
        const Mechanism mechanism = assembled(engine);
        const SceneModel model(engine);
        for (const double crank_deg : {0.0, 15.0, 345.0, 700.0}) {
          const Scene scene = model.compose(mechanism, nullptr, {.crank_deg = crank_deg, .labels = false});
          const Instance& piston = *of_part(scene, "piston No. 1")[0];
          for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
            const auto gap = CrownGap::make(*engine, kind);
            REQUIRE(gap.ok());
            const double axial_mm =
                gap->axial_mm(mechanism.valve_lift_mm(kind, 1, crank_deg), mechanism.piston_drop_mm(1, crank_deg));
            if (axial_mm < 0.01) continue;
            const Instance& valve = *of_part(scene, std::string(to_word(kind)) + " valve No. 1")[0];
            const glm::dvec3 axis(valve.placement[2]);
            double nearest_mm = 1e9;
            glm::dvec2 nearest{};
            const auto look = [&](glm::dvec2 out) {
              if (length2(out) > 15.0) out *= 15.0 / length2(out);
              const glm::dvec3 at(valve.placement * glm::dvec4(out, 0.0, 1.0));
              const double way_mm = way_to_mesh_mm(model.meshes()[piston.mesh], piston.placement, at, -axis);
              if (way_mm < nearest_mm) {
                nearest_mm = way_mm;
                nearest = out;
              }
            };
            for (const double share : {0.0, 0.4, 0.7, 0.9, 1.0})
              for (int i = 0; i < 48; ++i) look(share * 15.0 * unit_vector(turn_rad * i / 48));
            for (double step_mm = 2.0; step_mm > 1e-3; step_mm *= 0.6)
              for (int i = 0; i < 12; ++i) look(nearest + step_mm * unit_vector(turn_rad * i / 12));
            // A dome's facets lie a few hundredths within its ball, and the face is looked at in steps.
            CHECK_THAT(nearest_mm, WithinAbs(axial_mm, shape == CrownShape::domed ? 0.06 : 0.02));
          }
        }
      }
}

TEST_CASE("a crown less its pockets has the volume it should", "[gap]") {
  const CrownSizes sizes{.outside_mm = 40.0, .land_mm = 10.0, .core_mm = 30.0, .core_down_mm = 20.0, .flat_mm = 5.0};
  const auto volume_mm3 = [](const Mesh& mesh) {
    double sum = 0.0;
    for (std::size_t i = 0; i + 2 < mesh.indices.size(); i += 3) {
      const auto at = [&](std::size_t k) { return glm::dvec3(mesh.vertices[mesh.indices[i + k]].position_mm); };
      sum += glm::dot(at(0), glm::cross(at(1), at(2))) / 6.0;
    }
    return sum;
  };
  CrownSolid crown{.radius_mm = 40.0, .stated = {}, .pockets = {}};
  const double plain_mm3 = volume_mm3(crown_mesh(crown, sizes));
  CHECK_THAT(plain_mm3, WithinRel(pi * (1600.0 * 10.0 + 900.0 * 10.0), 0.002));
  // A cylinder cut slantwise by its own top holds what a straight one of its middle height does.
  const glm::dvec3 axis{sin_deg(10.0), cos_deg(10.0), 0.0};
  crown.pockets = {{-6.0 * axis, axis, 15.0}};
  CHECK_THAT(plain_mm3 - volume_mm3(crown_mesh(crown, sizes)), WithinRel(pi * 225.0 * 6.0, 0.003));
  // Two upright pockets that overlap, on one floor: twice a disc less the lens they share (a textbook's formula).
  crown.pockets = {{{-8.0, -4.0, 0.0}, {0, 1, 0}, 12.0}, {{8.0, -4.0, 0.0}, {0, 1, 0}, 12.0}};
  const double lens_mm2 = 2.0 * 144.0 * std::acos(8.0 / 12.0) - 16.0 / 2.0 * std::sqrt(4.0 * 144.0 - 256.0);
  CHECK_THAT(plain_mm3 - volume_mm3(crown_mesh(crown, sizes)), WithinRel(4.0 * (2.0 * pi * 144.0 - lens_mm2), 0.003));
  // A cap of a ball: pi h^2 (3 R - h) / 3.
  crown.pockets.clear();
  crown.stated = {.shape = CrownShape::domed, .height_mm = 6.0, .radius_mm = 30.0};
  const double ball_mm = crown.ball_radius_mm();
  CHECK_THAT(volume_mm3(crown_mesh(crown, sizes)) - plain_mm3,
             WithinRel(pi * 36.0 * (3.0 * ball_mm - 6.0) / 3.0, 0.004));
  crown.stated.shape = CrownShape::dished;
  CHECK_THAT(plain_mm3 - volume_mm3(crown_mesh(crown, sizes)), WithinRel(pi * 900.0 * 6.0, 0.002));
}

TEST_CASE("gaps are figured beside a dimension line as long as the gap drawn", "[gap]") {
  for (const testing::NamedEngine& named : testing::engines()) {
    if (!named.engine->inlet_valve) continue;
    INFO(named.name);
    const Mechanism mechanism = assembled(named.engine);
    const auto clearance = ClearanceModel::make(mechanism, {});
    REQUIRE(clearance.ok());
    const SceneModel model(named.engine);
    for (const double crank_deg : {0.0, 12.0, 350.0}) {
      SceneOptions options{.crank_deg = crank_deg};
      const Scene plain = model.compose(mechanism, nullptr, options);
      options.gaps = gap_figures(*clearance, mechanism, Target{}, crank_deg);
      const Scene scene = model.compose(mechanism, nullptr, options);
      CHECK(find_label(plain, "inlet gap") == nullptr);
      for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
        const double axial_mm = clearance->at(kind, crank_deg);
        const Label* label = find_label(scene, std::string(to_word(kind)) + " gap");
        CHECK((label != nullptr) == (axial_mm < greatest_gap_mm));
        if (label == nullptr) continue;
        CHECK(label->title == fmt::format("{}{:.2f} mm", axial_mm < 0.0 ? "\u2212" : "", std::fabs(axial_mm)));
        const double limit_mm =
            kind == ValveKind::inlet ? default_min_clearance_inlet_mm : default_min_clearance_exhaust_mm;
        const Tone clear = kind == ValveKind::inlet ? Tone::inlet : Tone::exhaust;
        CHECK(label->tone == (axial_mm < 0.0 ? Tone::bad : axial_mm < limit_mm ? Tone::warning : clear));
        const auto line = std::ranges::find_if(scene.strokes, [&](const Stroke& stroke) {
          return stroke.points_mm.size() == 2 &&
                 glm::distance((stroke.points_mm[0] + stroke.points_mm[1]) / 2.0, label->anchor_mm) < 1e-6;
        });
        REQUIRE(line != scene.strokes.end());
        CHECK(line->on_top); // whatever stands before it
        CHECK_THAT(glm::distance(line->points_mm[0], line->points_mm[1]), WithinAbs(std::max(axial_mm, 0.0), 0.03));
      }
    }
  }
}

TEST_CASE("sideways gaps are figured while a head is in its pocket, in the words asked for", "[gap]") {
  Engine deep = testing::leaning_engine();
  deep.inlet_valve->closed_height_mm = 0.2;
  const auto engine = testing::share(deep);
  const Mechanism mechanism = assembled(engine);
  const auto clearance = ClearanceModel::make(mechanism, {});
  REQUIRE(clearance.ok());
  const SceneModel model(engine);
  int seen = 0;
  for (double crank_deg = -20.0; crank_deg <= 20.0; crank_deg += 1.0) {
    SceneOptions options{.crank_deg = crank_deg};
    options.gaps = gap_figures(*clearance, mechanism, Target{}, crank_deg);
    options.length_words = [](double mm) { return fmt::format("{:.1f} thou", mm / 0.0254); };
    const Scene scene = model.compose(mechanism, nullptr, options);
    const auto gap = CrownGap::make(*engine, ValveKind::inlet);
    REQUIRE(gap.ok());
    const auto radial_mm =
        gap->radial_mm(mechanism.valve_lift_mm(ValveKind::inlet, 1, crank_deg), mechanism.piston_drop_mm(1, crank_deg));
    const Label* label = find_label(scene, "inlet sideways");
    CHECK((label != nullptr) == radial_mm.has_value());
    if (label == nullptr) continue;
    ++seen;
    CHECK(label->title == fmt::format("{:.1f} thou", *radial_mm / 0.0254));
    CHECK(label->figure == "inlet to its pocket's wall");
  }
  CHECK(seen > 0);
}
