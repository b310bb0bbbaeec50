// From one setting to another: what the mechanics have on the way, and that the picture goes over without a jump.
#include "film/laid_over.hpp"

#include "files/files.hpp"
#include "mechanics/mechanism.hpp"
#include "scene/model.hpp"
#include "support/catch.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>

using namespace phasewright;

namespace {

struct Change {
  const char* engine;
  const char* camshaft;
  Fitted from;
  Fitted to;
};

// A tooth; a key at each end; both, from a worn chain and the other way; one of two camshafts.
std::vector<Change> changes() {
  Change tooth{"marram-1420.toml", "cam", {}, {}};
  tooth.to.lay_of["cam"] = 1;
  Change keys{"marram-1420.toml", "cam", {}, {}};
  keys.to.crank_key_deg = 4.0;
  keys.to.cam_key_deg = 1.0;
  Change worn{"marram-1420.toml", "cam", {}, {}};
  worn.from.elongation_percent = worn.to.elongation_percent = 0.9;
  worn.from.found_deg = worn.to.found_deg = -1.0;
  worn.from.cam_key_deg = 2.0;
  worn.to.lay = -1;
  Change twin{"marram-2050.toml", "exhaust", {}, {}};
  twin.to.lay_of["exhaust"] = -1;
  return {tooth, keys, worn, twin};
}

std::shared_ptr<const Engine> engine_of(const std::string& name) {
  const std::filesystem::path models = std::filesystem::path(PHASEWRIGHT_TEST_DIR).parent_path() / "models";
  const Result<Opened> opened = open_any(models / name, models, {});
  REQUIRE(opened);
  return opened->engine;
}

Mechanism assembled(const std::shared_ptr<const Engine>& engine, const Fitted& fitted) {
  Result<Mechanism> mechanism = Mechanism::assemble(engine, fitted);
  REQUIRE(mechanism);
  return *std::move(mechanism);
}

double phase_at(const std::shared_ptr<const Engine>& engine, const Change& change, double share) {
  const Mechanism mechanism = assembled(engine, film::on_the_way(*engine, change.from, change.to, share).fitted);
  for (std::size_t k = 0; k < engine->camshafts.size(); ++k)
    if (engine->camshafts[k].name == change.camshaft) return mechanism.drive().phase_deg(k);
  FAIL("no such camshaft");
  return 0.0;
}

Scene scene_at(const SceneModel& model, const Change& change, double share) {
  const std::shared_ptr<const Engine> engine = engine_of(change.engine);
  const film::OnTheWay way = film::on_the_way(*engine, change.from, change.to, share);
  SceneOptions options{.crank_deg = 20.0};
  options.teeth_ahead = way.teeth_ahead;
  return model.compose(assembled(engine, way.fitted), nullptr, options);
}

// The furthest that any point within 50 mm of an instance's origin has gone; both must have the same instances.
double most_moved_mm(const Scene& one, const Scene& other) {
  REQUIRE(one.instances.size() == other.instances.size());
  double most = 0.0;
  for (std::size_t i = 0; i < one.instances.size(); ++i) {
    REQUIRE(one.instances[i].mesh == other.instances[i].mesh);
    const glm::dmat4 apart = one.instances[i].placement - other.instances[i].placement;
    for (int column = 0; column < 4; ++column)
      for (int row = 0; row < 3; ++row)
        most = std::max(most, std::fabs(apart[column][row]) * (column < 3 ? 50.0 : 1.0));
  }
  return most;
}

} // namespace

TEST_CASE("phase goes over evenly from what is fitted to what is planned", "[film]") {
  for (const Change& change : changes()) {
    INFO(change.engine << " " << change.camshaft);
    const std::shared_ptr<const Engine> engine = engine_of(change.engine);
    const double from_deg = phase_at(engine, change, 0.0);
    const double to_deg = phase_at(engine, change, 1.0);
    CHECK(std::fabs(to_deg - from_deg) > 1.0);
    for (const double share : {0.1, 0.5, 0.93})
      CHECK(phase_at(engine, change, share) == Approx(from_deg + share * (to_deg - from_deg)).margin(1e-9));
    CHECK(film::on_the_way(*engine, change.from, change.to, 0.0).fitted == change.from);
    CHECK(film::on_the_way(*engine, change.from, change.to, 1.0).fitted == change.to);
  }
}

TEST_CASE("the picture goes over without a jump at either end", "[film]") {
  for (const Change& change : changes()) {
    INFO(change.engine << " " << change.camshaft);
    const SceneModel model(engine_of(change.engine));
    const Scene first = scene_at(model, change, 0.0);
    const Scene last = scene_at(model, change, 1.0);
    constexpr double hair = 1e-6;
    CHECK(most_moved_mm(first, scene_at(model, change, hair)) < 1e-3);
    CHECK(most_moved_mm(last, scene_at(model, change, 1.0 - hair)) < 1e-3);
    CHECK(most_moved_mm(first, last) > 0.5);
  }
}

TEST_CASE("what does not happen so on the bench is said", "[film]") {
  for (const Change& change : changes()) {
    const std::shared_ptr<const Engine> engine = engine_of(change.engine);
    const auto said = film::not_so_on_the_bench(*engine, change.from, change.to);
    const bool tooth = lay_of(change.from, change.camshaft) != lay_of(change.to, change.camshaft);
    const bool key = change.from.crank_key_deg != change.to.crank_key_deg ||
                     cam_key_of(change.from, change.camshaft) != cam_key_of(change.to, change.camshaft);
    CHECK(said.size() == static_cast<std::size_t>(tooth) + static_cast<std::size_t>(key));
    CHECK(film::not_so_on_the_bench(*engine, change.to, change.to).empty());
  }
}

TEST_CASE("a film from one state to another rests at both ends and never goes back", "[film]") {
  constexpr int frames = 100;
  CHECK(film::share_of_the_way(0, frames) == 0.0);
  CHECK(film::share_of_the_way(10, frames) == 0.0);
  CHECK(film::share_of_the_way(frames - 1, frames) == 1.0);
  CHECK(film::share_of_the_way(90, frames) == 1.0);
  for (int frame = 1; frame < frames; ++frame)
    CHECK(film::share_of_the_way(frame, frames) >= film::share_of_the_way(frame - 1, frames));
}
