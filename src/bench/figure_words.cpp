#include "bench/figure_words.hpp"

#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright {

namespace {

constexpr const char* true_minus = "\u2212";

bool rounds_to_zero(double value, int decimals) {
  return std::fabs(value) * std::pow(10.0, decimals) < 0.5;
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

std::string key_angle_text(double deg) {
  const double hundredths = std::round(std::fabs(deg) * 100.0);
  return hundredths == 0.0 && deg != 0.0 ? "under 0.01°" : fmt::format("{}°", hundredths / 100.0);
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

std::string phase_words(double crank_deg) {
  const std::string size = figure(std::fabs(crank_deg), 2);
  if (size == "0.00") return "0.00° of crank, as the maker's card has it";
  return fmt::format("{}° of crank {}", size, crank_deg > 0.0 ? "advanced" : "retarded");
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

} // namespace phasewright
