#include "scene/overlay_layout.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace phasewright {

namespace {

template <class Wish>
std::vector<std::size_t> by_rank(const std::vector<Wish>& wishes) {
  std::vector<std::size_t> order(wishes.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::ranges::stable_sort(order, {}, [&](std::size_t i) { return wishes[i].rank; });
  return order;
}

bool over(const ScreenRect& rect, glm::vec2 point, float apart) {
  return point.x > rect.left - apart && point.x < rect.right + apart && point.y > rect.top - apart &&
         point.y < rect.bottom + apart;
}

float overlap_width(const ScreenRect& a, const ScreenRect& b) {
  return std::max(0.0f, std::min(a.right, b.right) - std::max(a.left, b.left));
}

class LabelPlacer {
public:
  LabelPlacer(const std::vector<LabelWish>& wishes, const LabelArea& area)
      : wishes_(wishes), area_(area), places_(wishes.size()) {}

  // The best place on one side, and what it costs; nothing when the side is full.
  struct Offer {
    ScreenRect rect;
    float cost;
  };
  [[nodiscard]] std::optional<Offer> offer(std::size_t index, bool right) const {
    const LabelWish& wish = wishes_[index];
    float left = right ? std::max(area_.drive.right, wish.anchor.x) + area_.gap
                       : std::min(area_.drive.left, wish.anchor.x) - area_.gap - wish.width;
    left = std::round(std::clamp(left, area_.pane.left, std::max(area_.pane.left, area_.pane.right - wish.width)));
    const float step = std::max(2.0f, std::round(wish.height / 6.0f));
    const int reach = static_cast<int>(area_.pane.height() / step) + 1;
    for (int i = 0; i <= 2 * reach; ++i) {
      const float by = step * static_cast<float>((i + 1) / 2) * (i % 2 == 0 ? 1.0f : -1.0f);
      const float top = std::round(wish.anchor.y - wish.height / 2.0f + by);
      const ScreenRect rect{left, top, left + wish.width, top + wish.height};
      if (!free(rect, index)) continue;
      const float across = overlap_width(rect, area_.drive);
      return Offer{rect, std::fabs(by) + std::fabs(left - wish.anchor.x) * 0.1f + across * 2.0f};
    }
    return std::nullopt;
  }

  void put(std::size_t index, const ScreenRect& rect) { places_[index] = rect; }

  // Two labels of one side whose lines cross change places, if that leaves both free.
  void uncross(const std::map<std::string, bool>& side) {
    for (std::size_t pass = 0; pass < wishes_.size(); ++pass)
      for (std::size_t i = 0; i < wishes_.size(); ++i)
        for (std::size_t k = i + 1; k < wishes_.size(); ++k) {
          if (!places_[i] || !places_[k] || side.at(wishes_[i].key) != side.at(wishes_[k].key)) continue;
          if ((wishes_[i].anchor.y < wishes_[k].anchor.y) != (places_[i]->top > places_[k]->top)) continue;
          swap_heights(i, k);
        }
  }

  [[nodiscard]] std::vector<std::optional<ScreenRect>> places() && { return std::move(places_); }

private:
  [[nodiscard]] bool free(const ScreenRect& rect, std::size_t index) const {
    if (!area_.pane.holds(rect)) return false;
    for (const ScreenRect& reserved : area_.reserved)
      if (rect.touches(reserved, 4)) return false;
    for (std::size_t i = 0; i < wishes_.size(); ++i) {
      if (i == index) continue;
      if (places_[i] && rect.touches(*places_[i], 4)) return false;
      if (over(rect, wishes_[i].anchor, 4)) return false;
    }
    return !over(rect, wishes_[index].anchor, 4);
  }

  void swap_heights(std::size_t i, std::size_t k) {
    const ScreenRect old_i = *places_[i];
    const ScreenRect old_k = *places_[k];
    const ScreenRect new_i{old_i.left, old_k.top, old_i.right, old_k.top + old_i.height()};
    const ScreenRect new_k{old_k.left, old_i.top, old_k.right, old_i.top + old_k.height()};
    places_[i].reset();
    places_[k].reset();
    if (free(new_i, i) && free(new_k, k) && !new_i.touches(new_k, 4)) {
      places_[i] = new_i;
      places_[k] = new_k;
    } else {
      places_[i] = old_i;
      places_[k] = old_k;
    }
  }

  const std::vector<LabelWish>& wishes_;
  const LabelArea& area_;
  std::vector<std::optional<ScreenRect>> places_;
};

} // namespace

std::vector<std::optional<ScreenRect>> place_labels(const std::vector<LabelWish>& wishes, const LabelArea& area,
                                                    std::map<std::string, bool>& side) {
  LabelPlacer placer(wishes, area);
  const float middle = (area.drive.left + area.drive.right) / 2.0f;
  const float stay =
      (area.drive.right - area.drive.left) * 0.15f; // a label keeps its side until the anchor is well past
  for (const std::size_t i : by_rank(wishes)) {
    const LabelWish& wish = wishes[i];
    const auto before = side.find(wish.key);
    const bool wanted =
        before == side.end() ? wish.anchor.x >= middle : wish.anchor.x >= middle + (before->second ? -stay : stay);
    const auto near = placer.offer(i, wanted);
    const auto far = placer.offer(i, !wanted);
    const bool change = far && (!near || far->cost + wish.height * 2.0f < near->cost);
    side[wish.key] = change ? !wanted : wanted;
    if (const auto& best = change ? far : near) placer.put(i, best->rect);
  }
  placer.uncross(side);
  return std::move(placer).places();
}

namespace {

std::vector<std::optional<FlagPlace>> placed_in_order(const std::vector<FlagWish>& wishes,
                                                      const std::vector<std::size_t>& order, float left, float right,
                                                      int rows, float gap) {
  std::vector<std::optional<FlagPlace>> places(wishes.size());
  const auto free = [&](float from, float to, int row) {
    for (std::size_t k = 0; k < wishes.size(); ++k)
      if (places[k] && places[k]->row == row && from < places[k]->left + wishes[k].width + gap &&
          places[k]->left < to + gap)
        return false;
    return true;
  };
  for (const std::size_t i : order) {
    const float width = wishes[i].width;
    const float start =
        std::max(left, wishes[i].x + width > right ? std::min(wishes[i].x, right) - width : wishes[i].x);
    for (const float from : {start, wishes[i].x - width})
      for (int row = 0; row < rows && from >= left && !places[i]; ++row)
        if (free(from, from + width, row)) places[i] = FlagPlace{from, row};
  }
  return places;
}

} // namespace

std::vector<std::optional<FlagPlace>> place_flags(const std::vector<FlagWish>& wishes, float left, float right,
                                                  int rows, float gap) {
  // Whoever finds no room gets its turn before its equals, once.
  std::vector<std::size_t> order = by_rank(wishes);
  std::vector<bool> promoted(wishes.size(), false);
  while (true) {
    std::vector<std::optional<FlagPlace>> places = placed_in_order(wishes, order, left, right, rows, gap);
    const auto failed = std::ranges::find_if(order, [&](std::size_t i) { return !places[i] && !promoted[i]; });
    if (failed == order.end()) return places;
    promoted[*failed] = true;
    const auto first =
        std::ranges::find_if(order, [&](std::size_t i) { return wishes[i].rank == wishes[*failed].rank; });
    std::rotate(first, failed, failed + 1);
  }
}

} // namespace phasewright
