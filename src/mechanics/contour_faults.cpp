#include "mechanics/contour_faults.hpp"

#include "geometry/angle.hpp"
#include "mechanics/table_rows.hpp"

#include <fmt/format.h>

#include <cmath>
#include <vector>

namespace phasewright {

namespace {

// Least radius of curvature of the convex parts were the follower's pad or the base circle another. Only the sign
// matters here, so it is looked at less often than the contour itself.
double least_convex_mm(const ValveGear& gear, const LobeProfile& lobe) {
  const FollowerFace face(gear, lobe.greatest_lift_mm());
  constexpr int looks = 720;
  double least_mm = face.base_mm();
  for (int i = 0; i <= looks; ++i) {
    const double rad = lobe.opens_rad() + (lobe.closes_rad() - lobe.opens_rad()) * i / looks;
    const double radius_mm = face.curvature_mm(lobe.at(rad));
    if (radius_mm > -face.pad_mm()) least_mm = std::fmin(least_mm, radius_mm);
  }
  return least_mm;
}

// The value nearest to `bad` with which the lobe could be ground, on the way to `good`; nothing when `good` is none.
template <class Grindable>
std::optional<double> nearest_good(double bad, double good, const Grindable& grindable) {
  if (!grindable(good)) return std::nullopt;
  while (std::fabs(good - bad) > 0.001) {
    const double middle = 0.5 * (bad + good);
    (grindable(middle) ? good : bad) = middle;
  }
  return good;
}

Problem pointed_roller(const LobeContour& contour, const ValveGear& gear, const LobeProfile& lobe,
                       const std::string& key) {
  ValveGear other = gear;
  const auto base = nearest_good(gear.base_radius_mm, 1000.0, [&](double base_mm) {
    other.base_radius_mm = base_mm;
    return least_convex_mm(other, lobe) > 0.0;
  });
  return problem_at(
      key + ".base_radius_mm", fmt::format("{} mm", gear.base_radius_mm),
      base ? fmt::format("more than {:.2f} mm", *base) : "a lobe of less lift",
      fmt::format("the roller's path comes to a point: the lobe is undercut {}; a smaller roller helps as well",
                  place_on_lobe(contour, gear, contour.least_convex_at_rad())));
}

Problem pointed_finger(const LobeContour& contour, const ValveGear& gear, const LobeProfile& lobe,
                       const std::string& key) {
  ValveGear other = gear;
  const auto pad = nearest_good(gear.finger->pad_radius_mm, 0.0, [&](double pad_mm) {
    other.finger->pad_radius_mm = pad_mm;
    const FollowerFace face(other, lobe.greatest_lift_mm());
    return face.finger()->closes(face.finger()->out_mm(0.0)) &&
           face.finger()->closes(face.finger()->out_mm(lobe.greatest_lift_mm())) && least_convex_mm(other, lobe) > 0.0;
  });
  return problem_at(key + ".finger.pad_radius_mm", fmt::format("{} mm", gear.finger->pad_radius_mm),
                    pad ? fmt::format("less than {:.2f} mm", *pad) : "a lobe of less lift or a larger base circle",
                    fmt::format("the pad's path comes to a point: the lobe is undercut {}",
                                place_on_lobe(contour, gear, contour.least_convex_at_rad())));
}

std::optional<Problem> undercut(const LobeContour& contour, const ValveGear& gear, const LobeProfile& lobe,
                                const std::string& key) {
  if (contour.least_convex_radius_mm() > 0.0) return std::nullopt;
  if (contour.face().finger()) return pointed_finger(contour, gear, lobe, key);
  if (!contour.face().flat()) return pointed_roller(contour, gear, lobe, key);
  return problem_at(
      key + ".base_radius_mm", fmt::format("{} mm", gear.base_radius_mm),
      fmt::format("more than {:.2f} mm", gear.base_radius_mm - contour.least_convex_radius_mm()),
      fmt::format("the lobe is undercut {}", place_on_lobe(contour, gear, contour.least_convex_at_rad())));
}

std::optional<Problem> off_the_face(const LobeContour& contour, const ValveGear& gear, const LobeProfile& lobe,
                                    const std::string& key) {
  if (!contour.face().flat() || !(gear.face_mm > 0.0)) return std::nullopt;
  constexpr int looks = 1440;
  double most_mm = 0.0;
  double most_at_rad = 0.0;
  for (int i = 0; i <= looks; ++i) {
    const double rad = lobe.opens_rad() + (lobe.closes_rad() - lobe.opens_rad()) * i / looks;
    const double off_mm = std::fabs(lobe.at(rad).per_rad_mm);
    if (!(off_mm > most_mm)) continue;
    most_mm = off_mm;
    most_at_rad = rad;
  }
  if (most_mm <= gear.face_mm / 2.0) return std::nullopt;
  return problem_at(key + ".face_mm", fmt::format("{} mm", gear.face_mm),
                    fmt::format("at least {:.2f} mm", rounded_up(2.0 * most_mm, 0.01)),
                    fmt::format("the lobe touches it {:.2f} mm from its middle {}", most_mm,
                                place_on_lobe(contour, gear, most_at_rad)));
}

// A contour smooth at every place may still reach into the pad elsewhere: two flanks of one hollow.
std::optional<Problem> bridged(const LobeContour& contour, const ValveGear& gear, const LobeProfile& lobe,
                               const std::string& key) {
  if (contour.face().flat()) return std::nullopt;
  constexpr int looks = 160;
  std::vector<glm::dvec2> outline;
  std::vector<glm::dvec2> pad;
  const auto look_rad = [&lobe](int i) {
    return lobe.opens_rad() + (lobe.closes_rad() - lobe.opens_rad()) * i / looks;
  };
  for (int i = 0; i <= looks; ++i) {
    const LobeContact contact = contour.contact(look_rad(i));
    outline.push_back(contact.in_lobe_mm);
    pad.push_back(turned_by(contact.pad_mm, unit_vector(-contour.turned_rad(look_rad(i)))));
  }
  const double least_mm = contour.face().pad_mm() - 1e-9;
  for (int i = 0; i <= looks; ++i)
    for (const glm::dvec2& point : outline)
      if (const glm::dvec2 away = point - pad[static_cast<std::size_t>(i)]; dot2(away, away) < least_mm * least_mm)
        return problem_at(
            key, fmt::format("a lobe that reaches into its follower {}", place_on_lobe(contour, gear, look_rad(i))),
            "one its follower touches in one place");
  return std::nullopt;
}

} // namespace

std::string place_on_lobe(const LobeContour& contour, const ValveGear& gear, double from_nose_rad) {
  const double deg = degrees(from_nose_rad);
  std::string place = std::fabs(deg) < 0.05 ? "at its nose"
                                            : fmt::format("{:.1f} cam degrees {} its nose", std::fabs(deg),
                                                          deg < 0.0 ? "before" : "past");
  const auto* table = std::get_if<LobeTable>(&gear.lobe);
  if (table == nullptr) return place;
  // A table of the lobe's own radius counts its angles on the lobe.
  const glm::dvec2 on_lobe = contour.contact(from_nose_rad).in_lobe_mm;
  const double row_deg = table->lift_of == LiftOf::tappet ? deg : degrees(std::atan2(on_lobe.x, on_lobe.y));
  return place + fmt::format(", near {} of its table", nearest_row(*table, row_deg));
}

std::optional<Problem> contour_fault(const LobeContour& contour, const ValveGear& gear, const LobeProfile& lobe,
                                     const std::string& key) {
  if (std::optional<Problem> fault = undercut(contour, gear, lobe, key)) return fault;
  if (std::optional<Problem> fault = off_the_face(contour, gear, lobe, key)) return fault;
  return bridged(contour, gear, lobe, key);
}

} // namespace phasewright
