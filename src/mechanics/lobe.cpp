#include "mechanics/lobe.hpp"

#include "geometry/angle.hpp"
#include "geometry/spline.hpp"

#include <boost/math/tools/minima.hpp>
#include <boost/math/tools/roots.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <span>

namespace phasewright {

struct LobeProfile::Law {
  virtual ~Law() = default;
  [[nodiscard]] virtual LiftState at(double from_nose_rad) const = 0;
  [[nodiscard]] virtual double opens_rad() const = 0;
  [[nodiscard]] virtual double closes_rad() const = 0;
};

namespace {

// s/h = 35 x^4 - 84 x^5 + 70 x^6 - 20 x^7, the 4-5-6-7 polynomial of cam design texts (Norton, Design of Machinery,
// "Double-dwell cam design"; from memory): velocity, acceleration and jerk are 0 at both ends of rise and fall.
struct PolynomialLaw final : LobeProfile::Law {
  double height_mm;
  double flank_rad;

  explicit PolynomialLaw(const LobePolynomial& lobe)
      : height_mm(lobe.lift_mm), flank_rad(radians(lobe.duration_deg) / 4.0) {}

  [[nodiscard]] LiftState at(double from_nose_rad) const override {
    const double x = 1.0 - std::fabs(from_nose_rad) / flank_rad;
    if (!(x > 0.0)) return {};
    const double way = from_nose_rad > 0.0 ? -1.0 : 1.0;
    const double x2 = x * x;
    const double x3 = x2 * x;
    const double lift = x3 * x * (35.0 + x * (-84.0 + x * (70.0 - 20.0 * x)));
    const double slope = 140.0 * x3 * (1.0 + x * (-3.0 + x * (3.0 - x)));
    const double bend = 420.0 * x2 * (1.0 + x * (-4.0 + x * (5.0 - 2.0 * x)));
    return {height_mm * lift, way * height_mm * slope / flank_rad, height_mm * bend / (flank_rad * flank_rad)};
  }
  [[nodiscard]] double opens_rad() const override { return -flank_rad; }
  [[nodiscard]] double closes_rad() const override { return flank_rad; }
};

struct TableLaw final : LobeProfile::Law {
  FlatEndedSpline spline;

  static std::vector<double> in_radians(const std::vector<double>& deg) {
    std::vector<double> rad(deg.size());
    std::ranges::transform(deg, rad.begin(), [](double d) { return radians(d); });
    return rad;
  }
  // Rows of no lift beyond the lobe's ends say where the base circle is, not how the flank runs: the spline begins and
  // ends with the last of them, flat.
  static FlatEndedSpline flank_to_flank(const LobeTable& table) {
    const auto lifted = [](double lift_mm) { return lift_mm > 0.0; };
    const auto first_lifted = std::ranges::find_if(table.lift_mm, lifted) - table.lift_mm.begin();
    const auto last_lifted =
        std::find_if(table.lift_mm.rbegin(), table.lift_mm.rend(), lifted).base() - table.lift_mm.begin();
    const auto from = std::max<std::ptrdiff_t>(0, first_lifted - 1);
    const auto to = std::min<std::ptrdiff_t>(std::ssize(table.lift_mm), last_lifted + 1);
    const std::vector<double> rad = in_radians(table.cam_deg);
    return {std::span(rad).subspan(static_cast<std::size_t>(from), static_cast<std::size_t>(to - from)),
            std::span(table.lift_mm).subspan(static_cast<std::size_t>(from), static_cast<std::size_t>(to - from))};
  }
  explicit TableLaw(const LobeTable& table) : spline(flank_to_flank(table)) {}

  [[nodiscard]] LiftState at(double from_nose_rad) const override {
    const auto [lift, slope, bend] = spline.at(from_nose_rad);
    if (!(lift > 0.0)) return {}; // nanometres below the base circle, where the first rows have hardly any lift
    return {lift, slope, bend};
  }
  [[nodiscard]] double opens_rad() const override { return spline.first(); }
  [[nodiscard]] double closes_rad() const override { return spline.last(); }
};

// The table's own rows say which are wrong when read from a file; here only what would break the spline is refused.
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

} // namespace

LobeProfile::LobeProfile(std::shared_ptr<const Law> law) : law_(std::move(law)) {
  const auto [at_rad, negative_lift_mm] = boost::math::tools::brent_find_minima(
      [this](double rad) { return -law_->at(rad).lift_mm; }, law_->opens_rad(), law_->closes_rad(), 50);
  // The search stops a rounding error away from a symmetric nose.
  const double at_zero_mm = law_->at(0.0).lift_mm;
  const bool nose_is_zero = at_zero_mm >= -negative_lift_mm - 1e-12;
  greatest_lift_mm_ = nose_is_zero ? at_zero_mm : -negative_lift_mm;
  greatest_at_rad_ = nose_is_zero ? 0.0 : at_rad;
}

Result<LobeProfile> LobeProfile::make(const Lobe& lobe, const std::string& key) {
  if (const auto* table = std::get_if<LobeTable>(&lobe)) {
    if (std::optional<Problem> fault = table_fault(*table, key)) return *std::move(fault);
    return LobeProfile(std::make_shared<TableLaw>(*table));
  }
  if (const auto* polynomial = std::get_if<LobePolynomial>(&lobe))
    return LobeProfile(std::make_shared<PolynomialLaw>(*polynomial));
  return problem_at(key, "a \"card\" lobe", "\"table\" or \"polynomial-4567\"",
                    "lobes given by the card alone are not computed yet");
}

LiftState LobeProfile::at(double from_nose_rad) const {
  return law_->at(wrap_pi(from_nose_rad));
}

double LobeProfile::opens_rad() const {
  return law_->opens_rad();
}
double LobeProfile::closes_rad() const {
  return law_->closes_rad();
}

std::optional<std::array<double, 2>> LobeProfile::crossings_rad(double lift_mm) const {
  if (!(lift_mm <= greatest_lift_mm_)) return std::nullopt;
  const auto above = [&](double rad) { return law_->at(rad).lift_mm - lift_mm; };
  const auto crossing = [&](double foot_rad) {
    if (above(foot_rad) >= 0.0) return foot_rad;
    if (above(greatest_at_rad_) <= 0.0) return greatest_at_rad_;
    boost::uintmax_t steps = 200;
    const auto [low, high] = boost::math::tools::toms748_solve(above, std::min(foot_rad, greatest_at_rad_),
                                                               std::max(foot_rad, greatest_at_rad_),
                                                               boost::math::tools::eps_tolerance<double>(52), steps);
    return 0.5 * (low + high);
  };
  return std::array{crossing(law_->opens_rad()), crossing(law_->closes_rad())};
}

} // namespace phasewright
