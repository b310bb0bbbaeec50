// The engines in models/: each goes together, stands as its maker drew it and wears as its tensioners let it.
#include "files/folder.hpp"
#include "mechanics/clearance.hpp"
#include "mechanics/drive.hpp"

#include <cmath>
#include <numbers>
#include <set>

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

TEST_CASE("The models show every kind of follower, lever, lobe, crown and a pocket, and give no cause for caution") {
  std::set<Follower> followers;
  std::set<std::size_t> lobes;
  std::set<CrownShape> crowns;
  bool rocker = false;
  bool finger = false;
  bool ramp = false;
  bool radius_table = false;
  bool skewed = false;
  bool pocket = false;
  bool leaning = false;
  for (const auto& [name, opened] : models()) {
    INFO(name);
    CHECK(opened.cautions.empty());
    crowns.insert(opened.engine->block.crown.shape);
    for (const Camshaft& camshaft : opened.engine->camshafts)
      for (const std::optional<ValveGear>& gear : {camshaft.inlet, camshaft.exhaust}) {
        if (!gear) continue;
        followers.insert(gear->follower);
        lobes.insert(gear->lobe.index());
        rocker |= gear->rocker.has_value();
        finger |= gear->finger.has_value();
        if (const auto* card = std::get_if<LobeCard>(&gear->lobe)) ramp |= card->ramp && card->closing_ramp;
        if (const auto* table = std::get_if<LobeTable>(&gear->lobe)) radius_table |= table->lift_of == LiftOf::lobe;
        if (const auto* law = std::get_if<LobePolynomial>(&gear->lobe)) skewed |= law->rise_deg.has_value();
      }
    for (const std::optional<Valve>& valve : {opened.engine->inlet_valve, opened.engine->exhaust_valve}) {
      if (!valve) continue;
      pocket |= valve->pocket.radius_mm > 0;
      leaning |= valve->inclination_deg != 0;
    }
  }
  CHECK(followers.size() == 4);
  CHECK(lobes.size() == 3);
  CHECK(crowns.size() == 3);
  CHECK((rocker && finger && ramp && radius_table && skewed && pocket && leaning));
}

TEST_CASE("Every build is safe as it is fitted, by its own limits") {
  int builds = 0;
  for (const auto& [name, opened] : models()) {
    if (opened.build_path.empty()) continue;
    INFO(name);
    auto mechanism = Mechanism::assemble(*opened.engine, opened.build.fitted);
    REQUIRE(mechanism.ok());
    const auto model = ClearanceModel::make(*mechanism, opened.build.measured, opened.build.instruments);
    REQUIRE(model.ok());
    CHECK(within_limits(model->least(), opened.build.target));
    ++builds;
  }
  CHECK(builds == 3);
}

// The table is the envelope of the finger's pad, worked out by other means than the program's; rolled under the finger
// again it must give the motion its comment names. Rounded to 0.0001 mm every second degree.
TEST_CASE("The radius table of the 930 gives its finger the motion it was drawn for") {
  const auto opened = open_any(models_folder() / "marram-930.toml");
  REQUIRE(opened.ok());
  auto mechanism = Mechanism::assemble(*opened->engine, {});
  REQUIRE(mechanism.ok());
  const LobeProfile& lobe = mechanism->motion(ValveKind::inlet)->lobe();
  for (double deg = -84; deg <= 88; deg += 0.5) {
    INFO(deg);
    const double u = std::max(0.0, 1 - std::abs(deg) / (deg < 0 ? 82 : 86));
    const double wanted_mm = 5.6 * u * u * u * u * (35 + u * (-84 + u * (70 - 20 * u)));
    CHECK_THAT(lobe.lift_mm(deg * std::numbers::pi / 180), WithinAbs(wanted_mm, 0.002));
  }
}

// Places that two keys of a file must agree on for the parts to meet.
TEST_CASE("Fingers end over their stems and leaning stems point at their camshafts") {
  const auto single = open_any(models_folder() / "marram-930.toml");
  REQUIRE(single.ok());
  for (const bool inlet : {true, false}) {
    const Camshaft& camshaft = single->engine->camshafts[0];
    const FingerArms& arms = *(inlet ? camshaft.inlet : camshaft.exhaust)->finger;
    const double stem_mm = (inlet ? single->engine->inlet_valve : single->engine->exhaust_valve)->offset_mm.y;
    const double end_mm = arms.pivot_mm.x + arms.valve_arm_mm * std::cos(arms.valve_arm_deg * std::numbers::pi / 180);
    CHECK_THAT(end_mm, WithinAbs(stem_mm, 0.005));
  }
  const auto twin = open_any(models_folder() / "marram-2050.toml");
  REQUIRE(twin.ok());
  const Block& block = twin->engine->block;
  // The drawn block's face, above the crank's axis.
  const double face_mm = block.stroke_mm / 2 + block.rod_mm + 0.46 * block.bore_mm + block.deck_mm;
  for (const auto& [valve, name] :
       {std::pair{twin->engine->inlet_valve, "inlet"}, {twin->engine->exhaust_valve, "exhaust"}}) {
    const glm::dvec2 cam_mm = sprocket_at(*twin->engine, *find_cam_sprocket(*twin->engine, name)).centre_mm;
    const double rise_mm = cam_mm.y - face_mm - valve->closed_height_mm;
    const double at_cam_mm = valve->offset_mm.y + rise_mm * std::tan(valve->inclination_deg * std::numbers::pi / 180);
    CHECK_THAT(at_cam_mm, WithinAbs(cam_mm.x, 0.05));
  }
}

TEST_CASE("The twin's heads sink into their pockets and come near each other in overlap") {
  const auto opened = open_any(models_folder() / "marram-2050.toml");
  REQUIRE(opened.ok());
  auto mechanism = Mechanism::assemble(*opened->engine, {});
  REQUIRE(mechanism.ok());
  const auto model = ClearanceModel::make(*mechanism, {});
  REQUIRE(model.ok());
  const Clearances least = model->least();
  REQUIRE((least.inlet && least.exhaust && least.between));
  for (const LeastClearance& kind : {*least.inlet, *least.exhaust}) {
    REQUIRE(kind.radial_mm.has_value());
    CHECK(*kind.radial_mm < 1.6);
    CHECK(kind.least_mm < 6);
  }
  CHECK(least.between->least_mm < 4);
  // Near overlap TDC: the last 45 degrees before it or the first after.
  CHECK(std::abs(std::remainder(least.between->at_crank_deg, 720)) < 45);
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

// Lines like "# key = ..." of a build show what else may be said there.
TEST_CASE("What the comments of Dunlin's build show can be written as it stands") {
  std::istringstream lines(slurp(models_folder() / "dunlin-3.build.toml"));
  std::string table;
  std::string text;
  std::vector<std::string> aims; // each stands by itself in the place of the centres
  for (std::string line; std::getline(lines, line);) {
    const bool shown = line.starts_with("# [") || (line.starts_with("# ") && line.find(" = ") != std::string::npos &&
                                                   line.find(' ', 2) == line.find(" = "));
    if (shown) line.erase(0, 2);
    if (line.starts_with("[")) table = line.substr(0, line.find(']') + 1);
    const bool beside =
        line.starts_with("exhaust_centre") || line.starts_with("camshaft") || line.starts_with("preset");
    if (shown && table == "[target]" && !beside)
      aims.push_back(line);
    else
      text += line + "\n";
  }
  CHECK(aims.size() == 4);
  const auto opened_as = [](const std::string& build) {
    const Folder folder;
    folder.copy_model("marram-2050.toml");
    folder.write("x.build.toml", build);
    const auto opened = open_any(folder / "x.build.toml");
    INFO(build);
    INFO((opened ? std::string() : to_text(opened.problems())));
    REQUIRE(opened.ok());
    return opened->build;
  };
  const Build all = opened_as(text);
  CHECK(all.fitted.holes_of.at("inlet") == HolePair{2, 3});
  CHECK(all.fitted.slot_of.at("inlet") == -1.5);
  CHECK(all.fitted.found_of.at("exhaust") == -2.0);
  CHECK(all.target.exhaust_centre_deg == 106.0);
  CHECK(all.target.camshaft == "exhaust");
  CHECK(all.target.preset_for_wear);
  CHECK(all.measured.float_of == "exhaust");
  CHECK(all.measured.pins.size() == 2);
  CHECK(all.measured.lobe.front().at == CheckAt::valve);
  for (const std::string& aim : aims) {
    std::string build = text;
    for (const char* centre : {"inlet_centre_deg = ", "exhaust_centre_deg = "}) build.insert(build.find(centre), "# ");
    build.insert(build.find("min_clearance_inlet_mm"), aim + "\n");
    const Target target = opened_as(build).target;
    CHECK((target.phase_deg || target.event || target.equal_lift_at_tdc || target.effective_ratio));
    CHECK_FALSE(target.inlet_centre_deg.has_value());
  }
}
