#include "bench/drill_faults.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

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

const char* meaning_of(const DrillFault& fault, const Fault* weighed) {
  switch (fault.kind) {
  case DrillKind::lay:
    return "the chain does not lie on its marks; back makes the camshaft late, forward early";
  case DrillKind::key_turned:
    return "the offset key went in the other way round";
  case DrillKind::key_left_out:
    return "a straight key sits where the card has an offset one";
  case DrillKind::wheel_slipped:
    return "the wheel or its pointer moved after the piston stop was read";
  case DrillKind::turned_back:
    return "the lobes were read while the crank was turned back, so that the camshaft seemed ahead by the chain's "
           "slack";
  case DrillKind::lash:
    return "those valves have another lash than the maker gives";
  case DrillKind::sprocket_off:
    return "it stands further out than the sprockets it drives, or further in";
  case DrillKind::end_float:
    return "the camshaft can move along its axis less, or more, than the maker allows";
  case DrillKind::chain_worn:
    return "the chain is longer than the card says, and the camshaft late by it";
  case DrillKind::separation:
    return "those lobes are ground off their place on the camshaft, the others are not";
  case DrillKind::sprocket_tilted:
    return "it stands out of square: one edge further back than the other";
  case DrillKind::not_hidden:
    break;
  }
  if (weighed->kind == FaultKind::ratio)
    return "the rockers' arms are not as long as drawn, so the valves lift too far or not far enough";
  if (weighed->kind == FaultKind::swapped) return "the readings of one, or its camshaft, were taken for the other's";
  return "the camshaft stands off its place by something that is not listed here";
}

} // namespace

std::string key_of_float(const Engine& engine, const std::string& camshaft, bool too_large) {
  return fmt::format("end float too {}{}", too_large ? "large" : "small",
                     engine.camshafts.size() > 1 ? fmt::format(" at \"{}\"", camshaft) : std::string());
}

std::vector<DrillFault> drill_faults(const Engine& engine, const std::vector<Fault>& weighed) {
  std::vector<DrillFault> faults;
  for (const Fault& fault : weighed)
    if (fault.kind != FaultKind::none) {
      faults.push_back({fault.name, kind_of(fault), fault.of, 0.0, ""});
      faults.back().means = meaning_of(faults.back(), &fault);
    }
  const auto add = [&faults](DrillFault fault) {
    fault.means = meaning_of(fault, nullptr);
    faults.push_back(std::move(fault));
  };
  add({key_proud, DrillKind::sprocket_off, "", -1.0, ""});
  add({key_behind, DrillKind::sprocket_off, "", 1.0, ""});
  add({key_tilted, DrillKind::sprocket_tilted, "", 0.0, ""});
  for (const Camshaft& camshaft : engine.camshafts) {
    const auto seat = engine.cam_seats.find(camshaft.name);
    if (seat == engine.cam_seats.end() || !seat->second.end_float_mm) continue;
    for (const double side : {-1.0, 1.0})
      add({key_of_float(engine, camshaft.name, side > 0.0), DrillKind::end_float, camshaft.name, side, ""});
  }
  return faults;
}

const char* level_words(int level) {
  constexpr std::array<const char*, most_drill_level> words{"one big fault of chain or key",
                                                            "one plain fault, of the engine or of how it was read",
                                                            "one small fault", "two faults at once"};
  return words.at(static_cast<std::size_t>(level - 1));
}

std::vector<MeaningGroup> by_meaning(const std::vector<DrillFault>& faults) {
  std::vector<MeaningGroup> groups;
  for (const DrillFault& fault : faults) {
    const auto group = std::ranges::find(groups, fault.means, &MeaningGroup::means);
    if (group == groups.end())
      groups.push_back({fault.means, {fault.key}});
    else
      group->keys.push_back(fault.key);
  }
  return groups;
}

} // namespace phasewright
