#include "film/film.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright::film {

namespace {

// From 0 to 1 without a jerk at either end.
double eased(double share) {
  const double t = std::clamp(share, 0.0, 1.0);
  return t * t * (3.0 - 2.0 * t);
}

std::optional<int> links_on(const std::vector<glm::dvec2>& before, const std::vector<glm::dvec2>& after) {
  constexpr double same_mm = 1e-6;
  const auto stands_at = [](glm::dvec2 a, glm::dvec2 b) {
    return std::fabs(a.x - b.x) < same_mm && std::fabs(a.y - b.y) < same_mm;
  };
  const auto found = std::ranges::find_if(before, [&](glm::dvec2 pin) { return stands_at(pin, after.front()); });
  if (found == before.end()) return std::nullopt;
  const auto on = static_cast<std::size_t>(found - before.begin());
  for (std::size_t i = 0; i < after.size(); ++i)
    if (!stands_at(before[(i + on) % before.size()], after[i])) return std::nullopt;
  return static_cast<int>(on);
}

} // namespace

DriveMoment moment_of(const Turn& turn, int frame, int frames) {
  const double gone_deg = 360.0 * turn.crank_turns * frame / frames;
  const bool back = turn.turning == Turning::backward;
  return {.crank_deg = turn.from_deg + (back ? -gone_deg : gone_deg), .turning = turn.turning, .apart = 0.0};
}

double share_apart(int frame, int frames) {
  constexpr double resting = 0.06; // of the film, at either end of each way
  const double at = static_cast<double>(frame) / frames;
  const double one_way = at < 0.5 ? at : 1.0 - at;
  return eased((one_way - resting) / (0.5 - 2.0 * resting));
}

std::vector<std::optional<int>> links_moved_on(const Mechanism& mechanism, const DriveMoment& from,
                                               const DriveMoment& to) {
  const Pose before = mechanism.pose(from.crank_deg, from.turning);
  const Pose after = mechanism.pose(to.crank_deg, to.turning);
  std::vector<std::optional<int>> moved;
  for (std::size_t l = 0; l < before.drive.loops.size(); ++l)
    moved.push_back(links_on(before.drive.loops[l].pins_mm, after.drive.loops[l].pins_mm));
  return moved;
}

void FrameSink::sample(const Image& /*image*/) {}

Result<std::vector<std::string>> make_film(int frames, const DrawFrame& draw, FrameSink& sink, const Watch& watch) {
  const auto cancelled = [&watch] { return watch.cancelled != nullptr && watch.cancelled->load(); };
  const int samples = std::min(sink.samples(), frames);
  for (int i = 0; i < samples && !cancelled(); ++i) {
    const Result<Image> image = draw(i * frames / samples);
    if (!image) return image.problems();
    sink.sample(*image);
  }
  for (int frame = 0; frame < frames; ++frame) {
    if (cancelled()) return std::vector<std::string>{};
    const Result<Image> image = draw(frame);
    if (!image) return image.problems();
    if (std::optional<Problem> trouble = sink.add(*image)) return *std::move(trouble);
    if (watch.progress) watch.progress(frame + 1);
  }
  if (cancelled()) return std::vector<std::string>{};
  return sink.finish();
}

} // namespace phasewright::film
