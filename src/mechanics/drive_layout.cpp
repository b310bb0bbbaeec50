#include "mechanics/drive_layout.hpp"

#include "geometry/angle.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numeric>

namespace phasewright {

namespace {

// Where a sprocket's seat 0 stands before it turns, own angle: at the mark, or half a tooth ahead of a marked tooth.
double first_seat_rad(const Sprocket& sprocket, double own_sign) {
  const double mark_rad = wrap_pi(radians(own_sign * sprocket.mark_clock_deg));
  return sprocket.mark == MarkOn::gap ? mark_rad : mark_rad + pi / sprocket.teeth;
}

double sense_of(const Sprocket& sprocket) {
  return sprocket.wrap == Wrap::inside ? 1.0 : -1.0;
}

// From the crank to the middle of the camshafts' sprockets; nothing when they stand around it.
glm::dvec2 head_way(const Engine& engine) {
  glm::dvec2 sum{};
  for (const Loop& loop : engine.loops)
    for (const Sprocket& sprocket : loop.sprockets)
      if (!sprocket.camshaft.empty()) sum += sprocket.centre_mm - engine.loops[0].sprockets[0].centre_mm;
  const double length = length2(sum);
  return length > 0.0 ? sum / length : glm::dvec2{};
}

glm::dvec2 grown(const Engine& engine, glm::dvec2 centre_mm, const Growth& growth) {
  if (growth.block == 0.0) return centre_mm;
  const glm::dvec2 crank = engine.loops[0].sprockets[0].centre_mm;
  return crank + (1.0 + growth.block) * (centre_mm - crank);
}

std::size_t strand_index(const Loop& loop, const Guide& guide) {
  for (std::size_t i = 0; i < loop.sprockets.size(); ++i)
    if (loop.sprockets[i].name == guide.strand[0] &&
        loop.sprockets[(i + 1) % loop.sprockets.size()].name == guide.strand[1])
      return i;
  assert(false && "layout_faults() asks for a strand of the loop");
  return 0;
}

} // namespace

glm::dvec2 fitted_centre_mm(const Engine& engine, const Fitted& fitted, SprocketPlace place, const Growth& growth) {
  if (place.loop > 0 && place.sprocket == 0)
    return fitted_centre_mm(engine, fitted, driver_of(engine, place.loop), growth);
  const Sprocket& sprocket = sprocket_at(engine, place);
  glm::dvec2 centre_mm = sprocket.centre_mm;
  if (!sprocket.camshaft.empty() && fitted.centre_change_mm != 0.0)
    centre_mm += fitted.centre_change_mm * head_way(engine);
  return grown(engine, centre_mm, growth);
}

SprocketPlace driver_of(const Engine& engine, std::size_t loop) {
  const std::optional<SprocketPlace> driver = find_sprocket(engine, engine.loops[loop].driven_from);
  assert(driver && driver->loop < loop);
  return *driver;
}

double running_sign(const Engine& engine, std::size_t loop) {
  double sign = engine.rotation == Rotation::clockwise ? 1.0 : -1.0;
  while (loop > 0) {
    const SprocketPlace driver = driver_of(engine, loop);
    sign *= sense_of(sprocket_at(engine, driver));
    loop = driver.loop;
  }
  return sign;
}

double fitted_pitch_mm(const Chain& chain, const Fitted& fitted, const Growth& growth) {
  return chain.pitch_mm * (1.0 + fitted.elongation_percent / 100.0) * (1.0 + growth.chain);
}

TurnRatio crank_turns_per_turn(const Engine& engine, SprocketPlace place) {
  TurnRatio ratio;
  for (;;) {
    const Loop& loop = engine.loops[place.loop];
    ratio.numerator *= loop.sprockets[place.sprocket].teeth;
    ratio.denominator *= loop.sprockets[0].teeth;
    const long long shared = std::gcd(ratio.numerator, ratio.denominator);
    ratio = {ratio.numerator / shared, ratio.denominator / shared};
    if (place.loop == 0) return ratio;
    place = driver_of(engine, place.loop);
  }
}

DrawnLoop draw_loop(const Engine& engine, const Fitted& fitted, const Growth& growth, std::size_t index) {
  const Loop& loop = engine.loops[index];
  const double sign = running_sign(engine, index);
  DrawnLoop drawn;
  LoopDrawing& drawing = drawn.drawing;
  drawing.pitch_mm = fitted_pitch_mm(loop.chain, fitted, growth);
  drawing.links = loop.chain.links;
  for (std::size_t i = 0; i < loop.sprockets.size(); ++i) {
    const Sprocket& sprocket = loop.sprockets[i];
    const double sense = sense_of(sprocket);
    drawing.sprockets.push_back(
        seat_polygon(to_running_plane(fitted_centre_mm(engine, fitted, {index, i}, growth), sign), sprocket.teeth,
                     drawing.pitch_mm, sense));
    drawing.first_seat_rad.push_back(first_seat_rad(sprocket, sign * sense));
  }

  // Guides and the shoe, by strand, in the order in which the chain passes them.
  struct Placed {
    std::size_t strand;
    double along;
    PathArc arc;
    std::size_t index; // among the guides, the shoe last
  };
  std::vector<Placed> placed;
  const auto place = [&](const Guide& guide) {
    const std::size_t strand = strand_index(loop, guide);
    const glm::dvec2 centre = to_running_plane(grown(engine, guide.centre_mm, growth), sign);
    const SeatPolygon& from = drawing.sprockets[strand];
    const SeatPolygon& to = drawing.sprockets[(strand + 1) % drawing.sprockets.size()];
    placed.push_back({strand, dot2(centre - from.centre_mm, tangent_way(from, to)),
                      path_arc(centre, guide.radius_mm + loop.chain.plate_height_mm / 2.0,
                               guide.side == Side::inside ? 1.0 : -1.0, drawing.pitch_mm),
                      placed.size()});
  };
  for (const Guide& guide : loop.guides) place(guide);
  if (loop.tensioner) place(loop.tensioner->shoe);
  std::stable_sort(placed.begin(), placed.end(), [](const Placed& a, const Placed& b) { return a.along < b.along; });
  drawing.arcs.resize(loop.sprockets.size());
  drawn.arcs.resize(placed.size());
  for (const Placed& one : placed) {
    drawn.arcs[one.index] = {one.strand, drawing.arcs[one.strand].size()};
    drawing.arcs[one.strand].push_back(one.arc);
  }
  if (loop.tensioner) {
    const double push_rad = radians(loop.tensioner->push_clock_deg);
    drawing.shoe = {drawn.arcs.back().strand, drawn.arcs.back().place,
                    to_running_plane({std::sin(push_rad), std::cos(push_rad)}, sign), loop.tensioner->travel_mm};
  }
  return drawn;
}

} // namespace phasewright
