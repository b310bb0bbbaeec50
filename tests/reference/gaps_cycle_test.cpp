#include "files/files.hpp"
#include "geometry/angle.hpp"
#include "mechanics/clearance.hpp"
#include "mechanics/crown_gap.hpp"
#include "mechanics/valve_pair.hpp"
#include "support/catch.hpp"

#include <array>
#include <cmath>
#include <vector>

using namespace phasewright;

namespace {

constexpr std::array kinds{ValveKind::inlet, ValveKind::exhaust};
constexpr int steps = 72000;
constexpr double step_deg = 0.01;

const Valve& valve_of(const Engine& engine, ValveKind kind) {
  return kind == ValveKind::inlet ? *engine.inlet_valve : *engine.exhaust_valve;
}

// Piston below its highest point at every step of the cycle: the gudgeon pin where the rod's circle cuts the cylinder's
// line. The demo engines have no offset pin.
std::vector<double> drops_mm(const Block& block) {
  REQUIRE(block.pin_offset_mm == 0.0);
  const double throw_mm = block.stroke_mm / 2.0;
  std::vector<double> drops;
  for (int i = 0; i < steps; ++i) {
    const double rad = step_deg * i * pi / 180.0;
    const double side_mm = throw_mm * std::sin(rad);
    drops.push_back(throw_mm + block.rod_mm - throw_mm * std::cos(rad) -
                    std::sqrt(block.rod_mm * block.rod_mm - side_mm * side_mm));
  }
  return drops;
}

// Of the program the camshaft's angle and the valve's lift at it only.
std::vector<double> lifts_mm(const Mechanism& mechanism, ValveKind kind, double extra_phase_deg) {
  const ValveMotion& motion = *mechanism.motion(kind);
  std::vector<double> lifts;
  for (int i = 0; i < steps; ++i) {
    const double camshaft_rad =
        mechanism.drive().camshaft_rad(radians(step_deg * i), motion.camshaft_index()) + radians(extra_phase_deg / 2.0);
    lifts.push_back(motion.valve_lift_mm(motion.from_nose_rad(camshaft_rad, 0.0)));
  }
  return lifts;
}

struct Least {
  double mm = 1e9;
  double at_deg = 0;

  void note(double found_mm, int step) {
    if (!(found_mm < mm)) return;
    mm = found_mm;
    at_deg = step_deg * step;
  }
};

Engine demo_engine() {
  const Result<Opened> opened = open_demo();
  REQUIRE(opened.ok());
  return *opened->engine;
}

// Upright over a flat crown, whatever the demo's own crown may be.
Engine flat_engine() {
  Engine engine = demo_engine();
  engine.block.crown = {};
  for (std::optional<Valve>* valve : {&engine.inlet_valve, &engine.exhaust_valve}) {
    (*valve)->inclination_deg = 0.0;
    (*valve)->pocket = {};
  }
  return engine;
}

// The same with valves that lean apart, pockets and a dome, and lobes that open them near TDC.
Engine leaning_engine() {
  Engine engine = demo_engine();
  engine.block.crown = {CrownShape::domed, 7.0, 0.46 * engine.block.bore_mm};
  double side = 1.0;
  for (std::optional<Valve>* valve : {&engine.inlet_valve, &engine.exhaust_valve}) {
    (*valve)->offset_mm = {side * 2.0, side * 0.25 * engine.block.bore_mm};
    (*valve)->inclination_deg = side * 19.0;
    (*valve)->closed_height_mm = 9.0;
    (*valve)->pocket = {1.0, (*valve)->head_mm / 2.0 + 2.2};
    side = -1.0;
  }
  for (Camshaft& camshaft : engine.camshafts) camshaft.inlet->centre_deg = camshaft.exhaust->centre_deg = 96.0;
  return engine;
}

Mechanism assembled(const Engine& engine) {
  Result<Mechanism> mechanism = Mechanism::assemble(engine, Fitted{});
  INFO((mechanism ? std::string() : to_text(mechanism.problems())));
  REQUIRE(mechanism.ok());
  return *std::move(mechanism);
}

ClearanceModel clearance_of(const Mechanism& mechanism) {
  Result<ClearanceModel> model = ClearanceModel::make(mechanism, {});
  INFO((model ? std::string() : to_text(model.problems())));
  REQUIRE(model.ok());
  return *std::move(model);
}

} // namespace

// Brute force: every hundredth of a degree, upright valves over a flat crown by adding up lengths.
TEST_CASE("the demo's least clearance is the least of 72,000 places of the cycle, at any phase", "[cycle]") {
  const Mechanism mechanism = assembled(flat_engine());
  const Engine& engine = mechanism.engine();
  const ClearanceModel model = clearance_of(mechanism);
  const std::vector<double> drops = drops_mm(engine.block);
  const PhaseCurve curve = model.phase_curve(-30.0, 30.0, 5.0);
  REQUIRE(curve.extra_deg.size() == 13);
  for (const ValveKind kind : kinds) {
    const Valve& valve = valve_of(engine, kind);
    for (std::size_t sample = 0; sample < curve.extra_deg.size(); ++sample) {
      const double extra_deg = curve.extra_deg[sample];
      CHECK_THAT(extra_deg, WithinAbs(-30.0 + 5.0 * static_cast<double>(sample), 1e-9));
      const std::vector<double> lifts = lifts_mm(mechanism, kind, extra_deg);
      Least least;
      for (int i = 0; i < steps; ++i) {
        const std::size_t at = static_cast<std::size_t>(i);
        least.note(valve.closed_height_mm + engine.block.deck_mm + drops[at] - lifts[at], i);
      }
      INFO(to_word(kind) << " " << extra_deg << " deg further: " << least.mm << " at " << least.at_deg);
      const LeastClearance found = model.least(kind, extra_deg);
      CHECK_THAT(found.least_mm, WithinAbs(least.mm, 1e-4));
      CHECK(found.least_mm <= least.mm + 1e-9);
      CHECK_THAT(std::remainder(found.at_crank_deg - least.at_deg, 720.0), WithinAbs(0.0, 0.1));
      CHECK_THAT(curve.least_mm[kind == ValveKind::inlet ? 0 : 1][sample], WithinAbs(least.mm, 1e-4));
      CHECK_THAT(found.distance_mm, WithinAbs(std::fmax(0.0, least.mm), 1e-4));
      CHECK_THAT(model.least_axial(kind, extra_deg).least_mm, WithinAbs(least.mm, 1e-4));
      CHECK_FALSE(found.radial_mm.has_value());
    }
  }
}

// That no place of the cycle is missed; the gaps at each place are held against FCL elsewhere.
TEST_CASE("leaning valves in the pockets of a dome are nearest where the whole cycle has it", "[cycle]") {
  const Mechanism mechanism = assembled(leaning_engine());
  const Engine& engine = mechanism.engine();
  const ClearanceModel model = clearance_of(mechanism);
  const std::vector<double> drops = drops_mm(engine.block);
  std::array<std::vector<double>, 2> lifts;
  for (const double extra_deg : {-12.0, 9.0})
    for (const ValveKind kind : kinds) {
      const CrownGap gap = *CrownGap::make(engine, kind);
      std::vector<double>& of_kind = lifts[kind == ValveKind::inlet ? 0 : 1];
      of_kind = lifts_mm(mechanism, kind, extra_deg);
      Least axial, any_way, radial;
      for (int i = 0; i < steps; ++i) {
        const std::size_t at = static_cast<std::size_t>(i);
        axial.note(gap.axial_mm(of_kind[at], drops[at]), i);
        if (i % 10 == 0 && drops[at] < 25.0) any_way.note(gap.distance_mm(of_kind[at], drops[at]), i);
        if (const std::optional<double> mm = gap.radial_mm(of_kind[at], drops[at])) radial.note(*mm, i);
      }
      INFO(to_word(kind) << " " << extra_deg << " deg further: axial " << axial.mm << " at " << axial.at_deg << ", any "
                         << any_way.mm << " at " << any_way.at_deg << ", radial " << radial.mm << " at "
                         << radial.at_deg);
      const LeastClearance found = model.least(kind, extra_deg);
      CHECK_THAT(found.least_mm, WithinAbs(axial.mm, 1e-4));
      CHECK_THAT(found.distance_mm, WithinAbs(any_way.mm, 2e-3)); // every tenth of a degree
      REQUIRE(found.radial_mm.has_value() == (radial.mm < 1e9));
      if (found.radial_mm) CHECK_THAT(*found.radial_mm, WithinAbs(radial.mm, 1e-3));
    }
}

TEST_CASE("two valves are nearest where the whole cycle has it", "[cycle]") {
  const Mechanism mechanism = assembled(leaning_engine());
  const ClearanceModel model = clearance_of(mechanism);
  const ValvePair pair = *ValvePair::make(mechanism.engine());
  const std::vector<double> inlet = lifts_mm(mechanism, ValveKind::inlet, 0.0);
  const std::vector<double> exhaust = lifts_mm(mechanism, ValveKind::exhaust, 0.0);
  Least least;
  for (int i = 0; i < steps; ++i) {
    const std::size_t at = static_cast<std::size_t>(i);
    if (i % 10 == 0) least.note(pair.distance_mm(inlet[at], exhaust[at]), i);
  }
  const std::optional<ValveToValve> found = model.least_between();
  REQUIRE(found.has_value());
  INFO("least " << least.mm << " at " << least.at_deg);
  CHECK(least.mm > 0.0);
  CHECK_THAT(found->least_mm, WithinAbs(least.mm, 1e-3));
}
