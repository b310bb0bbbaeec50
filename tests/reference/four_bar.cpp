#include "reference/four_bar.hpp"

#include <array>
#include <cstring> // slvs.h uses memset without it

#include <slvs.h>

namespace phasewright::testing {

namespace {

// The solver stops once every equation holds to 1e-8 of its length unit (its CONVERGE_TOLERANCE). Fed in
// hundred-thousandths of a millimetre that is 1e-13 mm, so that it works on to rounding.
constexpr double units_per_mm = 1e5;

} // namespace

std::optional<glm::dvec2> solve_four_bar(const FourBar& linkage) {
  constexpr Slvs_hGroup given = 1, sought = 2;
  std::array<Slvs_Param, 13> params{};
  Slvs_hParam next = 1;
  const auto param = [&](Slvs_hGroup group, double value) {
    params[next - 1] = Slvs_MakeParam(next, group, value);
    return next++;
  };
  const auto point = [&](Slvs_hEntity h, Slvs_hGroup group, Slvs_hEntity plane, glm::dvec2 at_mm) {
    const Slvs_hParam u = param(group, at_mm.x * units_per_mm);
    return Slvs_MakePoint2d(h, group, plane, u, param(group, at_mm.y * units_per_mm));
  };
  enum Entity : Slvs_hEntity { origin = 1, normal, plane, driver_pin, pivot, driven_pin };

  param(given, 0.0), param(given, 0.0), param(given, 0.0);
  param(given, 1.0), param(given, 0.0), param(given, 0.0), param(given, 0.0);
  std::array<Slvs_Entity, 6> entities{Slvs_MakePoint3d(origin, given, 1, 2, 3),
                                      Slvs_MakeNormal3d(normal, given, 4, 5, 6, 7),
                                      Slvs_MakeWorkplane(plane, given, origin, normal),
                                      point(driver_pin, given, plane, linkage.driver_pin_mm),
                                      point(pivot, given, plane, linkage.driven_pivot_mm),
                                      point(driven_pin, sought, plane, linkage.start_mm)};
  std::array<Slvs_Constraint, 2> constraints{
      Slvs_MakeConstraint(1, sought, SLVS_C_PT_PT_DISTANCE, plane, linkage.coupler_mm * units_per_mm, driver_pin,
                          driven_pin, 0, 0),
      Slvs_MakeConstraint(2, sought, SLVS_C_PT_PT_DISTANCE, plane, linkage.driven_arm_mm * units_per_mm, pivot,
                          driven_pin, 0, 0)};

  Slvs_System system{};
  system.param = params.data();
  system.params = static_cast<int>(params.size());
  system.entity = entities.data();
  system.entities = static_cast<int>(entities.size());
  system.constraint = constraints.data();
  system.constraints = static_cast<int>(constraints.size());
  Slvs_Solve(&system, sought);
  if (system.result != SLVS_RESULT_OKAY || system.dof != 0) return std::nullopt;
  return glm::dvec2{params[11].val, params[12].val} / units_per_mm;
}

} // namespace phasewright::testing
