// The drive taken apart: what goes where, in which order, and what is written beside it.
#include "models.hpp"
#include "parts_of.hpp"

#include <fmt/format.h>

using namespace phasewright;
using testing::origin;

namespace {

struct Span {
  double low_mm = 1e300;
  double high_mm = -1e300;
};

// Along z, of every part whose name ends so; nothing when there is none.
std::optional<Span> span_of(const SceneModel& model, const Scene& scene, const std::string& ending) {
  Span span;
  for (const Instance& instance : scene.instances)
    if (scene.parts[instance.part].name.ends_with(ending))
      testing::each_vertex(model, instance, [&](glm::dvec3 point) {
        span = {std::min(span.low_mm, point.z), std::max(span.high_mm, point.z)};
      });
  return span.low_mm > span.high_mm ? std::nullopt : std::optional(span);
}

SceneOptions apart(double share) {
  SceneOptions options{.crank_deg = 33.0};
  options.nuts = true; // as they are shown when it is apart, so that scenes have the same instances
  options.apart = share;
  return options;
}

bool has(const std::string& name, const char* word) {
  return name.find(word) != std::string::npos;
}

Span of_material(const SceneModel& model, const Scene& scene, Material material) {
  Span span;
  for (const Instance& instance : scene.instances)
    if (instance.material == material)
      testing::each_vertex(model, instance, [&](glm::dvec3 point) {
        span = {std::min(span.low_mm, point.z), std::max(span.high_mm, point.z)};
      });
  return span;
}

} // namespace

TEST_CASE("parts go apart along their shafts in proportion and what they sit on stays", "[apart]") {
  for (const testing::Modelled& one : testing::modelled()) {
    INFO(one.name);
    const Scene together = one.model.compose(one.mechanism, nullptr, apart(0.0));
    const Scene half = one.model.compose(one.mechanism, nullptr, apart(0.5));
    const Scene fully = one.model.compose(one.mechanism, nullptr, apart(1.0));
    const Scene beyond = one.model.compose(one.mechanism, nullptr, apart(7.0));
    REQUIRE(together.instances.size() == fully.instances.size());
    REQUIRE(half.instances.size() == fully.instances.size());
    int gone = 0;
    for (std::size_t i = 0; i < fully.instances.size(); ++i) {
      const glm::dvec3 way = origin(fully.instances[i]) - origin(together.instances[i]);
      const std::string& name = fully.parts[fully.instances[i].part].name;
      INFO(name);
      CHECK(glm::distance(origin(half.instances[i]) - origin(together.instances[i]), way / 2.0) < 1e-9);
      CHECK(origin(beyond.instances[i]) == origin(fully.instances[i]));
      CHECK(way.z >= 0.0);
      if (!has(name, "key")) CHECK(std::hypot(way.x, way.y) < 1e-9);
      for (const char* stays : {"valve", "lobe", "crankshaft", "piston", "camshaft", "tappet", "rod"})
        if (has(name, stays)) CHECK(way.z == 0.0);
      if (name.ends_with(" shaft")) CHECK(way.z == 0.0);
      gone += way.z > 0.0 ? 1 : 0;
    }
    CHECK(gone > 2 * one.engine().loops[0].chain.links); // the chain at least
  }
}

TEST_CASE("one by one, no part goes before those that stand in its way", "[apart]") {
  for (const testing::Modelled& one : testing::modelled()) {
    INFO(one.name);
    const auto scene_at = [&](double share) {
      SceneOptions options = apart(share);
      options.one_by_one = true;
      return one.model.compose(one.mechanism, nullptr, options);
    };
    const Scene together = scene_at(0.0);
    const Scene fully = scene_at(1.0);
    const Scene in_proportion = one.model.compose(one.mechanism, nullptr, apart(1.0));
    REQUIRE(together.instances.size() == fully.instances.size());
    std::vector<double> before(together.instances.size(), 0.0);
    for (int step = 1; step < 20; ++step) {
      const Scene scene = scene_at(step / 20.0);
      REQUIRE(scene.instances.size() == fully.instances.size());
      std::vector<std::pair<double, double>> ways; // how far it goes in all, and which share of that it has gone
      for (std::size_t i = 0; i < scene.instances.size(); ++i) {
        const double all_mm = fully.instances[i].placement[3].z - together.instances[i].placement[3].z;
        const double gone_mm = scene.instances[i].placement[3].z - together.instances[i].placement[3].z;
        REQUIRE(gone_mm >= before[i] - 1e-9);
        before[i] = gone_mm;
        if (all_mm > 1e-6) ways.emplace_back(all_mm, gone_mm / all_mm);
      }
      std::ranges::sort(ways);
      for (std::size_t i = 1; i < ways.size(); ++i)
        if (ways[i].first > ways[i - 1].first + 1e-6) REQUIRE(ways[i].second >= ways[i - 1].second - 1e-9);
      if (step == 5) REQUIRE(ways.back().second > ways.front().second + 0.5); // the last has hardly set off
    }
    for (std::size_t i = 0; i < fully.instances.size(); ++i)
      CHECK(fully.instances[i].placement == in_proportion.instances[i].placement);
  }
}

TEST_CASE("apart each kind of part stands clear in front of those that go on before it", "[apart]") {
  for (const testing::Modelled& one : testing::modelled()) {
    const Scene scene = one.model.compose(one.mechanism, nullptr, apart(1.0));
    std::vector<std::pair<std::string, Span>> order;
    order.emplace_back("plate", of_material(one.model, scene, Material::plate));
    order.emplace_back("keys", of_material(one.model, scene, Material::key_steel));
    if (one.engine().loops.size() == 1) {
      order.emplace_back("sprockets", *span_of(one.model, scene, " sprocket"));
      order.emplace_back("chain", of_material(one.model, scene, Material::chain_roller));
      if (const auto rails = span_of(one.model, scene, "tensioner")) order.emplace_back("tensioner", *rails);
    } else {
      order.emplace_back("sprockets and chains", *span_of(one.model, scene, " sprocket"));
    }
    Span tabs, nuts;
    for (const Instance& instance : scene.instances) {
      if (!scene.parts[instance.part].name.ends_with(" nut")) continue;
      Span& span = instance.material == Material::spring ? tabs : nuts;
      testing::each_vertex(one.model, instance, [&](glm::dvec3 point) {
        span = {std::min(span.low_mm, point.z), std::max(span.high_mm, point.z)};
      });
    }
    order.emplace_back("lock tabs", tabs);
    order.emplace_back("nuts", nuts);
    for (std::size_t i = 1; i < order.size(); ++i) {
      INFO(one.name << ": " << order[i - 1].first << " before " << order[i].first);
      CHECK(order[i].second.low_mm > order[i - 1].second.high_mm + 3.0);
    }
  }
}

TEST_CASE("a loop that stands further back goes on before the one in front of it", "[apart]") {
  int seen = 0;
  for (const testing::Modelled& one : testing::modelled()) {
    if (one.engine().loops.size() < 2) continue;
    ++seen;
    const Scene together = one.model.compose(one.mechanism, nullptr, apart(0.0));
    const Scene fully = one.model.compose(one.mechanism, nullptr, apart(1.0));
    std::vector<std::pair<double, double>> planes; // as assembled, and apart
    for (std::size_t i = 0; i < fully.instances.size(); ++i)
      if (fully.instances[i].material == Material::chain_roller)
        planes.emplace_back(origin(together.instances[i]).z, origin(fully.instances[i]).z);
    for (const auto& [from_a, to_a] : planes)
      for (const auto& [from_b, to_b] : planes) {
        if (from_a < from_b && !(to_a < to_b)) FAIL(one.name);
        if (from_a == from_b && to_a != to_b) FAIL(one.name);
      }
    CHECK(std::ranges::any_of(planes, [&](const auto& plane) { return plane.first != planes[0].first; }));
  }
  CHECK(seen > 0);
}

TEST_CASE("apart the labels count the parts in the order of assembly", "[apart]") {
  for (const testing::Modelled& one : testing::modelled()) {
    INFO(one.name);
    for (const double share : {0.01, 0.4, 1.0}) {
      const Scene scene = one.model.compose(one.mechanism, nullptr, apart(share));
      testing::check_sound(one.model, scene);
      REQUIRE(scene.labels.size() > 5);
      const Box box = one.model.drive_box(share);
      int number = 0;
      double z_mm = -1e300;
      for (const Label& label : scene.labels) {
        CHECK(label.title.starts_with(fmt::format("{}  ", ++number)));
        for (int axis = 0; axis < 3; ++axis) {
          CHECK(label.anchor_mm[axis] >= box.low_mm[axis] - 1e-9);
          CHECK(label.anchor_mm[axis] <= box.high_mm[axis] + 1e-9);
        }
        // Further on the shaft than what goes on before; together parts stand within one another.
        if (share == 1.0) CHECK(label.anchor_mm.z > z_mm - 25.0);
        z_mm = std::max(z_mm, label.anchor_mm.z);
      }
      CHECK(scene.labels.front().title == "1  backing plate");
      CHECK(scene.labels.back().title.ends_with(" nut"));
      // One line along each shaft, from behind the plate to in front of the nuts.
      int lines = 0;
      for (const Stroke& stroke : scene.strokes)
        if (stroke.style == StrokeStyle::dashed && stroke.tone == Tone::ink &&
            stroke.points_mm[0].x == stroke.points_mm[1].x && stroke.points_mm[0].y == stroke.points_mm[1].y)
          ++lines;
      const auto nuts = std::ranges::count_if(scene.parts, [](const PartInfo& part) {
        return part.name.ends_with(" nut") || part.name.ends_with(" spindle");
      });
      CHECK(lines == nuts);
    }
    SceneOptions bare = apart(1.0);
    bare.labels = false;
    CHECK(one.model.compose(one.mechanism, nullptr, bare).labels.empty());
  }
}

TEST_CASE("the views' boxes hold the drive however far apart it is", "[apart]") {
  for (const testing::Modelled& one : testing::modelled()) {
    INFO(one.name);
    for (const double share : {0.3, 1.0}) {
      SceneOptions options = apart(share);
      options.engine_parts = false;
      const Scene scene = one.model.compose(one.mechanism, nullptr, options);
      const Box box = one.model.drive_box(share);
      const Box whole = one.model.whole_box(share);
      std::size_t outside = 0;
      for (const Instance& instance : scene.instances)
        testing::each_vertex(one.model, instance, [&](glm::dvec3 point) {
          if (point.z > box.high_mm.z + 1e-4 || point.z < box.low_mm.z - 1e-4) ++outside;
        });
      CHECK(outside == 0);
      CHECK(whole.high_mm.z == box.high_mm.z);
      CHECK(box.high_mm.z > one.model.drive_box().high_mm.z);
    }
    for (const std::optional<std::size_t> camshaft : {std::optional<std::size_t>{0}, std::optional<std::size_t>{}})
      CHECK(one.model.key_box(camshaft, 1.0).high_mm.z > one.model.key_box(camshaft).high_mm.z);
  }
}
