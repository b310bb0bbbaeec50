// Colours of the words beside and over the picture, by day and by night: 0xRRGGBB. Inlet and exhaust are Okabe and
// Ito's blue and vermillion, darkened or lightened until words in them can be read on a panel.
#pragma once

#include "render/renderer.hpp"

#include <cstdint>

namespace phasewright {

struct WordColours {
  std::uint32_t panel; // what they stand on
  std::uint32_t line;  // borders
  std::uint32_t ink;
  std::uint32_t quiet; // second rows, units
  std::uint32_t accent;
  std::uint32_t inlet;
  std::uint32_t exhaust;
  std::uint32_t warning;
  std::uint32_t bad;
};

inline constexpr WordColours day_words{.panel = 0xFBFAF5,
                                       .line = 0xD9D5CB,
                                       .ink = 0x20242A,
                                       .quiet = 0x62676D,
                                       .accent = 0x0F6B73,
                                       .inlet = 0x0069A8,
                                       .exhaust = 0xB5480B,
                                       .warning = 0x8F5F00,
                                       .bad = 0xB8321A};

inline constexpr WordColours night_words{.panel = 0x23282C,
                                         .line = 0x3A4147,
                                         .ink = 0xECEAE4,
                                         .quiet = 0xA3A8AC,
                                         .accent = 0x4FB8BF,
                                         .inlet = 0x56B4E9,
                                         .exhaust = 0xF08A3C,
                                         .warning = 0xE2A93B,
                                         .bad = 0xF47E66};

[[nodiscard]] constexpr const WordColours& word_colours(Theme theme) {
  return theme == Theme::day ? day_words : night_words;
}

} // namespace phasewright
