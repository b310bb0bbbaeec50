#include "bench/follow.hpp"

namespace phasewright {

Fitted follow(const Fitted& planned, const Fitted& before, const Fitted& after) {
  Fitted next = planned;
  const auto carry = [&](auto field) {
    if (planned.*field == before.*field) next.*field = after.*field;
  };
  carry(&Fitted::lay);
  carry(&Fitted::lay_of);
  carry(&Fitted::crank_key_deg);
  carry(&Fitted::cam_key_deg);
  carry(&Fitted::cam_key_of);
  carry(&Fitted::elongation_percent);
  carry(&Fitted::centre_change_mm);
  carry(&Fitted::vernier);
  carry(&Fitted::holes);
  carry(&Fitted::holes_of);
  carry(&Fitted::slot_deg);
  carry(&Fitted::slot_of);
  carry(&Fitted::found_deg);
  carry(&Fitted::found_of);
  carry(&Fitted::shim_mm);
  return next;
}

} // namespace phasewright
