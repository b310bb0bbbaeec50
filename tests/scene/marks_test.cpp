// What is written and drawn over the scene: gaps under their limits, hidden ghosts, units, and the seats beside them.
#include "scene/gap_figures.hpp"
#include "scene/model.hpp"
#include "support/catch.hpp"

#include "engines.hpp"
#include "parts_of.hpp"

#include <fmt/format.h>
#include <glm/geometric.hpp>

#include <algorithm>
#include <cmath>

using namespace phasewright;
using testing::of_part;

namespace {

Mechanism assembled(const std::shared_ptr<const Engine>& engine, const Fitted& fitted = {}) {
  auto mechanism = Mechanism::assemble(engine, fitted);
  INFO((mechanism ? std::string() : to_text(mechanism.problems())));
  REQUIRE(mechanism.ok());
  return *mechanism;
}

const Label* find_label(const Scene& scene, const std::string& key) {
  const auto found = std::ranges::find_if(scene.labels, [&](const Label& label) { return label.key == key; });
  return found == scene.labels.end() ? nullptr : &*found;
}

GapFigure figure(double axial_mm, std::optional<double> radial_mm = std::nullopt) {
  return {.axial_mm = axial_mm, .axial_limit_mm = 2.0, .radial_mm = radial_mm, .radial_limit_mm = 1.0};
}

} // namespace

TEST_CASE("a gap under its limit and valves that meet are told in words and in tones of their own", "[gap]") {
  const auto engine = testing::share(testing::leaning_engine());
  const Mechanism mechanism = assembled(engine);
  const SceneModel model(engine);
  struct Case {
    double axial_mm;
    double radial_mm;
    std::string axial, radial;
    Tone axial_tone, radial_tone;
  };
  for (const Case& c : {Case{2.0, 1.0, "inlet to piston", "inlet to its pocket's wall", Tone::inlet, Tone::inlet},
                        Case{1.99, 0.99, "inlet to piston: under 2.00 mm", "inlet to its pocket's wall: under 1.00 mm",
                             Tone::warning, Tone::warning},
                        Case{0.0, 0.0, "inlet to piston: under 2.00 mm", "inlet to its pocket's wall: under 1.00 mm",
                             Tone::warning, Tone::warning},
                        Case{-0.01, -0.2, "inlet to piston: they meet", "inlet to its pocket's wall: they meet",
                             Tone::bad, Tone::bad}}) {
    INFO(c.axial_mm);
    SceneOptions options{.crank_deg = 0.0};
    options.gaps[0] = figure(c.axial_mm, c.radial_mm);
    const Scene scene = model.compose(mechanism, nullptr, options);
    const Label* axial = find_label(scene, "inlet gap");
    const Label* radial = find_label(scene, "inlet sideways");
    REQUIRE(axial != nullptr);
    REQUIRE(radial != nullptr);
    CHECK(axial->figure == c.axial);
    CHECK(axial->tone == c.axial_tone);
    CHECK(radial->figure == c.radial);
    CHECK(radial->tone == c.radial_tone);
    CHECK(find_label(scene, "exhaust gap") == nullptr);
    // All that is drawn for a gap is seen through what stands before it; nothing else is.
    const Scene plain = model.compose(mechanism, nullptr, {.crank_deg = 0.0});
    CHECK(std::ranges::none_of(plain.strokes, &Stroke::on_top));
    CHECK(std::ranges::count_if(scene.strokes, &Stroke::on_top) + static_cast<std::ptrdiff_t>(plain.strokes.size()) ==
          static_cast<std::ptrdiff_t>(scene.strokes.size()));
    CHECK(scene.strokes.size() > plain.strokes.size());
  }
}

TEST_CASE("a ghost that comes too near is outlined through what hides it, and figured", "[gap]") {
  const auto engine = testing::share(testing::block_cam_engine());
  const Mechanism planned = assembled(engine);
  const Mechanism present = assembled(engine, testing::fitted(3, 0.0, 0.0));
  const auto clearance = ClearanceModel::make(present, {});
  REQUIRE(clearance.ok());
  const SceneModel model(engine);
  // Where the present inlet valve is deepest in the piston.
  double deepest_mm = 1e9;
  double at_deg = 0.0;
  for (double crank_deg = -40.0; crank_deg <= 40.0; crank_deg += 1.0)
    if (const double axial_mm = clearance->at(ValveKind::inlet, crank_deg); axial_mm < deepest_mm) {
      deepest_mm = axial_mm;
      at_deg = crank_deg;
    }
  REQUIRE(deepest_mm < 0.0);
  SceneOptions options{.crank_deg = at_deg};
  options.present_gaps = gap_figures(*clearance, present, Target{}, at_deg);
  const Scene scene = model.compose(planned, &present, options);
  const Label* label = find_label(scene, "inlet gap now");
  REQUIRE(label != nullptr);
  CHECK(label->title == fmt::format("now: \u2212{:.2f} mm", -deepest_mm));
  CHECK(label->figure == "inlet to piston: they meet");
  CHECK(label->tone == Tone::bad);
  // The outline is the ghost's: its ring lies on the face of the valve drawn.
  const std::vector<const Instance*> ghosts = of_part(scene, "inlet valve and lobe, present");
  const auto valve = std::ranges::find_if(ghosts, [&](const Instance* instance) {
    return model.meshes()[instance->mesh].vertices.size() > 0 &&
           std::fabs(instance->placement[2].z) < 1e-9; // stands along the engine's frame, not along the camshaft
  });
  REQUIRE(valve != ghosts.end());
  const glm::dvec3 head = testing::origin(**valve);
  const double radius_mm = engine->inlet_valve->head_mm / 2.0;
  CHECK(std::ranges::any_of(scene.strokes, [&](const Stroke& stroke) {
    return stroke.on_top && stroke.tone == Tone::bad && stroke.points_mm.size() > 8 &&
           std::ranges::all_of(stroke.points_mm,
                               [&](glm::dvec3 at) { return std::fabs(glm::distance(at, head) - radius_mm) < 1e-6; });
  }));
  // Not where it is clear, not where it stands as the valve shown does, not where there is no ghost.
  options.present_gaps[0] = figure(2.0);
  CHECK(find_label(model.compose(planned, &present, options), "inlet gap now") == nullptr);
  options.present_gaps[0] = figure(1.0);
  const Scene near = model.compose(planned, &present, options);
  REQUIRE(find_label(near, "inlet gap now") != nullptr);
  CHECK(find_label(near, "inlet gap now")->tone == Tone::warning);
  CHECK(find_label(model.compose(planned, &planned, options), "inlet gap now") == nullptr);
  CHECK(find_label(model.compose(planned, nullptr, options), "inlet gap now") == nullptr);
}

TEST_CASE("every length is written as the options have it", "[labels]") {
  for (const testing::NamedEngine& named : testing::engines()) {
    INFO(named.name);
    const Mechanism mechanism = assembled(named.engine);
    const Mechanism other = assembled(named.engine, testing::fitted(0, 2.0, 0.0));
    const SceneModel model(named.engine);
    SceneOptions options{.crank_deg = 7.0};
    options.gaps = {figure(1.2, 0.4), figure(-1.0, 0.4)};
    options.present_gaps = options.gaps;
    options.length_words = [](double mm) { return fmt::format("{:.0f} thou", mm / 0.0254); };
    for (const Turning turning : {Turning::forward, Turning::backward}) {
      options.turning = turning;
      const Scene scene = model.compose(mechanism, &other, options);
      int in_thou = 0;
      const auto look = [&](const std::string& words) {
        in_thou += words.ends_with(" thou") || words.find(" thou ") != std::string::npos ? 1 : 0;
        const bool pitch = words.find(" links of ") != std::string::npos; // as catalogues have it
        INFO(words);
        CHECK((pitch || words.find(" mm") == std::string::npos));
      };
      for (const Label& label : scene.labels) {
        look(label.title);
        look(label.figure);
      }
      for (const PartInfo& part : scene.parts)
        for (const std::string& row : part.figures) look(row);
      CHECK(in_thou > 10);
    }
  }
}

TEST_CASE("seat rings keep apart from each other and within the bore", "[valves]") {
  // Heads a millimetre apart and two from the bore; then upright, and leaning apart.
  for (const double lean_deg : {0.0, 4.0}) {
    INFO("leaning " << lean_deg);
    Engine close = testing::bucket_engine();
    double side = -1.0;
    for (Valve* valve : {&*close.inlet_valve, &*close.exhaust_valve}) {
      valve->head_mm = 33.5;
      valve->offset_mm = {17.25 * side, 0.0};
      valve->inclination_deg = lean_deg * side;
      valve->pocket = {};
      side = 1.0;
    }
    const auto engine = testing::share(close);
    const Mechanism mechanism = assembled(engine);
    const SceneModel model(engine);
    const Scene scene = model.compose(mechanism, nullptr, {.crank_deg = 0.0, .labels = false});
    const glm::dvec3 middle = testing::origin(*of_part(scene, "piston No. 1")[0]); // its axis points up
    const Instance& inlet = *of_part(scene, "inlet seat and guide")[0];
    const Instance& exhaust = *of_part(scene, "exhaust seat and guide")[0];
    const double ring_high_mm = engine->inlet_valve->margin_mm + 0.38 * 33.5 / 2.0;
    // Radius of a ring, and its points.
    const auto ring = [&](const Instance& seat) {
      std::vector<glm::dvec3> points;
      double radius_mm = 0.0;
      for (const MeshVertex& vertex : model.meshes()[seat.mesh].vertices) {
        const glm::dvec3 at(vertex.position_mm);
        if (at.z > ring_high_mm + 1e-3) continue;
        points.emplace_back(seat.placement * glm::dvec4(at, 1.0));
        radius_mm = std::max(radius_mm, std::hypot(at.x, at.y));
      }
      return std::pair{radius_mm, points};
    };
    for (const auto& [seat, other] : {std::pair{&inlet, &exhaust}, std::pair{&exhaust, &inlet}}) {
      const auto [radius_mm, points] = ring(*seat);
      const double other_mm = ring(*other).first;
      CHECK(radius_mm > 33.5 / 2.0 + 0.25); // there is a ring
      double nearest_mm = 1e9;
      double widest_mm = 0.0;
      for (const glm::dvec3 at : points) {
        const glm::dvec3 from = at - testing::origin(*other);
        const glm::dvec3 axis(other->placement[2]);
        const double up_mm = glm::dot(from, axis);
        if (up_mm < engine->inlet_valve->margin_mm || up_mm > ring_high_mm) continue;
        nearest_mm = std::min(nearest_mm, glm::length(from - up_mm * axis));
        widest_mm = std::max(widest_mm, std::hypot(at.x - middle.x, at.z - middle.z));
      }
      CHECK(nearest_mm > other_mm);
      CHECK(widest_mm < engine->block.bore_mm / 2.0);
    }
  }
}
