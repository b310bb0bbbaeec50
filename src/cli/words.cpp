#include "cli/words.hpp"

#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::cli {

namespace {

constexpr double mm_per_thou = 0.0254;

// What is shown as zero is treated as zero.
double rounded(double value, int decimals) {
  const double scale = std::pow(10.0, decimals);
  return std::round(value * scale) / scale + 0.0;
}

// Characters as a terminal shows them: the bytes that begin one, as UTF-8 has it.
std::size_t width_of(const std::string& text) {
  return static_cast<std::size_t>(
      std::ranges::count_if(text, [](char c) { return (static_cast<unsigned char>(c) & 0xC0u) != 0x80u; }));
}

} // namespace

std::string fixed(double value, int decimals) {
  constexpr double most_in_full = 1e9;
  if (std::fabs(value) > most_in_full) return fmt::format("{}", value);
  std::string text = fmt::format("{:.{}f}", value, decimals);
  if (text.front() == '-' && text.find_first_not_of("-0.") == std::string::npos) text.erase(0, 1);
  return text;
}

std::string signed_fixed(double value, int decimals) {
  const std::string text = fixed(value, decimals);
  return text.front() == '-' || text.find_first_not_of("0.") == std::string::npos ? text : "+" + text;
}

std::string phase_words(double crank_deg) {
  const double shown_deg = rounded(crank_deg, 2);
  if (shown_deg == 0.0) return "0.00° of crank, as the maker's card has it";
  return fmt::format("{}° of crank {}", fixed(std::fabs(shown_deg), 2), shown_deg > 0.0 ? "advanced" : "retarded");
}

std::string clock_words(double clock_deg) {
  constexpr double hour_deg = 30.0;
  constexpr double on_the_hour_deg = 1.0;
  constexpr double about_the_hour_deg = 10.0;
  const auto name = [](int hour) { return (hour + 11) % 12 + 1; };
  const double deg = wrap_360(clock_deg);
  const int hour = static_cast<int>(std::floor(deg / hour_deg));
  const double past_deg = deg - hour * hour_deg;
  if (past_deg <= on_the_hour_deg) return fmt::format("{} o'clock", name(hour));
  if (past_deg >= hour_deg - on_the_hour_deg) return fmt::format("{} o'clock", name(hour + 1));
  if (past_deg <= about_the_hour_deg) return fmt::format("just after {} o'clock", name(hour));
  if (past_deg >= hour_deg - about_the_hour_deg) return fmt::format("just before {} o'clock", name(hour + 1));
  return fmt::format("between {} and {} o'clock", name(hour), name(hour + 1));
}

std::string stroke_words(double crank_deg) {
  struct Stroke {
    const char* from;
    const char* words;
  };
  static constexpr Stroke strokes[4] = {{"overlap TDC", "going down on its inlet stroke"},
                                        {"BDC", "going up on its compression stroke"},
                                        {"firing TDC", "going down on its power stroke"},
                                        {"BDC", "going up on its exhaust stroke"}};
  const double deg = wrap_720(rounded(wrap_720(crank_deg), 1));
  const auto which = static_cast<std::size_t>(deg / 180.0);
  const double past_deg = deg - 180.0 * static_cast<double>(which);
  const Stroke& stroke = strokes[which];
  if (past_deg == 0.0) return stroke.from;
  return fmt::format("{}° crank after {}, {}", fixed(past_deg, 1), stroke.from, stroke.words);
}

std::string dead_centre_words(double crank_deg) {
  const double deg = wrap_720(crank_deg);
  const int centre = static_cast<int>(std::floor((deg + 90.0) / 180.0)) % 4;
  const double after_deg = rounded(wrap_360(deg - 180.0 * centre + 180.0) - 180.0, 1);
  const bool top = centre % 2 == 0;
  const char* which = centre == 0 ? " (overlap)" : centre == 2 ? " (firing)" : "";
  if (after_deg == 0.0) return fmt::format("{}{}", top ? "TDC" : "BDC", which);
  return fmt::format("{}° {}{}{}", fixed(std::fabs(after_deg), 1), after_deg > 0.0 ? "A" : "B", top ? "TDC" : "BDC",
                     which);
}

std::string mm_thou(double mm) {
  return fmt::format("{} mm ({} thou)", fixed(mm, 2), fixed(mm / mm_per_thou, 0));
}

std::string event_lift_words(const Camshaft& camshaft) {
  return fmt::format("{} mm at the {}", camshaft.check_lift_mm,
                     camshaft.check_at == CheckAt::tappet ? "tappet" : "valve");
}

std::string title_words(const Engine& engine, const Build& build) {
  return build.title.empty() ? engine.name : fmt::format("{}, {}", engine.name, build.title);
}

std::string count_words(int count, const char* one, const char* many) {
  return fmt::format("{} {}", count, count == 1 ? one : many);
}

std::string capital(std::string words) {
  if (!words.empty() && words.front() >= 'a' && words.front() <= 'z')
    words.front() = static_cast<char>(words.front() - 'a' + 'A');
  return words;
}

std::string table(const std::vector<Align>& columns, const std::vector<std::vector<std::string>>& rows) {
  std::vector<std::size_t> widths(columns.size(), 0);
  for (const auto& row : rows)
    for (std::size_t i = 0; i < columns.size(); ++i) widths[i] = std::max(widths[i], width_of(row[i]));
  std::string text;
  for (const auto& row : rows) {
    std::string line;
    for (std::size_t i = 0; i < columns.size(); ++i) {
      const std::string blanks(widths[i] - width_of(row[i]), ' ');
      line += "  " + (columns[i] == Align::right ? blanks + row[i] : row[i] + blanks);
    }
    line.erase(line.find_last_not_of(' ') + 1);
    text += line + "\n";
  }
  return text;
}

std::string cautions() {
  return "Turn the engine by hand only, in the running direction, plugs out. These figures are a plan: confirm the\n"
         "clearance between piston and valve physically before starting. The engine maker's limits and a qualified\n"
         "engine builder's judgement come first.\n";
}

} // namespace phasewright::cli
