// The engines in models/: each goes together, stands as its maker drew it and wears as its tensioners let it.
#include "files/folder.hpp"
#include "mechanics/clearance.hpp"
#include "mechanics/drive.hpp"

#include <cmath>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

// Every engine and build of models/, by the name of its file.
std::map<std::string, Opened> models() {
  std::map<std::string, Opened> all;
  for (const auto& entry : std::filesystem::directory_iterator(models_folder())) {
    if (entry.path().extension() != ".toml") continue;
    auto opened = open_any(entry.path());
    INFO(entry.path() << ": " << (opened ? std::string() : to_text(opened.problems())));
    REQUIRE(opened.ok());
    all.emplace(entry.path().filename().string(), std::move(*opened));
  }
  return all;
}

Drive assembled(const Engine& engine, const Fitted& fitted) {
  auto drive = Drive::assemble(engine, fitted);
  INFO((drive ? std::string() : to_text(drive.problems())));
  REQUIRE(drive.ok());
  return std::move(*drive);
}

Fitted with_elongation(Fitted fitted, double percent) {
  fitted.elongation_percent = percent;
  return fitted;
}

// Every tensioner bears within the travel the file gives it, with some left, all round a cycle.
void check_tensioners(const Engine& engine, const Drive& drive) {
  for (int crank_deg = 0; crank_deg < 720; crank_deg += 7) {
    const DrivePose pose = drive.pose(crank_deg);
    for (std::size_t loop = 0; loop < engine.loops.size(); ++loop) {
      if (!engine.loops[loop].tensioner) continue;
      INFO("loop " << loop << ", crank " << crank_deg);
      REQUIRE(pose.loops[loop].tensioner.has_value());
      CHECK(pose.loops[loop].tensioner->travel_left_mm > 0);
      CHECK(pose.loops[loop].tensioner->travel_mm > engine.loops[loop].tensioner->travel_mm[0]);
      REQUIRE_FALSE(pose.loops[loop].arcs.empty());
      CHECK(pose.loops[loop].arcs.back().bears);
    }
  }
}

} // namespace

TEST_CASE("Every model goes together as its maker drew it") {
  for (const auto& [name, opened] : models()) {
    INFO(name);
    const Drive drive = assembled(*opened.engine, {});
    for (std::size_t camshaft = 0; camshaft < opened.engine->camshafts.size(); ++camshaft) {
      INFO("camshaft " << camshaft);
      CHECK(std::abs(drive.phase_deg(camshaft)) < 1e-9);
      CHECK(std::abs(drive.mark_error_teeth(camshaft)) < 0.25);
    }
    check_tensioners(*opened.engine, drive);
  }
}

TEST_CASE("Every model's chains can be worn to their limit") {
  for (const auto& [name, opened] : models()) {
    INFO(name);
    const Fitted worn = with_elongation({}, wear_limit_percent(*opened.engine));
    check_tensioners(*opened.engine, assembled(*opened.engine, worn));
    check_tensioners(*opened.engine, assembled(*opened.engine, opened.build.fitted));
  }
}

// Chain makers' engineering guides: a chain has an even number of pitches, since inner and outer links take turns; an
// odd number needs a cranked link, which is weaker.
TEST_CASE("No model's chain needs a cranked link") {
  for (const auto& [name, opened] : models()) {
    INFO(name);
    for (const Loop& loop : opened.engine->loops) CHECK(loop.chain.links % 2 == 0);
  }
}

TEST_CASE("Every model is safe as its maker drew it, new and worn") {
  for (const auto& [name, opened] : models()) {
    INFO(name);
    for (const double percent : {0.0, wear_limit_percent(*opened.engine)}) {
      auto mechanism = Mechanism::assemble(*opened.engine, with_elongation({}, percent));
      REQUIRE(mechanism.ok());
      const auto model = ClearanceModel::make(*mechanism, {});
      REQUIRE(model.ok());
      CHECK(within_limits(model->least(), Target{}));
    }
  }
}
