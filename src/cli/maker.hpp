// The commands as what makes the viewer's files.
#pragma once

#include "cli/resources.hpp"
#include "viewer/maker.hpp"

#include <memory>

namespace phasewright::cli {

[[nodiscard]] std::shared_ptr<const viewer::Maker> command_maker(const Resources& resources);

} // namespace phasewright::cli
