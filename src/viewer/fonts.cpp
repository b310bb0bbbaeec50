#include "viewer/fonts.hpp"

#include <fontconfig/fontconfig.h>
#include <imgui_freetype.h>

#include <cmath>
#include <memory>
#include <stdexcept>

namespace phasewright::viewer {

namespace {

constexpr const char* family = "DejaVu Sans";

struct PatternDeleter {
  void operator()(FcPattern* pattern) const { FcPatternDestroy(pattern); }
};
using Pattern = std::unique_ptr<FcPattern, PatternDeleter>;

const FcChar8* as_fc(const char* text) {
  return reinterpret_cast<const FcChar8*>(text);
}

// fontconfig always matches something; only the family that was asked for will do.
std::string font_file(bool bold) {
  const Pattern wanted(FcPatternCreate());
  FcPatternAddString(wanted.get(), FC_FAMILY, as_fc(family));
  FcPatternAddInteger(wanted.get(), FC_WEIGHT, bold ? FC_WEIGHT_BOLD : FC_WEIGHT_NORMAL);
  FcPatternAddInteger(wanted.get(), FC_WIDTH, FC_WIDTH_NORMAL);
  FcPatternAddInteger(wanted.get(), FC_SLANT, FC_SLANT_ROMAN);
  FcConfigSubstitute(nullptr, wanted.get(), FcMatchPattern);
  FcDefaultSubstitute(wanted.get());
  FcResult result = FcResultNoMatch;
  const Pattern found(FcFontMatch(nullptr, wanted.get(), &result));
  FcChar8* name = nullptr;
  FcChar8* file = nullptr;
  const bool right = found != nullptr && FcPatternGetString(found.get(), FC_FAMILY, 0, &name) == FcResultMatch &&
                     std::string(reinterpret_cast<const char*>(name)) == family &&
                     FcPatternGetString(found.get(), FC_FILE, 0, &file) == FcResultMatch;
  if (!right) throw std::runtime_error("The font DejaVu Sans is not installed: install the package fonts-dejavu-core.");
  return reinterpret_cast<const char*>(file);
}

} // namespace

Fonts load_fonts(double scale, const std::vector<std::string>& words) {
  const std::string regular = font_file(false);
  const std::string strong = font_file(true);

  ImFontAtlas& atlas = *ImGui::GetIO().Fonts;
  atlas.Clear();
  atlas.FontBuilderIO = ImGuiFreeType::GetBuilderForFreeType();
  atlas.FontBuilderFlags = ImGuiFreeTypeBuilderFlags_LightHinting;

  static constexpr ImWchar screen[] = {0x0020, 0x00FF, 0x2010, 0x2026, 0x207F, 0x207F, 0x2190, 0x2193,
                                       0x2212, 0x2212, 0x2264, 0x2265, 0x03B1, 0x03B1, 0};
  ImFontGlyphRangesBuilder builder;
  builder.AddRanges(screen);
  for (const std::string& word : words) builder.AddText(word.c_str());
  ImVector<ImWchar> ranges; // must outlive Build()
  builder.BuildRanges(&ranges);

  ImFontConfig config;
  config.OversampleH = 1;
  config.PixelSnapH = true;
  const auto add = [&](const std::string& file, double size) {
    const auto pixels = static_cast<float>(std::round(size * scale));
    return atlas.AddFontFromFileTTF(file.c_str(), pixels, &config, ranges.Data);
  };
  Fonts fonts;
  fonts.text = add(regular, 13.0);
  fonts.bold = add(strong, 13.0);
  fonts.title = add(strong, 18.0);
  fonts.note = add(regular, 11.0);
  if (fonts.text == nullptr || fonts.bold == nullptr || fonts.title == nullptr || fonts.note == nullptr ||
      !atlas.Build())
    throw std::runtime_error("The font " + regular + " cannot be read.");
  return fonts;
}

} // namespace phasewright::viewer
