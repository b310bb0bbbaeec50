// "--set KEY=VALUE": values of one run, put into the documents before they are read, so that they are checked like
// those of the file.
#pragma once

#include "files/document.hpp"
#include "files/files.hpp"

namespace phasewright {

// One of the two documents at a time, the other null: overrides of the other are passed over. What belongs to neither
// is reported with the build's. Faults are added to `problems` with the file "--set".
void apply_overrides(const Overrides& overrides, Node* build_root, Node* engine_root, Problems& problems);

} // namespace phasewright
