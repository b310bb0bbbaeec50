// Crank and cylinders, camshafts and valves: what the drive drives.
#include "geometry/angle.hpp"
#include "mechanics/crank.hpp"
#include "scene/layout.hpp"
#include "scene/model.hpp"
#include "scene/shapes.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// From the crown's flat to the first ring's groove, where no pocket breaks out below that; a share of the bore.
constexpr double first_land_share = 0.074;

CylinderLayout lay_out_cylinders(const Engine& engine, double plate_back_mm, double sign) {
  const Block& block = engine.block;
  const SliderCrank crank(block);
  CylinderLayout cylinder;
  const double highest_mm = std::sqrt(std::pow(crank.throw_mm() + block.rod_mm, 2) - std::pow(block.pin_offset_mm, 2));
  cylinder.crown_above_pin_mm = 0.46 * block.bore_mm;
  // A skirt as long as there is room for over the crank's webs at the bottom of the stroke.
  cylinder.main_radius_mm = std::max(0.30 * block.bore_mm, 1.15 * engine.crank_seat.diameter_mm / 2.0);
  cylinder.pin_radius_mm = std::min(0.27 * block.bore_mm, 0.6 * crank.throw_mm() + 4.0);
  const double lowest_pin_mm = highest_mm - crank.travel_mm();
  cylinder.skirt_below_pin_mm =
      std::clamp(lowest_pin_mm - 1.3 * cylinder.main_radius_mm, 0.14 * block.bore_mm, 0.3 * block.bore_mm);
  cylinder.face_mm = highest_mm + cylinder.crown_above_pin_mm + block.deck_mm;
  cylinder.first_z_mm = plate_back_mm - 0.75 * block.bore_mm;
  cylinder.step_mm = 1.15 * block.bore_mm;
  cylinder.web_thick_mm = 0.13 * block.bore_mm;
  cylinder.web_at_mm = 0.18 * block.bore_mm + cylinder.web_thick_mm / 2.0;
  cylinder.pin_across_mm = sign * block.pin_offset_mm;
  return cylinder;
}

// Greatest distance of a lobe's contour from the camshaft's axis.
double nose_reach_mm(const Engine& engine) {
  double reach_mm = 0.0;
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i)
    for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
      const Camshaft& camshaft = engine.camshafts[i];
      if (!(kind == ValveKind::inlet ? camshaft.inlet : camshaft.exhaust)) continue;
      const Result<ValveMotion> motion = ValveMotion::make(camshaft, i, kind);
      if (motion) reach_mm = std::max(reach_mm, motion->contour().reach_mm());
    }
  return reach_mm;
}

// Where the cylinders point in the picture. A file that does not say has them upright, and a camshaft in the block
// would then often stand in the bore: the cylinders are leant over until it is clear of them, to the side it leaves
// free.
void choose_cylinder_clock(const Engine& engine, SceneLayout& layout) {
  const double stated_deg = engine.block.cylinder_clock_deg;
  layout.cylinder_clock_deg = stated_deg;
  const double clear_mm = engine.block.bore_mm / 2.0 + nose_reach_mm(engine) + 2.0;
  for (const CamshaftLayout& camshaft : layout.camshafts) {
    const glm::dvec2 cam_mm = camshaft.centre_mm;
    const double across_mm = dot2(cam_mm, across_of(stated_deg));
    const bool overhead = dot2(cam_mm, along_of(stated_deg)) > layout.cylinder.face_mm;
    if (overhead || !camshaft.sprocket || std::fabs(across_mm) >= clear_mm) continue;
    const double lean_deg = degrees(std::asin(std::min(clear_mm / length2(cam_mm), 1.0)));
    const double cam_clock_deg = degrees(std::atan2(cam_mm.x, cam_mm.y));
    layout.cylinder_clock_deg = wrap_360(cam_clock_deg + (across_mm > 0.0 ? -lean_deg : lean_deg));
    layout.leant_clear = true;
    return;
  }
}

void find_camshafts(const Engine& engine, SceneLayout& layout) {
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
    CamshaftLayout camshaft;
    camshaft.words = camshaft_words(engine, i);
    camshaft.sprocket = find_cam_sprocket(engine, engine.camshafts[i].name);
    if (camshaft.sprocket) {
      camshaft.centre_mm = layout.sprocket(*camshaft.sprocket).centre_mm;
      camshaft.journal_radius_mm = 1.12 * layout.sprocket(*camshaft.sprocket).bore_radius_mm;
    }
    layout.camshafts.push_back(std::move(camshaft));
  }
}

} // namespace

std::string camshaft_words(const Engine& engine, std::size_t camshaft) {
  if (engine.camshafts.size() == 1) return "cam";
  const std::string& name = engine.camshafts[camshaft].name;
  return name.ends_with("cam") ? name : name + " cam";
}

glm::dvec2 across_of(double clock_deg) {
  return {cos_deg(clock_deg), -sin_deg(clock_deg)};
}
glm::dvec2 along_of(double clock_deg) {
  return {sin_deg(clock_deg), cos_deg(clock_deg)};
}

void lay_out_engine(const Engine& engine, SceneLayout& layout) {
  layout.cylinder = lay_out_cylinders(engine, layout.plate_back_mm, layout.running_sign);
  layout.crown = crown_solid(engine);
  // The rings stand below where a pocket breaks out of the crown's edge.
  const double bore_mm = engine.block.bore_mm;
  layout.cylinder.land_mm =
      std::clamp(deepest_at_edge_mm(layout.crown) + 1.0, first_land_share * bore_mm, 2.2 * first_land_share * bore_mm);
  find_camshafts(engine, layout);
  choose_cylinder_clock(engine, layout);
  layout.engine_frame = turned_clock(layout.cylinder_clock_deg);
  lay_out_valves(engine, layout);
}

} // namespace phasewright
