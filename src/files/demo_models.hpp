// The files of models/ that are compiled into the program; demo_models.cpp is made from them by the build.
#pragma once

#include <span>
#include <string_view>

namespace phasewright {

struct DemoModel {
  std::string_view name; // without a folder: "marram-1420.toml"
  std::string_view text;
};

[[nodiscard]] std::span<const DemoModel> demo_models();

// The build that opens when no file is named.
inline constexpr std::string_view demo_build_name = "sandling-14.build.toml";

} // namespace phasewright
