#include "viewer/frame_times.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#ifdef __linux__
#include <sys/resource.h>
#endif

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
  if (times.most_memory_mb) text += fmt::format("memory: {:.0f} MB at the most\n", *times.most_memory_mb);
  return text;
}

std::optional<double> most_memory_mb() {
#ifdef __linux__
  rusage used{};
  constexpr double kib_per_mb = 1e6 / 1024.0;
  if (getrusage(RUSAGE_SELF, &used) == 0) return static_cast<double>(used.ru_maxrss) / kib_per_mb;
#endif
  return std::nullopt;
}

} // namespace phasewright::viewer
