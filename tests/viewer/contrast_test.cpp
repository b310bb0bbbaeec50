// Text can be read: its contrast with the ground under it, measured in the picture, by the formula of WCAG 2.1
// (W3C Recommendation, 2018: relative luminance, contrast ratio; criterion 1.4.3 asks for 4.5 : 1).
#include "viewer/driver.hpp"
#include "viewer/palette.hpp"

#include "support/catch.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <map>
#include <optional>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

using Colour = std::array<std::uint8_t, 3>;

double luminance(Colour colour) {
  const auto linear = [](std::uint8_t part) {
    const double share = part / 255.0;
    return share <= 0.03928 ? share / 12.92 : std::pow((share + 0.055) / 1.055, 2.4);
  };
  return 0.2126 * linear(colour[0]) + 0.7152 * linear(colour[1]) + 0.0722 * linear(colour[2]);
}

double contrast(Colour a, Colour b) {
  const double high = std::fmax(luminance(a), luminance(b));
  const double low = std::fmin(luminance(a), luminance(b));
  return (high + 0.05) / (low + 0.05);
}

Colour colour_of(unsigned colour) {
  return {static_cast<std::uint8_t>(colour & 0xFFU), static_cast<std::uint8_t>(colour >> 8U & 0xFFU),
          static_cast<std::uint8_t>(colour >> 16U & 0xFFU)};
}

// The colour that most of a rectangle has; nothing when it is not in the picture.
std::optional<Colour> ground_under(const Image& image, const ScreenRect& where) {
  std::map<Colour, int> counts;
  const int left = std::max(0, static_cast<int>(where.left) - 2);
  const int right = std::min(image.width_px, static_cast<int>(where.right) + 2);
  for (int y = std::max(0, static_cast<int>(where.top)); y < std::min(image.height_px, static_cast<int>(where.bottom));
       ++y)
    for (int x = left; x < right; ++x) {
      const std::uint8_t* pixel =
          image.rgba.data() +
          4 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(image.width_px) + static_cast<std::size_t>(x));
      ++counts[{pixel[0], pixel[1], pixel[2]}];
    }
  if (counts.empty()) return std::nullopt;
  return std::max_element(counts.begin(), counts.end(),
                          [](const auto& a, const auto& b) { return a.second < b.second; })
      ->first;
}

} // namespace

TEST_CASE("the contrast of black on white and of a grey is as the formula's own examples have it") {
  CHECK_THAT(contrast({0, 0, 0}, {255, 255, 255}), WithinAbs(21.0, 1e-9)); // the greatest there is
  // The grey #767676 is the lightest that passes on white: known among designers, no source.
  CHECK_THAT(contrast({0x76, 0x76, 0x76}, {255, 255, 255}), WithinAbs(4.54, 0.005));
}

TEST_CASE("all text stands out from what is under it by 4.5 to 1") {
  for (const Theme theme : {Theme::day, Theme::night}) {
    Driver driver(1280, 800, theme);
    const Palette& colours = palette(theme);
    double least = 21.0;
    std::string least_words;
    int texts = 0;
    const auto measure = [&](const std::string& only_panel) {
      driver.settle();
      const Image image = driver.read();
      for (const DrawnText& text : driver.recorder().texts) {
        if (!only_panel.empty() && text.panel != only_panel) continue; // it lies over the others
        const bool seen = text.where.top >= text.clip.top && text.where.bottom <= text.clip.bottom;
        // What cannot be pressed now need not stand out (WCAG 1.4.3, inactive components).
        if (!seen || text.colour == colours.faint) continue;
        const std::optional<Colour> ground = ground_under(image, text.where);
        if (!ground) continue;
        const unsigned ink = text.colour != 0 ? text.colour : colours.ink;
        const double ratio = contrast(colour_of(ink), *ground);
        INFO((theme == Theme::day ? "day, " : "night, ")
             << text.panel << ": \"" << text.text << "\", "
             << fmt::format("{:06x} on {:02x}{:02x}{:02x}", ink & 0xFFFFFFU, (*ground)[0], (*ground)[1], (*ground)[2]));
        CHECK((ink >> 24U) == 0xFFU); // paled text would have to be mixed first
        CHECK(ratio >= 4.5);
        ++texts;
        if (ratio < least) least = ratio, least_words = text.text;
      }
    };
    for (const char* step :
         {"parts", "alignment", "end_float", "base_timing", "valves", "readings", "correction", "clearance"}) {
      driver.click(std::string("step.") + step);
      measure("");
    }
    driver.key(Key::f1);
    measure("help");
    CHECK(texts > 400);
    fmt::print("least contrast of {} texts by {}: {:.2f} (\"{}\")\n", texts, theme == Theme::day ? "day" : "night",
               least, least_words);
  }
}
