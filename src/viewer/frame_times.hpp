// Times of frames, and the report of them.
#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <vector>

namespace phasewright::viewer {

using Clock = std::chrono::steady_clock;

[[nodiscard]] inline double seconds_since(Clock::time_point start) {
  return std::chrono::duration<double>(Clock::now() - start).count();
}

struct FrameTimes {
  double first_frame_s = 0;
  std::vector<double> turning_ms;
  std::optional<double> most_memory_mb; // resident at once, shared libraries with it
};

// What the system says of this process; nothing where it does not.
[[nodiscard]] std::optional<double> most_memory_mb();

// Lines: renderer and size; time to the first frame; median and 99th percentile of the turning frames; memory.
[[nodiscard]] std::string report(const FrameTimes& times, const std::string& renderer, int width_px, int height_px);

} // namespace phasewright::viewer
