// Lobe tables: measured or designed lift against cam angle, as a text file of figures separated by commas.
//
//   # comment lines and blank lines anywhere
//   cam_deg,lift_mm          the names of the two columns, in either order
//   -60,0
//   ...
//
// Angles: `cam_deg`, or `crank_deg` (halved on reading), counted from the nose, negative before it. Lifts: `lift_mm`,
// or `lift_in` (inches), at the tappet. 9 to 20000 rows, angles rising by at most 10 cam degrees a row, lift from the
// base circle up to one nose within a row of angle 0 and back down to the base circle.
#pragma once

#include "files/text_file.hpp"
#include "parts/engine.hpp"

namespace phasewright {

[[nodiscard]] Result<LobeTable> parse_lobe_table(std::string_view text, const std::string& file);

// `name` as the engine file gives it; it may not lead out of the folder. `key` is blamed when the file is not there.
[[nodiscard]] Result<LobeTable> read_lobe_table(const Folder& folder, const std::string& name, const std::string& key);

} // namespace phasewright
