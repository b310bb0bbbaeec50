#include "viewer/frame_times.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

namespace {

// The nearest-rank percentile.
double percentile(std::vector<double> sorted, double share) {
  std::ranges::sort(sorted);
  const auto rank = static_cast<std::size_t>(std::ceil(share * static_cast<double>(sorted.size())));
  return sorted[std::clamp<std::size_t>(rank, 1, sorted.size()) - 1];
}

} // namespace

std::string report(const FrameTimes& times, const std::string& renderer, int width_px, int height_px) {
  std::string text = fmt::format("{}, {} x {} pixels\ntime to first frame: {:.2f} s\n", renderer, width_px, height_px,
                                 times.first_frame_s);
  if (!times.turning_ms.empty())
    text += fmt::format("{} turning frames: median {:.1f} ms, 99th percentile {:.1f} ms\n", times.turning_ms.size(),
                        percentile(times.turning_ms, 0.5), percentile(times.turning_ms, 0.99));
  return text;
}

} // namespace phasewright::viewer
