// One real engine on the bench: what is fitted, what is wanted, what is on the shelf, what was read.
// Lengths in mm, angles in degrees as the names say. Ranges are those the file reader enforces.
#pragma once

#include "parts/engine.hpp"

#include <array>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace phasewright {

// A hub with h holes bolted to a sprocket with s holes: hub hole i on sprocket hole j turns the camshaft by i/h - j/s
// turns. Both are counted from 0, the pair the maker bolts together, against the running direction, seen from the
// timing end.
struct HolePair {
  int hub_hole = 0;
  int sprocket_hole = 0;

  friend bool operator==(const HolePair&, const HolePair&) = default;
};

struct Vernier {
  int hub_holes = 0;      // 2 to 60
  int sprocket_holes = 0; // 2 to 60

  friend bool operator==(const Vernier&, const Vernier&) = default;
};

// What is fitted now; the settings that decide where the camshaft stands.
struct Fitted {
  int lay = 0; // teeth at the cam sprocket, + = cam advanced; -10 to 10
  // By camshaft, when the file gives a table; goes before `lay`. A sprocket whose shaft drives a later loop may stand
  // in it by its own name: teeth of that sprocket.
  std::map<std::string, int> lay_of;
  double crank_key_deg = 0;                 // crank degrees by which the offset key advances the cam; -20 to 20
  double cam_key_deg = 0;                   // cam degrees, likewise, at every camshaft; -20 to 20
  std::map<std::string, double> cam_key_of; // by camshaft, when the file gives a table; goes before `cam_key_deg`
  double elongation_percent = 0;            // chain wear; 0 to 5
  double centre_change_mm = 0;              // crank-cam centre distance less the engine's; -5 to 5
  Vernier vernier;                          // the multi-hole sprocket's counts, from the stock; none when 0
  HolePair holes; // the pair its bolt goes through, at every camshaft; {0, 0} = as the maker drew it
  std::map<std::string, HolePair> holes_of; // by camshaft, when the file gives a table; goes before `holes`
  double slot_deg = 0;                      // slotted cam sprocket, cam degrees; -20 to 20
  std::map<std::string, double> slot_of;    // by camshaft, likewise
  // Crank degrees by which readings show the camshafts ahead of all that the rest explains: an unknown cause that stays
  // in place when other settings change. -60 to 60
  double found_deg = 0;
  std::map<std::string, double> found_of; // by camshaft, likewise
  std::vector<double> shim_mm;            // behind the crank sprocket, one entry for each piece; 0.005 to 10

  friend bool operator==(const Fitted&, const Fitted&) = default;
};

[[nodiscard]] inline int lay_of(const Fitted& fitted, const std::string& camshaft) {
  const auto found = fitted.lay_of.find(camshaft);
  return found == fitted.lay_of.end() ? fitted.lay : found->second;
}

// Teeth by which the chain is laid on a sprocket away from its mark: the lay of the camshaft it drives, else its own.
[[nodiscard]] inline int lay_at(const Fitted& fitted, const Sprocket& sprocket) {
  if (!sprocket.camshaft.empty()) return lay_of(fitted, sprocket.camshaft);
  const auto found = fitted.lay_of.find(sprocket.name);
  return found == fitted.lay_of.end() ? 0 : found->second;
}

[[nodiscard]] inline double cam_key_of(const Fitted& fitted, const std::string& camshaft) {
  const auto found = fitted.cam_key_of.find(camshaft);
  return found == fitted.cam_key_of.end() ? fitted.cam_key_deg : found->second;
}

[[nodiscard]] inline HolePair holes_of(const Fitted& fitted, const std::string& camshaft) {
  const auto found = fitted.holes_of.find(camshaft);
  return found == fitted.holes_of.end() ? fitted.holes : found->second;
}

[[nodiscard]] inline double slot_of(const Fitted& fitted, const std::string& camshaft) {
  const auto found = fitted.slot_of.find(camshaft);
  return found == fitted.slot_of.end() ? fitted.slot_deg : found->second;
}

[[nodiscard]] inline double found_of(const Fitted& fitted, const std::string& camshaft) {
  const auto found = fitted.found_of.find(camshaft);
  return found == fitted.found_of.end() ? fitted.found_deg : found->second;
}

enum class EventKind { inlet_opens, inlet_closes, exhaust_opens, exhaust_closes };

struct TargetEvent {
  EventKind kind = EventKind::inlet_closes;
  double deg = 0; // as the key names it: inlet_opens BTDC, inlet_closes ABDC, exhaust_opens BBDC, exhaust_closes ATDC
  double at_lift_mm = 0; // at the tappet, or at the valve when the camshaft's check_at says so; 0 = the check lift
};

// Piston-to-valve clearance limits when neither file states one. Common practice, no source: 2.0 mm (0.080 in) at the
// inlet and 2.5 mm (0.100 in) at the exhaust. The engine maker's limit goes before them.
inline constexpr double default_min_clearance_inlet_mm = 2.0;
inline constexpr double default_min_clearance_exhaust_mm = 2.5;
// Sideways, of a head's rim to a pocket's wall or a dome's flank, and between the two valves: common practice, no
// source: 1.0 mm (0.040 in).
inline constexpr double default_min_clearance_radial_mm = 1.0;
inline constexpr double default_min_valve_to_valve_mm = 1.0;

struct Target {
  // At most one of these; none = phase 0, the maker's card. Of an engine whose inlet and exhaust valves have a camshaft
  // each, both centres may be asked for, and both camshafts are planned together.
  std::optional<double> inlet_centre_deg;   // ATDC; 60 to 160
  std::optional<double> exhaust_centre_deg; // BTDC; 60 to 160
  std::optional<double> phase_deg;          // crank degrees; -60 to 60
  std::optional<TargetEvent> event;
  bool equal_lift_at_tdc = false;        // inlet and exhaust valve lifted alike at overlap TDC
  std::optional<double> effective_ratio; // from the volume at inlet closing; 2 to 25
  // Which camshaft is moved: for `phase_deg`, `equal_lift_at_tdc` or no aim at all. Empty = the first with inlet lobes.
  std::string camshaft;
  // Aim so that phase is on target half way through what is left of the chain's life, not now.
  bool preset_for_wear = false;
  double min_clearance_inlet_mm = default_min_clearance_inlet_mm;     // 0 to 10
  double min_clearance_exhaust_mm = default_min_clearance_exhaust_mm; // 0 to 10
  double min_clearance_radial_mm = default_min_clearance_radial_mm;   // 0 to 10
  double min_valve_to_valve_mm = default_min_valve_to_valve_mm;       // 0 to 10
};

struct Stock {
  std::vector<double> crank_key_deg; // sizes, crank degrees, 0 to 20; each can be fitted either way round
  std::vector<double> cam_key_deg;   // sizes, cam degrees, 0 to 20
  std::optional<Vernier> vernier;
  std::optional<std::array<double, 2>> slots_deg; // least and most, cam degrees
  std::vector<double> shim_mm;                    // one entry for each piece
};

struct LobeReading {
  ValveKind valve = ValveKind::inlet;
  int cylinder = 1;          // 1 to 16, one the engine has
  double lift_mm = 0;        // on the dial indicator; 0.01 to 40
  std::optional<CheckAt> at; // where the indicator stood; nothing = where the camshaft's check lift is taken
  double opens_deg = 0;      // wheel degrees, 0 to 720
  double closes_deg = 0;     // likewise
};

struct ClearanceReading {
  ValveKind valve = ValveKind::inlet;
  double crank_deg = 0;    // of No. 1; 0 to 720
  double clearance_mm = 0; // along the valve axis; 0 to 50
};

struct GapReading {
  double near_mm = 0; // feeler gauge at the sprocket's near edge; 0 to 20
  double far_mm = 0;  // at its far edge; 0 to 20
  std::string under;  // the sprocket under which the feeler went
};

// Pins counted from a camshaft's mark to the crank's along the taut side, both left out.
struct PinCount {
  std::string camshaft; // empty = the only one
  int pins = 0;         // 0 to 1000

  friend bool operator==(const PinCount&, const PinCount&) = default;
};

// A half-round key and its keyways as measured (unit: mm); what was not measured is taken from the key's standard.
struct KeyReading {
  std::string shaft;               // "crank" or a camshaft's name
  std::optional<double> height_mm; // of the key
  std::optional<double> width_mm;
  std::optional<double> seat_depth_mm; // of the keyseat, from the shaft's surface
  std::optional<double> seat_width_mm;
  std::optional<double> hub_depth_mm; // of the sprocket's keyway
  std::optional<double> hub_width_mm; // each 0.1 to 50
};

struct Measured {
  std::string date;                            // "2026-05-14"; empty = not said
  std::string note;                            // a line of the builder's own
  Fitted with;                                 // what was fitted when these readings were taken
  std::shared_ptr<const Engine> engine;        // the engine they were taken on, when it is not the one asked about
  std::vector<std::array<double, 2>> stop_deg; // piston stop: wheel before and after TDC; -360 to 720
  std::vector<LobeReading> lobe;
  std::vector<ClearanceReading> clearance;
  std::optional<GapReading> gap;
  std::vector<double> float_mm;   // camshaft end float; 0 to 10
  std::string float_of;           // the camshaft it was read on; empty = the first
  std::optional<double> plate_mm; // thickness of its retaining plate; 0.5 to 30
  std::optional<double> boss_mm;  // length of the boss that runs against it; 0.5 to 100
  std::vector<PinCount> pins;
  std::vector<KeyReading> key;
};

// Whether there is any reading in it.
[[nodiscard]] bool has_readings(const Measured& measured);

// Limits of error (half width) of the builder's instruments.
struct Instruments {
  double wheel_deg = 0.5;     // 0.01 to 5
  double indicator_mm = 0.01; // 0.0001 to 1
  // What the engine file's dimensions that set a valve's gap may be out by, together, until a clearance has been
  // measured; 0 to 2. 0.2 mm: our own guess at a rebuilt engine, no source.
  double dimension_mm = 0.2;
  double feeler_mm = 0.02;  // of a gap read with feeler gauges; 0.001 to 1
  double caliper_mm = 0.02; // of keys, keyways, plates and shims; 0.001 to 1
};

// What parts may be out by before anything is fitted: half widths, every value within as likely as another. Common
// practice, no source, but for the chain: ISO 606 lets a new chain be up to 0.15 % longer than its pitches say (from
// memory).
struct Tolerances {
  double centre_mm = 0.05;          // crank-cam centre distance; 0 to 2
  double chain_percent = 0.15;      // a new chain is so much longer than nominal at most, never shorter; 0 to 2
  double keyway_mm = 0.02;          // a key's play in its keyways, at the shaft's surface, each shaft; 0 to 1
  double crank_sprocket_deg = 0.25; // a sprocket's keyway against its teeth, degrees of that sprocket; 0 to 5
  double cam_sprocket_deg = 0.25;
  double key_deg = 0.1;         // an offset key's own step, degrees of its shaft; straight keys have none; 0 to 5
  double lobe_centre_deg = 0.5; // a lobe as ground against the camshaft's keyway, cam degrees; 0 to 5
};

struct Build {
  std::string engine; // the engine file, as the build file names it
  std::string title;
  Fitted fitted;
  Target target;
  Stock stock;
  Measured measured;
  std::vector<Measured> history; // earlier sets of readings, oldest first; each with what was fitted then
  Instruments instruments;
  Tolerances tolerances;
};

} // namespace phasewright
