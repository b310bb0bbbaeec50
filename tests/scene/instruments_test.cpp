// Shims, retaining plates and the builder's instruments, against the mechanics' own figures.
#include "models.hpp"
#include "parts_of.hpp"

#include "geometry/angle.hpp"
#include "scene/camera.hpp"
#include "scene/section.hpp"
#include "scene/shapes.hpp"

#include <fmt/format.h>

#include <numeric>

using namespace phasewright;
using testing::find_label;
using testing::of_part;
using testing::origin;
using testing::reach;

namespace {

SceneInstruments all_of_them() {
  SceneInstruments all;
  all.straight_edge = all.dial_at_end = all.dial_at_valve = all.wheel = all.stop = true;
  return all;
}

std::size_t triangles(const SceneModel& model, const Scene& scene) {
  std::size_t count = 0;
  for (const Instance& instance : scene.instances) count += model.meshes()[instance.mesh].indices.size() / 3;
  return count;
}

} // namespace

TEST_CASE("each instrument is there when it is asked for and not otherwise", "[instruments]") {
  for (const testing::Modelled& one : testing::modelled()) {
    INFO(one.name);
    const Scene bare = one.model.compose(one.mechanism, nullptr, {.crank_deg = 20.0});
    struct Case {
      bool SceneInstruments::*wanted;
      const char* part;
      const char* label;
    };
    for (const Case& c :
         {Case{&SceneInstruments::straight_edge, "straight-edge", "straight-edge"},
          Case{&SceneInstruments::wheel, "degree wheel", "wheel"}, Case{&SceneInstruments::stop, "piston stop", "stop"},
          Case{&SceneInstruments::dial_at_valve, "dial on the inlet valve", "dial valve"}}) {
      INFO(c.part);
      CHECK(of_part(bare, c.part).empty());
      CHECK(find_label(bare, c.label) == nullptr);
      SceneOptions options{.crank_deg = 20.0};
      options.instruments.*c.wanted = true;
      const Scene scene = one.model.compose(one.mechanism, nullptr, options);
      CHECK_FALSE(of_part(scene, c.part).empty());
      CHECK(find_label(scene, c.label) != nullptr);
      options.apart = 0.5; // nothing to set them up on
      CHECK(of_part(one.model.compose(one.mechanism, nullptr, options), c.part).empty());
    }
    SceneOptions options{.crank_deg = 20.0};
    options.instruments = all_of_them();
    options.magnify_gaps = 10.0;
    options.instruments.gap = GapReading{0.3, 0.34, "crank"};
    const Scene scene = one.model.compose(one.mechanism, nullptr, options);
    testing::check_sound(one.model, scene);
    CHECK(triangles(one.model, scene) < triangles(one.model, bare) + 8000);
  }
}

TEST_CASE("the demo with all its instruments stays a modest scene", "[instruments]") {
  for (const testing::Modelled& one : testing::modelled()) {
    if (one.name != "sandling-14.build.toml") continue;
    SceneOptions options{.crank_deg = 20.0};
    options.instruments = all_of_them();
    CHECK(triangles(one.model, one.model.compose(one.mechanism, nullptr, options)) < 80000);
  }
}

TEST_CASE("shims are as thick as they are or as the picture confesses", "[instruments]") {
  const testing::Modelled& one = testing::modelled().front();
  Fitted fitted = one.opened.build.fitted;
  CHECK(of_part(one.model.compose(one.mechanism, nullptr, {}), "crank shim").empty());
  for (const std::vector<double>& pieces : {std::vector{0.2}, std::vector{0.05, 0.1, 0.25}, std::vector{1.5, 1.5}}) {
    fitted.shim_mm = pieces;
    const auto mechanism = Mechanism::assemble(one.opened.engine, fitted);
    REQUIRE(mechanism.ok());
    const double sum_mm = std::accumulate(pieces.begin(), pieces.end(), 0.0);
    SceneOptions options;
    const Scene truly = one.model.compose(*mechanism, nullptr, options);
    auto span = reach(one.model, truly, "crank shim", {0, 0, 1});
    CHECK_THAT(span[1] - span[0], WithinAbs(sum_mm, 1e-4));
    CHECK(truly.confessions.empty());
    const auto hub = reach(one.model, truly, "crank sprocket", {0, 0, 1});
    CHECK_THAT(span[1], WithinAbs(hub[0], 1e-3)); // against the hub's back
    const auto parts = std::ranges::count(truly.parts, "crank shim", &PartInfo::name);
    CHECK(parts == static_cast<std::ptrdiff_t>(pieces.size()));
    options.magnify_gaps = 10.0;
    const Scene larger = one.model.compose(*mechanism, nullptr, options);
    span = reach(one.model, larger, "crank shim", {0, 0, 1});
    REQUIRE(larger.confessions.size() == 1);
    CHECK(larger.confessions[0].starts_with("shims shown ×"));
    const double said = std::stod(larger.confessions[0].substr(std::string("shims shown ×").size()));
    CHECK_THAT((span[1] - span[0]) / sum_mm, WithinRel(said, 0.06)); // as far as two digits tell
    CHECK(span[0] > reach(one.model, larger, "backing plate", {0, 0, 1})[1] - 1e-4);
  }
}

TEST_CASE("a retaining plate leaves its camshaft the end float that is known", "[instruments]") {
  for (const testing::Modelled& one : testing::modelled()) {
    INFO(one.name);
    SceneOptions options;
    options.camshaft = 0;
    options.instruments.dial_at_end = true;
    options.instruments.end_float_mm = 0.12;
    for (const double times : {1.0, 10.0}) {
      options.magnify_gaps = times;
      const Scene scene = one.model.compose(one.mechanism, nullptr, options);
      const std::string cam = camshaft_words(one.engine(), 0);
      const auto plates = of_part(scene, cam + " retaining plate");
      const auto bosses = of_part(scene, cam + " sprocket's boss");
      if (plates.empty()) { // another sprocket sits behind it
        CHECK(one.engine().loops.size() > 1);
        continue;
      }
      REQUIRE(bosses.size() == 1);
      double face_mm = -1e300; // of the plate beside its screws
      testing::each_vertex(one.model, *plates[0], [&](glm::dvec3 point) {
        const glm::dvec2 from(point - origin(*plates[0]));
        if (std::hypot(from.x, from.y) < one.engine().cam_seats.begin()->second.diameter_mm / 2.0 + 3.0)
          face_mm = std::max(face_mm, point.z);
      });
      const double gap_mm = origin(*bosses[0]).z - face_mm;
      CHECK(gap_mm > 0.0);
      const auto confessed = std::ranges::find_if(
          scene.confessions, [](const std::string& words) { return words.starts_with("end float shown ×"); });
      CHECK((confessed != scene.confessions.end()) == (times > 1.0));
      const double said = times > 1.0 ? std::stod(confessed->substr(std::string("end float shown ×").size())) : 1.0;
      CHECK_THAT(gap_mm / 0.12, WithinRel(said, 0.06));
      // Every boss stands out of its hub to its plate, also of camshafts on which no dial is.
      for (std::size_t k = 0; k < one.engine().camshafts.size(); ++k) {
        const auto boss = reach(one.model, scene, camshaft_words(one.engine(), k) + " sprocket's boss", {0, 0, 1});
        if (boss[0] > boss[1]) continue; // it has none
        for (const Loop& loop : one.engine().loops)
          for (const Sprocket& sprocket : loop.sprockets)
            if (sprocket.camshaft == one.engine().camshafts[k].name)
              CHECK(boss[0] < reach(one.model, scene, sprocket.name + " sprocket", {0, 0, 1})[0] - 0.2);
      }
      CHECK(find_label(scene, "dial end")->figure == "end float 0.12 mm");
    }
  }
}

TEST_CASE("the wheel shows the crank's angle at its pointer and rises as the crank runs", "[instruments]") {
  for (const testing::Modelled& one : testing::modelled()) {
    const double sign = one.engine().rotation == Rotation::clockwise ? 1.0 : -1.0;
    double before_deg = 0.0;
    for (const double zero_deg : {0.0, -2.5}) {
      for (const double crank_deg : {0.0, 33.0, 350.0, 400.0}) {
        INFO(one.name << " at " << crank_deg);
        SceneOptions options{.crank_deg = crank_deg};
        options.instruments.wheel = true;
        options.instruments.wheel_zero_deg = zero_deg;
        const Scene scene = one.model.compose(one.mechanism, nullptr, options);
        const glm::dvec3 tip = find_label(scene, "wheel")->anchor_mm;
        const double pointer_deg = degrees(std::atan2(tip.x, tip.y));
        for (int graduation = 0; graduation < 360; graduation += 90) {
          const Label* label = find_label(scene, fmt::format("wheel {}", graduation));
          REQUIRE(label != nullptr);
          CHECK(label->title == fmt::format("{}°", graduation));
          // What is at the pointer is what the wheel shows: it rises as the crank runs, so graduations stand the other
          // way round.
          const double clock_deg = degrees(std::atan2(label->anchor_mm.x, label->anchor_mm.y));
          const double at_pointer_deg = graduation + sign * (clock_deg - pointer_deg);
          CHECK_THAT(wrap_180(at_pointer_deg - crank_deg - zero_deg), WithinAbs(0.0, 1e-9));
        }
        CHECK(find_label(scene, "wheel")->title == fmt::format("wheel shows {:.1f}°", wrap_360(crank_deg + zero_deg)));
        // Its mesh goes with the crank.
        const glm::dmat4& wheel = of_part(scene, "degree wheel")[0]->placement;
        const double stands_deg = degrees(std::atan2(wheel[1].x, wheel[1].y));
        if (crank_deg == 0.0) before_deg = stands_deg;
        CHECK_THAT(wrap_180(stands_deg - before_deg - sign * crank_deg), WithinAbs(0.0, 1e-9));
      }
    }
    SceneOptions options;
    options.instruments.wheel = true;
    std::size_t strokes = one.model.compose(one.mechanism, nullptr, options).strokes.size();
    options.instruments.wheel = false;
    strokes -= one.model.compose(one.mechanism, nullptr, options).strokes.size();
    CHECK(strokes == 36); // one each ten degrees
  }
}

TEST_CASE("the dial's plunger stays on the retainer and its needle shows the lift", "[instruments]") {
  for (const testing::Modelled& one : testing::modelled()) {
    INFO(one.name);
    SceneOptions options;
    options.instruments.dial_at_valve = true;
    for (const double crank_deg : {0.0, 100.0, 440.0, 470.0}) {
      options.crank_deg = crank_deg;
      const Scene scene = one.model.compose(one.mechanism, nullptr, options);
      const auto dial = of_part(scene, "dial on the inlet valve");
      REQUIRE(dial.size() == 4); // case, face, plunger, needle
      const Pose pose = one.mechanism.pose(crank_deg, Turning::forward);
      const auto valve = std::ranges::find_if(
          pose.valves, [](const ValvePose& v) { return v.valve == ValveKind::inlet && v.cylinder == 1; });
      REQUIRE(valve != pose.valves.end());
      const double gone_mm = glm::distance(origin(*dial[2]), origin(*dial[0]));
      CHECK_THAT(gone_mm, WithinAbs(valve->lift_mm, 1e-9));
      CHECK(glm::dot(origin(*dial[2]) - origin(*dial[0]), glm::dvec3(dial[0]->placement[2])) <= 1e-9);
      // A turn of the needle is a millimetre: from 12 in the plane of the face.
      const glm::dvec3 up(dial[0]->placement[2]);
      const double turned = std::acos(std::clamp(glm::dot(glm::dvec3(dial[3]->placement[1]), up), -1.0, 1.0));
      CHECK_THAT(std::cos(turned), WithinAbs(std::cos(turn_rad * valve->lift_mm), 1e-6));
      CHECK(find_label(scene, "dial valve")->figure == fmt::format("shows {:.2f} mm", valve->lift_mm));
    }
  }
}

TEST_CASE("the piston meets its stop where the wheel was read and the stop is never in the piston", "[instruments]") {
  for (const testing::Modelled& one : testing::modelled()) {
    for (const double stop_deg : {20.0, 45.0}) {
      SceneOptions options;
      options.instruments.stop = true;
      options.instruments.stop_deg = stop_deg;
      const auto tip_and_crown = [&](double crank_deg) {
        options.crank_deg = crank_deg;
        const Scene scene = one.model.compose(one.mechanism, nullptr, options);
        const auto stop = of_part(scene, "piston stop");
        REQUIRE(stop.size() == 2);
        const glm::dvec3 along(stop[0]->placement[2]);
        const auto piston = of_part(scene, "piston No. 1");
        double crown_mm = -1e300; // the highest: a dome may stand over what is under the stop
        testing::each_vertex(one.model, *piston[0],
                             [&](glm::dvec3 point) { crown_mm = std::max(crown_mm, glm::dot(point, along)); });
        return std::pair{glm::dot(origin(*stop[0]), along), crown_mm};
      };
      INFO(one.name << " at " << stop_deg);
      const auto [tip_mm, crown_mm] = tip_and_crown(stop_deg);
      if (one.engine().block.crown.shape == CrownShape::flat && one.engine().block.pin_offset_mm == 0.0)
        CHECK_THAT(tip_mm, WithinAbs(crown_mm, 1e-4));
      for (const double crank_deg : {0.0, 10.0, 30.0, 90.0, 355.0, 700.0}) {
        const auto [tip, crown] = tip_and_crown(crank_deg);
        if (one.engine().block.crown.shape == CrownShape::flat) CHECK(tip > crown - 1e-4);
        CHECK(tip >= tip_mm - 1e-9);
      }
    }
  }
}

TEST_CASE("views with instruments hold them", "[instruments]") {
  for (const testing::Modelled& one : testing::modelled()) {
    INFO(one.name);
    const glm::dvec2 size_px{900, 700};
    SceneOptions options;
    options.instruments = all_of_them();
    const Scene scene = one.model.compose(one.mechanism, nullptr, options);
    CloseUp of;
    of.instruments = options.instruments;
    const Camera camera = frame_view(one.model, NamedView::whole, size_px, 24, of);
    std::size_t outside = 0;
    for (const Instance& instance : scene.instances) {
      const std::string& name = scene.parts[instance.part].name;
      if (!name.starts_with("dial") && name != "degree wheel" && name != "piston stop" && name != "straight-edge")
        continue;
      testing::each_vertex(one.model, instance, [&](glm::dvec3 point) {
        const auto pixel = camera.project(point, size_px);
        if (!pixel || pixel->x < 0.0 || pixel->y < 0.0 || pixel->x > size_px.x || pixel->y > size_px.y) ++outside;
      });
    }
    CHECK(outside == 0);
  }
}
