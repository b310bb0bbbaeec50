// Where straight-edge, dial indicators, degree wheel and piston stop stand.
#include "geometry/angle.hpp"
#include "mechanics/crank.hpp"
#include "scene/layout.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// As far out as nothing of the chain stands in front of a sprocket's face.
double inside_chain_mm(const Loop& loop, const SprocketLayout& sprocket) {
  return sprocket.form.pitch_radius_mm - 0.5 * loop.chain.plate_height_mm - 0.4;
}

StraightEdgeLayout lay_straight_edge(const Loop& stated, const LoopLayout& loop, std::size_t other) {
  constexpr double least_across_mm = 1.0;
  constexpr double most_across_mm = 4.0;
  constexpr double clear_mm = 0.4;
  const SprocketLayout& crank = loop.sprockets[0];
  const SprocketLayout& far = loop.sprockets[other];
  StraightEdgeLayout edge;
  double room_mm = 1e300; // between hub and chain, on the tighter of the two
  for (const SprocketLayout* sprocket : {&crank, &far})
    room_mm = std::min(room_mm, inside_chain_mm(stated, *sprocket) - sprocket->hub_radius_mm - 2.0 * clear_mm);
  edge.on_hubs = room_mm < least_across_mm;
  edge.across_mm = edge.on_hubs ? most_across_mm : std::min(room_mm, most_across_mm);
  const auto aside_mm = [&](const SprocketLayout& sprocket) {
    return edge.on_hubs ? 0.0 : sprocket.hub_radius_mm + clear_mm + edge.across_mm / 2.0;
  };
  // The line that passes both middles at those distances, on one side.
  const glm::dvec2 apart_mm = far.centre_mm - crank.centre_mm;
  const double distance_mm = length2(apart_mm);
  const glm::dvec2 straight = apart_mm / distance_mm;
  const glm::dvec2 side = left_of(straight).x > 0.0 ? left_of(straight) : -left_of(straight);
  const double sine = std::clamp((aside_mm(far) - aside_mm(crank)) / distance_mm, -0.9, 0.9);
  const double cosine = std::sqrt(1.0 - sine * sine);
  edge.way = cosine * straight + sine * side;
  edge.aside = cosine * side - sine * straight;
  const auto half_chord_mm = [&](const SprocketLayout& sprocket) {
    const double radius_mm = inside_chain_mm(stated, sprocket);
    const double out_mm = aside_mm(sprocket) + edge.across_mm / 2.0;
    return std::sqrt(std::max(radius_mm * radius_mm - out_mm * out_mm, 1.0));
  };
  edge.half_chord_mm = {half_chord_mm(crank), half_chord_mm(far)};
  edge.from_mm = crank.centre_mm + aside_mm(crank) * edge.aside - edge.half_chord_mm[0] * edge.way;
  edge.length_mm = edge.half_chord_mm[0] + edge.half_chord_mm[1] + distance_mm * cosine;
  edge.high_mm = std::clamp(0.09 * edge.length_mm, 14.0, 34.0);
  // A key stands a little out of its hub's face.
  edge.z_mm =
      loop.z_mm + (edge.on_hubs ? crank.hub_front_mm + 0.3 : loop.chain.rows_mm.back() + crank.form.width_mm / 2.0);
  return edge;
}

double dial_radius_mm(const Engine& engine) {
  return std::clamp(0.24 * engine.block.bore_mm, 11.0, 22.0);
}

constexpr double axis_radii = 2.6; // of the case above what the plunger touches, in its radii

// On the camshaft's end, its post between that sprocket and the next.
void lay_end_dials(const Engine& engine, SceneLayout& layout) {
  for (const CamshaftLayout& camshaft : layout.camshafts) {
    DialLayout dial;
    glm::dvec2 to_foot{0.0, -1.0};
    if (camshaft.sprocket) {
      const LoopLayout& loop = layout.loops[camshaft.sprocket->loop];
      const SprocketLayout& own = layout.sprocket(*camshaft.sprocket);
      const SprocketLayout& next = loop.sprockets[camshaft.sprocket->sprocket == 0 ? 1 : 0];
      const glm::dvec2 apart_mm = next.centre_mm - own.centre_mm;
      const double pitch_mm = engine.loops[camshaft.sprocket->loop].chain.pitch_mm;
      const double free_mm =
          std::max(length2(apart_mm) - own.form.tip_radius_mm - next.form.tip_radius_mm, 0.5 * pitch_mm);
      to_foot = apart_mm / length2(apart_mm);
      dial.radius_mm = dial_radius_mm(engine);
      dial.axis_mm = axis_radii * dial.radius_mm;
      dial.foot_radius_mm = std::min(0.4 * free_mm, 12.0);
      dial.reach_mm = own.form.tip_radius_mm + std::min(0.5 * free_mm, 3.0 * pitch_mm);
      dial.foot_mm = loop.z_mm + own.hub_front_mm - layout.plate_front_mm;
    }
    layout.instruments.at_end.push_back(dial);
    layout.instruments.to_foot.push_back(to_foot);
  }
}

// On a spring retainer's rim, its post beside the bore.
DialLayout lay_valve_dial(const Engine& engine, const SceneLayout& layout) {
  DialLayout dial;
  for (const ValveLayout& valve : layout.valves) {
    if (!valve.has_valve) continue;
    dial.radius_mm = dial_radius_mm(engine);
    dial.axis_mm = axis_radii * dial.radius_mm;
    dial.reach_mm = 0.56 * engine.block.bore_mm;
    dial.foot_radius_mm = 0.09 * engine.block.bore_mm;
    dial.foot_mm = std::max(valve.head_mm.y + valve.spring_to_mm - layout.cylinder.face_mm, 10.0);
    break;
  }
  return dial;
}

// About the crank's sprocket, in front of all chains, its pointer away from the other shafts.
WheelLayout lay_wheel(const Engine& engine, const SceneLayout& layout) {
  WheelLayout wheel;
  double reach_mm = 0.0;
  double front_mm = -1e300;
  glm::dvec2 others{0.0, 0.0};
  for (std::size_t l = 0; l < layout.loops.size(); ++l) {
    const LoopLayout& loop = layout.loops[l];
    front_mm = std::max(front_mm, loop.z_mm + loop.chain.pin_half_mm);
    for (const SprocketLayout& sprocket : loop.sprockets) {
      others += sprocket.centre_mm;
      front_mm = std::max(front_mm, loop.z_mm + sprocket.hub_front_mm);
      if (length2(sprocket.centre_mm) > 0.5) continue;
      reach_mm = std::max(reach_mm, sprocket.form.tip_radius_mm + 0.7 * engine.loops[l].chain.pitch_mm);
    }
  }
  const NutSizes nut = nut_sizes(layout.sprocket({0, 0}));
  wheel.inner_mm = reach_mm + 2.0;
  wheel.outer_mm = wheel.inner_mm + std::clamp(0.42 * wheel.inner_mm, 11.0, 26.0);
  wheel.z_mm = std::max(front_mm + 3.0, nut.from_mm + nut.tab_mm + nut.nut_mm + nut.thread_mm + 1.0);
  wheel.thick_mm = 1.6;
  wheel.pointer_clock_deg = degrees(std::atan2(-others.x, -others.y));
  return wheel;
}

// Over the crown where valve heads leave most room.
StopLayout lay_stop(const Engine& engine, const SceneLayout& layout) {
  StopLayout stop;
  const double bore_mm = engine.block.bore_mm;
  const CylinderLayout& cylinder = layout.cylinder;
  double best_mm = -1e300;
  constexpr int steps = 16;
  for (int i = 0; i <= steps; ++i)
    for (int k = 0; k <= steps; ++k) {
      const glm::dvec2 at_mm = bore_mm * (glm::dvec2{i, k} / static_cast<double>(steps) - 0.5);
      double room_mm = 0.46 * bore_mm - length2(at_mm);
      for (const ValveLayout& valve : layout.valves)
        if (valve.has_valve)
          room_mm = std::min(room_mm, length2(at_mm - glm::dvec2{valve.head_mm.x, valve.z_mm}) - valve.head_radius_mm);
      if (room_mm <= best_mm + 1e-9) continue;
      best_mm = room_mm;
      stop.at_mm = at_mm;
    }
  stop.radius_mm = std::clamp(0.5 * best_mm, 1.5, 0.07 * bore_mm);
  stop.plug_mm = cylinder.face_mm + 0.16 * bore_mm;
  const double flat_mm = cylinder.face_mm - engine.block.deck_mm;
  constexpr double from_mm = 1000.0; // above any dome
  const auto way_mm = way_to_crown_mm(layout.crown, {stop.at_mm.x, from_mm, stop.at_mm.y}, {0.0, -1.0, 0.0});
  stop.highest_mm = flat_mm + (way_mm ? from_mm - *way_mm : 0.0);
  stop.chosen_mm = 0.16 * engine.block.stroke_mm;
  stop.rod_mm = stop.plug_mm - stop.highest_mm + 0.5 * engine.block.stroke_mm;
  return stop;
}

} // namespace

void lay_out_instruments(const Engine& engine, SceneLayout& layout) {
  InstrumentsLayout& instruments = layout.instruments;
  instruments.straight_edges.resize(layout.loops[0].sprockets.size());
  for (std::size_t i = 1; i < instruments.straight_edges.size(); ++i)
    instruments.straight_edges[i] = lay_straight_edge(engine.loops[0], layout.loops[0], i);
  lay_end_dials(engine, layout);
  instruments.at_valve = lay_valve_dial(engine, layout);
  instruments.wheel = lay_wheel(engine, layout);
  instruments.stop = lay_stop(engine, layout);
}

} // namespace phasewright
