// The steps of SceneModel::compose. Each adds to a scene what it names, from the layout and a pose.
#pragma once

#include "scene/layout.hpp"
#include "scene/model.hpp"

namespace phasewright {

// Rotations that follow from a pose, as clock angles (unit: deg). `drawn_hub_clock_deg` is where the hub half is drawn
// when the key's step is exaggerated: the shaft stays, the hub ring and its half of the key move.
struct KeyPose {
  double shaft_clock_deg = 0;
  double hub_clock_deg = 0;
  double drawn_hub_clock_deg = 0;
};

// One sprocket as it stands.
struct SprocketState {
  glm::dvec3 centre_mm{}; // z: the plane of its loop
  double apart_mm = 0;    // how far it has gone forward from there
  // How sprocket and hub stand out of their plane under the straight-edge, as drawn: a turn and a move in the world.
  glm::dmat4 out_of_plane{1.0};
  double mark_clock_deg = 0;
  KeyPose key;
};

// The gap under a sprocket as the straight-edge shows it.
struct DrawnGap {
  std::size_t under = 0; // of the first loop's sprockets
  double near_mm = 0;    // as drawn
  double far_mm = 0;
  double times = 1; // as large as it is

  [[nodiscard]] double back_mm() const { return (near_mm + far_mm) / 2.0; } // of the sprocket's middle
};

// Between what is drawn larger than it is and what it must not run into.
inline constexpr double left_free_mm = 0.3;

// One assembled drive at one crank angle, with what the picture needs beside the pose.
struct Posed {
  const Mechanism& mechanism;
  Pose pose;
  std::vector<std::vector<SprocketState>> sprockets; // by loop, as Loop::sprockets
  Apart apart;
  std::optional<DrawnGap> gap; // while the straight-edge is on and a gap has been read

  [[nodiscard]] const SprocketState& at(SprocketPlace place) const { return sprockets[place.loop][place.sprocket]; }
};

[[nodiscard]] Posed pose_for_scene(const Mechanism& mechanism, const SceneLayout& layout, const SceneOptions& options);

// How a present state differs from the one shown.
struct Differences {
  std::vector<std::vector<bool>> sprockets; // crank, camshaft and shaft sprockets that stand elsewhere
  std::vector<bool> camshafts;

  [[nodiscard]] bool any_camshaft() const;
};

// Angles below this are not told apart (unit: deg).
inline constexpr double same_deg = 0.01;

[[nodiscard]] Differences differences(const Posed& shown, const Posed& present, const SceneLayout& layout);

// The key's angle at a sprocket: crank or cam degrees by which it advances the cam; 0 where there is none.
[[nodiscard]] double key_deg_at(const SprocketLayout& sprocket, const Engine& engine, const Fitted& fitted);
// "crank", "cam", "inlet cam": what a sprocket with a key sits on.
[[nodiscard]] std::string shaft_words(const SceneLayout& layout, const SprocketLayout& sprocket);
// The point at a clock angle on a circle about a sprocket; `forward_mm` in front of its loop's plane.
[[nodiscard]] glm::dvec3 around(const SprocketState& state, double clock_deg, double radius_mm, double forward_mm);
// ", second stage" after the names of what a drive of several loops has more than once.
[[nodiscard]] std::string stage_words(const SceneLayout& layout, std::size_t loop);

void add_drive(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene);
void add_chain(const SceneLayout& layout, const Posed& shown, std::size_t loop, const SceneOptions& options,
               Scene& scene);
void add_rails(const SceneLayout& layout, const Posed& shown, std::size_t loop, const SceneOptions& options,
               Scene& scene);
void add_drive_ghost(const SceneLayout& layout, const Posed& present, const Differences& differ, Scene& scene);
void add_crank(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene);
void add_valves(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene);
void add_valve_ghost(const SceneLayout& layout, const Posed& present, const Differences& differ,
                     const SceneOptions& options, Scene& scene);
// The angle between a camshaft shown and the present one, as an arc between radial lines through their keyways, and
// its figure.
void add_phase_angle(const SceneLayout& layout, const Posed& shown, const Posed& present, std::size_t camshaft,
                     const SceneOptions& options, Scene& scene);
// Turned backward: likewise between where each camshaft hangs and where it stands after a turn forward.
void add_hang_back(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene);
void add_labels(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene);
// A camshaft's own sprocket, or the crank's.
[[nodiscard]] SprocketPlace place_of(const SceneLayout& layout, std::optional<std::size_t> camshaft);
// Square to the cut through a keyway, toward the side that is cut away: the one that looks up.
[[nodiscard]] glm::dvec2 toward_cut(const SprocketState& state);
// Cuts what sits on the shaft that the options name through its keyway, and takes away what stands before the cut.
void take_away(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene);
// Twelve hours about a keyway, and the angle from 12 to it.
void add_clock_face(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene);
// Shims and retaining plates, behind the sprockets.
void add_behind(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene);
// Those that the options ask for.
void add_instruments(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene);
// What has to be in the picture of them.
[[nodiscard]] std::vector<glm::dvec3> instrument_points(const SceneLayout& layout, const SceneInstruments& wanted,
                                                        std::optional<std::size_t> camshaft, int cylinder);
void add_straight_edge(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene);
void add_wheel(const SceneLayout& layout, const SceneOptions& options, Scene& scene);
// The gap that the options give, as it is to be drawn.
[[nodiscard]] std::optional<DrawnGap> drawn_gap(const SceneLayout& layout, const Mechanism& mechanism,
                                                const SceneOptions& options);
// What turns and moves a sprocket so that its gap is there under the straight-edge.
[[nodiscard]] glm::dmat4 out_of_plane(const SceneLayout& layout, const Posed& posed, const DrawnGap& gap);
// Thin rings or blades one on the other, so that they come to a thickness from z = 0 up.
void add_leaves(Scene& scene, const std::array<std::size_t, 3>& leaves, std::size_t part, Material material,
                const glm::dmat4& placement, double thick_mm);
// "shims shown x6"; nothing at true size.
void confess(const char* what, double times, Scene& scene);

// While the drive is apart: a line along each shaft through its parts, and their names numbered in the order in which
// they go on, in place of the labels of what runs.
void add_apart(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene);
[[nodiscard]] Label key_label(const SceneLayout& layout, const Posed& shown, SprocketPlace place);

// For each valve whose gap the options give: its figure, and a dimension line where it is drawn.
void add_gaps(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene);
// For each ghost of a valve whose gap is under its limit: its head's outline, and the figure.
void add_gap_ghosts(const SceneLayout& layout, const Posed& present, const Differences& differ,
                    const SceneOptions& options, Scene& scene);

[[nodiscard]] int cylinder_shown(const Engine& engine, const SceneOptions& options);
[[nodiscard]] const ValvePose* find_pose(const Pose& pose, ValveKind kind, int cylinder);
// A frame whose z runs along a direction of the engine's frame (x across, y up the cylinder), and whose y points away
// from the timing end.
[[nodiscard]] glm::dmat4 along(glm::dvec2 direction, glm::dvec2 at_mm, double z_mm);
[[nodiscard]] glm::dmat4 turned_at(double clock_deg, glm::dvec2 at_mm, double z_mm);
[[nodiscard]] double clock_of(glm::dvec2 direction);

// Adds a part and returns its index.
std::size_t add_part(Scene& scene, std::string name, std::vector<std::string> figures);
// A piece of a part that moves by itself: with `every_part` a part of that name, else the part it belongs to.
[[nodiscard]] std::size_t piece_of(std::size_t part, std::string name, const SceneOptions& options, Scene& scene);
// With `every_part`: says of the parts from `first` on what they are pieces of, over what they say already.
void put_within(const SceneOptions& options, const char* whole, std::size_t first, Scene& scene);
// Adds an instance, unless the mesh was not made.
void add_instance(Scene& scene, std::size_t mesh, std::size_t part, Material material, const glm::dmat4& placement,
                  bool ghost = false);

// A length as the options have it written.
[[nodiscard]] std::string length_words(const SceneOptions& options, double mm);
// "12 o'clock", "half past 1": the nearest half hour of a clock angle.
[[nodiscard]] std::string clock_words(double clock_deg);

} // namespace phasewright
