// Engine documents -> Engine. The keys of the format stand in engine_reader.cpp and valve_gear_reader.cpp, each with
// its range and its default.
#pragma once

#include "files/reader.hpp"
#include "files/text_file.hpp"
#include "parts/engine.hpp"

namespace phasewright {

inline constexpr const char* engine_format = "phasewright-engine/1";

// The first parts of all keys of an engine file.
inline constexpr std::array<const char*, 13> engine_keys{"format",   "name",  "rotation",  "block", "chain",
                                                         "sprocket", "guide", "tensioner", "stage", "shaft",
                                                         "camshaft", "valve", "fastener"};

// What lobe tables gave rise to, with its own place in the table's file.
struct LobeTableNotes {
  Problems problems;
  std::vector<std::string> cautions; // each once
};

// Reads the whole document; faults go to `report` by key, those of lobe tables to `notes`. `folder`: where lobe tables
// are looked for.
[[nodiscard]] Engine read_engine(const Node& root, const Folder& folder, Report& report, LobeTableNotes& notes);

// Parts of it.
void read_camshafts(Reader& root, const Folder& folder, Engine& engine, LobeTableNotes& notes);
void read_valves(Reader& root, Engine& engine);

// What no single key shows: names that must match, counts that must fit. Values already faulty are not blamed again.
void check_engine(const Engine& engine, Report& report);
// Of them, those of the chain loops.
void check_loops(const Engine& engine, Report& report);
void check_rising(const std::array<double, 2>& pair, const std::string& key, Report& report);

} // namespace phasewright
