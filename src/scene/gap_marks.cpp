// Dimension lines between a valve's head and the piston's crown, and what is hidden of a ghost in it.
#include "geometry/angle.hpp"
#include "scene/compose.hpp"

#include <fmt/format.h>
#include <glm/geometric.hpp>

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright {

namespace {

// A valve of the cylinder shown over its piston. Crown's frame: see crown.hpp.
struct Gap {
  const SceneLayout& layout;
  const ValveLayout& valve;
  const GapFigure& figure;
  double drop_mm;
  double lift_mm;
  double flat_mm; // the crown's flat along the cylinder at TDC
  double z_mm;    // of the cylinder's middle

  [[nodiscard]] glm::dvec3 axis() const { return {valve.axis, 0.0}; }
  [[nodiscard]] glm::dvec3 right() const { return {valve.axis.y, -valve.axis.x, 0.0}; }
  // Middle of the head's face.
  [[nodiscard]] glm::dvec3 head_mm() const {
    const glm::dvec2 at = valve.head_mm - lift_mm * valve.axis;
    return {at.x, at.y - flat_mm + drop_mm, valve.z_mm};
  }
  [[nodiscard]] glm::dvec3 world_mm(glm::dvec3 at) const {
    return glm::dvec3(layout.engine_frame * glm::dvec4(at.x, at.y + flat_mm - drop_mm, at.z + z_mm, 1.0));
  }
};

// Where on its face (from its middle, right and toward the timing end) the head would first meet the crown, pushed
// along its axis.
struct Nearest {
  glm::dvec2 at_mm{};
  double way_mm = 1e300;
};

glm::dvec3 on_face_mm(const Gap& gap, glm::dvec2 at_mm) {
  return gap.head_mm() + at_mm.x * gap.right() + glm::dvec3{0.0, 0.0, at_mm.y};
}

// Keeps the nearer of two places, and of two as near the one further along `outward`.
void look(const Gap& gap, glm::dvec2 at_mm, glm::dvec2 outward, Nearest& nearest) {
  constexpr double as_near_mm = 1e-4;
  const auto way_mm = way_to_crown_mm(gap.layout.crown, on_face_mm(gap, at_mm), -gap.axis());
  if (!way_mm || *way_mm > nearest.way_mm + as_near_mm) return;
  if (*way_mm > nearest.way_mm - as_near_mm && dot2(at_mm, outward) <= dot2(nearest.at_mm, outward)) return;
  nearest = {at_mm, *way_mm};
}

Nearest nearest_on_face(const Gap& gap, glm::dvec2 outward) {
  constexpr int around = 48;
  const double radius_mm = gap.valve.head_radius_mm;
  Nearest nearest;
  for (const double share : {0.0, 0.4, 0.7, 0.9, 1.0})
    for (int i = 0; i < around; ++i)
      look(gap, share * radius_mm * unit_vector(turn_rad * i / around), outward, nearest);
  // Nearer about it, in ever smaller steps.
  for (double step_mm = 0.15 * radius_mm; step_mm > 1e-3; step_mm *= 0.6) {
    const glm::dvec2 about = nearest.at_mm;
    for (int i = 0; i < 12; ++i) {
      glm::dvec2 at_mm = about + step_mm * unit_vector(turn_rad * i / 12);
      if (length2(at_mm) > radius_mm) at_mm *= radius_mm / length2(at_mm);
      look(gap, at_mm, outward, nearest);
    }
  }
  return nearest;
}

class Drawing {
public:
  Drawing(const Gap& gap, Scene& scene) : gap_(gap), scene_(scene) {}

  void line(glm::dvec3 a, glm::dvec3 b, Tone tone, float width_px) {
    // The head, its pocket or the other valve would hide what is between them.
    scene_.strokes.push_back({{gap_.world_mm(a), gap_.world_mm(b)}, tone, width_px, StrokeStyle::solid, true});
  }
  // With arrow heads, as far as they have room; `across` lies in the plane of the drawing.
  void dimension(glm::dvec3 a, glm::dvec3 b, glm::dvec3 across, Tone tone) {
    line(a, b, tone, 2.2f);
    const double length_mm = glm::distance(a, b);
    if (!(length_mm > 0.0)) return;
    const glm::dvec3 way = (b - a) / length_mm;
    const double head_mm = std::min(0.3 * length_mm, 0.022 * gap_.layout.crown.radius_mm + 0.4);
    for (const double side : {-1.0, 1.0}) {
      line(a, a + head_mm * (way + 0.45 * side * across), tone, 2.2f);
      line(b, b - head_mm * (way - 0.45 * side * across), tone, 2.2f);
    }
  }

private:
  const Gap& gap_;
  Scene& scene_;
};

Tone tone_of(double figure_mm, double limit_mm, Tone when_clear) {
  if (figure_mm < 0.0) return Tone::bad;
  return figure_mm < limit_mm ? Tone::warning : when_clear;
}

Tone hue(const Gap& gap) {
  return gap.valve.kind == ValveKind::inlet ? Tone::inlet : Tone::exhaust;
}

// What is out of the ordinary about a figure, in words: a colour alone does not say it to everyone.
std::string state_words(const SceneOptions& options, double figure_mm, double limit_mm) {
  if (figure_mm < 0.0) return ": they meet";
  return figure_mm < limit_mm ? ": under " + length_words(options, limit_mm) : "";
}

Label gap_label(const Gap& gap, const SceneOptions& options, bool sideways, glm::dvec3 at, double figure_mm,
                double limit_mm) {
  const char* word = to_word(gap.valve.kind);
  Label label;
  label.key = fmt::format("{} {}", word, sideways ? "sideways" : "gap");
  label.anchor_mm = gap.world_mm(at);
  label.title = length_words(options, figure_mm);
  label.figure = fmt::format("{} {}", word, sideways ? "to its pocket's wall" : "to piston");
  label.figure += state_words(options, figure_mm, limit_mm);
  label.tone = tone_of(figure_mm, limit_mm, hue(gap));
  label.rank = 0;
  return label;
}

// Toward where the dimension line stands beside the head: away from the other valve, right and toward the timing end.
glm::dvec2 outward(const SceneLayout& layout, const ValveLayout& valve) {
  for (const ValveLayout& other : layout.valves) {
    if (other.kind == valve.kind) continue;
    const glm::dvec2 from_mm{valve.head_mm.x - other.head_mm.x, valve.z_mm - other.z_mm};
    if (std::fabs(from_mm.x) > std::fabs(from_mm.y)) return {from_mm.x > 0.0 ? 1.0 : -1.0, 0.0};
    if (from_mm.y != 0.0) return {0.0, from_mm.y > 0.0 ? 1.0 : -1.0};
  }
  return {0.0, valve.kind == ValveKind::inlet ? 1.0 : -1.0};
}

void add_axial(const Gap& gap, const SceneOptions& options, Scene& scene) {
  const glm::dvec2 out = outward(gap.layout, gap.valve);
  const Nearest nearest = nearest_on_face(gap, out);
  if (nearest.way_mm > 1e299) return;
  const Tone tone = tone_of(gap.figure.axial_mm, gap.figure.axial_limit_mm, hue(gap));
  Drawing drawing(gap, scene);
  // Out of the head's shadow, with a witness line from either end.
  const glm::dvec3 across = out.x * gap.right() + glm::dvec3{0.0, 0.0, out.y};
  const double to_line_mm = gap.valve.head_radius_mm + 0.09 * gap.layout.crown.radius_mm - dot2(nearest.at_mm, out);
  const glm::dvec3 above = on_face_mm(gap, nearest.at_mm);
  const glm::dvec3 below = above - nearest.way_mm * gap.axis();
  drawing.line(above, above + (to_line_mm + 1.5) * across, tone, 1.1f);
  drawing.line(below, below + (to_line_mm + 1.5) * across, tone, 1.1f);
  const glm::dvec3 high = above + to_line_mm * across;
  const glm::dvec3 low = below + to_line_mm * across;
  drawing.dimension(high, low, across, tone);
  if (!options.labels) return;
  scene.labels.push_back(
      gap_label(gap, options, false, (high + low) / 2.0, gap.figure.axial_mm, gap.figure.axial_limit_mm));
}

// From the head's middle to where its pocket's wall is nearest: as the piston drops from TDC the pocket goes to the
// side to which the stem leans, and the wall comes nearer on the other. Where it is as near all round: to the side that
// is seen, square with where the axial gap's line stands.
glm::dvec3 toward_wall(const Gap& gap, double radial_mm) {
  const double leans = gap.valve.axis.x;
  constexpr double as_near_mm = 1e-3;
  if (radial_mm < gap.valve.pocket_room_mm - as_near_mm && std::fabs(leans) > 1e-6)
    return leans > 0.0 ? -gap.right() : gap.right();
  if (outward(gap.layout, gap.valve).x != 0.0) return {0.0, 0.0, -1.0}; // see SceneModel::valve_view()
  return gap.valve.cam_mm.x > 0.0 ? -gap.right() : gap.right();
}

void add_radial(const Gap& gap, const SceneOptions& options, Scene& scene) {
  const double radial_mm = *gap.figure.radial_mm;
  const glm::dvec3 side = toward_wall(gap, radial_mm);
  const glm::dvec3 edge = gap.head_mm() + gap.valve.head_radius_mm * side + 0.5 * gap.valve.margin_mm * gap.axis();
  const glm::dvec3 wall = edge + std::max(radial_mm, 0.0) * side;
  const Tone tone = tone_of(radial_mm, gap.figure.radial_limit_mm, Tone::ink);
  Drawing(gap, scene).dimension(edge, wall, gap.axis(), tone);
  if (!options.labels) return;
  Label label = gap_label(gap, options, true, (edge + wall) / 2.0, radial_mm, gap.figure.radial_limit_mm);
  label.rank = 1;
  scene.labels.push_back(std::move(label));
}

// The head's face and edge, and its stem's line, of a valve that stands in the piston.
void add_outline(const Gap& gap, Tone tone, Scene& scene) {
  constexpr int around = 48;
  const auto stroke = [&](std::vector<glm::dvec3> points_mm, StrokeStyle style) {
    for (glm::dvec3& point : points_mm) point = gap.world_mm(point);
    scene.strokes.push_back({std::move(points_mm), tone, 1.8f, style, true});
  };
  for (const double up_mm : {0.0, gap.valve.margin_mm}) {
    std::vector<glm::dvec3> ring;
    for (int i = 0; i <= around; ++i)
      ring.push_back(on_face_mm(gap, gap.valve.head_radius_mm * unit_vector(turn_rad * i / around)) +
                     up_mm * gap.axis());
    stroke(std::move(ring), StrokeStyle::dashed);
  }
  stroke({gap.head_mm(), gap.head_mm() + 1.5 * gap.valve.head_radius_mm * gap.axis()}, StrokeStyle::dashed);
}

// Calls `use(gap)` for each valve that has a figure small enough to be drawn.
template <class Use>
void each_gap(const SceneLayout& layout, const Posed& posed, const SceneOptions& options,
              const std::array<std::optional<GapFigure>, 2>& figures, Use use) {
  const Engine& engine = posed.mechanism.engine();
  const int number = cylinder_shown(engine, options);
  for (const ValveLayout& valve : layout.valves) {
    const std::optional<GapFigure>& figure = figures[valve.kind == ValveKind::inlet ? 0 : 1];
    const ValvePose* pose = find_pose(posed.pose, valve.kind, number);
    if (!figure || pose == nullptr || !valve.has_valve || !(figure->axial_mm < greatest_gap_mm)) continue;
    use(Gap{layout, valve, *figure, posed.pose.pistons[static_cast<std::size_t>(number - 1)].drop_mm, pose->lift_mm,
            layout.cylinder.face_mm - engine.block.deck_mm, layout.cylinder.middle_mm(number)});
  }
}

} // namespace

void add_gaps(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  each_gap(layout, shown, options, options.gaps, [&](const Gap& gap) {
    add_axial(gap, options, scene);
    if (gap.figure.radial_mm) add_radial(gap, options, scene);
  });
}

void add_gap_ghosts(const SceneLayout& layout, const Posed& present, const Differences& differ,
                    const SceneOptions& options, Scene& scene) {
  each_gap(layout, present, options, options.present_gaps, [&](const Gap& gap) {
    const double axial_mm = gap.figure.axial_mm;
    const double limit_mm = gap.figure.axial_limit_mm;
    if (!differ.camshafts[gap.valve.camshaft] || !(axial_mm < limit_mm)) return;
    const Tone tone = tone_of(axial_mm, limit_mm, hue(gap));
    add_outline(gap, tone, scene);
    if (!options.labels) return;
    // On the head's free edge, out of the way of what stands on the valve shown.
    const glm::dvec2 out = outward(gap.layout, gap.valve);
    Label label = gap_label(gap, options, false, on_face_mm(gap, gap.valve.head_radius_mm * out), axial_mm, limit_mm);
    label.key += " now";
    label.title = "now: " + label.title;
    scene.labels.push_back(std::move(label));
  });
}

} // namespace phasewright
