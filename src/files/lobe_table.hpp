// Lobe tables: measured or designed lift against cam angle, as a text file of figures separated by commas.
//
//   # comment lines and blank lines anywhere
//   cam_deg,lift_mm          the names of the two columns, in either order
//   -60,0
//   ...
//
// Angles: `cam_deg`, or `crank_deg` (halved on reading), counted from the nose, negative before it. Lifts: `lift_mm`,
// or `lift_in` (inches), of the follower; or `lobe_mm`, `lobe_in`, by how much the lobe's own radius grows over the
// base circle there (LiftOf). 9 to 20000 rows, angles rising by at most 10 cam degrees a row, even steps or not, lift
// from the base circle up to one nose within a row of angle 0 and back down to the base circle. On ramps and nose a row
// may step back by two graduations of a dial indicator, since there the reading's last figure may well be more than the
// lobe's own rise from row to row.
#pragma once

#include "files/text_file.hpp"
#include "parts/engine.hpp"

namespace phasewright {

// `cautions`, when not null: gets a line for each reading that lies off the curve through its neighbours.
[[nodiscard]] Result<LobeTable> parse_lobe_table(std::string_view text, const std::string& file,
                                                 std::vector<std::string>* cautions = nullptr);

// `name` as the engine file gives it; it may not lead out of the folder. `key` is blamed when the file is not there.
[[nodiscard]] Result<LobeTable> read_lobe_table(const Folder& folder, const std::string& name, const std::string& key,
                                                std::vector<std::string>* cautions = nullptr);

} // namespace phasewright
