// The straight-edge across sprocket faces, and the feeler blade in its gap.
#include "geometry/angle.hpp"
#include "scene/compose.hpp"
#include "scene/shapes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace phasewright {

namespace {

// The end that a gap under the crank's sprocket is read against: of the straight-edge to the first camshaft's.
std::size_t end_against(const SceneLayout& layout, std::size_t under) {
  if (under != 0) return under;
  const std::vector<SprocketLayout>& sprockets = layout.loops[0].sprockets;
  const auto camshaft = std::ranges::find(sprockets, Mount::camshaft, &SprocketLayout::mount);
  return camshaft == sprockets.end() ? 1 : static_cast<std::size_t>(camshaft - sprockets.begin());
}

// How far the sprocket's rim goes back at the most: it stands out beyond the edges where the gap is read.
double farthest_back_mm(const SceneLayout& layout, std::size_t under, const GapReading& read) {
  const StraightEdgeLayout& edge = layout.instruments.straight_edges[end_against(layout, under)];
  const double half_mm = edge.half_chord_mm[under == 0 ? 0 : 1];
  const double beyond = layout.loops[0].sprockets[under].form.tip_radius_mm / half_mm;
  return (read.near_mm + read.far_mm) / 2.0 + std::fabs(read.far_mm - read.near_mm) / 2.0 * std::max(beyond, 1.0);
}

// The sprocket, not the crank's, to which the straight-edge reaches: the one under which the feeler went, else the
// first that drives a camshaft.
std::size_t other_end(const SceneLayout& layout, const Engine& engine, const SceneOptions& options) {
  const std::vector<Sprocket>& sprockets = engine.loops[0].sprockets;
  if (options.instruments.gap)
    for (std::size_t i = 1; i < sprockets.size(); ++i)
      if (sprockets[i].name == options.instruments.gap->under) return i;
  for (std::size_t i = 1; i < sprockets.size(); ++i)
    if (layout.loops[0].sprockets[i].mount == Mount::camshaft) return i;
  return 1;
}

// How far a sprocket can go back, up to what stands behind its hub.
double room_behind_mm(const SceneLayout& layout, const SprocketLayout& sprocket) {
  const double behind_mm = std::max(sprocket.nose_back_mm, layout.plate_front_mm - layout.loops[0].z_mm);
  return std::max(sprocket.hub_back_mm - behind_mm - sprocket.retainer_thick_mm - left_free_mm, 0.05);
}

// Shims that go back before the crank's sprocket: they are drawn as many times as large as the gap, so that one can be
// held against the other.
double shims_behind_mm(const SprocketLayout& sprocket, const Fitted& fitted) {
  return sprocket.shim_room_mm > 0.0 ? std::accumulate(fitted.shim_mm.begin(), fitted.shim_mm.end(), 0.0) : 0.0;
}

glm::dvec3 across_mm(const SprocketState& state, const StraightEdgeLayout& edge, double along_mm, double aside_mm,
                     double z_mm) {
  return {glm::dvec2(state.centre_mm) + along_mm * edge.way + aside_mm * edge.aside, z_mm};
}

} // namespace

std::optional<DrawnGap> drawn_gap(const SceneLayout& layout, const Mechanism& mechanism, const SceneOptions& options) {
  const std::optional<GapReading>& read = options.instruments.gap;
  if (!options.instruments.straight_edge || !read || options.apart > 0.0) return std::nullopt;
  const Engine& engine = mechanism.engine();
  const std::size_t other = other_end(layout, engine, options);
  DrawnGap gap;
  gap.under = engine.loops[0].sprockets[other].name == read->under ? other : 0;
  const SprocketLayout& sprocket = layout.loops[0].sprockets[gap.under];
  const double shims_mm = shims_behind_mm(sprocket, mechanism.fitted());
  const double most_mm = farthest_back_mm(layout, gap.under, *read) + shims_mm;
  const double room_mm = room_behind_mm(layout, sprocket);
  if (most_mm > 0.0) gap.times = std::min(std::clamp(options.magnify_gaps, 1.0, 10.0), room_mm / most_mm);
  gap.near_mm = gap.times * read->near_mm;
  gap.far_mm = gap.times * read->far_mm;
  return gap;
}

glm::dmat4 out_of_plane(const SceneLayout& layout, const Posed& posed, const DrawnGap& gap) {
  const StraightEdgeLayout& edge = layout.instruments.straight_edges[end_against(layout, gap.under)];
  // Near is the edge that faces the sprocket on which the straight-edge lies.
  const double toward_near = gap.under == 0 ? 1.0 : -1.0;
  const double half_mm = edge.half_chord_mm[gap.under == 0 ? 0 : 1];
  const double tilt_rad = std::atan((gap.far_mm - gap.near_mm) / (2.0 * half_mm));
  // Back by the mean, and further at the far edge when that gap is larger.
  const glm::dvec3 along{toward_near * edge.way, 0.0};
  const glm::dvec3 tilted{std::cos(tilt_rad) * along.x, std::cos(tilt_rad) * along.y, std::sin(tilt_rad)};
  const glm::dvec3 square{left_of(toward_near * edge.way), 0.0};
  const glm::dmat4 as_it_was = frame(along, square, {0, 0, 1}, {0, 0, 0});
  const glm::dvec3 out{-std::sin(tilt_rad) * along.x, -std::sin(tilt_rad) * along.y, std::cos(tilt_rad)};
  const glm::dmat4 turn = frame(tilted, square, out, {0, 0, 0}) * glm::transpose(as_it_was);
  const glm::dvec3 pivot{glm::dvec2(posed.at({0, gap.under}).centre_mm), edge.z_mm};
  return moved(pivot - glm::dvec3{0, 0, gap.back_mm()}) * turn * moved(-pivot);
}

void add_straight_edge(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene) {
  const Engine& engine = shown.mechanism.engine();
  const std::size_t other = other_end(layout, engine, options);
  const StraightEdgeLayout& edge = layout.instruments.straight_edges[other];
  const std::string& far_name = engine.loops[0].sprockets[other].name;
  const std::size_t part =
      add_part(scene, "straight-edge",
               {fmt::format("crank to {}", far_name), edge.on_hubs ? "across the hubs" : "across the teeth"});
  const auto put = [&](std::size_t mesh, std::size_t of, Material material, glm::dvec2 way, glm::dvec3 from_mm) {
    add_instance(scene, mesh, of, material, frame({way, 0}, {left_of(way), 0}, {0, 0, 1}, from_mm));
  };
  put(edge.mesh, part, Material::spring, edge.way, {edge.from_mm, edge.z_mm});
  Label label;
  label.key = "straight-edge";
  label.anchor_mm = {edge.from_mm + 0.5 * edge.length_mm * edge.way, edge.z_mm + edge.high_mm};
  label.title = "straight-edge";
  label.figure = fmt::format("crank to {}", far_name);
  label.rank = 2;
  if (shown.gap) {
    const GapReading& read = *options.instruments.gap;
    const bool at_crank = shown.gap->under == 0;
    const SprocketState& state = shown.at({0, shown.gap->under});
    const double toward_near = at_crank ? 1.0 : -1.0;
    const double half_mm = edge.half_chord_mm[at_crank ? 0 : 1];
    const double aside_mm = edge.on_hubs ? 0.0 : layout.loops[0].sprockets[shown.gap->under].hub_radius_mm + 0.4;
    // Under the near edge; its handle stands between the strands.
    constexpr double in_mm = 3.5;
    const glm::dvec2 way = (toward_near * 0.8) * edge.way - 0.6 * edge.aside;
    const glm::dvec3 at = across_mm(state, edge, toward_near * (half_mm - in_mm), aside_mm, edge.z_mm);
    const std::size_t blade = add_part(scene, "feeler blade",
                                       {length_words(options, read.near_mm) + " at the near edge",
                                        length_words(options, read.far_mm) + " at the far edge"});
    if (shown.gap->near_mm > 0.0)
      add_leaves(scene, layout.instruments.blade_leaves, blade, Material::mark,
                 frame({way, 0}, {left_of(way), 0}, {0, 0, 1}, at - glm::dvec3{0, 0, shown.gap->near_mm}),
                 shown.gap->near_mm);
    confess("gap", shown.gap->times, scene);
    if (options.labels) {
      Label gap;
      gap.key = "straight-edge gap";
      gap.anchor_mm = at;
      gap.title = "gap at the " + engine.loops[0].sprockets[shown.gap->under].name;
      gap.figure =
          fmt::format("{} near, {} far", length_words(options, read.near_mm), length_words(options, read.far_mm));
      gap.rank = 0;
      scene.labels.push_back(std::move(gap));
    }
  } else {
    label.figure += ", no gap read";
  }
  if (options.labels) scene.labels.push_back(std::move(label));
}

} // namespace phasewright
