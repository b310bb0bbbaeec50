#include "mechanics/table_rows.hpp"

#include "geometry/angle.hpp"
#include "geometry/smoothing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <vector>

namespace phasewright {

std::optional<Problem> table_fault(const LobeTable& table, const std::string& key) {
  const auto fault = [&key](std::string found, std::string allowed) {
    return problem_at(key, std::move(found), std::move(allowed));
  };
  if (table.cam_deg.size() < 4 || table.cam_deg.size() != table.lift_mm.size())
    return fault(fmt::format("{} angles and {} lifts", table.cam_deg.size(), table.lift_mm.size()),
                 "as many of each, 4 or more");
  if (std::ranges::none_of(table.lift_mm, [](double lift_mm) { return lift_mm > 0.0; }))
    return fault("no lift in any row", "a lobe");
  for (std::size_t row = 0; row < table.cam_deg.size(); ++row) {
    if (!std::isfinite(table.cam_deg[row]) || !std::isfinite(table.lift_mm[row]))
      return fault(fmt::format("row {} without a figure", row + 1), "finite angles and lifts");
    if (row > 0 && !(table.cam_deg[row] > table.cam_deg[row - 1]))
      return fault(fmt::format("{} deg after {} deg in row {}", table.cam_deg[row], table.cam_deg[row - 1], row + 1),
                   "angles that rise from row to row");
  }
  return std::nullopt;
}

FlatEndedSpline spline_through(const LobeTable& table) {
  const auto lifted = [](double lift_mm) { return lift_mm > 0.0; };
  const auto first_lifted = std::ranges::find_if(table.lift_mm, lifted) - table.lift_mm.begin();
  const auto last_lifted =
      std::find_if(table.lift_mm.rbegin(), table.lift_mm.rend(), lifted).base() - table.lift_mm.begin();
  const auto from = std::max<std::ptrdiff_t>(0, first_lifted - 1);
  const auto to = std::min<std::ptrdiff_t>(std::ssize(table.lift_mm), last_lifted + 1);
  const auto lobe = [from, to](const std::vector<double>& column) {
    return std::vector<double>(column.begin() + from, column.begin() + to);
  };
  std::vector<double> rad = lobe(table.cam_deg);
  for (double& angle : rad) angle = radians(angle);
  // A figure rounded to its last digit is out by that over the root of 12 on the average (JCGM 100, F.2.2.1; from
  // memory).
  const double rounding_mm = table.last_digit_mm / std::sqrt(12.0);
  return {rad, smoothed(rad, lobe(table.lift_mm), rounding_mm, table.last_digit_mm)};
}

std::string nearest_row(const LobeTable& table, double cam_deg) {
  const auto nearer = [cam_deg](double a, double b) { return std::fabs(a - cam_deg) < std::fabs(b - cam_deg); };
  return fmt::format("row {}", std::ranges::min_element(table.cam_deg, nearer) - table.cam_deg.begin() + 1);
}

} // namespace phasewright
