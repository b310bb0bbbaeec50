#include "viewer/palette.hpp"

namespace phasewright::viewer {

namespace {

constexpr ImU32 rgb(unsigned hex) {
  return IM_COL32((hex >> 16U) & 0xFFU, (hex >> 8U) & 0xFFU, hex & 0xFFU, 255U);
}

constexpr Palette day{.panel = rgb(0xFBFAF5),
                      .rail = rgb(0xF3F1EA),
                      .field = rgb(0xFFFFFF),
                      .hover = rgb(0xEDF3F2),
                      .line = rgb(0xD9D5CB),
                      .grid = rgb(0xE2DFD6),
                      .ink = rgb(0x20242A),
                      .quiet = rgb(0x62676D),
                      .faint = rgb(0xB4B2AB),
                      .chain = rgb(0xB5B7B7),
                      .accent = rgb(0x0F6B73),
                      .on_accent = rgb(0xFFFFFF),
                      .inlet = rgb(0x0069A8),
                      .exhaust = rgb(0xB5480B),
                      .good = rgb(0x1C7A55),
                      .warning = rgb(0x8F5F00),
                      .bad = rgb(0xB8321A)};

constexpr Palette night{.panel = rgb(0x23282C),
                        .rail = rgb(0x1B1F23),
                        .field = rgb(0x1A1E22),
                        .hover = rgb(0x2C3439),
                        .line = rgb(0x3A4147),
                        .grid = rgb(0x343A40),
                        .ink = rgb(0xECEAE4),
                        .quiet = rgb(0xA3A8AC),
                        .faint = rgb(0x5C6369),
                        .chain = rgb(0x5A6268),
                        .accent = rgb(0x4FB8BF),
                        .on_accent = rgb(0x10181A),
                        .inlet = rgb(0x56B4E9),
                        .exhaust = rgb(0xF08A3C),
                        .good = rgb(0x48B98A),
                        .warning = rgb(0xE2A93B),
                        .bad = rgb(0xF47E66)};

} // namespace

const Palette& palette(Theme theme) {
  return theme == Theme::day ? day : night;
}

ImU32 with_alpha(ImU32 colour, float alpha) {
  const auto share = static_cast<ImU32>(alpha * 255.0f + 0.5f);
  return (colour & ~IM_COL32_A_MASK) | (share << IM_COL32_A_SHIFT);
}

} // namespace phasewright::viewer
