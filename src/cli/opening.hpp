// Opening what a command works on.
#pragma once

#include "cli/options.hpp"

#include <filesystem>

namespace phasewright::cli {

// The file, or the demo without one, with the overrides in place. Clearances were measured on what the file says is
// fitted: when an override fits something else, the readings are carried over to what they would then have been, so that
// they go on telling where head and crown are.
[[nodiscard]] Result<Opened> open_for(const Options& options, const std::filesystem::path& models_folder);

} // namespace phasewright::cli
