#include "viewer/palette.hpp"

#include "render/word_colours.hpp"

namespace phasewright::viewer {

namespace {

constexpr ImU32 rgb(unsigned hex) {
  return IM_COL32((hex >> 16U) & 0xFFU, (hex >> 8U) & 0xFFU, hex & 0xFFU, 255U);
}

constexpr Palette day{.panel = rgb(day_words.panel),
                      .rail = rgb(0xF3F1EA),
                      .field = rgb(0xFFFFFF),
                      .hover = rgb(0xEDF3F2),
                      .line = rgb(day_words.line),
                      .grid = rgb(0xE2DFD6),
                      .ink = rgb(day_words.ink),
                      .quiet = rgb(day_words.quiet),
                      .faint = rgb(0xB4B2AB),
                      .chain = rgb(0xB5B7B7),
                      .accent = rgb(day_words.accent),
                      .on_accent = rgb(0xFFFFFF),
                      .inlet = rgb(day_words.inlet),
                      .exhaust = rgb(day_words.exhaust),
                      .good = rgb(0x1C7A55),
                      .warning = rgb(day_words.warning),
                      .bad = rgb(day_words.bad)};

constexpr Palette night{.panel = rgb(night_words.panel),
                        .rail = rgb(0x1B1F23),
                        .field = rgb(0x1A1E22),
                        .hover = rgb(0x2C3439),
                        .line = rgb(night_words.line),
                        .grid = rgb(0x343A40),
                        .ink = rgb(night_words.ink),
                        .quiet = rgb(night_words.quiet),
                        .faint = rgb(0x5C6369),
                        .chain = rgb(0x5A6268),
                        .accent = rgb(night_words.accent),
                        .on_accent = rgb(0x10181A),
                        .inlet = rgb(night_words.inlet),
                        .exhaust = rgb(night_words.exhaust),
                        .good = rgb(0x48B98A),
                        .warning = rgb(night_words.warning),
                        .bad = rgb(night_words.bad)};

} // namespace

const Palette& palette(Theme theme) {
  return theme == Theme::day ? day : night;
}

ImU32 with_alpha(ImU32 colour, float alpha) {
  const auto share = static_cast<ImU32>(alpha * 255.0f + 0.5f);
  return (colour & ~IM_COL32_A_MASK) | (share << IM_COL32_A_SHIFT);
}

} // namespace phasewright::viewer
