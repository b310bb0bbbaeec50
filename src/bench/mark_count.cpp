#include "bench/mark_count.hpp"

#include "geometry/angle.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// A run of pins seated on a sprocket: `count` of them from `first` on, in the direction of travel.
struct Wrapped {
  std::size_t first;
  std::size_t count;
};

Wrapped wrapped(const LoopPose& loop, std::size_t sprocket) {
  const std::size_t pins = loop.pins_mm.size();
  const StrandPose& entering = loop.strands[(sprocket + loop.strands.size() - 1) % loop.strands.size()];
  const std::size_t first = (entering.first_pin + static_cast<std::size_t>(entering.links)) % pins;
  return {first, (loop.strands[sprocket].first_pin + pins - first) % pins + 1};
}

// Where the mark stands along the chain. A link on the sprocket points square away from its centre at the tooth it
// spans, so that no centre need be known; the gaps lie half a tooth to either side.
std::optional<double> mark_place(const Sprocket& sprocket, double mark_clock_deg, bool turns_clockwise,
                                 const Wrapped& run, const std::vector<glm::dvec2>& pins_mm) {
  const double half_tooth_deg = 180.0 / sprocket.teeth;
  const double ahead_deg = turns_clockwise ? half_tooth_deg : -half_tooth_deg;
  const auto faces = [&](double clock_deg) {
    return std::fabs(wrap_180(clock_deg - mark_clock_deg)) < half_tooth_deg / 2.0;
  };
  for (std::size_t k = 0; k + 1 < run.count; ++k) {
    const std::size_t pin = (run.first + k) % pins_mm.size();
    const glm::dvec2 along = pins_mm[(pin + 1) % pins_mm.size()] - pins_mm[pin];
    const glm::dvec2 outward = turns_clockwise ? left_of(along) : -left_of(along);
    const double tooth_deg = degrees(std::atan2(outward.x, outward.y));
    const auto place = static_cast<double>(pin);
    if (sprocket.mark == MarkOn::tooth) {
      if (faces(tooth_deg)) return place + 0.5;
    } else {
      if (faces(tooth_deg - ahead_deg)) return place;
      if (k + 2 == run.count && faces(tooth_deg + ahead_deg)) return place + 1.0;
    }
  }
  return std::nullopt;
}

// The least count and the run of looks that have it, which may go on past the end of the cycle into its beginning.
std::optional<MarkCount> least_run(const std::vector<std::optional<int>>& counts) {
  std::optional<int> least;
  for (const std::optional<int>& count : counts)
    if (count && (!least || *count < *least)) least = count;
  if (!least) return std::nullopt;
  const std::size_t looks = counts.size();
  std::size_t begin = 0;
  while (begin < looks && !(counts[begin] == least && counts[(begin + looks - 1) % looks] != least)) ++begin;
  if (begin == looks) return MarkCount{*least, 0.0, 720.0}; // at every look
  std::size_t end = begin;
  while (counts[(end + 1) % looks] == least) ++end;
  const double step_deg = 720.0 / static_cast<double>(looks);
  return MarkCount{*least, static_cast<double>(begin) * step_deg, static_cast<double>(end) * step_deg};
}

} // namespace

MarkPlaces mark_places(const Engine& engine, const Drive& drive) {
  const std::vector<Sprocket>& sprockets = engine.loops[0].sprockets;
  MarkPlaces places{engine.loops[0].chain.links, {}};
  const int looks = 2 * sprockets[0].teeth * 4;
  DrivePose pose;
  for (int i = 0; i < looks; ++i) {
    drive.pose(720.0 * i / looks, pose);
    const LoopPose& loop = pose.loops[0];
    auto& look = places.looks.emplace_back();
    for (std::size_t at = 0; at < sprockets.size(); ++at) {
      const bool turns_clockwise = (engine.rotation == Rotation::clockwise) == (sprockets[at].wrap == Wrap::inside);
      look.push_back(mark_place(sprockets[at], loop.sprockets[at].mark_clock_deg, turns_clockwise, wrapped(loop, at),
                                loop.pins_mm));
    }
  }
  return places;
}

std::vector<std::optional<int>> pins_by_look(const MarkPlaces& places, std::size_t from, std::size_t to) {
  std::vector<std::optional<int>> counts;
  for (const std::vector<std::optional<double>>& look : places.looks) {
    counts.emplace_back();
    if (!look[from] || !look[to]) continue;
    const double along = *look[to] > *look[from] ? *look[to] : *look[to] + places.links;
    counts.back() = static_cast<int>(std::ceil(along) - std::floor(*look[from])) - 1;
  }
  return counts;
}

std::optional<MarkCount> pins_between(const MarkPlaces& places, std::size_t from, std::size_t to) {
  return least_run(pins_by_look(places, from, to));
}

std::optional<MarkCount> pins_between_marks(const Engine& engine, const Drive& drive) {
  const std::vector<Sprocket>& sprockets = engine.loops[0].sprockets;
  for (std::size_t i = 1; i < sprockets.size(); ++i)
    if (!sprockets[i].camshaft.empty()) return pins_between(mark_places(engine, drive), i, 0);
  return std::nullopt;
}

} // namespace phasewright
