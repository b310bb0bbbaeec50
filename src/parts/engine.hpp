// What the maker designed: plain data, as an engine file states it. Lengths in mm, angles in degrees, as the names say.
// Ranges are those the file reader enforces (files/engine_file.cpp); mechanics may rely on them.
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
  double crown_cc = 0;           // dish and pockets; negative = dome; -500 to 500
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
};

enum class MarkOn { tooth, gap };
enum class Wrap { inside, outside };

struct Sprocket {
  std::string name;
  int teeth = 0;          // 6 to 200
  glm::dvec2 centre_mm{}; // x right, y up, seen from the timing end; each -2000 to 2000
  MarkOn mark = MarkOn::tooth;
  double mark_clock_deg = 0; // where the mark points at crank 0 in the reference assembly; 0 to 360
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
  std::optional<std::array<double, 2>> end_float_mm; // least and most; camshafts only
};

struct LobeTable {
  std::string file;            // as the engine file names it
  std::vector<double> cam_deg; // from the nose, rising; negative on the opening side
  std::vector<double> lift_mm; // at the tappet
};

struct LobeCard { // lift and durations only (unit: crank degrees)
  double lift_mm = 0;
  double duration_deg = 0;      // at check lift
  double seat_duration_deg = 0; // seat to seat
};

struct LobePolynomial {    // the 4-5-6-7 polynomial, rise and fall alike
  double lift_mm = 0;      // 0.5 to 40
  double duration_deg = 0; // whole, crank degrees; 60 to 700
};

using Lobe = std::variant<LobeTable, LobeCard, LobePolynomial>;

enum class Follower { flat_tappet, roller_tappet, bucket, finger };
enum class ValveKind { inlet, exhaust };

// What moves one kind of valve.
struct ValveGear {
  // Lobe centre in crank degrees, by equal lifts at the check lift: inlet ATDC, exhaust BTDC of the overlap TDC; 60 to
  // 160
  double centre_deg = 0;
  Follower follower = Follower::flat_tappet;
  double rocker_ratio = 1;     // valve lift / tappet lift; 0.5 to 3
  double lash_mm = 0;          // at the valve; 0 to 2
  double base_radius_mm = 15;  // of the lobe's base circle; 5 to 60
  double roller_radius_mm = 0; // roller tappets; 2 to 40
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

struct Pocket {
  double depth_mm = 0;  // 0 to 20
  double radius_mm = 0; // 0 without a pocket
};

struct Valve {
  double head_mm = 0;          // head diameter; 5 to 200
  double inclination_deg = 0;  // valve axis to cylinder axis; -60 to 60
  glm::dvec2 offset_mm{};      // head centre from the cylinder axis at the block face, along and across the crank
  double closed_height_mm = 0; // closed head face above the block face, gasket included; -20 to 50
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

} // namespace phasewright
