// Clearances measured on a build, taken to have been read where its other readings show the camshafts.
#pragma once

#include "mechanics/clearance.hpp"
#include "parts/build.hpp"
#include "parts/problem.hpp"

namespace phasewright {

// ClearanceModel::make with the build's readings. A camshaft that stands off what the drive explains
// (found_by_readings) stood so when the clearances were read as well: without that the closed gaps would be out by what
// the piston and the valve moved meanwhile, 1.7 mm for a tooth. Problems: as ClearanceModel::make.
[[nodiscard]] Result<ClearanceModel> clearance_as_read(const Mechanism& mechanism, const Build& build);

} // namespace phasewright
