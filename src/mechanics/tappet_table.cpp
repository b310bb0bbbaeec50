#include "mechanics/lobe_contour.hpp"

namespace phasewright {

Result<LobeTable> tappet_table(const LobeTable&, const ValveGear&, const std::string& key) {
  return problem_at(key + ".lift_of", "\"lobe\"", "\"tappet\"", "not computed yet");
}

} // namespace phasewright
