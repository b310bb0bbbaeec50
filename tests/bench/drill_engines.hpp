// Engines and builds to draw drills on.
#pragma once

#include "bench/drill.hpp"
#include "bench/drill_cure.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"

#include <algorithm>
#include <functional>
#include <memory>
#include <stdexcept>
#include <string>
#include <utility>

namespace phasewright::testing {

struct DrillEngine {
  const char* name;
  std::shared_ptr<const Engine> engine;
  Build build;
};

// The common case: something worn, shims and keys on the shelf.
inline DrillEngine single_cam() {
  Build build;
  build.fitted.elongation_percent = 0.4;
  build.stock.crank_key_deg = {0, 2, 4};
  build.stock.cam_key_deg = {0, 1, 2, 3};
  build.stock.shim_mm = {0.05, 0.10, 0.10, 0.20, 0.25, 0.50};
  return {"single camshaft", std::make_shared<const Engine>(small_engine()), build};
}

// With a key on the card already.
inline DrillEngine twin_cam() {
  Build build;
  build.fitted.elongation_percent = 0.2;
  build.fitted.cam_key_of = {{"exhaust", 0.0}, {"inlet", 2.0}};
  return {"twin camshafts, a build with a key", std::make_shared<const Engine>(overhead_engine()), build};
}

// A camshaft that the crank's chain does not drive: no pins to count between marks.
inline DrillEngine two_stages() {
  return {"two stages, no build", std::make_shared<const Engine>(jackshaft_engine()), {}};
}

// No valve dimensions, so no clearances; no limits of end float.
inline DrillEngine bare() {
  Engine engine = small_engine();
  engine.inlet_valve.reset();
  engine.exhaust_valve.reset();
  engine.cam_seats["cam"].end_float_mm.reset();
  return {"no valves and no end float limits", std::make_shared<const Engine>(engine), {}};
}

inline DrillCourse course_of(const DrillEngine& on) {
  INFO(on.name);
  Result<DrillCourse> course = DrillCourse::make(on.engine, on.build);
  INFO((course ? std::string() : to_text(course.problems())));
  REQUIRE(course.ok());
  return *std::move(course);
}

inline Drill drawn(const DrillCourse& course, std::uint64_t seed, int level) {
  Result<Drill> drill = course.draw({seed, level});
  INFO((drill ? std::string() : to_text(drill.problems())));
  REQUIRE(drill.ok());
  return *std::move(drill);
}

// The first drill by seed that is as wanted.
inline Drill first_drill(const DrillCourse& course, int level, const std::function<bool(const Drill&)>& wanted) {
  for (std::uint64_t seed = 0; seed < 2000; ++seed)
    if (Drill drill = drawn(course, seed, level); wanted(drill)) return drill;
  FAIL("no such drill");
  throw std::logic_error("not reached");
}

inline bool hides(const Drill& drill, DrillKind kind) {
  return std::ranges::count(drill.truth->faults, kind, &HiddenFault::kind) > 0;
}

inline Drill first_hiding(const DrillCourse& course, int level, DrillKind kind) {
  return first_drill(course, level, [kind](const Drill& drill) { return hides(drill, kind); });
}

inline Cure as_the_card(const Drill& drill) {
  Cure cure;
  cure.fitted = drill.given.fitted;
  return cure;
}

} // namespace phasewright::testing
