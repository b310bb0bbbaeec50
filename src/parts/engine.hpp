// What the maker designed: plain data, as an engine file states it. Lengths in mm, angles in degrees, as the names say.
// Ranges are those that files/engine_reader.cpp, valve_gear_reader.cpp and engine_checks.cpp enforce; mechanics may
// rely on them.
#pragma once

#include "parts/chain_table.hpp"
#include "parts/key_table.hpp"

#include <glm/vec2.hpp>

#include <array>
#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace phasewright {

enum class Rotation { clockwise, anticlockwise }; // of the crank, seen from the timing end

enum class CrownShape { flat, dished, domed };

// The crown without its valve pockets. Its flat is what deck_mm is measured to.
struct Crown {
  CrownShape shape = CrownShape::flat;
  double height_mm = 0; // how deep a dish's flat floor lies, or how high a dome (part of a ball) stands; 0.1 to 60
  double radius_mm = 0; // of dish or dome where it meets the flat, about the cylinder's axis; 1 to half the bore
};

struct Block {
  int cylinders = 1;             // 1 to 16
  std::vector<int> firing_order; // a permutation of 1..cylinders that begins with 1
  double bore_mm = 0;            // 20 to 500
  double stroke_mm = 0;          // 20 to 500
  double rod_mm = 0;             // centre to centre; more than half the stroke plus the pin offset, to 1000
  double pin_offset_mm = 0;      // gudgeon pin, + toward the side the crank throw is on just after TDC
  double deck_mm = 0;            // crown below the block face at TDC; negative = proud; -10 to 10
  double gasket_mm = 0;          // compressed; 0 to 10
  double gasket_bore_mm = 0;     // 20 to 520; the bore when the file is silent
  double chamber_cc = 0;         // in the head; 0 to 2000
  double crown_cc = 0;           // dish and pockets as measured; negative = dome; -500 to 500
  Crown crown;                   // for clearances; volumes go by crown_cc
  double cylinder_clock_deg = 0; // where the cylinders' axes point from the crank, seen from the timing end; 0 to 360
};

struct Chain {
  std::string iso606;             // "06B-1"; empty when the file gives dimensions
  double pitch_mm = 0;            // 2 to 100
  double roller_mm = 0;           // diameter; 1 to 80, less than the pitch
  double inner_width_mm = 0;      // between inner plates; 1 to 100
  double pin_mm = 0;              // diameter; 0.5 to 50, less than the roller
  double plate_height_mm = 0;     // 1 to 100, less than one and a half pitches
  double transverse_pitch_mm = 0; // between rows; 1 to 200
  int rows = 1;                   // 1 to 3
  int links = 0;                  // pitches in the loop; 8 to 1000
  // Elongation at which the chain is renewed. 1.5 % on fixed centres: chain makers' engineering guides; the engine
  // maker's figure goes before it. 0.1 to 5 (unit: percent)
  double wear_limit_percent = 1.5;
  // How far apart the planes of two sprockets may stand (unit: mm): 0.1 for fast drives on short centres, chain makers'
  // maintenance texts. 0.01 to 5
  double alignment_mm = 0.1;
};

enum class MarkOn { tooth, gap };
enum class Wrap { inside, outside };

struct Sprocket {
  std::string name;
  int teeth = 0;          // 6 to 200
  glm::dvec2 centre_mm{}; // x right, y up, seen from the timing end; each -2000 to 2000
  MarkOn mark = MarkOn::tooth;
  double mark_clock_deg = 0; // where the mark points at crank 0 in the reference assembly; 0 to 360
  bool mark_stated = false;  // whether the file says anything of a mark; an idler's need not
  std::string camshaft;      // the camshaft it drives; empty for the crank and for idlers
  Wrap wrap = Wrap::inside;
};

enum class Side { inside, outside }; // of the chain loop

// A fixed rail or shoe: an arc on which the link plates slide.
struct Guide {
  std::array<std::string, 2> strand; // names of the sprockets it lies between, in the chain's direction of travel
  glm::dvec2 centre_mm{};            // of the arc; each -2000 to 2000
  double radius_mm = 0;              // of the face the plates slide on; 1 to 2000
  Side side = Side::outside;
};

struct Tensioner {
  Guide shoe;                            // centre at travel 0
  double push_clock_deg = 0;             // direction of travel; 0 to 360
  std::array<double, 2> travel_mm{0, 0}; // least and most; -200 to 200
};

struct ShaftSeat {
  double diameter_mm = 0; // at the sprocket; 5 to 200
  KeySize key{};
  double key_clock_deg = 0; // where the keyway points at crank 0 in the reference assembly; 0 to 360
  std::optional<std::array<double, 2>> end_float_mm; // least and most; camshafts only, and so the next two
  std::optional<double> plate_mm{};                  // the maker's thickness of the retaining plate; 0.5 to 30
  std::optional<double> boss_mm{}; // the maker's length of the boss that runs against it; more than `plate_mm`, to 100
};

// What the lifts of a lobe table are: the follower's motion (of a finger: the growth of the distance from the
// camshaft's axis to the centre of its pad), or the growth of the lobe's own radius over its base circle, as a point
// would feel it.
enum class LiftOf { tappet, lobe };

struct LobeTable {
  std::string file; // as the engine file names it
  LiftOf lift_of = LiftOf::tappet;
  std::vector<double> cam_deg; // from the nose, rising; negative on the opening side
  std::vector<double> lift_mm;
  double last_digit_mm = 0; // one of the last digit the lifts are written with; 0 = not known, taken as exact
};

// Takes up the lash slowly before the valve leaves its seat, or sets it down slowly after.
struct LobeRamp {
  double lift_mm = 0;    // at the tappet, at the ramp's top; 0 to 2
  double length_deg = 0; // crank degrees; 0 to 120
};

// Lift and durations only, as a cam card gives them.
struct LobeCard {
  double lift_mm = 0;                   // at the tappet; 0.5 to 40
  double duration_deg = 0;              // crank degrees, at check lift; 60 to 700
  double seat_duration_deg = 0;         // crank degrees, between the ramps' tops; more than duration_deg
  std::optional<LobeRamp> ramp;         // silent: just the lash, over 20 crank degrees
  std::optional<LobeRamp> closing_ramp; // silent: as the opening one
};

// The 4-5-6-7 polynomial, up and down.
struct LobePolynomial {
  double lift_mm = 0;             // 0.5 to 40
  double duration_deg = 0;        // whole, crank degrees; 60 to 700
  std::optional<double> rise_deg; // of them from the base circle to the nose; silent: half
};

using Lobe = std::variant<LobeTable, LobeCard, LobePolynomial>;

enum class Follower { flat_tappet, roller_tappet, bucket, finger };
enum class ValveKind { inlet, exhaust };

// A rocker by its real arms, in place of a constant rocker ratio. Each arm's angle is what it stands, with the valve
// shut, past square to the motion at its end: negative before square, 0 square, counted in the direction it swings when
// the valve opens. The pushrod is taken to move along itself.
struct RockerArms {
  double push_arm_mm = 0;   // pivot to the pushrod's ball; 5 to 150
  double valve_arm_mm = 0;  // pivot to the centre of the pad on the valve's tip; 5 to 150
  double push_arm_deg = 0;  // -60 to 60
  double valve_arm_deg = 0; // -60 to 60
  double pad_radius_mm = 8; // 1 to 60
};

// A finger: it pivots at one end, the lobe presses its pad or roller, its other end presses the valve. Places in a
// frame with the camshaft's axis at the origin and y along the valve's axis, away from the piston, seen from the end
// from which this camshaft runs clockwise. From its pivot the finger reaches across the line x = 0 under the camshaft.
struct FingerArms {
  glm::dvec2 pivot_mm{};    // x not 0; each -150 to 150
  double pad_arm_mm = 0;    // pivot to the centre of the pad or roller; 5 to 150
  double pad_radius_mm = 0; // 1 to 200
  double valve_arm_mm = 0;  // pivot to the centre of the end on the valve's tip; 5 to 150
  double valve_arm_deg = 0; // past square to the valve's axis with the valve shut, as RockerArms; -60 to 60
};

// What moves one kind of valve.
struct ValveGear {
  // Lobe centre in crank degrees, by equal lifts at the check lift: inlet ATDC, exhaust BTDC of the overlap TDC; 60 to
  // 160
  double centre_deg = 0;
  Follower follower = Follower::flat_tappet;
  double rocker_ratio = 1;          // valve lift / tappet lift; 0.5 to 3; not read where `rocker` or `finger` is there
  std::optional<RockerArms> rocker; // tappets only
  std::optional<FingerArms> finger; // fingers only; a finger without it is a constant ratio
  double lash_mm = 0;               // at the valve; 0 to 2
  double base_radius_mm = 15;       // of the lobe's base circle; 5 to 60
  double roller_radius_mm = 0;      // roller tappets; 2 to 40
  double face_mm = 0;               // diameter of a flat tappet's or bucket's face; 5 to 80; 0 = not stated
  Lobe lobe;
};

enum class CheckAt { tappet, valve };

struct Camshaft {
  std::string name;
  double check_lift_mm = 1.27; // 0.01 to 5. 1.27 mm = 0.050 in: common practice, no source
  CheckAt check_at = CheckAt::tappet;
  std::optional<ValveGear> inlet;
  std::optional<ValveGear> exhaust;
};

// Cut in the crown along the valve's axis, as that stands with the piston at TDC, by a flat cutter.
struct Pocket {
  double depth_mm = 0;  // of its floor's middle below the crown's flat, along the valve's axis; -20 to 20
  double radius_mm = 0; // 0 without a pocket
};

struct Valve {
  double head_mm = 0;     // head diameter; 5 to 200
  double margin_mm = 1.5; // thickness of the head's edge; 0.1 to 20
  // Valve axis to cylinder axis; + = the stem leans to the + side across the crank; -60 to 60.
  double inclination_deg = 0;
  // Of the closed head's centre from the cylinder axis, along the crank (+ toward the timing end) and across it (+ to
  // the right with the cylinders upright, seen from the timing end).
  glm::dvec2 offset_mm{};
  double closed_height_mm = 0; // the closed head's face at its centre, above the block face, gasket included; -20 to 50
  Pocket pocket;
};

struct Fastener {
  double torque_nm = 0; // 0 when the maker gives none; to 5000
  std::string locks;
};

// One endless chain and what it runs on.
struct Loop {
  // The sprocket of an earlier loop on whose shaft this loop's first sprocket sits; empty for the first loop, whose
  // first sprocket is the crank's.
  std::string driven_from;
  Chain chain;
  std::vector<Sprocket> sprockets; // in the order the chain meets them, the driving one first; 2 to 8
  std::vector<Guide> guides;
  std::optional<Tensioner> tensioner;
};

struct Engine {
  std::string name;
  Rotation rotation = Rotation::clockwise;
  Block block;
  std::vector<Loop> loops{1}; // the crank's first, each later one driven from a shaft of an earlier one; 1 to 4
  ShaftSeat crank_seat;
  std::map<std::string, ShaftSeat> cam_seats; // by camshaft name
  std::vector<Camshaft> camshafts;
  std::optional<Valve> inlet_valve;
  std::optional<Valve> exhaust_valve;
  std::map<std::string, Fastener> fasteners;
};

// The camshaft of that name, or nothing.
[[nodiscard]] const Camshaft* find_camshaft(const Engine& engine, const std::string& name);

// Which sprocket of which loop.
struct SprocketPlace {
  std::size_t loop = 0;
  std::size_t sprocket = 0;

  friend bool operator==(const SprocketPlace&, const SprocketPlace&) = default;
};

// The sprocket of that name, or the one that drives that camshaft, or nothing.
[[nodiscard]] std::optional<SprocketPlace> find_sprocket(const Engine& engine, const std::string& name);
[[nodiscard]] std::optional<SprocketPlace> find_cam_sprocket(const Engine& engine, const std::string& camshaft);

[[nodiscard]] inline const Sprocket& sprocket_at(const Engine& engine, SprocketPlace place) {
  return engine.loops[place.loop].sprockets[place.sprocket];
}

// Its key in the engine file: "sprocket[2]", "stage[1].sprocket[2]".
[[nodiscard]] std::string sprocket_key(SprocketPlace place);
// What stands before the keys of a loop: "" for the first, "stage[1]." for the second.
[[nodiscard]] std::string loop_key(std::size_t loop);

// Crank degrees by which cylinder `number` (1-based) runs behind No. 1, from the firing order and even firing.
// [0, 720). A number that is not in the firing order is a programming mistake.
[[nodiscard]] double cylinder_delay_deg(const Block& block, int number);

[[nodiscard]] const char* to_word(Rotation rotation);
[[nodiscard]] const char* to_word(ValveKind kind);
[[nodiscard]] const char* to_word(Follower follower);

// Which way a camshaft turns, seen from the timing end: as the crank, unless a chain turns it with its back. The engine
// must have it.
[[nodiscard]] Rotation camshaft_rotation(const Engine& engine, const std::string& camshaft);

} // namespace phasewright
