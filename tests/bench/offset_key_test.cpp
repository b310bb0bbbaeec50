#include "bench/offset_key.hpp"
#include "geometry/angle.hpp"
#include "support/catch.hpp"

#include <cmath>

using namespace phasewright;

TEST_CASE("the step is the shaft's radius times the sine of the angle", "[offset key]") {
  CHECK(key_step_mm(28.0, 0.0) == 0.0);
  CHECK_THAT(key_step_mm(25.0, 2.0), WithinAbs(12.5 * std::sin(2.0 * pi / 180.0), 1e-15));
  CHECK(key_step_mm(30.0, 30.0) == 7.5);
  CHECK(key_step_mm(28.0, -4.0) == -key_step_mm(28.0, 4.0));
}

// At the crank the cam is advanced when the sprocket half of the key leads, at the cam when the shaft half leads:
// turning the crank sprocket on past its shaft carries chain and cam on; holding the cam sprocket, the shaft must stand
// further on than it.
TEST_CASE("words say which half leads", "[offset key]") {
  CHECK(key_words(KeyAt::crank, 4.0) == "crank key 4°, sprocket half leading");
  CHECK(key_words(KeyAt::crank, -1.5) == "crank key 1.5°, sprocket half trailing");
  CHECK(key_words(KeyAt::cam, 2.0) == "cam key 2°, shaft half leading");
  CHECK(key_words(KeyAt::cam, -2.0) == "cam key 2°, shaft half trailing");
  CHECK(key_words(KeyAt::cam, 0.0) == "cam key straight");
}

TEST_CASE("the step faces the running way at the crank and against it at the cam", "[offset key]") {
  CHECK(step_side(KeyAt::crank, 2.0, Rotation::clockwise) == 1);
  CHECK(step_side(KeyAt::crank, -2.0, Rotation::clockwise) == -1);
  CHECK(step_side(KeyAt::cam, 2.0, Rotation::clockwise) == -1);
  CHECK(step_side(KeyAt::cam, 2.0, Rotation::anticlockwise) == 1);
  CHECK(step_side(KeyAt::crank, 2.0, Rotation::anticlockwise) == -1);
  CHECK(step_side(KeyAt::crank, 0.0, Rotation::clockwise) == 0);
  CHECK(step_words(KeyAt::cam, 2.0, Rotation::clockwise, 25.0) ==
        "upper half stepped 0.44 mm (17 thou) anticlockwise, seen from the timing end");
  CHECK(step_words(KeyAt::cam, 0.0, Rotation::clockwise, 25.0).empty());
}
