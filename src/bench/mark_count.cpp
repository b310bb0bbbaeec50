#include "bench/mark_count.hpp"

#include "geometry/angle.hpp"

#include <cmath>

namespace phasewright {

namespace {

// A run of pins seated on a sprocket: `count` of them from `first` on, in the direction of travel.
struct Wrapped {
  std::size_t first;
  std::size_t count;
};

double clock_deg(glm::dvec2 v) {
  return wrap_360(degrees(std::atan2(v.x, v.y)));
}

// Where the mark stands in that run, counted from its first pin: whole on a gap (a pin), a half more on a tooth.
std::optional<double> mark_place(const Sprocket& sprocket, double mark_clock_deg, glm::dvec2 centre_mm,
                                 const Wrapped& run, const std::vector<glm::dvec2>& pins_mm) {
  const double quarter_tooth_deg = 90.0 / sprocket.teeth;
  const bool tooth = sprocket.mark == MarkOn::tooth;
  for (std::size_t k = 0; k + (tooth ? 1 : 0) < run.count; ++k) {
    const glm::dvec2 pin_mm = pins_mm[(run.first + k) % pins_mm.size()];
    const glm::dvec2 next_mm = pins_mm[(run.first + k + 1) % pins_mm.size()];
    const glm::dvec2 at_mm = tooth ? (pin_mm + next_mm) * 0.5 : pin_mm;
    if (std::fabs(wrap_180(clock_deg(at_mm - centre_mm) - mark_clock_deg)) < quarter_tooth_deg)
      return static_cast<double>(k) + (tooth ? 0.5 : 0.0);
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

std::optional<MarkCount> pins_between_marks(const Engine& engine, const Drive& drive, double centre_change_mm) {
  const Sprocket& crank = engine.loops[0].sprockets[0];
  const Sprocket& cam = engine.loops[0].sprockets[1];
  const glm::dvec2 apart_mm = cam.centre_mm - crank.centre_mm;
  const glm::dvec2 cam_centre_mm = cam.centre_mm + apart_mm * (centre_change_mm / length2(apart_mm));
  const int looks = 2 * crank.teeth * 4;
  std::vector<std::optional<int>> counts; // by look
  DrivePose pose;
  for (int i = 0; i < looks; ++i) {
    drive.pose(720.0 * i / looks, pose);
    const std::size_t pins = pose.loops[0].pins_mm.size();
    const StrandPose& slack = pose.loops[0].strands[0];
    const StrandPose& taut = pose.loops[0].strands[1];
    const auto after = [pins](const StrandPose& strand) {
      return (strand.first_pin + static_cast<std::size_t>(strand.links)) % pins;
    };
    const Wrapped on_cam{after(slack), (taut.first_pin + pins - after(slack)) % pins + 1};
    const Wrapped on_crank{after(taut), (slack.first_pin + pins - after(taut)) % pins + 1};
    const auto cam_place =
        mark_place(cam, pose.loops[0].sprockets[1].mark_clock_deg, cam_centre_mm, on_cam, pose.loops[0].pins_mm);
    const auto crank_place =
        mark_place(crank, pose.loops[0].sprockets[0].mark_clock_deg, crank.centre_mm, on_crank, pose.loops[0].pins_mm);
    counts.emplace_back();
    if (!cam_place || !crank_place) continue;
    const double crank_along = static_cast<double>(on_cam.count) - 1.0 + taut.links + *crank_place;
    counts.back() = static_cast<int>(std::ceil(crank_along) - std::floor(*cam_place)) - 1;
  }
  return least_run(counts);
}

} // namespace phasewright
