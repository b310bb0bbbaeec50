#include "viewer/figures.hpp"

#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr std::string_view true_minus = "\u2212";
constexpr double mm_per_thou = 0.0254; // exact by definition of the inch (ISO 80000-3, from memory)

bool rounds_to_zero(double value, int decimals) {
  return std::fabs(value) * std::pow(10.0, decimals) < 0.5;
}

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

std::string figure(double value, int decimals) {
  const bool minus = value < 0.0 && !rounds_to_zero(value, decimals);
  return fmt::format("{}{:.{}f}", minus ? true_minus : "", std::fabs(value), decimals);
}

std::string signed_figure(double value, int decimals) {
  const bool plus = value > 0.0 && !rounds_to_zero(value, decimals);
  return fmt::format("{}{}", plus ? "+" : "", figure(value, decimals));
}

std::string deg_text(double deg, int decimals) {
  return fmt::format("{}°", figure(deg, decimals));
}

std::string signed_deg_text(double deg, int decimals) {
  return fmt::format("{}°", signed_figure(deg, decimals));
}

const char* unit_word(Units units) {
  return units == Units::mm ? "mm" : "thou";
}

std::string length_figure(double mm, Units units) {
  return units == Units::mm ? figure(mm, 2) : figure(mm / mm_per_thou, 0);
}

std::string length_text(double mm, Units units) {
  return fmt::format("{} {}", length_figure(mm, units), unit_word(units));
}

std::string signed_length_text(double mm, Units units) {
  return (units == Units::mm ? signed_figure(mm, 2) : signed_figure(mm / mm_per_thou, 0)) + " " + unit_word(units);
}

std::string plus_minus_text(double mm, Units units) {
  return "±" + length_text(mm, units);
}

std::string dial_figure(double mm, Units units) {
  return units == Units::mm ? figure(mm, 3) : figure(mm / mm_per_thou, 1);
}

std::string dial_text(double mm, Units units) {
  return fmt::format("{} {}", dial_figure(mm, units), unit_word(units));
}

std::string signed_dial_text(double mm, Units units) {
  return (units == Units::mm ? signed_figure(mm, 3) : signed_figure(mm / mm_per_thou, 1)) + " " + unit_word(units);
}

std::string shim_text(double mm, Units units) {
  if (units == Units::thou) return figure(mm / mm_per_thou, 1) + " thou";
  const bool fine = std::fabs(mm * 100.0 - std::round(mm * 100.0)) > 1e-6;
  return figure(mm, fine ? 3 : 2) + " mm";
}

std::string lateness(double deg) {
  if (rounds_to_zero(deg, 1)) return "on the mark";
  return fmt::format("{:.1f}° {}", std::fabs(deg), deg < 0.0 ? "late" : "early");
}

std::string crank_words(double crank_deg, bool says_overlap) {
  const double from_tdc = wrap_180(crank_deg);
  const bool overlap = std::fabs(wrap_720(crank_deg + 360.0) - 360.0) <= 90.0;
  const double from_bdc = wrap_180(crank_deg - 180.0);
  const bool tdc = std::fabs(from_tdc) <= 90.0;
  const double deg = tdc ? from_tdc : from_bdc;
  const char* centre = !tdc ? "BDC" : !overlap ? "TDC (firing)" : says_overlap ? "TDC (overlap)" : "TDC";
  if (rounds_to_zero(deg, 0)) return centre;
  return fmt::format("{:.0f}° {}{}", std::fabs(deg), deg < 0.0 ? "B" : "A", centre);
}

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
