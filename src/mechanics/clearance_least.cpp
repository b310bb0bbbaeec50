// The least clearances over the cycle.
#include "geometry/angle.hpp"
#include "mechanics/clearance.hpp"
#include "mechanics/cycle_search.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace phasewright {

namespace {

constexpr double anything_mm = 1e300;

// Where two parts that come near each other stand at every step of the cycle: how far each has moved along its way. The
// distance between them changes by no more than both move.
class CycleMoves {
public:
  template <class One, class Other>
  CycleMoves(One one_mm, Other other_mm) {
    for (std::size_t step = 0; step < CycleSearch::steps; ++step) {
      one_mm_[step] = one_mm(CycleSearch::at_deg(step));
      other_mm_[step] = other_mm(CycleSearch::at_deg(step));
    }
  }

  [[nodiscard]] double apart_mm(std::size_t a, std::size_t b) const {
    return std::fabs(one_mm_[a] - one_mm_[b]) + std::fabs(other_mm_[a] - other_mm_[b]);
  }
  // Between steps a nose or a dead centre may be a little farther out than at either.
  [[nodiscard]] double within_a_step_mm(std::size_t step) const {
    constexpr double turning_mm = 0.05;
    return std::max(apart_mm(step, CycleSearch::before(step)), apart_mm(step, CycleSearch::after(step))) + turning_mm;
  }

  // Least of a distance, looked at only where it can be less than elsewhere.
  template <class Distance>
  [[nodiscard]] CycleLeast least(Distance distance) const {
    std::vector<std::pair<std::size_t, double>> seen;
    return CycleSearch::find(
        [&](double crank_deg) {
          const double mm = distance(crank_deg);
          const double step = crank_deg / CycleSearch::step_deg;
          if (step == std::floor(step) && step >= 0.0 && step < static_cast<double>(CycleSearch::steps))
            seen.emplace_back(static_cast<std::size_t>(step), mm);
          return mm;
        },
        [&](std::size_t step) {
          double bound_mm = 0.0;
          for (const auto& [at, mm] : seen) bound_mm = std::max(bound_mm, mm - apart_mm(at, step));
          return bound_mm;
        },
        [&](std::size_t step) { return within_a_step_mm(step); });
  }

private:
  std::array<double, CycleSearch::steps> one_mm_{};
  std::array<double, CycleSearch::steps> other_mm_{};
};

} // namespace

LeastClearance ClearanceModel::least_axial(ValveKind kind, double extra_phase_deg, double by_crank_deg) const {
  const Kind& one = of(kind);
  const SliderCrank& crank = mechanism_.slider_crank();
  const double greatest_mm = one.motion.greatest_valve_lift_mm() - one.fit.correction_mm;
  const CycleLeast least = CycleSearch::find(
      [&](double crank_deg) {
        return one.gap.axial_mm(seat_lift_mm(kind, crank_deg, extra_phase_deg, by_crank_deg), crank.drop_mm(crank_deg));
      },
      [&](std::size_t step) {
        return one.gap.closed_at_least_mm(crank.drop_mm(CycleSearch::at_deg(step))) - greatest_mm;
      },
      [](std::size_t) { return anything_mm; });
  LeastClearance made;
  made.least_mm = least.mm;
  made.at_crank_deg = least.at_crank_deg;
  return made;
}

LeastClearance ClearanceModel::least(ValveKind kind, double extra_phase_deg) const {
  return least(kind, extra_phase_deg, 0.0);
}

LeastClearance ClearanceModel::least_any_way(ValveKind kind, double extra_phase_deg, double by_crank_deg) const {
  const CrownGap& gap = of(kind).gap;
  const SliderCrank& crank = mechanism_.slider_crank();
  const auto lift = [&](double crank_deg) { return seat_lift_mm(kind, crank_deg, extra_phase_deg, by_crank_deg); };
  LeastClearance made;
  if (gap.axial_is_all()) {
    const LeastClearance axial = least_axial(kind, extra_phase_deg, by_crank_deg);
    made.distance_mm = std::max(0.0, axial.least_mm);
    made.distance_at_crank_deg = axial.at_crank_deg;
    return made;
  }
  const CycleLeast any_way =
      CycleMoves(lift, [&](double crank_deg) { return crank.drop_mm(crank_deg); }).least([&](double crank_deg) {
        return gap.distance_mm(lift(crank_deg), crank.drop_mm(crank_deg));
      });
  made.distance_mm = any_way.mm;
  made.distance_at_crank_deg = any_way.at_crank_deg;
  return made;
}

bool ClearanceModel::axial_is_all(ValveKind kind) const {
  return of(kind).gap.axial_is_all();
}

std::optional<double> ClearanceModel::between_at_least_mm() const {
  if (!pair_) return std::nullopt;
  const auto greatest_mm = [this](ValveKind kind) {
    return of(kind).motion.greatest_valve_lift_mm() + std::fabs(of(kind).fit.correction_mm);
  };
  return pair_->at_least_mm(greatest_mm(ValveKind::inlet), greatest_mm(ValveKind::exhaust));
}

LeastClearance ClearanceModel::least(ValveKind kind, double extra_phase_deg, double by_crank_deg) const {
  LeastClearance made = least_axial(kind, extra_phase_deg, by_crank_deg);
  const CrownGap& gap = of(kind).gap;
  const SliderCrank& crank = mechanism_.slider_crank();
  const LeastClearance any_way = least_any_way(kind, extra_phase_deg, by_crank_deg);
  made.distance_mm = any_way.distance_mm;
  made.distance_at_crank_deg = any_way.distance_at_crank_deg;
  const auto lift = [&](double crank_deg) { return seat_lift_mm(kind, crank_deg, extra_phase_deg, by_crank_deg); };
  const CycleLeast sideways = CycleSearch::find(
      [&](double crank_deg) {
        return gap.radial_mm(lift(crank_deg), crank.drop_mm(crank_deg)).value_or(CycleSearch::not_seen_mm);
      },
      [&](std::size_t step) { return gap.radial_at_least_mm(crank.drop_mm(CycleSearch::at_deg(step))); },
      [](std::size_t) { return anything_mm; });
  if (sideways.mm < CycleSearch::not_seen_mm) {
    made.radial_mm = sideways.mm;
    made.radial_at_crank_deg = sideways.at_crank_deg;
  }
  return made;
}

std::optional<ValveToValve> ClearanceModel::least_between(double inlet_extra_deg, double exhaust_extra_deg,
                                                          double by_crank_deg) const {
  if (!pair_) return std::nullopt;
  const auto inlet = [&](double crank_deg) {
    return seat_lift_mm(ValveKind::inlet, crank_deg, inlet_extra_deg, by_crank_deg);
  };
  const auto exhaust = [&](double crank_deg) {
    return seat_lift_mm(ValveKind::exhaust, crank_deg, exhaust_extra_deg, by_crank_deg);
  };
  const CycleLeast least = CycleMoves(inlet, exhaust).least([&](double crank_deg) {
    return pair_->distance_mm(inlet(crank_deg), exhaust(crank_deg));
  });
  return ValveToValve{least.mm, least.at_crank_deg};
}

} // namespace phasewright
