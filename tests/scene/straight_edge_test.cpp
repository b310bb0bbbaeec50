// The straight-edge with its gap, and what stands behind the sprocket that has gone back for it.
#include "models.hpp"
#include "parts_of.hpp"

#include "geometry/angle.hpp"

#include <cmath>

using namespace phasewright;
using testing::of_part;
using testing::origin;
using testing::reach;

TEST_CASE("the straight-edge lies on one sprocket and stands off the other by the gap read", "[instruments]") {
  for (const testing::Modelled& one : testing::modelled()) {
    const auto& sprockets = one.engine().loops[0].sprockets;
    const auto cam = std::ranges::find_if(sprockets, [](const Sprocket& s) { return !s.camshaft.empty(); });
    if (cam == sprockets.end()) continue;
    for (const std::string& under : {std::string("crank"), cam->name})
      for (const GapReading& read : {GapReading{0.2, 0.2, under}, GapReading{0.1, 0.3, under}}) {
        INFO(one.name << " under " << under << " near " << read.near_mm);
        SceneOptions options;
        options.instruments.straight_edge = true;
        const Scene level = one.model.compose(one.mechanism, nullptr, options);
        options.instruments.gap = read;
        const Scene scene = one.model.compose(one.mechanism, nullptr, options);
        const double edge_mm = reach(one.model, scene, "straight-edge", {0, 0, 1})[0];
        const auto at = [&](const Scene& of, const std::string& name) {
          return reach(one.model, of, name + " sprocket", {0, 0, 1});
        };
        const std::string lies_on = under == "crank" ? cam->name : "crank";
        CHECK(at(scene, lies_on) == at(level, lies_on));
        CHECK(scene.confessions.empty());
        // Middle of the sprocket's axis: back by the mean.
        const Instance& was = *of_part(level, under + " sprocket")[0];
        const Instance& is = *of_part(scene, under + " sprocket")[0];
        const double back_mm = (read.near_mm + read.far_mm) / 2.0;
        const glm::dvec4 on_face{0.0, 0.0, edge_mm - origin(was).z, 1.0};
        CHECK_THAT((was.placement * on_face).z - (is.placement * on_face).z, WithinAbs(back_mm, 1e-9));
        // Out of square by the difference over the length that the straight-edge covers, from its end to as far on the
        // other side of the axis; further back away from the other sprocket.
        const glm::dvec3 along(of_part(scene, "straight-edge")[0]->placement[0]);
        const auto ends = reach(one.model, scene, "straight-edge", along);
        const glm::dvec2 stated_mm = under == "crank" ? glm::dvec2{0.0, 0.0} : cam->centre_mm;
        const double axis_mm = glm::dot(glm::dvec3(stated_mm, 0.0), along);
        const double covers_mm = 2.0 * (under == "crank" ? axis_mm - ends[0] : ends[1] - axis_mm);
        const double toward_other = under == "crank" ? 1.0 : -1.0;
        const glm::dvec3 square(is.placement[2]);
        CHECK_THAT(toward_other * glm::dot(square, along) / square.z * covers_mm,
                   WithinAbs(read.near_mm - read.far_mm, 1e-4));
        REQUIRE(testing::find_label(scene, "straight-edge gap") != nullptr);
        CHECK(testing::find_label(scene, "straight-edge gap")->title == "gap at the " + under);
        // The blade fills the gap at the near edge.
        const auto blade = reach(one.model, scene, "feeler blade", {0, 0, 1});
        CHECK_THAT(blade[1], WithinAbs(edge_mm, 1e-4));
        CHECK_THAT(blade[1] - blade[0], WithinAbs(read.near_mm, 1e-4));
        options.magnify_gaps = 10.0;
        const Scene larger = one.model.compose(one.mechanism, nullptr, options);
        REQUIRE_FALSE(larger.confessions.empty());
        const std::string confessed = larger.confessions.back();
        REQUIRE(confessed.starts_with("gap shown ×"));
        const double said = std::stod(confessed.substr(std::string("gap shown ×").size()));
        const auto larger_blade = reach(one.model, larger, "feeler blade", {0, 0, 1});
        CHECK_THAT((larger_blade[1] - larger_blade[0]) / read.near_mm, WithinRel(said, 0.06));
        CHECK(at(larger, under)[0] > reach(one.model, larger, "backing plate", {0, 0, 1})[1] - 1e-3);
      }
  }
}

TEST_CASE("a sprocket gone back for its gap stays clear of what stands behind it", "[instruments]") {
  std::size_t retained = 0;
  for (const testing::Modelled& one : testing::modelled()) {
    const auto& sprockets = one.engine().loops[0].sprockets;
    const auto cam = std::ranges::find_if(sprockets, [](const Sprocket& s) { return !s.camshaft.empty(); });
    if (cam == sprockets.end()) continue;
    const auto camshaft = std::ranges::find(one.engine().camshafts, cam->camshaft, &Camshaft::name);
    const std::string words =
        camshaft_words(one.engine(), static_cast<std::size_t>(camshaft - one.engine().camshafts.begin()));
    for (const GapReading& read : {GapReading{0.2, 0.2, cam->name}, GapReading{0.0, 0.6, cam->name}})
      for (const double times : {1.0, 10.0}) {
        INFO(one.name << " far " << read.far_mm << " times " << times);
        SceneOptions options;
        options.magnify_gaps = times;
        options.instruments.straight_edge = true;
        options.instruments.gap = read;
        const Scene scene = one.model.compose(one.mechanism, nullptr, options);
        const auto plates = of_part(scene, words + " retaining plate");
        if (plates.empty()) continue;
        ++retained;
        const auto disc_and_hub = of_part(scene, cam->name + " sprocket");
        REQUIRE(disc_and_hub.size() == 2);
        double hub_radius_mm = 0.0;
        std::array<double, 2> hub{1e300, -1e300};
        testing::each_vertex(one.model, *disc_and_hub[1], [&](glm::dvec3 point) {
          const glm::dvec2 from(point - origin(*plates[0]));
          hub_radius_mm = std::max(hub_radius_mm, std::hypot(from.x, from.y));
          hub = {std::min(hub[0], point.z), std::max(hub[1], point.z)};
        });
        double face_mm = -1e300; // of the plate under the hub
        double screws_mm = -1e300;
        testing::each_vertex(one.model, *plates[0], [&](glm::dvec3 point) {
          const glm::dvec2 from(point - origin(*plates[0]));
          if (std::hypot(from.x, from.y) < hub_radius_mm) face_mm = std::max(face_mm, point.z);
          screws_mm = std::max(screws_mm, point.z);
        });
        CHECK(hub[0] > face_mm);
        double disc_mm = 1e300;
        testing::each_vertex(one.model, *disc_and_hub[0],
                             [&](glm::dvec3 point) { disc_mm = std::min(disc_mm, point.z); });
        CHECK(disc_mm > screws_mm);
        // The boss runs against the plate and ends in the hub.
        const auto boss = reach(one.model, scene, words + " sprocket's boss", {0, 0, 1});
        CHECK(boss[0] > face_mm);
        CHECK(boss[1] > hub[0]);
        CHECK(boss[1] < hub[1]);
      }
  }
  CHECK(retained > 0);
}

TEST_CASE("the crank's sprocket gone back for its gap takes its shims with it", "[instruments]") {
  for (const testing::Modelled& one : testing::modelled()) {
    Fitted fitted = one.opened.build.fitted;
    fitted.shim_mm = {0.2, 0.3};
    const auto mechanism = Mechanism::assemble(one.opened.engine, fitted);
    REQUIRE(mechanism.ok());
    for (const double times : {1.0, 10.0}) {
      INFO(one.name << " times " << times);
      SceneOptions options;
      options.magnify_gaps = times;
      options.instruments.straight_edge = true;
      options.instruments.gap = GapReading{0.25, 0.25, "crank"};
      const Scene scene = one.model.compose(*mechanism, nullptr, options);
      const auto shims = reach(one.model, scene, "crank shim", {0, 0, 1});
      if (of_part(scene, "crank shim").empty()) { // another sprocket sits behind it
        CHECK(one.engine().loops.size() > 1);
        continue;
      }
      CHECK_THAT(shims[1], WithinAbs(reach(one.model, scene, "crank sprocket", {0, 0, 1})[0], 1e-4));
      CHECK_THAT(shims[0], WithinAbs(reach(one.model, scene, "crank shaft's shoulder", {0, 0, 1})[1], 1e-4));
      CHECK(shims[0] > reach(one.model, scene, "backing plate", {0, 0, 1})[1]);
      // As many times as large as the gap.
      const auto blade = reach(one.model, scene, "feeler blade", {0, 0, 1});
      CHECK_THAT((shims[1] - shims[0]) / 0.5, WithinAbs((blade[1] - blade[0]) / 0.25, 1e-3));
      CHECK(scene.confessions.size() == (times > 1.0 ? 2 : 0));
    }
  }
}
