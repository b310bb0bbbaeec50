// Values as TOML writes them.
#pragma once

#include "parts/build.hpp"

#include <fmt/format.h>

#include <array>
#include <string>
#include <vector>

namespace phasewright {

// The shortest figures that read back as the same number.
inline std::string toml(double value) {
  return fmt::format("{}", value);
}
inline std::string toml(int value) {
  return fmt::format("{}", value);
}

inline std::string toml(const std::string& text) {
  std::string quoted = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') quoted += '\\';
    if (static_cast<unsigned char>(c) < 0x20u || c == 0x7F) {
      quoted += fmt::format("\\u{:04X}", static_cast<unsigned>(static_cast<unsigned char>(c)));
    } else {
      quoted += c;
    }
  }
  return quoted + '"';
}

inline std::string toml(const std::array<double, 2>& pair) {
  return fmt::format("[{}, {}]", pair[0], pair[1]);
}

template <class T>
std::string toml(const std::vector<T>& values) {
  std::string text = "[";
  for (const T& value : values) text += (text.size() > 1 ? ", " : "") + toml(value);
  return text + "]";
}

inline std::string toml(const HolePair& holes) {
  return fmt::format("[{}, {}]", holes.hub_hole, holes.sprocket_hole);
}

} // namespace phasewright
