// Guides and the tensioner: where they stand and what they look like. Their faces are the file's; how far they reach
// along the chain and what is behind them is chosen here.
#include "geometry/angle.hpp"
#include "mechanics/drive.hpp"
#include "scene/layout.hpp"
#include "scene/shapes.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

double angle_of(glm::dvec2 v) {
  return std::atan2(v.y, v.x);
}

// Angles about the arc's centre between which the chain touches the face.
struct Touch {
  double middle_rad = 0;
  double half_rad = 0;
};

// Of a strand that no drive could be assembled for: square to the line between its sprockets.
Touch facing(const Loop& loop, const Guide& guide, double running_sign) {
  std::array<glm::dvec2, 2> ends{};
  for (const Sprocket& sprocket : loop.sprockets)
    for (std::size_t i = 0; i < 2; ++i)
      if (sprocket.name == guide.strand[i]) ends[i] = sprocket.centre_mm;
  const glm::dvec2 outward = running_sign * left_of(ends[1] - ends[0]); // running clockwise the loop is on the right
  return {angle_of(guide.side == Side::outside ? -outward : outward), 0.0};
}

// Over a tooth, turned forward, in the reference assembly.
std::optional<Touch> touched(const Drive& drive, const Engine& engine, std::size_t loop, std::size_t arc) {
  constexpr int looks = 4;
  std::optional<double> middle_rad;
  double low_rad = 0.0;
  double high_rad = 0.0;
  for (int i = 0; i < looks; ++i) {
    const DrivePose pose = drive.pose(360.0 / engine.loops[0].sprockets[0].teeth * i / looks);
    if (arc >= pose.loops[loop].arcs.size()) return std::nullopt;
    const ArcPose& at = pose.loops[loop].arcs[arc];
    for (const glm::dvec2 end : {at.first_mm, at.last_mm}) {
      const double rad = angle_of(end - at.centre_mm);
      if (!middle_rad) middle_rad = rad;
      low_rad = std::min(low_rad, wrap_pi(rad - *middle_rad));
      high_rad = std::max(high_rad, wrap_pi(rad - *middle_rad));
    }
  }
  return Touch{*middle_rad + (low_rad + high_rad) / 2.0, (high_rad - low_rad) / 2.0};
}

// A face's end stays clear of the teeth.
bool clear_of_teeth(const LoopLayout& loop, glm::dvec2 end_mm, double clear_mm) {
  return std::ranges::all_of(loop.sprockets, [&](const SprocketLayout& sprocket) {
    return length2(end_mm - sprocket.centre_mm) > sprocket.form.tip_radius_mm + clear_mm;
  });
}

RailLayout lay_out_rail(const Loop& stated, const LoopLayout& loop, const Guide& guide, const Touch& touch) {
  const double pitch_mm = stated.chain.pitch_mm;
  RailLayout rail;
  rail.centre_mm = guide.centre_mm;
  rail.radius_mm = guide.radius_mm;
  rail.face_mm = std::min(0.35 * pitch_mm, 0.3 * guide.radius_mm);
  rail.back_mm = std::min(0.35 * pitch_mm, 0.3 * guide.radius_mm);
  // At either end so far past what the chain touches that it stands a sixth of a pitch off, and not less than five
  // pitches in all, as far as there is room.
  const double least_rad = touch.half_rad;
  const double past_rad = std::max(std::sqrt(rail.radius_mm * pitch_mm / 3.0), pitch_mm) / rail.radius_mm;
  const double half_rad = std::min(std::max(touch.half_rad + past_rad, 2.5 * pitch_mm / rail.radius_mm), 0.45 * pi);
  for (const double side : {-1.0, 1.0}) {
    double reach_rad = half_rad;
    const auto end_mm = [&] {
      return rail.centre_mm + rail.radius_mm * unit_vector(touch.middle_rad + side * reach_rad);
    };
    while (reach_rad > least_rad && !clear_of_teeth(loop, end_mm(), 0.5 * stated.chain.plate_height_mm))
      reach_rad -= 0.1 * half_rad;
    (side < 0.0 ? rail.from_rad : rail.to_rad) = touch.middle_rad + side * std::max(reach_rad, 0.25 * half_rad);
  }
  return rail;
}

TensionerLayout lay_out_tensioner(const Loop& stated, const RailLayout& shoe) {
  const Tensioner& tensioner = *stated.tensioner;
  const double pitch_mm = stated.chain.pitch_mm;
  const double span_mm = tensioner.travel_mm[1] - tensioner.travel_mm[0];
  TensionerLayout layout;
  layout.push_clock_deg = tensioner.push_clock_deg;
  layout.plunger_radius_mm = std::clamp(0.45 * pitch_mm, 2.5, 7.0);
  layout.plunger_mm = span_mm + 0.9 * pitch_mm;
  layout.body_mm = layout.plunger_mm + 0.8 * pitch_mm;
  // Behind the middle of the shoe's back, or straight behind the arc's centre where the push goes through the face.
  const glm::dvec2 push{sin_deg(layout.push_clock_deg), cos_deg(layout.push_clock_deg)};
  const double middle_rad = (shoe.from_rad + shoe.to_rad) / 2.0;
  const double half_rad = (shoe.to_rad - shoe.from_rad) / 2.0;
  const double aside_rad = wrap_pi(angle_of(push) - middle_rad);
  const double at_rad = std::fabs(aside_rad) < 0.8 * half_rad ? angle_of(push) : middle_rad;
  layout.seat_mm = (shoe.radius_mm - shoe.face_mm - 0.5 * shoe.back_mm) * unit_vector(at_rad);
  layout.mouth_mm = shoe.centre_mm + layout.seat_mm + (tensioner.travel_mm[0] - 0.7 * pitch_mm) * push;
  return layout;
}

// The sector of a ring between two radii, anticlockwise.
Outline ring_sector(double inner_mm, double outer_mm, double from_rad, double to_rad) {
  const int points = std::clamp(static_cast<int>((to_rad - from_rad) * outer_mm / 2.5), 6, 64);
  Outline outline;
  for (int i = 0; i <= points; ++i)
    outline.push_back(outer_mm * unit_vector(std::lerp(from_rad, to_rad, double(i) / points)));
  for (int i = points; i >= 0; --i)
    outline.push_back(inner_mm * unit_vector(std::lerp(from_rad, to_rad, double(i) / points)));
  return outline;
}

// A guide's back stands on two screws from the backing plate; a shoe's does not.
Mesh rail_back(const RailLayout& rail, double half_mm, std::optional<double> plate_mm) {
  const double outer_mm = rail.radius_mm - rail.face_mm;
  const double inner_mm = outer_mm - rail.back_mm;
  Mesh mesh = extrude(ring_sector(inner_mm, outer_mm, rail.from_rad, rail.to_rad), {}, -half_mm, half_mm, 0.4);
  if (!plate_mm) return mesh;
  const double boss_mm = std::min(1.3 * rail.back_mm, 0.5 * outer_mm);
  const double at_mm = std::max(inner_mm - 0.4 * boss_mm, 0.0);
  for (const double share : {0.22, 0.78}) {
    const glm::dvec2 at = at_mm * unit_vector(std::lerp(rail.from_rad, rail.to_rad, share));
    append(mesh, solid_cylinder(boss_mm, *plate_mm, half_mm, 24, 0.4), moved({at, 0}));
    append(mesh, solid_cylinder(0.55 * boss_mm, half_mm, half_mm + 0.5 * boss_mm, 6, 0.2), moved({at, 0}));
  }
  return mesh;
}

// A solid of revolution about +y instead of z.
Mesh along_y(const Mesh& about_z) {
  Mesh mesh;
  append(mesh, about_z, frame({1, 0, 0}, {0, 0, -1}, {0, 1, 0}, {0, 0, 0}));
  return mesh;
}

void add_tensioner(TensionerLayout& tensioner, std::vector<Mesh>& meshes) {
  const double radius_mm = tensioner.plunger_radius_mm;
  tensioner.plunger = add_mesh(meshes, along_y(solid_cylinder(radius_mm, -tensioner.plunger_mm, 0.0, 24, 0.4)));
  const double half_mm = 1.55 * radius_mm;
  const double collar_mm = std::min(0.3 * tensioner.body_mm, 1.2 * radius_mm);
  Mesh body = along_y(solid_cylinder(1.4 * radius_mm, -collar_mm - 1.0, 0.0, 28, 0.6));
  const Outline box{
      {-half_mm, -tensioner.body_mm}, {half_mm, -tensioner.body_mm}, {half_mm, -collar_mm}, {-half_mm, -collar_mm}};
  append(body, extrude(box, {}, -half_mm, half_mm, 0.8));
  append(body,
         along_y(solid_cylinder(0.9 * radius_mm, -tensioner.body_mm - 0.6 * radius_mm, -tensioner.body_mm, 6, 0.3)));
  tensioner.body = add_mesh(meshes, std::move(body));
}

} // namespace

void lay_out_rails(const Engine& engine, SceneLayout& layout) {
  std::optional<Drive> drive;
  for (std::size_t l = 0; l < engine.loops.size(); ++l) {
    const Loop& stated = engine.loops[l];
    LoopLayout& loop = layout.loops[l];
    std::vector<Guide> guides = stated.guides;
    if (stated.tensioner) guides.push_back(stated.tensioner->shoe);
    if (!guides.empty() && !drive)
      if (auto assembled = Drive::assemble(engine, {})) drive = *std::move(assembled);
    for (std::size_t i = 0; i < guides.size(); ++i) {
      const std::optional<Touch> touch = drive ? touched(*drive, engine, l, i) : std::nullopt;
      loop.rails.push_back(
          lay_out_rail(stated, loop, guides[i], touch.value_or(facing(stated, guides[i], layout.running_sign))));
    }
    if (stated.tensioner) loop.tensioner = lay_out_tensioner(stated, loop.rails.back());
  }
}

std::vector<glm::dvec2> rail_points_mm(const LoopLayout& loop) {
  std::vector<glm::dvec2> points;
  for (const RailLayout& rail : loop.rails) {
    const double inner_mm = rail.radius_mm - rail.face_mm - rail.back_mm;
    for (const glm::dvec2 point : ring_sector(inner_mm, rail.radius_mm, rail.from_rad, rail.to_rad))
      points.push_back(rail.centre_mm + point);
  }
  if (const std::optional<TensionerLayout>& tensioner = loop.tensioner) {
    const glm::dvec2 push{sin_deg(tensioner->push_clock_deg), cos_deg(tensioner->push_clock_deg)};
    for (const double side : {-1.55, 1.55})
      for (const double back_mm : {0.0, tensioner->body_mm + tensioner->plunger_radius_mm})
        points.push_back(tensioner->mouth_mm - back_mm * push + side * tensioner->plunger_radius_mm * left_of(push));
  }
  return points;
}

void add_rail_meshes(SceneLayout& layout, std::vector<Mesh>& meshes) {
  for (LoopLayout& loop : layout.loops) {
    const ChainLayout& chain = loop.chain;
    const double half_mm = chain.rows_mm.back() + chain.outer_at_mm + chain.outer_thick_mm / 2.0;
    const std::size_t guides = loop.rails.size() - (loop.tensioner ? 1 : 0);
    for (std::size_t i = 0; i < loop.rails.size(); ++i) {
      RailLayout& rail = loop.rails[i];
      rail.face = add_mesh(
          meshes, extrude(ring_sector(rail.radius_mm - rail.face_mm, rail.radius_mm, rail.from_rad, rail.to_rad), {},
                          -half_mm, half_mm, 0.4));
      const auto plate_mm = i < guides ? std::optional(layout.plate_front_mm - loop.z_mm) : std::nullopt;
      rail.back = add_mesh(meshes, rail_back(rail, 0.75 * half_mm, plate_mm));
    }
    if (loop.tensioner) add_tensioner(*loop.tensioner, meshes);
  }
}

} // namespace phasewright
