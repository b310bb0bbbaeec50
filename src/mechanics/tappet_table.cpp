#include "geometry/angle.hpp"
#include "mechanics/linkage.hpp"
#include "mechanics/lobe_contour.hpp"
#include "mechanics/table_rows.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// The tappet's table is a spline again; so close, it is within a millionth of a millimetre of the lobe's own.
constexpr double step_deg = 0.25;

// The contour where its radius was taken, `on_lobe_rad` past the nose, and what the follower touching it there does.
struct Touch {
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

// Every row and, between them, evenly.
std::vector<double> places_rad(const FlatEndedSpline& growth) {
  const std::vector<double>& rows = growth.points();
  std::vector<double> places;
  for (std::size_t i = 0; i + 1 < rows.size(); ++i) {
    const int parts = static_cast<int>(std::ceil(degrees(rows[i + 1] - rows[i]) / step_deg - 1e-9));
    for (int part = 0; part < parts; ++part) places.push_back(rows[i] + (rows[i + 1] - rows[i]) * part / parts);
  }
  places.push_back(rows.back());
  return places;
}

Problem bridges(const Touch& at, const FollowerFace& face, const LobeTable& table, double on_lobe_rad,
                const std::string& key) {
  const double deg = degrees(on_lobe_rad);
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
  if (std::optional<Problem> fault = table_fault(lobe_radius, key)) return *std::move(fault);
  if ((gear.follower == Follower::finger && !gear.finger) ||
      (gear.follower == Follower::roller_tappet && !(gear.roller_radius_mm > 0.0)))
    return problem_at(key, "the lobe's own radius", "the follower's lift",
                      "how the follower moves on it depends on its arms and its pad, which are not given");
  const FlatEndedSpline growth = spline_through(lobe_radius);
  const std::vector<double> places = places_rad(growth);
  double greatest_mm = 0.0;
  for (const double at_rad : places) greatest_mm = std::fmax(greatest_mm, growth.value(at_rad));
  if (gear.follower == Follower::finger) {
    const Result<Linkage> linkage = Linkage::make(gear, greatest_mm, key.substr(0, key.rfind('.')));
    if (!linkage) return linkage.problems();
  }
  const FollowerFace face(gear, greatest_mm);
  LobeTable rolled;
  rolled.file = lobe_radius.file;
  double before_rad = 0.0;
  for (const double at_rad : places) {
    const Touch at = touch(growth, face, at_rad);
    const bool rises = rolled.cam_deg.empty() || at.from_nose_rad > before_rad;
    const bool fits = face.flat() ? at.curvature_per_mm > 0.0 : 1.0 + face.pad_mm() * at.curvature_per_mm > 0.0;
    if (!rises || !fits) return bridges(at, face, lobe_radius, at_rad, key);
    before_rad = at.from_nose_rad;
    rolled.cam_deg.push_back(degrees(at.from_nose_rad));
    rolled.lift_mm.push_back(at.tappet_mm);
  }
  return rolled;
}

} // namespace phasewright
