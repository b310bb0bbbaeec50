#include "paper/sheet_parts.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright::paper {

namespace {

double as_printed(double value, int decimals) {
  const double scale = std::pow(10.0, decimals);
  return std::round(value * scale) / scale + 0.0; // never -0
}

} // namespace

SheetCell plain_cell(std::string words) {
  return {std::move(words), {}};
}

SheetCell figure_cell(double value, int decimals, const char* unit) {
  return {figure(value, decimals) + unit, as_printed(value, decimals)};
}

SheetCell signed_cell(double value, int decimals, const char* unit) {
  return {signed_figure(value, decimals) + unit, as_printed(value, decimals)};
}

SheetCell plus_minus_cell(double value, int decimals, const char* unit) {
  return {fmt::format("±{}{}", figure(value, decimals), unit), as_printed(value, decimals)};
}

SheetCell length_cell(double mm, Units units) {
  return units == Units::mm ? figure_cell(mm, 2) : figure_cell(mm / mm_per_thou, 0);
}

SheetCell limit_cell(double mm, Units units) {
  const int decimals = units == Units::mm ? 2 : 1;
  const double scale = std::pow(10.0, decimals);
  const double value = units == Units::mm ? mm : mm / mm_per_thou;
  constexpr double rounding = 1e-6; // 2.5 is 2.50, whatever its last bit
  return figure_cell(std::ceil(value * scale - rounding) / scale, decimals);
}

SheetCell gap_cell(const std::optional<double>& mm, double limit_mm, Units units) {
  if (!mm || !std::isfinite(*mm)) return plain_cell("–");
  const int decimals = units == Units::mm ? 2 : 1;
  const double value = units == Units::mm ? *mm : *mm / mm_per_thou;
  if (*mm >= limit_mm) return figure_cell(value, decimals);
  const double scale = std::pow(10.0, decimals);
  double shown = std::round(value * scale) / scale;
  if (shown >= *limit_cell(limit_mm, units).figure) shown = std::floor(value * scale) / scale;
  SheetCell cell = figure_cell(shown, decimals);
  cell.words += " under";
  cell.tone = SheetTone::bad;
  return cell;
}

SheetCell event_cell(EventKind kind, double crank_deg) {
  return {event_words(kind, crank_deg), as_printed(event_figure_deg(kind, crank_deg), 1)};
}

std::string at_camshaft(const Engine& engine, std::size_t camshaft) {
  return engine.camshafts.size() == 1 ? "" : fmt::format(" at \"{}\"", engine.camshafts[camshaft].name);
}

const KindEvents* events_of(const Events& events, ValveKind kind) {
  for (const CamshaftEvents& camshaft : events.camshafts) {
    const std::optional<KindEvents>& of = kind == ValveKind::inlet ? camshaft.inlet : camshaft.exhaust;
    if (of) return &*of;
  }
  return nullptr;
}

} // namespace phasewright::paper
