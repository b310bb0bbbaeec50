// Meshes and keyways cut through, and the clock face about a keyway.
#include "models.hpp"
#include "parts_of.hpp"

#include "geometry/angle.hpp"
#include "scene/section.hpp"
#include "scene/shapes.hpp"

#include <fmt/format.h>

#include <map>

using namespace phasewright;
using testing::of_part;
using testing::origin;

namespace {

// By the divergence of place: right only for a mesh that is closed.
double volume_mm3(const Mesh& mesh) {
  double sum = 0.0;
  for (std::size_t t = 0; t < mesh.indices.size(); t += 3) {
    const auto at = [&](std::size_t i) { return glm::dvec3(mesh.vertices[mesh.indices[t + i]].position_mm); };
    sum += glm::dot(at(0), glm::cross(at(1), at(2)));
  }
  return sum / 6.0;
}

// Of all triangles' areas as vectors nothing is left where a mesh is closed.
double open_mm2(const Mesh& mesh) {
  glm::dvec3 sum{};
  for (std::size_t t = 0; t < mesh.indices.size(); t += 3) {
    const auto at = [&](std::size_t i) { return glm::dvec3(mesh.vertices[mesh.indices[t + i]].position_mm); };
    sum += glm::cross(at(1) - at(0), at(2) - at(0)) / 2.0;
  }
  return glm::length(sum);
}

} // namespace

TEST_CASE("a solid cut through is two closed halves that make it up", "[section]") {
  const Outline hole[] = {reversed(circle({0, 0}, 4.0, 32))};
  const Outline aside[] = {reversed(circle({0.0, 6.0}, 2.0, 32))};
  struct Solid {
    Mesh mesh;
    double cut_mm2; // by the plane x = 0
  };
  for (const auto& [mesh, cut_mm2] :
       {Solid{solid_cylinder(10.0, -2.0, 3.0, 48), 20.0 * 5.0},
        Solid{extrude(circle({0, 0}, 10.0, 48), hole, 0.0, 5.0, 0.4), (20.0 - 8.0) * 5.0}, // less its bevels
        Solid{extrude(slotted_circle(10.0, 4.0, 7.0, 40), {}, 0.0, 6.0), (10.0 + 7.0) * 6.0},
        Solid{extrude(circle({0, 0}, 12.0, 48), aside, -1.0, 1.0), (24.0 - 4.0) * 2.0}}) {
    double halves = 0.0;
    for (const CutAway away : {CutAway::left, CutAway::right}) {
      const Section section = cut_through(mesh, away, 45.0, 1.0);
      CHECK_THAT(open_mm2(section.mesh), WithinAbs(0.0, 1e-3));
      halves += volume_mm3(section.mesh);
      CHECK(section.hatching.size() > 4);
      for (const MeshVertex& vertex : section.mesh.vertices)
        CHECK((away == CutAway::right ? vertex.position_mm.x < 0.021f : vertex.position_mm.x > -0.021f));
      for (const auto& line : section.hatching)
        for (const glm::dvec3 end : line) CHECK(std::fabs(end.x) < 0.1);
    }
    // The planes stand 0.02 mm off, so that both halves hold what is between them.
    CHECK_THAT(halves, WithinRel(volume_mm3(mesh) + 0.04 * cut_mm2, 1e-5));
  }
}

TEST_CASE("a section goes through the keyway and leaves what stands behind the cut", "[section]") {
  for (const testing::Modelled& one : testing::modelled()) {
    for (const std::optional<std::size_t> camshaft : {std::optional<std::size_t>{0}, std::optional<std::size_t>{}}) {
      for (const double crank_deg : {0.0, 70.0, 200.0}) {
        INFO(one.name << " at " << crank_deg << (camshaft ? " cam" : " crank"));
        SceneOptions options{.crank_deg = crank_deg};
        options.camshaft = camshaft;
        const Scene whole = one.model.compose(one.mechanism, nullptr, options);
        options.section = true;
        const Scene scene = one.model.compose(one.mechanism, nullptr, options);
        testing::check_sound(one.model, scene);
        REQUIRE(scene.confessions.size() == whole.confessions.size() + 1);
        CHECK(scene.confessions.back().starts_with("section: "));
        CHECK(scene.strokes.size() > whole.strokes.size() + 10);
        CHECK(scene.instances.size() < whole.instances.size());
        // Nothing of shaft, hub and key stands before the cut; the view looks at it.
        const auto look = one.model.section_view(one.mechanism, options);
        const glm::dvec3 eye{sin_deg(look.yaw_deg) * cos_deg(look.pitch_deg), sin_deg(look.pitch_deg),
                             cos_deg(look.yaw_deg) * cos_deg(look.pitch_deg)};
        const glm::dvec2 toward = glm::normalize(glm::dvec2(eye));
        CHECK(toward.y >= -1e-9);
        const std::string shaft = camshaft ? camshaft_words(one.engine(), 0) : "crank";
        std::size_t cut = 0;
        for (std::size_t i = 0; i < scene.instances.size(); ++i) {
          const Instance& instance = scene.instances[i];
          if (instance.material != Material::key_steel || !scene.parts[instance.part].name.starts_with(shaft + " key"))
            continue;
          ++cut;
          // Its own step turns the hub half's cut by the key's angle.
          const double lean_mm = 3.0;
          testing::each_vertex(one.model, instance, [&](glm::dvec3 point) {
            CHECK(glm::dot(glm::dvec2(point - origin(instance)), toward) < lean_mm * 0.3 + 0.01);
          });
        }
        CHECK(cut == 2);
      }
    }
  }
}

TEST_CASE("every mesh that is cut is closed again", "[section]") {
  // All meshes of a model, the cut ones among them.
  for (const testing::Modelled& one : testing::modelled())
    for (std::size_t i = 0; i < one.model.meshes().size(); ++i) {
      INFO(one.name << ", mesh " << i);
      CHECK(open_mm2(one.model.meshes()[i]) < 0.05);
    }
}

TEST_CASE("the clock face has twelve hours and tells the keyway's", "[section]") {
  for (const testing::Modelled& one : testing::modelled())
    for (const double crank_deg : {0.0, 15.0, 100.0, 345.0}) {
      INFO(one.name << " at " << crank_deg);
      SceneOptions options{.crank_deg = crank_deg};
      const Scene without = one.model.compose(one.mechanism, nullptr, options);
      options.clock_face = true;
      const Scene scene = one.model.compose(one.mechanism, nullptr, options);
      testing::check_sound(one.model, scene);
      const auto label = std::ranges::find_if(scene.labels, [](const Label& l) { return l.key == "clock crank"; });
      REQUIRE(label != scene.labels.end());
      CHECK(std::ranges::none_of(without.labels, [](const Label& l) { return l.key == "clock crank"; }));
      const double sign = one.engine().rotation == Rotation::clockwise ? 1.0 : -1.0;
      const double clock_deg = wrap_180(one.engine().crank_seat.key_clock_deg + sign * crank_deg);
      if (std::fabs(clock_deg) < 0.05)
        CHECK(label->figure == "straight up");
      else
        CHECK(label->figure == fmt::format("{:.1f}° {} 12", std::fabs(clock_deg), clock_deg > 0.0 ? "past" : "before"));
      CHECK(label->title.starts_with("keyway at "));
      // Ring, twelve ticks, two hands, and the arc unless it points straight up.
      const std::size_t more = std::fabs(clock_deg) > 0.01 ? 1 : 0;
      CHECK(scene.strokes.size() - without.strokes.size() == 15 + more);
    }
}
