#include "mechanics/lobe_law.hpp"

#include "geometry/angle.hpp"
#include "geometry/spline.hpp"
#include "mechanics/table_rows.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright {

namespace {

struct TableLaw final : LobeProfile::Law {
  FlatEndedSpline spline;

  explicit TableLaw(const LobeTable& table) : spline(spline_through(table)) {}

  [[nodiscard]] LiftState at(double from_nose_rad) const override {
    const auto [lift, slope, bend, third] = spline.at(from_nose_rad);
    if (!(lift > 0.0)) return {}; // nanometres below the base circle, where the first rows have hardly any lift
    return {lift, slope, bend, third};
  }
  [[nodiscard]] double lift_mm(double from_nose_rad) const override {
    return std::fmax(0.0, spline.value(from_nose_rad));
  }
  [[nodiscard]] double opens_rad() const override { return spline.first(); }
  [[nodiscard]] double closes_rad() const override { return spline.last(); }
};

} // namespace

Result<std::shared_ptr<const LobeProfile::Law>> table_law(const LobeTable& table, const std::string& key) {
  if (std::optional<Problem> fault = table_fault(table, key)) return *std::move(fault);
  return std::shared_ptr<const LobeProfile::Law>(std::make_shared<TableLaw>(table));
}

} // namespace phasewright
