// Times of frames, and the report of them.
#pragma once

#include <chrono>
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
};

// Three lines: renderer and size; time to the first frame; median and 99th percentile of the turning frames.
[[nodiscard]] std::string report(const FrameTimes& times, const std::string& renderer, int width_px, int height_px);

} // namespace phasewright::viewer
