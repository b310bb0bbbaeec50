// Dial indicators and piston stop, and what calls the other instruments.
#include "geometry/angle.hpp"
#include "mechanics/crank.hpp"
#include "scene/compose.hpp"
#include "scene/shapes.hpp"

#include <fmt/format.h>
#include <glm/geometric.hpp>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// Where a dial touches, how far its plunger has gone in since it was set, and what it is called.
struct DialState {
  glm::dmat4 placement{1.0}; // of its frame, as it was set: the tip touches at the origin
  double out_mm = 0;         // the plunger since then, along -z
  double shows_mm = 0;
  std::string key;
  std::string name;
};

void add_dial(const DialLayout& dial, const DialState& state, const SceneOptions& options, std::string figure,
              Scene& scene) {
  const std::size_t part = add_part(scene, state.name, {figure, "one turn of the needle is 1 mm"});
  const glm::dmat4 at_axis = state.placement * moved({0, 0, dial.axis_mm});
  add_instance(scene, dial.body, part, Material::cast, state.placement);
  add_instance(scene, dial.face, part, Material::plate, state.placement);
  add_instance(scene, dial.plunger, part, Material::shaft_steel, state.placement * moved({0, 0, -state.out_mm}));
  // The needle lies in its face, as seen against +y, and turns clockwise there.
  const glm::dmat4 face = frame({-1, 0, 0}, {0, 0, 1}, {0, 1, 0}, {0, 0, 0});
  add_instance(scene, dial.needle, part, Material::key_steel,
               at_axis * face * turned_clock(360.0 * (state.shows_mm - std::floor(state.shows_mm))));
  for (int i = 0; i < 20; ++i) {
    const double long_mm = i % 10 == 0 ? 0.28 : i % 2 == 0 ? 0.18 : 0.1;
    const auto mark = [&](double radii) {
      const double clock_deg = 18.0 * i;
      return glm::dvec3(at_axis * face *
                        glm::dvec4(radii * dial.radius_mm * sin_deg(clock_deg),
                                   radii * dial.radius_mm * cos_deg(clock_deg), 0.26 * dial.radius_mm, 1.0));
    };
    scene.strokes.push_back({{mark(0.84 - long_mm), mark(0.84)}, Tone::ink, 1.2f, StrokeStyle::solid});
  }
  if (!options.labels) return;
  Label label;
  label.key = state.key;
  label.anchor_mm = glm::dvec3(at_axis * glm::dvec4(0, 0.25 * dial.radius_mm, 0.5 * dial.radius_mm, 1.0));
  label.title = state.name;
  label.figure = std::move(figure);
  label.rank = 1;
  scene.labels.push_back(std::move(label));
}

// The frame of a camshaft's dial as it is set, with its sprocket's middle there.
glm::dmat4 end_frame(const SceneLayout& layout, std::size_t camshaft, glm::dvec3 centre_mm, bool nuts) {
  const SprocketLayout& sprocket = layout.sprocket(*layout.camshafts[camshaft].sprocket);
  const NutSizes nut = nut_sizes(sprocket);
  const double end_mm =
      nuts && sprocket.in_front ? nut.from_mm + nut.tab_mm + nut.nut_mm + nut.thread_mm : sprocket.hub_front_mm;
  const glm::dvec2 foot = layout.instruments.to_foot[camshaft];
  return frame({foot, 0}, {left_of(foot), 0}, {0, 0, 1}, centre_mm + glm::dvec3{0, 0, end_mm});
}

std::size_t dialled_camshaft(const SceneLayout& layout, std::optional<std::size_t> camshaft) {
  return std::min(camshaft.value_or(0), layout.camshafts.size() - 1);
}

void add_end_dial(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  const std::size_t k = dialled_camshaft(layout, options.camshaft);
  const CamshaftLayout& camshaft = layout.camshafts[k];
  const DialLayout& dial = layout.instruments.at_end[k];
  if (!camshaft.sprocket || dial.body == no_mesh) return;
  const std::optional<double>& float_mm = options.instruments.end_float_mm;
  DialState state;
  state.placement = end_frame(layout, k, shown.at(*camshaft.sprocket).centre_mm, options.nuts);
  state.shows_mm = float_mm.value_or(0.0);
  state.key = "dial end";
  state.name = fmt::format("dial on the {}shaft's end", camshaft.words);
  add_dial(dial, state, options, float_mm ? "end float " + length_words(options, *float_mm) : "end float not read yet",
           scene);
}

// The inlet's, or the only one.
const ValveLayout* dialled_valve(const SceneLayout& layout) {
  for (const ValveLayout& valve : layout.valves)
    if (valve.has_valve) return &valve;
  return nullptr;
}

// Away from the other valve, on the retainer's rim; of a bucket, on its own.
glm::dmat4 valve_frame(const SceneLayout& layout, const ValveLayout& valve, int cylinder) {
  double side = 1.0;
  for (const ValveLayout& other : layout.valves)
    if (other.kind != valve.kind && other.z_mm > valve.z_mm) side = -1.0;
  const bool bucket = valve.train == Train::bucket;
  const double aside_mm = bucket ? 0.9 * valve.foot_radius_mm : 0.9 * valve.spring_radius_mm;
  constexpr double retainer_mm = 2.6; // from under its rim to the top of that
  const double up_mm = bucket ? valve.stem_mm + valve.lash_mm : valve.spring_to_mm + retainer_mm;
  const glm::dvec2 at_mm = valve.head_mm + up_mm * valve.stem;
  const glm::dvec3 z{valve.stem, 0.0};
  const glm::dvec3 x{0.0, 0.0, side};
  return layout.engine_frame *
         frame(x, glm::cross(z, x), z, {at_mm, layout.cylinder.middle_mm(cylinder) + valve.z_mm + side * aside_mm});
}

void add_valve_dial(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  const ValveLayout* valve = dialled_valve(layout);
  const DialLayout& dial = layout.instruments.at_valve;
  const int number = cylinder_shown(shown.mechanism.engine(), options);
  const ValvePose* pose = valve == nullptr ? nullptr : find_pose(shown.pose, valve->kind, number);
  if (pose == nullptr || dial.body == no_mesh || !options.engine_parts) return;
  DialState state;
  state.placement = valve_frame(layout, *valve, number);
  state.out_mm = pose->lift_mm;
  state.shows_mm = pose->lift_mm;
  state.key = "dial valve";
  state.name = fmt::format("dial on the {} valve", to_word(valve->kind));
  if (number != 1) state.name += fmt::format(" No. {}", number);
  add_dial(dial, state, options, "shows " + length_words(options, pose->lift_mm), scene);
}

void add_dial_points(const DialLayout& dial, const glm::dmat4& placement, std::vector<glm::dvec3>& points) {
  const double r = dial.radius_mm;
  for (const double y : {-0.3 * r, 0.3 * r})
    for (const glm::dvec2 at : {glm::dvec2{-r, dial.axis_mm + 1.3 * r},
                                glm::dvec2{dial.reach_mm + dial.foot_radius_mm, dial.axis_mm + 1.3 * r},
                                glm::dvec2{-r, dial.axis_mm}, glm::dvec2{dial.reach_mm, -dial.foot_mm}})
      points.emplace_back(placement * glm::dvec4(at.x, y, at.y, 1.0));
}

void add_stop(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  const StopLayout& stop = layout.instruments.stop;
  // It is in No. 1's plug hole, and would hang in the air beside another cylinder.
  if (!options.engine_parts || cylinder_shown(shown.mechanism.engine(), options) != 1) return;
  const std::optional<double>& meets_deg = options.instruments.stop_deg;
  const double down_mm = meets_deg ? shown.mechanism.slider_crank().drop_mm(std::fabs(*meets_deg)) : stop.chosen_mm;
  // It would hold the crank from going on to TDC: nearer than it lets the piston come it is screwed back.
  const double drop_mm = shown.pose.pistons[0].drop_mm;
  const bool backed_off = drop_mm < down_mm;
  constexpr double clear_mm = 1.0;
  const double tip_mm = stop.highest_mm - (backed_off ? drop_mm - clear_mm : down_mm);
  std::string figure = backed_off  ? "screwed back: No. 1 is nearer TDC"
                       : meets_deg ? fmt::format("No. 1 meets it {:.1f}° either side of TDC", std::fabs(*meets_deg))
                                   : "No. 1 meets it either side of TDC";
  const std::size_t part = add_part(scene, "piston stop", {figure});
  const double z_mm = layout.cylinder.middle_mm(1) + stop.at_mm.y;
  const auto put = [&](std::size_t mesh, double height_mm) {
    add_instance(scene, mesh, part, Material::key_steel,
                 layout.engine_frame * along({0, 1}, {stop.at_mm.x, height_mm}, z_mm));
  };
  put(stop.rod, tip_mm);
  put(stop.plug, 0.0);
  if (!options.labels) return;
  Label label;
  label.key = "stop";
  label.anchor_mm = glm::dvec3(layout.engine_frame * glm::dvec4(stop.at_mm.x, stop.plug_mm + 14.0, z_mm, 1.0));
  label.title = "piston stop";
  label.figure = std::move(figure);
  label.rank = 2;
  scene.labels.push_back(std::move(label));
}

} // namespace

std::vector<glm::dvec3> instrument_points(const SceneLayout& layout, const SceneInstruments& wanted,
                                          std::optional<std::size_t> camshaft, int cylinder) {
  std::vector<glm::dvec3> points;
  const InstrumentsLayout& at = layout.instruments;
  if (wanted.straight_edge)
    for (std::size_t i = 1; i < at.straight_edges.size(); ++i)
      for (const double along_mm : {0.0, at.straight_edges[i].length_mm})
        points.emplace_back(at.straight_edges[i].from_mm + along_mm * at.straight_edges[i].way,
                            at.straight_edges[i].z_mm + at.straight_edges[i].high_mm);
  if (wanted.dial_at_end && !layout.camshafts.empty()) {
    const std::size_t k = dialled_camshaft(layout, camshaft);
    if (const auto place = layout.camshafts[k].sprocket)
      add_dial_points(at.at_end[k],
                      end_frame(layout, k, {layout.sprocket(*place).centre_mm, layout.loops[place->loop].z_mm}, true),
                      points);
  }
  if (const ValveLayout* valve = dialled_valve(layout); wanted.dial_at_valve && valve != nullptr)
    add_dial_points(at.at_valve, valve_frame(layout, *valve, cylinder), points);
  if (wanted.wheel) {
    constexpr int around = 24;
    for (int i = 0; i < around; ++i)
      points.emplace_back((at.wheel.outer_mm + 6.0) * unit_vector(turn_rad * i / around),
                          at.wheel.z_mm + at.wheel.thick_mm + 4.0);
  }
  if (wanted.stop)
    points.emplace_back(layout.engine_frame * glm::dvec4(at.stop.at_mm.x, at.stop.highest_mm + at.stop.rod_mm,
                                                         layout.cylinder.middle_mm(1) + at.stop.at_mm.y, 1.0));
  return points;
}

void add_instruments(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  const SceneInstruments& wanted = options.instruments;
  if (wanted.straight_edge) add_straight_edge(layout, shown, options, scene);
  if (wanted.dial_at_end && !layout.camshafts.empty()) add_end_dial(layout, shown, options, scene);
  if (wanted.dial_at_valve) add_valve_dial(layout, shown, options, scene);
  if (wanted.wheel) add_wheel(layout, options, scene);
  if (wanted.stop) add_stop(layout, shown, options, scene);
}

} // namespace phasewright
