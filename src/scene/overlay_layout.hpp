// Where labels and flags go so that nothing lies over anything: plain rectangles, no drawing.
#pragma once

#include "scene/screen_rect.hpp"

#include <glm/vec2.hpp>

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace phasewright {

struct LabelWish {
  std::string key;    // the same label from frame to frame
  glm::vec2 anchor{}; // pixels
  float width = 0;
  float height = 0;
  int rank = 0; // lower is placed first
};

struct LabelArea {
  ScreenRect pane;                  // labels stay inside it
  ScreenRect drive;                 // and beside this, where there is room
  std::vector<ScreenRect> reserved; // buttons and chips
  float gap = 12;
};

// A place for each wish, or nothing where there is none; labels never lie over one another, over what is reserved, over
// another label's anchor or across the pane's edge. `side` remembers on which side of the drive each stood (true =
// right).
[[nodiscard]] std::vector<std::optional<ScreenRect>>
place_labels(const std::vector<LabelWish>& wishes, const LabelArea& area, std::map<std::string, bool>& side);

struct FlagWish {
  float x = 0;     // the pole
  float width = 0; // of the words
  int rank = 0;    // lower is placed first
};

struct FlagPlace {
  float left = 0;
  int row = 0;
};

// Flags under the cycle strip: words start at their pole, or end there near the right edge or where no row has room
// after it, each on the first row where it is `gap` clear of the others. Nothing when no row of `rows` has room.
[[nodiscard]] std::vector<std::optional<FlagPlace>> place_flags(const std::vector<FlagWish>& wishes, float left,
                                                                float right, int rows, float gap);

} // namespace phasewright
