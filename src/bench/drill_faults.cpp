#include "bench/drill_faults.hpp"

#include <fmt/format.h>

namespace phasewright {

namespace {

DrillKind kind_of(const Fault& fault) {
  switch (fault.kind) {
  case FaultKind::lay:
    return DrillKind::lay;
  case FaultKind::crank_key:
  case FaultKind::cam_key:
    return fault.name.find("turned round") != std::string::npos ? DrillKind::key_turned : DrillKind::key_left_out;
  case FaultKind::elongation:
    return DrillKind::chain_worn;
  case FaultKind::wheel:
    return DrillKind::wheel_slipped;
  case FaultKind::turning:
    return DrillKind::turned_back;
  case FaultKind::lash:
    return DrillKind::lash;
  case FaultKind::lobe:
    return DrillKind::separation;
  case FaultKind::none:
  case FaultKind::ratio:
  case FaultKind::swapped:
  case FaultKind::camshaft:
    break;
  }
  return DrillKind::not_hidden;
}

} // namespace

std::string key_of_float(const Engine& engine, const std::string& camshaft, bool too_large) {
  return fmt::format("end float too {}{}", too_large ? "large" : "small",
                     engine.camshafts.size() > 1 ? fmt::format(" at \"{}\"", camshaft) : std::string());
}

std::vector<DrillFault> drill_faults(const Engine& engine, const std::vector<Fault>& weighed) {
  std::vector<DrillFault> faults;
  for (const Fault& fault : weighed)
    if (fault.kind != FaultKind::none) faults.push_back({fault.name, kind_of(fault), fault.of, 0.0});
  faults.push_back({key_proud, DrillKind::sprocket_off, "", -1.0});
  faults.push_back({key_behind, DrillKind::sprocket_off, "", 1.0});
  faults.push_back({key_tilted, DrillKind::sprocket_tilted, "", 0.0});
  for (const Camshaft& camshaft : engine.camshafts) {
    const auto seat = engine.cam_seats.find(camshaft.name);
    if (seat == engine.cam_seats.end() || !seat->second.end_float_mm) continue;
    for (const double side : {-1.0, 1.0})
      faults.push_back(
          {key_of_float(engine, camshaft.name, side > 0.0), DrillKind::end_float, camshaft.name, side});
  }
  return faults;
}

const char* level_words(int level) {
  constexpr std::array<const char*, most_drill_level> words{
      "one gross fault of the drive",
      "one plain fault, of the drive, of what stands beside it or of how it was read", "one small fault",
      "two faults at once"};
  return words.at(static_cast<std::size_t>(level - 1));
}

} // namespace phasewright
