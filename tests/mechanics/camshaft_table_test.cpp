#include "geometry/angle.hpp"
#include "mechanics/camshaft_table.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"
#include "support/small_engine.hpp"

#include <cmath>
#include <random>
#include <vector>

using namespace phasewright;
using phasewright::testing::jackshaft_engine;
using phasewright::testing::overhead_engine;
using phasewright::testing::small_engine;

TEST_CASE("the camshaft's table is within a millionth of a degree of the drive", "[camshaft_table]") {
  Fitted worn;
  worn.elongation_percent = 0.2;
  worn.crank_key_deg = 3.0;
  for (const Engine& engine : {small_engine(), overhead_engine(), jackshaft_engine()})
    for (const Fitted& fitted : {Fitted{}, worn}) {
      const Drive drive = *Drive::assemble(engine, fitted);
      for (std::size_t camshaft = 0; camshaft < engine.camshafts.size(); ++camshaft) {
        const CamshaftTable table(drive, engine, camshaft);
        CHECK(table.asked_share() < 0.2);
        std::mt19937 random(1);
        std::uniform_real_distribution<double> crank_rad(-20.0, 40.0);
        double worst_rad = 0.0;
        for (int i = 0; i < 20000; ++i) {
          const double rad = crank_rad(random);
          worst_rad = std::fmax(worst_rad, std::fabs(table.camshaft_rad(rad) - drive.camshaft_rad(rad, camshaft)));
        }
        CHECK(degrees(worst_rad) < 1e-6);
      }
    }
}

TEST_CASE("the table spans one tooth of the crank, or until the teeth of all chains come round", "[camshaft_table]") {
  const Engine one = small_engine();
  CHECK_THAT(degrees(CamshaftTable(*Drive::assemble(one, {}), one, 0).period_rad()), WithinAbs(360.0 / 19.0, 1e-12));
  const Engine two = jackshaft_engine();
  const double period_rad = CamshaftTable(*Drive::assemble(two, {}), two, 0).period_rad();
  const double first_rad = turn_rad / two.loops[0].sprockets[0].teeth;
  CHECK_THAT(std::remainder(period_rad, first_rad), WithinAbs(0.0, 1e-9));
  // The jackshaft turns slower by its teeth.
  const double second_rad =
      turn_rad / two.loops[1].sprockets[0].teeth * two.loops[0].sprockets[1].teeth / two.loops[0].sprockets[0].teeth;
  CHECK_THAT(std::remainder(period_rad, second_rad), WithinAbs(0.0, 1e-9));
}
