#include "viewer/figures.hpp"

#include <array>
#include <charconv>
#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr std::string_view true_minus = "\u2212";

std::string_view trimmed(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

std::string with_plain_signs(std::string_view text) {
  std::string plain;
  for (std::size_t at = 0; at < text.size();) {
    if (text.substr(at).starts_with(true_minus)) {
      plain += '-';
      at += true_minus.size();
    } else {
      plain += text[at] == ',' ? '.' : text[at];
      ++at;
    }
  }
  return plain;
}

} // namespace

std::optional<double> parse_number(std::string_view text, std::string_view unit) {
  const std::string bare = with_plain_signs(trimmed(text));
  std::string_view digits = bare;
  const std::string_view bare_unit = trimmed(unit);
  if (!bare_unit.empty() && digits.ends_with(bare_unit))
    digits = trimmed(digits.substr(0, digits.size() - bare_unit.size()));
  if (digits.starts_with('+')) {
    digits = trimmed(digits.substr(1));
    if (digits.starts_with('-')) return std::nullopt;
  }
  double value = 0.0;
  const auto [end, fault] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
  if (fault != std::errc{} || end != digits.data() + digits.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

double unit_mm(Units units) {
  return units == Units::mm ? 1.0 : mm_per_thou;
}

std::optional<double> parse_length_mm(std::string_view text, Units shown) {
  struct Word {
    std::string_view word;
    double mm;
  };
  // Those that end in another's letters first.
  static constexpr std::array<Word, 7> words{{{"mm", 1.0},
                                              {"thou", mm_per_thou},
                                              {"th", mm_per_thou},
                                              {"inch", 25.4},
                                              {"in", 25.4},
                                              {"\"", 25.4},
                                              {"\u2033", 25.4}}};
  std::string_view bare = trimmed(text);
  double factor = unit_mm(shown);
  for (const Word& one : words) {
    if (!bare.ends_with(one.word)) continue;
    bare.remove_suffix(one.word.size());
    factor = one.mm;
    break;
  }
  const std::optional<double> value = parse_number(bare, "");
  if (!value) return std::nullopt;
  return *value * factor;
}

} // namespace phasewright::viewer
