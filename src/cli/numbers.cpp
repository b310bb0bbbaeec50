#include "cli/numbers.hpp"

#include <charconv>
#include <cmath>

namespace phasewright::cli {

namespace {

template <class Number>
std::optional<Number> read_all(const std::string& text) {
  const bool plus = text.size() > 1 && text[0] == '+' && text[1] != '-';
  const char* from = text.data() + (plus ? 1 : 0);
  const char* to = text.data() + text.size();
  Number value{};
  const auto [end, error] = std::from_chars(from, to, value);
  if (error != std::errc{} || end != to) return std::nullopt;
  return value;
}

} // namespace

std::optional<double> read_number(const std::string& text) {
  const std::optional<double> value = read_all<double>(text);
  return value && std::isfinite(*value) ? value : std::nullopt;
}

std::optional<int> read_whole_number(const std::string& text) {
  return read_all<int>(text);
}

std::optional<PixelSize> read_size(const std::string& text) {
  const std::size_t cross = text.find('x');
  if (cross == std::string::npos) return std::nullopt;
  const std::optional<int> width = read_all<int>(text.substr(0, cross));
  const std::optional<int> height = read_all<int>(text.substr(cross + 1));
  if (!width || !height) return std::nullopt;
  return PixelSize{*width, *height};
}

} // namespace phasewright::cli
