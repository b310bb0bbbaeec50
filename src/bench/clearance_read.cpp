#include "bench/clearance_read.hpp"

#include "bench/degree.hpp"

#include <utility>

namespace phasewright {

Result<ClearanceModel> clearance_as_read(const Mechanism& mechanism, const Build& build) {
  if (build.measured.lobe.empty() || build.measured.clearance.empty())
    return ClearanceModel::make(mechanism, build.measured, build.instruments);
  const Engine& engine = build.measured.engine ? *build.measured.engine : mechanism.engine();
  const Result<DegreeRead> read = read_degree(engine, build.measured, build.instruments);
  if (!read) return ClearanceModel::make(mechanism, build.measured, build.instruments);
  Measured measured = build.measured;
  for (const auto& [camshaft, deg] : found_by_readings(engine, *read)) measured.with.found_of[camshaft] = deg;
  return ClearanceModel::make(mechanism, measured, build.instruments);
}

} // namespace phasewright
