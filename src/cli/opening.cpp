#include "cli/opening.hpp"

#include "mechanics/clearance.hpp"

#include <algorithm>

namespace phasewright::cli {

namespace {

bool fits_something(const std::string& override_text) {
  const std::size_t start = override_text.find_first_not_of(' ');
  return start != std::string::npos && override_text.compare(start, 6, "fitted") == 0;
}

Result<Opened> open(const Options& options, const std::filesystem::path& models_folder, const Overrides& overrides) {
  return options.file.empty() ? open_demo(overrides) : open_any(options.file, models_folder, overrides);
}

// Leaves the readings as they are where the file's own state, or the new one, cannot be assembled: then the override puts
// a mistake right, or the command reports it.
void carry_readings(const Opened& as_filed, Opened& opened) {
  const Result<Mechanism> from = Mechanism::assemble(opened.engine, as_filed.build.fitted);
  const Result<Mechanism> to = Mechanism::assemble(opened.engine, opened.build.fitted);
  if (!from || !to) return;
  const Result<ClearanceModel> measured = ClearanceModel::make(*from, opened.build.measured);
  if (!measured) return;
  const ClearanceModel moved = measured->mounted_on(*to);
  for (ClearanceReading& reading : opened.build.measured.clearance)
    if (moved.has(reading.valve)) reading.clearance_mm = moved.at(reading.valve, reading.crank_deg);
}

} // namespace

Result<Opened> open_for(const Options& options, const std::filesystem::path& models_folder) {
  Result<Opened> opened = open(options, models_folder, options.overrides);
  if (!opened || opened->build.measured.clearance.empty()) return opened;
  Overrides others = options.overrides;
  if (std::erase_if(others, fits_something) == 0) return opened;
  if (const Result<Opened> as_filed = open(options, models_folder, others)) carry_readings(*as_filed, *opened);
  return opened;
}

} // namespace phasewright::cli
