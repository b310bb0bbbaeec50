// The steps of SceneModel::compose. Each adds to a scene what it names, from the layout and a pose.
#pragma once

#include "scene/layout.hpp"
#include "scene/model.hpp"

namespace phasewright {

// Rotations that follow from a pose, as clock angles (unit: deg). `magnified` is where the hub half is drawn when the
// key's step is exaggerated: the shaft stays, the hub ring and its half of the key move.
struct KeyPose {
  double shaft_clock_deg = 0;
  double hub_clock_deg = 0;
  double drawn_hub_clock_deg = 0;
};

// One assembled drive at one crank angle, with what the picture needs beside the pose.
struct Posed {
  const Mechanism& mechanism;
  Pose pose;
  KeyPose crank_key;
  KeyPose cam_key;
  glm::dvec2 cam_centre_mm{};
};

[[nodiscard]] Posed pose_for_scene(const Mechanism& mechanism, const SceneLayout& layout, const SceneOptions& options);

// How a present state differs from the one shown.
struct Differences {
  bool crank = false; // the crank sprocket stands elsewhere on its shaft
  bool cam = false;   // cam sprocket or its centre
  bool camshaft = false;
};

// Angles below this are not told apart (unit: deg).
inline constexpr double same_deg = 0.01;

[[nodiscard]] Differences differences(const Posed& shown, const Posed& present);

void add_drive(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene);
void add_drive_ghost(const SceneLayout& layout, const Posed& present, const Differences& differ, Scene& scene);
void add_crank(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene);
void add_valves(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene);
void add_valve_ghost(const SceneLayout& layout, const Posed& present, const SceneOptions& options, Scene& scene);
// The angle between the two camshafts, as an arc between radial lines through their keyways, and its figure.
void add_phase_angle(const SceneLayout& layout, const Posed& shown, const Posed& present, const SceneOptions& options,
                     Scene& scene);
void add_labels(const SceneLayout& layout, const Posed& shown, const SceneOptions& options, Scene& scene);

// Adds a part and returns its index.
std::size_t add_part(Scene& scene, std::string name, std::vector<std::string> figures);
// Adds an instance, unless the mesh was not made.
void add_instance(Scene& scene, std::size_t mesh, std::size_t part, Material material, const glm::dmat4& placement,
                  bool ghost = false);

// "12 o'clock", "half past 1": the nearest half hour of a clock angle.
[[nodiscard]] std::string clock_words(double clock_deg);

} // namespace phasewright
