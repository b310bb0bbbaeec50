#include "reference/loops_layout.hpp"

#include "support/small_engine.hpp"

#include <array>
#include <cmath>
#include <numbers>
#include <numeric>

namespace phasewright::testing {

namespace {

constexpr double pi_rad = std::numbers::pi;

double length(glm::dvec2 v) {
  return std::hypot(v.x, v.y);
}

} // namespace

Chain random_chain(std::mt19937& random) {
  Chain chain = small_engine().loops[0].chain;
  struct Size { // ISO 606, plate height from memory; they are only proportions here
    double pitch_mm, roller_mm, plate_mm;
  };
  static constexpr std::array sizes{Size{6.35, 3.3, 6.02}, Size{8.0, 5.0, 7.11}, Size{9.525, 6.35, 8.26},
                                    Size{9.525, 5.08, 9.05}, Size{12.7, 8.51, 11.81}};
  const Size size = sizes[random() % sizes.size()];
  chain.iso606.clear();
  chain.pitch_mm = size.pitch_mm;
  chain.roller_mm = size.roller_mm;
  chain.plate_height_mm = size.plate_mm;
  return chain;
}

std::vector<Sprocket> random_order(std::mt19937& random, const LoopWish& wish, int driver_teeth) {
  std::vector<Sprocket> order(static_cast<std::size_t>(wish.sprockets));
  order[0].teeth = driver_teeth;
  order[0].name = "crank";
  std::vector<std::size_t> places(order.size() - 1);
  std::iota(places.begin(), places.end(), std::size_t{1});
  for (std::size_t i = places.size(); i > 1; --i) std::swap(places[i - 1], places[random() % i]);
  for (int cam = 0; cam < wish.camshafts; ++cam) {
    Sprocket& sprocket = order[places[static_cast<std::size_t>(cam)]];
    sprocket.camshaft = cam == 0 ? "cam" : "second cam";
    sprocket.name = sprocket.camshaft;
    sprocket.teeth = 2 * driver_teeth;
  }
  int back = wish.on_the_back;
  for (std::size_t i = 1; i < order.size(); ++i) {
    if (!order[i].camshaft.empty()) continue;
    order[i].name = "idler " + std::to_string(i);
    order[i].teeth = order.size() > 5 ? whole_between(random, 18, 28) : whole_between(random, 12, 24);
    if (back > 0 && order[i - 1].wrap == Wrap::inside && order.size() > 2) {
      order[i].wrap = Wrap::outside;
      order[i].teeth = whole_between(random, 10, 18);
      --back;
    }
  }
  for (Sprocket& sprocket : order) {
    sprocket.mark = random() % 2 == 0 ? MarkOn::tooth : MarkOn::gap;
    sprocket.mark_clock_deg = between(random, 0.0, 360.0);
  }
  return order;
}

void place_sprockets(std::mt19937& random, const LoopWish& wish, Loop& loop) {
  struct Place {
    std::size_t sprocket;
    double to_next_mm; // room it takes up on the ring
  };
  std::vector<Place> ring;
  double round_mm = 0.0;
  for (std::size_t i = 0; i < loop.sprockets.size(); ++i) {
    const double tip_mm = tip_radius_mm(loop.chain, loop.sprockets[i].teeth);
    if (loop.sprockets[i].wrap == Wrap::inside) {
      if (!ring.empty()) ring.back().to_next_mm += tip_mm;
      ring.push_back({i, tip_mm});
    } else {
      ring.back().to_next_mm += 1.5 * tip_mm;
    }
  }
  ring.back().to_next_mm += tip_radius_mm(loop.chain, loop.sprockets[0].teeth);
  for (const Place& place : ring) round_mm += place.to_next_mm;
  const bool two = ring.size() == 2;
  const double least = wish.tensioner ? 1.4 : 1.1;
  const double roomy = two ? between(random, 1.05, 2.4) : between(random, least, least + 0.8);
  const double ring_mm = roomy * round_mm / (two ? 4.0 : 2.0 * pi_rad);
  const double uneven = ring.size() > 4 ? 0.05 : 0.12;
  double at_rad = between(random, -pi_rad, pi_rad);
  for (const Place& place : ring) {
    loop.sprockets[place.sprocket].centre_mm =
        ring_mm * between(random, 1.0 - uneven, 1.0 + uneven) * glm::dvec2{std::cos(at_rad), std::sin(at_rad)};
    at_rad += 2.0 * pi_rad * place.to_next_mm / round_mm * (1.0 + uneven * between(random, -0.5, 0.5));
  }
  for (std::size_t i = 0; i < loop.sprockets.size(); ++i) {
    Sprocket& sprocket = loop.sprockets[i];
    if (sprocket.wrap == Wrap::inside) continue;
    const Sprocket& before = loop.sprockets[i - 1];
    const Sprocket& after = loop.sprockets[(i + 1) % loop.sprockets.size()];
    const double pitch_mm = loop.chain.pitch_mm;
    const auto round = [pitch_mm](const Sprocket& s) {
      return Round{s.centre_mm, pitch_mm / (2.0 * std::sin(pi_rad / s.teeth)), 1.0, s.teeth, 0};
    };
    const std::optional<Way> straight = way_round({round(before), round(after)}, 1.0);
    if (!straight) continue;
    const Leg& leg = straight->legs[0];
    const glm::dvec2 along = (leg.to_mm - leg.from_mm) / length(leg.to_mm - leg.from_mm);
    const glm::dvec2 outward{along.y, -along.x};
    const double depth_mm = between(random, 0.1, 0.5) * length(leg.to_mm - leg.from_mm);
    sprocket.centre_mm = leg.from_mm + between(random, 0.35, 0.65) * (leg.to_mm - leg.from_mm) +
                         (round(sprocket).radius_mm - depth_mm) * outward;
  }
}

} // namespace phasewright::testing
