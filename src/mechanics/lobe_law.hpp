// The kinds of lobe behind LobeProfile, and what each may refuse.
#pragma once

#include "mechanics/lobe.hpp"

namespace phasewright {

struct LobeProfile::Law {
  virtual ~Law() = default;
  // `from_nose_rad`: [-pi, pi).
  [[nodiscard]] virtual LiftState at(double from_nose_rad) const = 0;
  [[nodiscard]] virtual double lift_mm(double from_nose_rad) const = 0;
  [[nodiscard]] virtual double opens_rad() const = 0;
  [[nodiscard]] virtual double closes_rad() const = 0;
};

// Each names problems under `key`.
Result<std::shared_ptr<const LobeProfile::Law>> table_law(const LobeTable& table, const std::string& key);
Result<std::shared_ptr<const LobeProfile::Law>> polynomial_law(const LobePolynomial& lobe, const std::string& key);
Result<std::shared_ptr<const LobeProfile::Law>> card_law(const LobeCard& card, const CardLevels& levels,
                                                         const std::string& key);

} // namespace phasewright
