#include "mechanics/cycle_search.hpp"

#include "geometry/angle.hpp"

#include <boost/math/tools/minima.hpp>

namespace phasewright {

CycleLeast CycleSearch::go_down(const std::function<double(double)>& figure, double middle_deg, double middle_mm) {
  const auto [at, mm] = boost::math::tools::brent_find_minima(figure, middle_deg - step_deg, middle_deg + step_deg, 30);
  return mm < middle_mm ? CycleLeast{mm, wrap_720(at)} : CycleLeast{middle_mm, middle_deg};
}

} // namespace phasewright
