#include "viewer/output_look.hpp"

#include <algorithm>

namespace phasewright::viewer {

namespace {

constexpr double kept_in_sight = 0.15; // of what was seen, when it is read on

} // namespace

void take_kind(OutputWishes& wishes, OutputKind kind) {
  wishes.kind = kind;
  wishes.leaf = 0;
  fit_leaf(wishes);
}

void fit_leaf(OutputWishes& wishes) {
  wishes.zoom = 1.0;
  wishes.seen_x = wishes.seen_y = 0.5;
}

void zoom_leaf(OutputWishes& wishes, double times) {
  wishes.zoom = std::clamp(wishes.zoom * times, 1.0, most_leaf_zoom);
}

void turn_leaf(OutputWishes& wishes, int by, int leaves) {
  const int step = wishes.kind == OutputKind::film ? std::max(1, leaves / 8) : 1;
  wishes.leaf = std::clamp(wishes.leaf + by * step, 0, std::max(0, leaves - 1));
}

void read_on(OutputWishes& wishes, int by, int leaves) {
  const double half = wishes.seen_high / 2.0;
  const double room = by > 0 ? 1.0 - half - wishes.seen_y : wishes.seen_y - half;
  if (room > 1e-6) {
    wishes.seen_y += by * std::min(room, wishes.seen_high * (1.0 - kept_in_sight));
    return;
  }
  const int before = wishes.leaf;
  turn_leaf(wishes, by, leaves);
  if (wishes.leaf != before) wishes.seen_y = by > 0 ? 0.0 : 1.0; // its top, or its foot
}

} // namespace phasewright::viewer
