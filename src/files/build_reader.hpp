// Build documents -> Build. The keys of the format stand in build_reader.cpp, each with its range and its default.
#pragma once

#include "files/reader.hpp"
#include "parts/build.hpp"

namespace phasewright {

inline constexpr const char* build_format = "phasewright-build/1";

// The first parts of all keys of a build file.
inline constexpr std::array<const char*, 10> build_keys{"format", "engine",   "title",   "fitted",      "target",
                                                        "stock",  "measured", "history", "instruments", "tolerance"};

// In a table by camshaft, the key of the figure that holds for those not named: lay = { inlet = 1, others = -1 }.
inline constexpr const char* others_key = "others";

// What the keys of TargetEvent are called in a file.
struct EventKey {
  EventKind kind;
  const char* key;
};
inline constexpr std::array<EventKey, 4> event_keys{{{EventKind::inlet_opens, "inlet_opens_btdc_deg"},
                                                     {EventKind::inlet_closes, "inlet_closes_abdc_deg"},
                                                     {EventKind::exhaust_opens, "exhaust_opens_bbdc_deg"},
                                                     {EventKind::exhaust_closes, "exhaust_closes_atdc_deg"}}};

// `whole_file`: `format` and `engine` must be there; not so for the few keys that overrides alone bring.
[[nodiscard]] Build read_build(const Node& root, bool whole_file, Report& report);

// What must fit the engine: names and numbers of its parts.
void check_build(const Build& build, const Engine& engine, Report& report);

} // namespace phasewright
