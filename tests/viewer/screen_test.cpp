// The whole screen, worked in process: pressing, dragging and typing change the figures, the words and the picture.
#include "viewer/driver.hpp"

#include "geometry/angle.hpp"
#include "support/catch.hpp"

#include <cmath>

using namespace phasewright;
using namespace phasewright::viewer;

TEST_CASE("nothing is drawn anew while nothing changes") {
  Driver driver;
  const int draws = driver.picture().draws();
  const int computations = driver.bench().computations();
  const Image before = driver.read();
  driver.frames(20);
  CHECK(driver.picture().draws() == draws);
  CHECK(driver.bench().computations() == computations);
  CHECK(driver.read().rgba == before.rgba);
  CHECK(driver.settle() == 3); // it asks for no more frames
}

TEST_CASE("the same input gives the same screen") {
  const auto play = [] {
    Driver driver(1024, 700);
    driver.drag("strip", 0.1f, 0.4f);
    driver.click("plan.cam_key.plus");
    return driver.read().rgba;
  };
  CHECK(play() == play());
}

TEST_CASE("play turns the engine, and stops") {
  Driver driver;
  const double before = driver.view().crank_deg;
  const ScreenRect play = driver.where("play");
  driver.press(play.left + 5, play.top + 5, true);
  driver.press(play.left + 5, play.top + 5, false);
  driver.frames(20);
  CHECK(driver.view().playing);
  CHECK(driver.view().crank_deg > before + 20.0);
  driver.key(Key::space);
  driver.settle();
  const double stopped = driver.view().crank_deg;
  driver.frames(10);
  CHECK(driver.view().crank_deg == stopped);
}

TEST_CASE("backward and slow") {
  Driver driver;
  driver.key(Key::b);
  driver.key(Key::s);
  driver.key(Key::space);
  const double before = driver.view().crank_deg;
  driver.frames(20);
  CHECK(driver.view().crank_deg < before - 2.0);
  CHECK(driver.view().crank_deg > before - 6.0);
  CHECK(driver.view().turning == Turning::backward);
  CHECK(driver.shows_in("scene", "turned back: turn forward"));
}

TEST_CASE("dragging the strip turns the engine to the pointer") {
  Driver driver;
  const std::uint64_t picture = driver.picture().hash();
  driver.drag("strip", 0.1f, 0.25f);
  CHECK_THAT(driver.view().crank_deg, WithinAbs(180.0, 0.6)); // a quarter of 720, to a pixel
  CHECK(driver.picture().hash() != picture);
  CHECK(driver.shows_in("strip", "180."));
  driver.wheel("strip", 1.0f);
  CHECK_THAT(driver.view().crank_deg, WithinAbs(181.0, 0.6));
}

TEST_CASE("degrees and teeth, by button and by key") {
  Driver driver;
  driver.click("turn.on_1");
  CHECK_THAT(driver.view().crank_deg, WithinAbs(1.0, 1e-9));
  driver.key(Key::left);
  CHECK_THAT(driver.view().crank_deg, WithinAbs(0.0, 1e-9));
  const double tooth = 360.0 / driver.bench().engine().loops[0].sprockets[0].teeth;
  driver.click("turn.on_tooth");
  CHECK_THAT(driver.view().crank_deg, WithinAbs(tooth, 1e-5));
  driver.key(Key::left, false, true);
  CHECK_THAT(driver.view().crank_deg, WithinAbs(0.0, 1e-5));
}

TEST_CASE("stepping the cam key moves figures, words and picture, and undo takes them back") {
  Driver driver;
  const double phase = driver.bench().planned().phase.phase_deg;
  const std::uint64_t picture = driver.picture().hash();
  driver.click("plan.cam_key.plus");
  CHECK(driver.bench().document().planned.cam_key_deg == 3.0);
  // A degree at the cam is two at the crank.
  CHECK_THAT(driver.bench().planned().phase.phase_deg, WithinAbs(phase + 2.0, 1e-9));
  CHECK(driver.shows_in("side", "The plan stands 2.0° early."));
  CHECK(driver.shows_in("scene", "cam key, 3° step"));
  CHECK(driver.picture().hash() != picture);
  driver.key(Key::z, true);
  driver.settle();
  CHECK(driver.bench().document().planned.cam_key_deg == 2.0);
  CHECK(driver.shows_in("side", "where it is wanted"));
  CHECK(driver.picture().hash() == picture);
  driver.click("redo");
  CHECK(driver.bench().document().planned.cam_key_deg == 3.0);
}

TEST_CASE("a row of the plan is tried by a click") {
  Driver driver;
  driver.click("option.2");
  REQUIRE(driver.bench().tried_option() == 1U);
  CHECK(driver.bench().document().planned.crank_key_deg == driver.bench().plan().options[1].crank_key_deg);
  driver.key(Key::page_up);
  CHECK(driver.bench().tried_option() == 0U);
}

TEST_CASE("exact values are taken as typed, in range or not at all") {
  Driver driver;
  driver.enter("plan.cam_key", "2.25");
  CHECK(driver.bench().document().planned.cam_key_deg == 2.25);
  CHECK(driver.shows("2.25°"));
  driver.enter("plan.crank_key", "\u22121,5");
  CHECK(driver.bench().document().planned.crank_key_deg == -1.5);

  driver.click("plan.lay");
  driver.type("11");
  CHECK(driver.shows_in("side", "10 to 10 teeth")); // as it is typed
  driver.key(Key::enter);
  driver.settle();
  CHECK(driver.bench().document().planned.lay == 0);
  CHECK(driver.shows_in("side", "10 to 10 teeth"));

  driver.enter("plan.elongation", "a lot");
  CHECK(driver.bench().document().planned.elongation_percent == 0.9);
  CHECK(driver.shows_in("side", "not a number"));

  driver.click("plan.cam_key");
  driver.type("9");
  driver.key(Key::escape);
  driver.settle();
  CHECK(driver.bench().document().planned.cam_key_deg == 2.25);
}

TEST_CASE("letters typed into a field are no shortcuts, and the wheel changes no field") {
  Driver driver;
  driver.click("plan.cam_key");
  driver.key(Key::d);
  driver.key(Key::space);
  CHECK(driver.view().theme == Theme::day);
  CHECK_FALSE(driver.view().playing);
  driver.key(Key::escape);
  driver.wheel("plan.cam_key", 1.0f);
  CHECK(driver.bench().document().planned.cam_key_deg == 2.0);
}

TEST_CASE("a change that cannot be assembled is refused beside its field") {
  Driver driver;
  driver.click("step.base_timing");
  driver.enter("fitted.centre_change", "5");
  CHECK(driver.bench().document().fitted.centre_change_mm == -0.10);
  CHECK_FALSE(driver.bench().refusal().empty());
  CHECK(driver.view().edit.problem_field == "fitted.centre_change");
}

TEST_CASE("as fitted, both, as planned show different drives") {
  Driver driver;
  const std::uint64_t both = driver.picture().hash();
  driver.click("shown.as fitted");
  const std::uint64_t fitted = driver.picture().hash();
  driver.click("shown.as planned");
  const std::uint64_t planned = driver.picture().hash();
  CHECK(both != fitted);
  CHECK(fitted != planned);
  CHECK(both != planned);
}

TEST_CASE("the camera orbits, pans, zooms to the pointer and comes back") {
  Driver driver;
  const Camera start = driver.view().camera;
  driver.drag("scene", 0.3f, 0.5f, 0.6f, 0.6f);
  CHECK(driver.view().camera.yaw_deg != start.yaw_deg);
  driver.click("fit");
  CHECK(driver.view().camera.yaw_deg == start.yaw_deg);
  driver.drag("scene", 0.3f, 0.4f, 0.6f, 0.6f, 6, 1);
  CHECK(driver.view().camera.yaw_deg == start.yaw_deg);
  CHECK(driver.view().camera.target_mm.x < start.target_mm.x);
  driver.key(Key::f);
  driver.settle();

  // What was under the pointer stays there.
  const ScreenRect scene = driver.where("scene");
  const glm::dvec2 size{static_cast<double>(scene.width()), static_cast<double>(scene.height())};
  const glm::dvec2 middle = size / 2.0;
  const glm::dvec3 before = driver.view().camera.unproject(middle, size, start.target_mm);
  driver.wheel("scene", 2.0f);
  CHECK(driver.view().camera.height_mm < start.height_mm);
  const auto after = driver.view().camera.project(before, size);
  REQUIRE(after);
  CHECK_THAT(after->x, WithinAbs(middle.x, 0.01));
  CHECK_THAT(after->y, WithinAbs(middle.y, 0.01));
}

TEST_CASE("view buttons and keys bring their views") {
  Driver driver;
  driver.click("view.key");
  CHECK(driver.view().framed == NamedView::key);
  const double close = driver.view().camera.height_mm;
  driver.key(Key::digit_5);
  driver.settle();
  CHECK(driver.view().framed == NamedView::whole);
  CHECK(driver.view().camera.height_mm > close);
  driver.click("parallel");
  CHECK(driver.view().camera.parallel);
}

TEST_CASE("pointing at a part names it, and the renderer is asked only when the pointer has moved") {
  Driver driver;
  const ScreenRect scene = driver.where("scene");
  // The middle of the drive is steel whatever the view's margins are.
  driver.point((scene.left + scene.right) / 2.0f, scene.top + scene.height() * 0.35f);
  driver.frames(2);
  const int picks = driver.picture().picks();
  CHECK(picks > 0);
  driver.frames(10);
  CHECK(driver.picture().picks() == picks);
  CHECK(driver.shows_in("hint", "s")); // a name of some part
}

TEST_CASE("thou and night are a key away") {
  Driver driver;
  CHECK(driver.shows_in("side", " mm at "));
  const Image day = driver.read();
  driver.key(Key::u);
  CHECK(driver.shows_in("side", " thou at "));
  driver.key(Key::d);
  driver.settle();
  CHECK(driver.view().theme == Theme::night);
  CHECK(driver.read().rgba != day.rgba);
}

TEST_CASE("every clearance has its cautions beside it") {
  Driver driver;
  for (const char* step : {"step.correction", "step.clearance"}) {
    driver.click(step);
    CHECK(driver.shows_in("side", "Figures are a plan"));
    CHECK(driver.shows_in("side", "by hand only"));
  }
}

TEST_CASE("a plan that cannot be made leaves the target what it is") {
  // A lobe that moves no valve the file knows of.
  Result<Opened> opened = open_demo();
  REQUIRE(opened.ok());
  Engine engine = *opened->engine;
  engine.inlet_valve.reset();
  opened->engine = std::make_shared<const Engine>(engine);
  Driver driver(*opened);
  CHECK(driver.bench().plan().options.empty());
  CHECK(driver.bench().planned().target_phase_deg == 2.0);
  CHECK(driver.shows_in("side", "wanted +2.0°"));
  CHECK_FALSE(driver.shows_in("side", "where it is wanted"));
  CHECK(driver.shows_in("side", "Clearance is not worked out:"));
  CHECK(driver.shows_in("side", "valve.inlet: found nothing"));
  driver.keep("no_clearance");
}

TEST_CASE("a target that cannot be worked out is said, not taken for nought") {
  Driver driver(Overrides{"target.event={ inlet_closes_abdc_deg = 40, at_lift_mm = 20 }"});
  CHECK(driver.shows_in("side", "The target cannot be worked out."));
  CHECK_FALSE(driver.shows_in("side", "wanted"));
}

TEST_CASE("what is fitted is judged too, and said to be what is fitted") {
  Driver driver(Overrides{"fitted.lay=1"});
  driver.click("step.base_timing");
  CHECK(driver.shows_in("side", "As fitted: Inlet clearance is below its limit."));
  CHECK(driver.shows_in("side", "by hand only"));
  driver.click("step.clearance");
  CHECK_FALSE(driver.shows_in("side", "As fitted"));
  driver.click("shown.as fitted");
  CHECK(driver.shows_in("side", "As fitted: Inlet clearance is below its limit."));
  driver.keep("unsafe");
}

TEST_CASE("a chain at its wear limit is to be renewed, and nothing is said of it worn further") {
  Driver driver(Overrides{"fitted.elongation_percent=2.2"});
  CHECK(driver.shows_in("side", "Renew the chain."));
  CHECK_FALSE(driver.shows_in("side", "worn chain too"));
  driver.keep("worn_out");
}

TEST_CASE("other engines are shown as well") {
  const std::string long_title(190, 'w');
  for (const Overrides& overrides :
       {Overrides{"rotation=anticlockwise"},
        Overrides{"block.cylinders=1", "block.firing_order=[1]", "measured.lobe=[]"},
        Overrides{"block.cylinders=8", "block.firing_order=[1, 5, 4, 2, 6, 3, 7, 8]"}, Overrides{"title=" + long_title},
        Overrides{"stock.cam_key_deg=[]", "stock.crank_key_deg=[]"}}) {
    Driver driver(overrides);
    INFO(overrides.front());
    for (const auto& [step, title] :
         {std::pair{"step.parts", "Parts"}, std::pair{"step.alignment", "Alignment"},
          std::pair{"step.end_float", "End float"}, std::pair{"step.base_timing", "Base timing"},
          std::pair{"step.valves", "Valves"}, std::pair{"step.readings", "Readings"},
          std::pair{"step.correction", "Correction"}, std::pair{"step.clearance", "Clearance"}}) {
      driver.click(step);
      driver.key(Key::right);
      driver.settle();
      CHECK(driver.shows_in("side", title));
    }
    driver.keep("other-" + overrides.front().substr(0, 14));
  }
}

TEST_CASE("an exaggerated step is confessed") {
  Driver driver;
  driver.click("magnify.plus");
  CHECK(driver.view().magnify_key_step == 2.0);
  CHECK(driver.shows_in("scene", "key step shown"));
}

TEST_CASE("the card of keys opens and closes") {
  Driver driver;
  driver.key(Key::f1);
  driver.settle();
  CHECK(driver.shows_in("help", "Keys and mouse"));
  driver.keep("help");
  driver.click("help.close");
  CHECK_FALSE(driver.has("help.close"));
}

TEST_CASE("text grows as far as there is room") {
  Driver driver(1280, 800);
  const float before = driver.where("play").height();
  driver.key(Key::plus, true);
  driver.settle();
  CHECK(driver.where("play").height() > before);
  for (int i = 0; i < 20; ++i) driver.key(Key::plus, true);
  driver.settle();
  CHECK(driver.where("panel.scene").width() > 400);
  driver.key(Key::digit_0, true);
  driver.settle();
  CHECK(driver.where("play").height() == before);
}
