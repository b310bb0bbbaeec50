#include "geometry/angle.hpp"
#include "mechanics/linkage.hpp"
#include "mechanics/lobe_contour.hpp"
#include "mechanics/table_rows.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

namespace phasewright {

namespace {

// The tappet's table is a spline again; so close, it is within a millionth of a millimetre of the lobe's own.
constexpr double step_deg = 0.25;

// The contour where its radius was taken, `on_lobe_rad` past the nose, and what the follower touching it there does.
struct Touch {
  double on_lobe_rad;
  double from_nose_rad;
  double tappet_mm;
  double curvature_per_mm; // of the contour; negative in a hollow
};

Touch touch(const FlatEndedSpline& growth, const FollowerFace& face, double on_lobe_rad) {
  const auto [lift, slope, bend, third] = growth.at(on_lobe_rad);
  const double radius_mm = face.base_mm() + lift;
  const double slant_mm = std::hypot(radius_mm, slope);
  // The lobe's frame; its angle falls as the cam angle from the nose grows, so the radius grows against it.
  const glm::dvec2 out = unit_vector(pi / 2.0 - on_lobe_rad);
  const glm::dvec2 normal = (radius_mm * out + slope * left_of(out)) / slant_mm;
  Touch made{};
  made.on_lobe_rad = on_lobe_rad;
  made.curvature_per_mm =
      (radius_mm * radius_mm + 2.0 * slope * slope - radius_mm * bend) / (slant_mm * slant_mm * slant_mm);
  if (face.flat()) {
    made.from_nose_rad = on_lobe_rad - std::atan2(slope, radius_mm);
    made.tappet_mm = radius_mm * radius_mm / slant_mm - face.base_mm();
    return made;
  }
  const glm::dvec2 pad = radius_mm * out + face.pad_mm() * normal;
  const double out_mm = length2(pad);
  made.tappet_mm = out_mm - face.base_mm() - face.pad_mm();
  // The pad's centre stands so far past the nose; a finger's own swing turns it against where it stood at the nose.
  made.from_nose_rad = on_lobe_rad - std::atan2(cross2(out, pad), dot2(out, pad));
  if (face.finger()) made.from_nose_rad += face.finger()->direction(out_mm).rad - face.nose_rad();
  return made;
}

// Touches from just past `before` to `last`, a step apart on the lobe and at the follower: round a sharp place the
// follower turns far for little of the lobe.
void add_touches(const FlatEndedSpline& growth, const FollowerFace& face, const Touch& before, const Touch& last,
                 std::vector<Touch>& touches, int depth = 0) {
  constexpr int deepest = 12;
  const double step_rad = radians(step_deg) * (1.0 + 1e-9);
  const bool close = last.on_lobe_rad - before.on_lobe_rad <= step_rad &&
                     std::fabs(last.from_nose_rad - before.from_nose_rad) <= step_rad;
  if (close || depth == deepest) {
    touches.push_back(last);
    return;
  }
  const Touch middle = touch(growth, face, 0.5 * (before.on_lobe_rad + last.on_lobe_rad));
  add_touches(growth, face, before, middle, touches, depth + 1);
  add_touches(growth, face, middle, last, touches, depth + 1);
}

// At every row, and close between them.
std::vector<Touch> touches_on(const FlatEndedSpline& growth, const FollowerFace& face) {
  const std::vector<double>& rows = growth.points();
  std::vector<Touch> touches{touch(growth, face, rows.front())};
  for (std::size_t row = 1; row < rows.size(); ++row) {
    const Touch before = touches.back();
    add_touches(growth, face, before, touch(growth, face, rows[row]), touches);
  }
  return touches;
}

Problem bridges(const Touch& at, const FollowerFace& face, const LobeTable& table, const std::string& key) {
  const double deg = degrees(at.on_lobe_rad);
  const std::string place = fmt::format("{:.1f} cam degrees {} the nose, near {}", std::fabs(deg),
                                        deg < 0.0 ? "before" : "past", nearest_row(table, deg));
  if (!(at.curvature_per_mm < 0.0))
    return problem_at(key, "a lobe its finger jams on " + place, "one that its finger follows");
  const std::string hollow = fmt::format("a hollow of {:.2f} mm radius {}", -1.0 / at.curvature_per_mm, place);
  if (face.flat()) return problem_at(key, hollow, "no hollow under a flat face", "the follower would bridge it");
  return problem_at(key, hollow, fmt::format("more than {} mm, the roller's or pad's radius", face.pad_mm()),
                    "the follower would bridge it");
}

} // namespace

Result<LobeTable> tappet_table(const LobeTable& lobe_radius, const ValveGear& gear, const std::string& key) {
  if ((gear.follower == Follower::finger && !gear.finger) ||
      (gear.follower == Follower::roller_tappet && !(gear.roller_radius_mm > 0.0)))
    return problem_at(key, "the lobe's own radius", "the follower's lift",
                      "how the follower moves on it depends on its arms and its pad, which are not given");
  // Where the radius is greatest the follower stands square on it, lifted by as much.
  const Result<LobeProfile> radius = LobeProfile::make(lobe_radius, key);
  if (!radius) return radius.problems();
  const double greatest_mm = radius->greatest_lift_mm();
  if (gear.follower == Follower::finger) {
    const Result<Linkage> linkage = Linkage::make(gear, greatest_mm, key.substr(0, key.rfind('.')));
    if (!linkage) return linkage.problems();
  }
  const FlatEndedSpline growth = spline_through(lobe_radius);
  const FollowerFace face(gear, greatest_mm);
  LobeTable rolled;
  rolled.file = lobe_radius.file;
  std::optional<Touch> worst; // a dent makes its neighbourhood ring, so the deepest hollow is the one to name
  double before_rad = 0.0;
  for (const Touch& at : touches_on(growth, face)) {
    const bool rises = rolled.cam_deg.empty() || at.from_nose_rad > before_rad;
    const bool fits = face.flat() ? at.curvature_per_mm > 0.0 : 1.0 + face.pad_mm() * at.curvature_per_mm > 0.0;
    if (!(rises && fits) && !(worst && worst->curvature_per_mm <= at.curvature_per_mm)) worst = at;
    before_rad = at.from_nose_rad;
    rolled.cam_deg.push_back(degrees(at.from_nose_rad));
    rolled.lift_mm.push_back(at.tappet_mm);
  }
  if (worst) return bridges(*worst, face, lobe_radius, key);
  return rolled;
}

} // namespace phasewright
