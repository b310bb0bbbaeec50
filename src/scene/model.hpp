// From an engine and its poses to a scene. The meshes are made once for an engine; a scene is made for each pose.
#pragma once

#include "bench/mark_count.hpp"
#include "mechanics/mechanism.hpp"
#include "parts/build.hpp"
#include "scene/scene.hpp"

#include <array>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace phasewright {

// How near a valve stands to its piston, to be written beside the gap that is drawn.
struct GapFigure {
  double axial_mm = 0; // along the valve's axis, as a builder measures it; negative = they meet
  double axial_limit_mm = 0;
  std::optional<double> radial_mm; // from the head's edge to its pocket's wall, while it is in the pocket
  double radial_limit_mm = 0;
};

// Instruments on the engine: those that are asked for, and what is known of what they show.
struct SceneInstruments {
  // Across the faces of the crank's chain's sprockets, a feeler blade in its gap; that chain is not on yet.
  bool straight_edge = false;
  bool dial_at_end = false;   // on the end of SceneOptions::camshaft
  bool dial_at_valve = false; // on the spring retainer of the cylinder shown: the inlet's, or the only one
  bool wheel = false;         // degree wheel on the crank's nose, with its pointer
  bool stop = false;          // piston stop in the plug hole of cylinder 1
  std::optional<GapReading> gap = std::nullopt;
  std::optional<double> end_float_mm = std::nullopt;
  double wheel_zero_deg = 0;                     // by which the wheel shows more than the crank's angle
  std::optional<double> stop_deg = std::nullopt; // crank degrees either side of TDC at which No. 1 meets the stop
};

struct SceneOptions {
  double crank_deg = 0;
  Turning turning = Turning::forward; // which way the crank was last turned; backward shows how the camshafts hang back
  // Of what has to be turned forward before readings are true again, crank degrees: what is left, when the caller
  // knows.
  std::optional<double> turn_forward_deg = std::nullopt;
  bool labels = true;
  bool drive_labels = true;    // strands, keys and angles besides instruments, while there are instruments
  double magnify_key_step = 1; // 1 to 10; the key's step is drawn so many times as large, and the scene confesses it
  // By camshaft (as Engine::camshafts; the rest 0): so far its sprocket is drawn turned under the chain, in its teeth,
  // from where the chain is laid. On the way from one lay to another; the camshaft's own angle is the mechanism's.
  std::vector<double> teeth_ahead = {};
  int cylinder = 1; // whose valves and piston are shown
  // For a model that others take apart: every cylinder has its valve gear, piston and rod; each pin and link of a chain
  // is a part of its own, whatever strand it runs in, pin 1 being LoopPose::pins_mm[0]; shafts turn with what sits on
  // them; beads where lobes touch are left out; parts say what they are a piece of.
  bool every_part = false;
  bool engine_parts = true; // camshaft, valves, piston, crank throw; off = the drive alone
  bool plate = true;        // backing plate behind the sprockets
  bool nuts = false;        // shaft nuts with their lock tabs; they hide the keys
  // 0 = as assembled, 1 = fully apart: parts go forward along their shafts in the order of assembly, keys also out of
  // their shafts; nuts are shown then, and labels name the parts in that order.
  double apart = 0;
  bool one_by_one = false; // on the way there one kind of part after the other, not all together
  // 1 to 10; a sprocket's gap under the straight-edge, shims, and end float while its dial is on, are drawn so many
  // times as large, as far as there is room, and the scene confesses it.
  double magnify_gaps = 1;
  // Whose keyway has a clock face and is cut through, and on whose end the dial stands (index into Engine::camshafts);
  // nothing = the crank's, and the dial on the first camshaft.
  std::optional<std::size_t> camshaft = std::nullopt;
  bool clock_face = false; // about the keyway: twelve hours, and the angle from 12 to it
  bool section = false;    // sprocket, shaft and key cut through the keyway, what is in front of the cut taken away
  SceneInstruments instruments = {};
  // Pins between the marks, when the caller has counted them for `shown`: the taut strand's label tells them while both
  // marks are in the chain, and else the strand's length.
  std::optional<MarkCount> pins_between_marks = std::nullopt;
  // Of the cylinder shown, by ValveKind. Drawn up to `greatest_gap_mm`; under its limit in words and in the tone of a
  // warning, and in that of what is bad where they meet.
  // For the valve view; elsewhere they would be too small to see.
  std::array<std::optional<GapFigure>, 2> gaps{};
  // The same of the present state. Its ghost may be hidden in the piston: where it is under a limit, that is written.
  std::array<std::optional<GapFigure>, 2> present_gaps{};
  // How lengths are written, beside gaps and everywhere else; millimetres when empty.
  std::function<std::string(double length_mm)> length_words = nullptr;
};

inline constexpr double greatest_gap_mm = 15.0;

struct Box {
  glm::dvec3 low_mm{};
  glm::dvec3 high_mm{};
};

struct ViewDirection { // as Camera has it
  double yaw_deg = 0;
  double pitch_deg = 0;
};

// What a camshaft (index into Engine::camshafts) is called: "cam", or "inlet cam" beside others.
[[nodiscard]] std::string camshaft_words(const Engine& engine, std::size_t camshaft);

// Whether a sprocket has a mark: those that time something, and any whose mark the file states.
[[nodiscard]] bool is_marked(const Engine& engine, SprocketPlace place);

struct SceneLayout;

// Immutable once made; compose() may be called from any thread.
class SceneModel {
public:
  explicit SceneModel(std::shared_ptr<const Engine> engine);

  [[nodiscard]] const std::vector<Mesh>& meshes() const { return meshes_; }

  // `shown` is drawn solid; `present`, when given and different, as a ghost beside it with the angle between them drawn
  // and figured. Both must be of this model's engine.
  [[nodiscard]] Scene compose(const Mechanism& shown, const Mechanism* present, const SceneOptions& options) const;
  void compose(const Mechanism& shown, const Mechanism* present, const SceneOptions& options, Scene& into) const;

  // What the named views frame. Cylinders count from 1, as far as the engine has them.
  // `apart` as in SceneOptions.
  [[nodiscard]] Box drive_box(double apart = 0) const; // sprockets, chains, guides and tensioners
  // Keys of a camshaft's sprocket (index into Engine::camshafts), or of the crank's.
  [[nodiscard]] Box key_box(std::optional<std::size_t> camshaft, double apart = 0) const;
  [[nodiscard]] Box valve_box(int cylinder = 1) const; // a cylinder's valves and piston
  [[nodiscard]] Box whole_box(double apart = 0) const;
  // Points on the outside of the last two: what has to be in the picture when the cylinders lean.
  [[nodiscard]] std::vector<glm::dvec3> valve_points(int cylinder = 1) const;
  [[nodiscard]] std::vector<glm::dvec3> whole_points(double apart = 0) const;
  // Of the instruments that are asked for: what has to be in the picture besides.
  [[nodiscard]] std::vector<glm::dvec3> instrument_points(const SceneInstruments& wanted,
                                                          std::optional<std::size_t> camshaft = std::nullopt,
                                                          int cylinder = 1) const;
  // From where valves and piston are seen side by side: across the cylinder and a little from above, turned toward the
  // flywheel's end, on the side away from the camshaft.
  [[nodiscard]] ViewDirection valve_view() const;
  // From where the cut that SceneOptions::section asks for is seen, with a little of the sprocket's face.
  [[nodiscard]] ViewDirection section_view(const Mechanism& shown, const SceneOptions& options) const;

private:
  std::shared_ptr<const Engine> engine_;
  std::vector<Mesh> meshes_;
  std::shared_ptr<const SceneLayout> layout_;
};

} // namespace phasewright
