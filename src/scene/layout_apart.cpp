// How far each kind of part goes forward when the drive is taken apart.
#include "scene/layout.hpp"

#include <algorithm>
#include <functional>
#include <numeric>

namespace phasewright {

namespace {

// Along z, over all shafts.
struct Span {
  double low_mm = 1e300;
  double high_mm = -1e300;

  void take(double low, double high) {
    low_mm = std::min(low_mm, low);
    high_mm = std::max(high_mm, high);
  }
};

// Sends one kind of part after the other in front of those that went before.
class Queue {
public:
  Queue(double from_mm, double gap_mm) : front_mm_(from_mm), gap_mm_(gap_mm) {}

  // How far parts of that span go. A kind that no shaft has goes as far as the one before it.
  double next_mm(const Span& span) {
    if (span.low_mm > span.high_mm) return gone_mm_;
    gone_mm_ = std::max(gone_mm_, front_mm_ + gap_mm_ - span.low_mm);
    front_mm_ = span.high_mm + gone_mm_;
    return gone_mm_;
  }
  [[nodiscard]] double front_mm() const { return front_mm_; }

private:
  double front_mm_;
  double gap_mm_;
  double gone_mm_ = 0.0;
};

template <class Use>
void each_sprocket(const SceneLayout& layout, Use use) {
  for (const LoopLayout& loop : layout.loops)
    for (const SprocketLayout& sprocket : loop.sprockets) use(loop, sprocket);
}

double key_diameter_mm(const Engine& engine, const SprocketLayout& sprocket) {
  if (sprocket.mount == Mount::crank) return engine.crank_seat.key.diameter_mm;
  return engine.cam_seats.at(engine.camshafts[sprocket.camshaft].name).key.diameter_mm;
}

Span key_span(const Engine& engine, const SceneLayout& layout) {
  Span span;
  each_sprocket(layout, [&](const LoopLayout& loop, const SprocketLayout& sprocket) {
    if (!sprocket.keyed) return;
    const double front_mm = loop.z_mm + sprocket.hub_front_mm + 0.25; // where it is cut through, see sprocket_parts
    span.take(front_mm - key_diameter_mm(engine, sprocket) / 2.0, front_mm);
  });
  return span;
}

Span sprocket_span(const LoopLayout& loop) {
  Span span;
  for (const SprocketLayout& sprocket : loop.sprockets)
    span.take(loop.z_mm + sprocket.hub_back_mm, loop.z_mm + sprocket.hub_front_mm);
  return span;
}

} // namespace

// Keys leave their shafts while they go forward.
template <class Change>
Apart Apart::with(double share_now, Change change) const {
  Apart some = *this;
  some.share = share_now;
  for (double* mm :
       {&some.plate_mm, &some.retainers_mm, &some.shims_mm, &some.keys_mm, &some.lock_tabs_mm, &some.nuts_mm})
    *mm = change(*mm);
  for (Loop& loop : some.loops) loop = {change(loop.sprockets_mm), change(loop.chain_mm), change(loop.rails_mm)};
  some.keys_out_mm = keys_mm > 0.0 ? keys_out_mm * some.keys_mm / keys_mm : 0.0;
  some.end_mm = end_mm - (nuts_mm - some.nuts_mm);
  return some;
}

Apart Apart::scaled(double by) const {
  return with(by, [by](double mm) { return by * mm; });
}

Apart Apart::one_by_one(double by) const {
  // Each kind goes its own distance.
  std::vector<double> distances{plate_mm, retainers_mm, shims_mm, keys_mm, lock_tabs_mm, nuts_mm};
  for (const Loop& loop : loops) distances.insert(distances.end(), {loop.sprockets_mm, loop.chain_mm, loop.rails_mm});
  std::ranges::sort(distances, std::ranges::greater{});
  distances.erase(std::unique(distances.begin(), distances.end()), distances.end());
  // The next sets off when the one before it is half way, and never catches up with it: its way is shorter.
  const double steps = static_cast<double>(distances.size()) + 1.0;
  return with(by, [&](double mm) {
    const auto before = static_cast<double>(std::ranges::find(distances, mm) - distances.begin());
    return mm * std::clamp((by * steps - before) / 2.0, 0.0, 1.0);
  });
}

void lay_out_apart(const Engine& engine, SceneLayout& layout) {
  const SprocketLayout& crank = layout.sprocket({0, 0});
  Queue queue(layout.plate_back_mm, std::clamp(0.45 * crank.form.pitch_radius_mm, 6.0, 30.0));
  Apart& apart = layout.apart;
  apart.plate_mm = queue.next_mm({layout.plate_back_mm, layout.plate_front_mm});
  Span retainers;
  Span shims;
  each_sprocket(layout, [&](const LoopLayout& loop, const SprocketLayout& sprocket) {
    if (sprocket.retainer_thick_mm > 0.0)
      retainers.take(layout.plate_front_mm, layout.plate_front_mm + sprocket.retainer_thick_mm);
    if (sprocket.shim_room_mm > 0.0)
      shims.take(loop.z_mm + sprocket.hub_back_mm - sprocket.shim_room_mm, loop.z_mm + sprocket.hub_back_mm);
  });
  apart.retainers_mm = queue.next_mm(retainers);
  apart.shims_mm = queue.next_mm(shims);
  apart.keys_mm = queue.next_mm(key_span(engine, layout));
  apart.keys_out_mm = 0.9 * crank.bore_radius_mm;

  // Of two loops the one that stands further back goes on first; those in one plane go together.
  apart.loops.resize(layout.loops.size());
  std::vector<std::size_t> order(layout.loops.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::ranges::stable_sort(order, {}, [&](std::size_t l) { return layout.loops[l].z_mm; });
  for (std::size_t i = 0; i < order.size();) {
    const double plane_mm = layout.loops[order[i]].z_mm;
    Span sprockets;
    Span chains;
    Span rails;
    std::size_t end = i;
    for (; end < order.size() && layout.loops[order[end]].z_mm == plane_mm; ++end) {
      const LoopLayout& loop = layout.loops[order[end]];
      const Span span = sprocket_span(loop);
      sprockets.take(span.low_mm, span.high_mm);
      chains.take(plane_mm - loop.chain.pin_half_mm, plane_mm + loop.chain.pin_half_mm);
      if (!loop.rails.empty()) rails.take(plane_mm - loop.chain.pin_half_mm, plane_mm + loop.chain.pin_half_mm);
    }
    const Apart::Loop gone{queue.next_mm(sprockets), queue.next_mm(chains), queue.next_mm(rails)};
    for (; i < end; ++i) apart.loops[order[i]] = gone;
  }

  Span tabs;
  Span nuts;
  each_sprocket(layout, [&](const LoopLayout& loop, const SprocketLayout& sprocket) {
    if (sprocket.mount == Mount::idler) {
      nuts.take(loop.z_mm + sprocket.nose_back_mm, loop.z_mm + sprocket.hub_front_mm + 0.7 * sprocket.bore_radius_mm);
    } else if (sprocket.in_front) {
      const NutSizes sizes = nut_sizes(sprocket);
      const double from_mm = loop.z_mm + sizes.from_mm;
      tabs.take(from_mm, from_mm + sizes.tab_mm + sizes.bent_mm);
      nuts.take(from_mm + sizes.tab_mm, from_mm + sizes.tab_mm + sizes.nut_mm + sizes.thread_mm);
    }
  });
  apart.lock_tabs_mm = queue.next_mm(tabs);
  apart.nuts_mm = queue.next_mm(nuts);
  apart.end_mm = queue.front_mm();
}

} // namespace phasewright
