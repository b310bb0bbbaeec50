#include "mechanics/lobe_law.hpp"

namespace phasewright {

Result<std::shared_ptr<const LobeProfile::Law>> card_law(const LobeCard&, const CardLevels&, const std::string& key) {
  return problem_at(key, "a \"card\" lobe", "\"table\" or \"polynomial-4567\"",
                    "lobes given by the card alone are not computed yet");
}

} // namespace phasewright
