#include "cli/fitted_words.hpp"

#include "bench/offset_key.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstdlib>

namespace phasewright::cli {

namespace {

std::string key_state(KeyAt at, double key_deg) {
  return key_deg == 0.0 ? "straight key" : key_words(at, key_deg);
}

std::string lay_words(int lay) {
  if (lay == 0) return "chain laid on by the marks";
  return fmt::format("chain laid on {} {}", count_words(std::abs(lay), "tooth", "teeth"), lay > 0 ? "forward" : "back");
}

// Also of the sprockets of earlier chains through which the camshaft is driven.
std::string lay_words(const Engine& engine, const Fitted& fitted, const std::string& camshaft) {
  std::string words = lay_words(lay_of(fitted, camshaft));
  for (std::size_t loop = find_cam_sprocket(engine, camshaft)->loop; loop > 0;) {
    const SprocketPlace place = *find_sprocket(engine, engine.loops[loop].driven_from);
    const Sprocket& driver = sprocket_at(engine, place);
    if (const int lay = lay_at(fitted, driver); lay != 0)
      words += fmt::format("; {} {} at \"{}\"", count_words(std::abs(lay), "tooth", "teeth"),
                           lay > 0 ? "forward" : "back", driver.name);
    loop = place.loop;
  }
  return words;
}

} // namespace

std::string cause_words(const std::string& cause, const Engine& engine, const Fitted& fitted,
                        const std::string& camshaft) {
  if (cause == "lay") return lay_words(engine, fitted, camshaft);
  if (cause == "crank key") return key_state(KeyAt::crank, fitted.crank_key_deg);
  if (cause == "cam key") return key_state(KeyAt::cam, cam_key_of(fitted, camshaft));
  if (cause == "elongation")
    return fitted.elongation_percent == 0.0
               ? "chain as new"
               : fmt::format("chain worn {} % longer", fixed(fitted.elongation_percent, 2));
  if (cause == "centre change") {
    if (fitted.centre_change_mm == 0.0) return "centres as the maker had them";
    return fmt::format("centres {} mm {}", fixed(std::fabs(fitted.centre_change_mm), 2),
                       fitted.centre_change_mm > 0.0 ? "further apart" : "closer");
  }
  if (cause == "vernier" && fitted.vernier.hub_holes > 0)
    return fmt::format("hub hole {} on sprocket hole {}", fitted.holes.hub_hole, fitted.holes.sprocket_hole);
  if (cause == "slots" && fitted.slot_deg != 0.0)
    return fmt::format("slots {}° cam {}", fixed(std::fabs(fitted.slot_deg), 2),
                       fitted.slot_deg > 0.0 ? "forward" : "back");
  return {};
}

} // namespace phasewright::cli
