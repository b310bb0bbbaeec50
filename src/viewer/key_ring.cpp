#include "viewer/key_ring.hpp"

#include <algorithm>
#include <utility>

namespace phasewright::viewer {

namespace {

constexpr const char* first_panel = "side";

std::size_t after(const KeyRing& ring, const std::string& from, bool back) {
  const std::vector<KeyRing::Item>& items = ring.items;
  const auto now = std::ranges::find(items, from, &KeyRing::Item::name);
  if (now != items.end()) {
    const auto index = static_cast<std::size_t>(now - items.begin());
    return (index + (back ? items.size() - 1 : 1)) % items.size();
  }
  const auto beside = [](const KeyRing::Item& item) { return item.panel == first_panel; };
  const auto first = std::ranges::find_if(items, beside);
  if (first == items.end()) return 0;
  const auto last = std::find_if_not(first, items.end(), beside) - 1;
  return static_cast<std::size_t>((back ? last : first) - items.begin());
}

} // namespace

void step_on(KeyRing& ring, const std::string& typing, bool back) {
  if (ring.items.empty()) return;
  const KeyRing::Item& next = ring.items[after(ring, typing.empty() ? ring.at : typing, back)];
  ring.at = next.field ? "" : next.name;
  ring.field = next.field ? next.name : "";
  ring.reach = true;
}

void end_of_frame(KeyRing& ring) {
  ring.items = std::move(ring.drawing);
  ring.drawing.clear();
  ring.press = false;
  ring.reach = false;
  if (std::ranges::find(ring.items, ring.at, &KeyRing::Item::name) == ring.items.end()) ring.at.clear();
}

} // namespace phasewright::viewer
