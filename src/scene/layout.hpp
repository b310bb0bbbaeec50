// Where things stand that do not move, and which mesh is which. Made once for an engine. Figures that engine files do
// not state (plate thicknesses, hubs, webs, stems) are chosen here in proportion; those that matter to timing are the
// file's.
#pragma once

#include "geometry/tooth_form.hpp"
#include "mechanics/crown_gap.hpp"
#include "mechanics/valve_gear.hpp"
#include "parts/engine.hpp"
#include "scene/crown.hpp"
#include "scene/layout_instruments.hpp"
#include "scene/scene.hpp"

#include <glm/vec2.hpp>

#include <array>
#include <map>
#include <optional>
#include <vector>

namespace phasewright {

// z from the middle of the loop's chain.
struct ChainLayout {
  std::vector<double> rows_mm; // each row's middle
  double inner_at_mm = 0;      // middle of an inner plate from its row's middle
  double inner_thick_mm = 0;
  double outer_at_mm = 0;
  double outer_thick_mm = 0;
  double pin_half_mm = 0; // half the length of a pin, over all rows
  std::size_t roller = no_mesh;
  std::size_t pin = no_mesh;
  std::size_t inner_plates = no_mesh;
  std::size_t outer_plates = no_mesh;
  std::size_t cranked_plates =
      no_mesh; // one end as inner, the other as outer: closes a chain with an odd number of links
};

// What a sprocket sits on.
enum class Mount {
  crank,
  camshaft,
  shaft, // one that drives a later loop, or is driven so, or is marked for what it drives
  idler
};

// A sprocket with its shaft's nose. Frames: the toothed disc has its mark on +y; hub ring, keys and nose their keyway;
// z from the middle of the loop's chain.
struct SprocketLayout {
  ToothForm form;
  Mount mount = Mount::idler;
  std::size_t camshaft = 0; // index into Engine::camshafts, when it drives one
  double sense = 1;         // clock degrees its shaft turns for one degree in its own running direction: +1 or -1
  glm::dvec2 centre_mm{};
  double bore_radius_mm = 0;
  double hub_radius_mm = 0;
  double hub_back_mm = 0;
  double hub_front_mm = 0;
  double nose_back_mm = 0;
  bool in_front = true;     // no other sprocket sits further out on its shaft
  double key_clock_deg = 0; // at crank 0 in the reference assembly
  bool keyed = false;
  double key_proud_mm = 0; // top of the key above the shaft
  // Behind a hub that nothing else sits behind: room for shims (the crank's), or for a retaining plate (a camshaft's).
  double shim_room_mm = 0;
  double retainer_room_mm = 0;
  double retainer_thick_mm = 0;
  bool retainer_to_size = false;  // as thick as the file says
  std::size_t shoulder = no_mesh; // of the shaft, behind shims or retaining plate
  std::size_t retainer = no_mesh; // with its back at 0
  std::size_t boss = no_mesh;     // of the hub, against the retaining plate; its back at 0
  double mark_radius_mm = 0;      // of the mark's middle
  double mark_dot_mm = 0;         // radius of the dot of paint
  std::size_t disc = no_mesh;
  std::size_t ring = no_mesh;
  std::size_t mark = no_mesh;
  std::size_t key_shaft_half = no_mesh;
  std::size_t key_hub_half = no_mesh;
  std::size_t nose = no_mesh;
  std::size_t bearing = no_mesh; // of an idler, on its spindle
  std::size_t nut = no_mesh;
  std::size_t lock_tab = no_mesh;
};

// A guide or the tensioner's shoe. Frame: the arc's centre at the origin.
struct RailLayout {
  glm::dvec2 centre_mm{}; // the shoe's at travel 0
  double radius_mm = 0;   // of the face
  double from_rad = 0;    // the face's ends, anticlockwise from one to the other
  double to_rad = 0;
  double face_mm = 0; // how thick the face is, and the back behind it
  double back_mm = 0;
  std::size_t face = no_mesh;
  std::size_t back = no_mesh;
};

// Behind the shoe a plunger that goes with it and a body that stays. Frame: the push along +y.
struct TensionerLayout {
  double push_clock_deg = 0;
  double plunger_radius_mm = 0;
  double plunger_mm = 0; // its length, from the shoe's back
  double body_mm = 0;
  glm::dvec2 seat_mm{};  // where the plunger meets the shoe's back, from the arc's centre
  glm::dvec2 mouth_mm{}; // of the body
  std::size_t plunger = no_mesh;
  std::size_t body = no_mesh;
};

// One chain loop and what it runs on. A later loop stands in another plane than the one that drives it.
struct LoopLayout {
  double z_mm = 0;
  ChainLayout chain;
  std::vector<SprocketLayout> sprockets; // as Loop::sprockets
  std::vector<RailLayout> rails;         // as LoopPose::arcs
  std::optional<TensionerLayout> tensioner;
};

// The engine's own frame: x across the cylinders, y along their axes, z as the world's; its origin on the crank axis.
struct CylinderLayout {
  double face_mm = 0;            // block face, along the cylinder axis
  double crown_above_pin_mm = 0; // the crown's flat
  double land_mm = 0;            // from there down to the first ring's groove
  double skirt_below_pin_mm = 0;
  double first_z_mm = 0; // middle of cylinder No. 1
  double step_mm = 0;    // from one cylinder to the next, toward -z
  double main_radius_mm = 0;
  double pin_radius_mm = 0;
  double web_at_mm = 0; // middle of a web from the cylinder's middle
  double web_thick_mm = 0;
  double pin_across_mm = 0; // where the gudgeon pin runs
  std::size_t crankshaft = no_mesh;
  std::size_t throw_and_webs = no_mesh;
  std::size_t piston = no_mesh;
  std::size_t rings = no_mesh;
  std::size_t gudgeon = no_mesh;
  std::size_t rod = no_mesh;

  [[nodiscard]] double middle_mm(int cylinder) const { return first_z_mm - step_mm * (cylinder - 1); }
};

// How a valve is moved.
enum class Train {
  pushrod, // tappet, pushrod and rocker
  bucket,
  finger
};

// A round of a lever that presses something, and over which of its directions (anticlockwise, with the valve shut).
struct LeverRound {
  glm::dvec2 middle_mm{}; // from the pivot
  double radius_mm = 0;
  double from_rad = 0;
  double to_rad = 0;
};

// A rocker or finger, with the valve shut, in the engine's frame.
struct LeverLayout {
  glm::dvec2 pivot_mm{};
  LeverRound push;     // a rocker's ball on the pushrod; a finger's pad or roller
  LeverRound end;      // on the valve's tip
  bool roller = false; // a finger's pad that is small enough to be one
  double turn = 1;     // clock degrees for one degree of its swing: +1 or -1
};

// What moves one valve of a cylinder. Directions and places in the engine's frame, z from the cylinder's middle.
struct ValveLayout {
  ValveKind kind = ValveKind::inlet;
  std::size_t camshaft = 0; // index into Engine::camshafts
  double sense = 1;         // clock degrees its camshaft turns for one degree in its own running direction: +1 or -1
  Train train = Train::pushrod;
  bool has_valve = false;
  double z_mm = 0;
  glm::dvec2 cam_mm{};      // camshaft's centre
  glm::dvec2 follow{};      // +y of the follower's frame (see lobe_contour.hpp): the way a tappet goes when lifted
  glm::dvec2 follow_x{};    // +x of that frame
  double lobe_from_rad = 0; // how far the lobe's nose has run on from +y of that frame when it is at its nose
  double lobe_half_mm = 0;  // half the lobe's width
  double base_radius_mm = 0;
  double lobe_reach_mm = 0;    // of the lobe from the camshaft's axis
  double roller_radius_mm = 0; // of a tappet; 0 = flat
  double foot_radius_mm = 0;   // of a tappet's or bucket's face
  glm::dvec2 push_at_mm{};     // a point on the line along which tappet or bucket moves
  double push_length_mm = 0;   // pushrod
  double tappet_top_mm = 0;    // from the tappet's face, or roller's middle, to the pushrod's seat
  glm::dvec2 head_mm{};        // middle of the closed head's face
  glm::dvec2 axis{};           // from the head along the way the valve moves
  glm::dvec2 stem{};           // the same, but where it would miss what moves it: then toward that
  double head_radius_mm = 0;
  double margin_mm = 0;
  double pocket_room_mm = 0;   // between the head's edge and its pocket's wall, about one middle
  double seat_radius_mm = 0;   // outside of the seat ring
  double stem_mm = 0;          // face of the head to tip of the stem
  double spring_radius_mm = 0; // over its wire
  double spring_from_mm = 0;   // along the stem, from the closed head's face
  double spring_to_mm = 0;     // upper end when the valve is shut
  int coils = 0;
  double lash_mm = 0;
  std::optional<LeverLayout> lever;
  std::optional<CrownGap> gap; // nothing also where a file's pocket would not let the head in
  std::size_t lobe = no_mesh;
  std::size_t far_lobe = no_mesh; // the same with fewer points, for cylinders whose followers are not shown
  std::size_t contact = no_mesh;
  std::size_t tappet = no_mesh;
  std::size_t roller = no_mesh; // a tappet's or a finger's
  std::size_t pushrod = no_mesh;
  std::size_t rocker = no_mesh; // or finger
  std::size_t pivot = no_mesh;  // rocker shaft or finger's post
  std::size_t valve = no_mesh;
  std::size_t retainer = no_mesh;
  std::size_t seat = no_mesh;
  std::size_t coil = no_mesh;

  [[nodiscard]] bool overhead() const { return train != Train::pushrod; }
  // The seat ring along the valve's axis, from the closed head's face.
  [[nodiscard]] double seat_from_mm() const { return margin_mm; }
  [[nodiscard]] double seat_to_mm() const { return margin_mm + 0.38 * head_radius_mm; }
  // A point of the follower's frame in the engine's.
  [[nodiscard]] glm::dvec2 from_follower(glm::dvec2 point_mm) const {
    return cam_mm + point_mm.x * follow_x + point_mm.y * follow;
  }
};

struct CamshaftLayout {
  std::string words;                     // "cam", or what tells it from the others: "inlet cam"
  std::optional<SprocketPlace> sprocket; // that drives it
  glm::dvec2 centre_mm{};
  double journal_radius_mm = 0;
  std::size_t mesh = no_mesh;
};

// How far parts have gone forward along their shafts, each kind in its turn in the order of assembly (unit: mm).
struct Apart {
  struct Loop {
    double sprockets_mm = 0;
    double chain_mm = 0;
    double rails_mm = 0; // guides and tensioner
  };
  double share = 0; // 0 = as assembled, 1 = fully apart
  double plate_mm = 0;
  double retainers_mm = 0;
  double shims_mm = 0;
  double keys_mm = 0;
  double keys_out_mm = 0;  // out of their shafts
  std::vector<Loop> loops; // as Engine::loops; those that stand further back go on first
  double lock_tabs_mm = 0;
  double nuts_mm = 0; // and the bolts of idlers' spindles
  double end_mm = 0;  // z in front of it all

  [[nodiscard]] Apart scaled(double by) const; // all parts together
  // One kind of part after the other, the outermost first.
  [[nodiscard]] Apart one_by_one(double by) const;

private:
  // Every distance changed by a function that leaves 0 as it is.
  template <class Change>
  [[nodiscard]] Apart with(double share_now, Change change) const;
};

// What of a mesh is left when one side of its keyway is cut away, and the lines across its cut faces.
struct CutMesh {
  std::array<std::size_t, 2> mesh{no_mesh, no_mesh}; // by CutAway
  std::array<std::vector<std::array<glm::dvec3, 2>>, 2> hatching;
};

struct SceneLayout {
  double running_sign = 1; // clock degrees for one degree in the running direction: +1 or -1
  std::vector<LoopLayout> loops;
  double plate_front_mm = 0; // z of the backing plate's faces
  double plate_back_mm = 0;
  std::size_t plate = no_mesh;
  std::array<std::size_t, 3> shim_leaves{no_mesh, no_mesh, no_mesh}; // see leaf_mm
  InstrumentsLayout instruments;
  CylinderLayout cylinder;
  std::vector<CamshaftLayout> camshafts; // as Engine::camshafts
  std::vector<ValveLayout> valves;       // one for each kind the engine has
  CrownSolid crown;
  double cylinder_clock_deg = 0; // as drawn
  bool leant_clear = false;      // not as the file has it: the camshaft would stand in the bore
  bool stems_turned = false;     // not as the file has them: toward what does not stand over them
  bool finger_as_bucket = false; // a finger whose arms the file does not state
  glm::dmat4 engine_frame{1.0};
  Apart apart;                         // fully
  std::map<std::size_t, CutMesh> cuts; // by mesh, of what sits on a keyed seat

  [[nodiscard]] const SprocketLayout& sprocket(SprocketPlace place) const {
    return loops[place.loop].sprockets[place.sprocket];
  }
};

// The figures without the meshes (their indices are left at no_mesh).
[[nodiscard]] SceneLayout lay_out(const Engine& engine);
// Its steps: chains, sprockets and the planes they stand in; then rails and tensioners; then what the drive drives.
void lay_out_loops(const Engine& engine, SceneLayout& layout);
void lay_out_rails(const Engine& engine, SceneLayout& layout);
void lay_out_engine(const Engine& engine, SceneLayout& layout);
void lay_out_valves(const Engine& engine, SceneLayout& layout); // the engine's last step
void lay_out_behind(const Engine& engine, SceneLayout& layout); // shims and retaining plates
void lay_out_instruments(const Engine& engine, SceneLayout& layout);
void lay_out_apart(const Engine& engine, SceneLayout& layout);
// Across and along cylinders that point that way, in the world.
[[nodiscard]] glm::dvec2 across_of(double clock_deg);
[[nodiscard]] glm::dvec2 along_of(double clock_deg);

// A tab washer and the nut on it.
struct NutSizes {
  double from_mm = 0; // the washer's back; z from the middle of the loop's chain
  double tab_mm = 0;  // its thickness
  double bent_mm = 0; // how far its tab stands up along the nut
  double nut_mm = 0;
  double thread_mm = 0; // of the shaft in front of the nut
};
[[nodiscard]] NutSizes nut_sizes(const SprocketLayout& sprocket);

// What stands outside the sprockets: the outline of a loop's rails and its tensioner's body.
[[nodiscard]] std::vector<glm::dvec2> rail_points_mm(const LoopLayout& loop);

// Each adds its meshes and notes where they are.
void add_chain_meshes(const Engine& engine, SceneLayout& layout, std::vector<Mesh>& meshes);
void add_sprocket_meshes(const Engine& engine, SceneLayout& layout, std::vector<Mesh>& meshes);
// Of what sits on keyed seats; all else is there by then.
void add_sections(const Engine& engine, SceneLayout& layout, std::vector<Mesh>& meshes);
// `pieces`: the mesh as closed solids that do not touch one another. `keyway_deg`: where its keyway is, clockwise from
// +y.
void add_section(SceneLayout& layout, std::vector<Mesh>& meshes, std::size_t mesh, const std::vector<Mesh>& pieces,
                 double keyway_deg, double hatch_deg, double apart_mm);
void add_behind_meshes(SceneLayout& layout, std::vector<Mesh>& meshes);
void add_rail_meshes(SceneLayout& layout, std::vector<Mesh>& meshes);
void add_instrument_meshes(SceneLayout& layout, std::vector<Mesh>& meshes);
void add_crank_meshes(const Engine& engine, SceneLayout& layout, std::vector<Mesh>& meshes);
void add_valve_meshes(const Engine& engine, SceneLayout& layout, std::vector<Mesh>& meshes);
void add_lever_meshes(ValveLayout& valve, std::vector<Mesh>& meshes);

inline std::size_t add_mesh(std::vector<Mesh>& meshes, Mesh mesh) {
  meshes.push_back(std::move(mesh));
  return meshes.size() - 1;
}

} // namespace phasewright
