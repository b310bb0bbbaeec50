#include "scene/model.hpp"
#include "scene/shapes.hpp"
#include "scene/triangulate.hpp"
#include "support/catch.hpp"

#include "engines.hpp"

#include <glm/geometric.hpp>

#include <cmath>
#include <map>
#include <tuple>
#include <utility>

using namespace phasewright;

namespace {

struct MeshFaults {
  int out_of_range = 0;
  int not_finite = 0;
  int not_unit = 0;
  int degenerate = 0;
  int inside_out = 0; // a normal that looks to the other side than its triangle
  int open_edges = 0; // an edge without its opposite
  double volume_mm3 = 0;
};

// Vertices at one place, told apart by the cell of a fine grid and its neighbours.
class Welder {
public:
  int id(glm::dvec3 p) {
    const auto cell = [](double v) { return static_cast<long long>(std::floor(v / cell_mm)); };
    for (long long dx = -1; dx <= 1; ++dx)
      for (long long dy = -1; dy <= 1; ++dy)
        for (long long dz = -1; dz <= 1; ++dz)
          if (const auto found = cells_.find({cell(p.x) + dx, cell(p.y) + dy, cell(p.z) + dz}); found != cells_.end())
            if (glm::length(found->second.first - p) < cell_mm) return found->second.second;
    cells_[{cell(p.x), cell(p.y), cell(p.z)}] = {p, next_};
    return next_++;
  }

private:
  static constexpr double cell_mm = 2e-4;
  std::map<std::tuple<long long, long long, long long>, std::pair<glm::dvec3, int>> cells_;
  int next_ = 0;
};

MeshFaults examine(const Mesh& mesh) {
  MeshFaults faults;
  for (const MeshVertex& vertex : mesh.vertices) {
    const glm::dvec3 p(vertex.position_mm);
    const glm::dvec3 n(vertex.normal);
    if (!(std::isfinite(glm::length(p)) && std::isfinite(glm::length(n))))
      ++faults.not_finite;
    else if (std::fabs(glm::length(n) - 1.0) > 1e-5)
      ++faults.not_unit;
  }
  Welder welder;
  std::vector<int> welded;
  for (const MeshVertex& vertex : mesh.vertices) welded.push_back(welder.id(glm::dvec3(vertex.position_mm)));
  std::map<std::pair<int, int>, int> edges;
  for (std::size_t i = 0; i + 2 < mesh.indices.size(); i += 3) {
    const std::uint32_t corner[] = {mesh.indices[i], mesh.indices[i + 1], mesh.indices[i + 2]};
    if (std::max({corner[0], corner[1], corner[2]}) >= mesh.vertices.size()) {
      ++faults.out_of_range;
      continue;
    }
    const auto at = [&](int k) { return glm::dvec3(mesh.vertices[corner[k]].position_mm); };
    const glm::dvec3 face = glm::cross(at(1) - at(0), at(2) - at(0));
    if (!(glm::length(face) > 1e-7)) ++faults.degenerate;
    for (int k = 0; k < 3; ++k) {
      if (glm::dot(face, glm::dvec3(mesh.vertices[corner[k]].normal)) < -1e-9) ++faults.inside_out;
      const int a = welded[corner[k]];
      const int b = welded[corner[(k + 1) % 3]];
      ++edges[{a, b}];
      --edges[{b, a}];
    }
    faults.volume_mm3 += glm::dot(at(0), glm::cross(at(1), at(2))) / 6.0;
  }
  for (const auto& [edge, count] : edges)
    if (count > 0) ++faults.open_edges;
  return faults;
}

void check_sound(const Mesh& mesh) {
  const MeshFaults faults = examine(mesh);
  CHECK(mesh.indices.size() >= 12);
  CHECK(mesh.indices.size() % 3 == 0);
  CHECK(faults.out_of_range == 0);
  CHECK(faults.not_finite == 0);
  CHECK(faults.not_unit == 0);
  CHECK(faults.degenerate == 0);
  CHECK(faults.inside_out == 0);
  CHECK(faults.open_edges == 0);
  CHECK(faults.volume_mm3 > 0.0);
}

} // namespace

TEST_CASE("every mesh of every layout is closed, the right way out and well formed", "[mesh]") {
  for (const testing::NamedEngine& named : testing::engines()) {
    const SceneModel model(named.engine);
    REQUIRE(model.meshes().size() > 10);
    for (std::size_t i = 0; i < model.meshes().size(); ++i) {
      INFO(named.name << ", mesh " << i);
      check_sound(model.meshes()[i]);
    }
  }
}

TEST_CASE("meshes of small and large sprockets are sound", "[mesh]") {
  for (const int teeth : {9, 13, 17, 25, 60, 100}) {
    Engine engine = testing::block_cam_engine();
    engine.loops[0].sprockets[0].teeth = teeth;
    engine.loops[0].sprockets[1].teeth = 2 * teeth;
    engine.loops[0].sprockets[0].mark = MarkOn::gap;
    engine.loops[0].sprockets[1].centre_mm = {0.0, 6.0 * teeth};
    const SceneModel model(testing::share(engine));
    for (std::size_t i = 0; i < model.meshes().size(); ++i) {
      INFO(teeth << " teeth, mesh " << i);
      check_sound(model.meshes()[i]);
    }
  }
}

TEST_CASE("the volume of simple solids", "[mesh]") {
  const double pi_ = 3.14159265358979323846;
  const int n = 90;
  // A regular prism of n sides.
  const double base_mm2 = 0.5 * n * std::sin(2.0 * pi_ / n) * 100.0;
  CHECK_THAT(examine(solid_cylinder(10.0, -2.0, 3.0, n)).volume_mm3, WithinRel(5.0 * base_mm2, 1e-5));
  CHECK_THAT(examine(extrude(circle({3, 4}, 10.0, n), {}, -2.0, 3.0)).volume_mm3, WithinRel(5.0 * base_mm2, 1e-5));
  const Outline holes[] = {reversed(circle({3, 4}, 5.0, n))};
  CHECK_THAT(examine(extrude(circle({3, 4}, 10.0, n), holes, 0.0, 1.0)).volume_mm3, WithinRel(0.75 * base_mm2, 1e-5));
  // Pappus: a torus of radii 10 and 1; fine sections come within half a percent.
  CHECK_THAT(examine(coil(10.0, 1.0, 0.0, 90, 40)).volume_mm3, WithinRel(2.0 * pi_ * pi_ * 10.0, 0.005));
}

TEST_CASE("triangles cover an outline less its holes", "[mesh]") {
  // A comb, which has many reflex corners, with two rows of holes in its back.
  Outline comb{{0, 0}};
  for (int i = 0; i < 20; ++i) {
    comb.push_back({i + 0.5, 0.0 - (i % 3)});
    comb.push_back({i + 0.9, 3.0});
  }
  comb.push_back({21, 0});
  comb.push_back({21, 10});
  comb.push_back({0, 10});
  std::vector<Outline> holes;
  for (int row = 0; row < 2; ++row)
    for (int i = 0; i < 9; ++i) holes.push_back(reversed(circle({1.6 + 2.2 * i, 5.0 + 2.4 * row}, 0.9, 7 + i)));
  std::vector<glm::dvec2> points(comb);
  double wanted = twice_area(comb);
  for (const Outline& hole : holes) {
    wanted += twice_area(hole);
    points.insert(points.end(), hole.begin(), hole.end());
  }
  double covered = 0.0;
  const auto triangles = triangulate(comb, holes);
  for (const auto& [a, b, c] : triangles) {
    const double area = twice_area({points[a], points[b], points[c]});
    CHECK(area > 0.0);
    covered += area;
  }
  CHECK_THAT(covered, WithinRel(wanted, 1e-12));
  // Euler: points + 2 (holes - 1).
  CHECK(triangles.size() == points.size() + 2 * holes.size() - 2);
}
