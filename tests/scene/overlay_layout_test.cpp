#include "scene/overlay_layout.hpp"

#include "support/catch.hpp"

#include <random>

using namespace phasewright;

TEST_CASE("labels lie over nothing, whatever is asked for") {
  std::mt19937 random(20261125);
  const auto between = [&random](float low, float high) {
    return low + (high - low) * static_cast<float>(random()) / static_cast<float>(std::mt19937::max());
  };
  int placed = 0;
  for (int round = 0; round < 300; ++round) {
    LabelArea area{.pane = {0, 0, 700, 560},
                   .drive = {220, 60, 480, 500},
                   .reserved = {{430, 10, 690, 40}, {10, 500, 150, 550}},
                   .gap = 20};
    std::vector<LabelWish> wishes;
    for (int i = 0; i < 9; ++i)
      wishes.push_back({std::to_string(i), {between(5, 695), between(5, 555)}, between(80, 190), 38, i});
    std::map<std::string, bool> side;
    const auto places = place_labels(wishes, area, side);
    for (std::size_t i = 0; i < places.size(); ++i) {
      if (!places[i]) continue;
      ++placed;
      REQUIRE(area.pane.holds(*places[i]));
      for (const ScreenRect& reserved : area.reserved) REQUIRE_FALSE(places[i]->touches(reserved));
      for (std::size_t k = 0; k < places.size(); ++k) {
        if (k != i && places[k]) REQUIRE_FALSE(places[i]->touches(*places[k]));
        const ScreenRect anchor{wishes[k].anchor.x, wishes[k].anchor.y, wishes[k].anchor.x + 0.1f,
                                wishes[k].anchor.y + 0.1f};
        REQUIRE_FALSE(places[i]->touches(anchor));
      }
    }
  }
  CHECK(placed > 300 * 9 * 8 / 10); // and most of them do find a place
}

TEST_CASE("a label stays on its side while its anchor wavers about the middle") {
  const LabelArea area{.pane = {0, 0, 700, 560}, .drive = {250, 60, 450, 500}, .reserved = {}, .gap = 20};
  std::map<std::string, bool> side;
  for (const float x : {360.0f, 345.0f, 355.0f, 340.0f}) {
    const auto places = place_labels({{"mark", {x, 300}, 100, 38, 0}}, area, side);
    REQUIRE(places[0]);
    CHECK(places[0]->left > area.drive.right);
  }
}

TEST_CASE("the first in rank is never left out for a later one") {
  const LabelArea area{.pane = {0, 0, 220, 60}, .drive = {90, 0, 130, 60}, .reserved = {}, .gap = 10};
  std::map<std::string, bool> side;
  const std::vector<LabelWish> wishes{
      {"late", {110, 30}, 70, 50, 5}, {"first", {120, 30}, 70, 50, 0}, {"later", {100, 30}, 70, 50, 6}};
  const auto places = place_labels(wishes, area, side);
  CHECK(places[1]);
  CHECK_FALSE(places[2]);
}

TEST_CASE("flags that would touch go to the next row") {
  const auto places = place_flags({{100, 80, 0}, {150, 80, 0}, {300, 80, 0}, {110, 80, 1}}, 0, 400, 2, 8);
  REQUIRE(places[0]);
  CHECK(places[0]->row == 0);
  REQUIRE(places[1]);
  CHECK(places[1]->row == 1);
  REQUIRE(places[2]);
  CHECK(places[2]->row == 0);
  REQUIRE(places[3]); // two rows are full after its pole: its words end there
  CHECK(places[3]->left == 30);
}

TEST_CASE("a flag without room after its pole or before it has none") {
  const auto places = place_flags({{100, 80, 0}, {150, 80, 0}, {70, 60, 0}, {70, 80, 1}}, 0, 400, 2, 8);
  CHECK(places[0]);
  CHECK(places[1]);
  CHECK(places[2]);
  CHECK_FALSE(places[3]); // it would begin left of the strip
}

// First come, the third would stand across both rows; before the others it leaves them room.
TEST_CASE("a flag that finds no room is asked before its equals") {
  const auto places = place_flags({{395, 113, 0}, {180, 132, 0}, {398, 122, 0}}, 0, 400, 2, 8);
  for (const auto& place : places) CHECK(place);
}

TEST_CASE("a flag near the right edge turns its words to the left") {
  const auto places = place_flags({{390, 80, 0}}, 0, 400, 2, 8);
  REQUIRE(places[0]);
  CHECK(places[0]->left == 310);
}
