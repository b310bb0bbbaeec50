#include "cli/words.hpp"

#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::cli {

namespace {

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

// Broken at its blanks into pieces of no more than `columns`; a longer word stands by itself.
std::vector<std::string> pieces_of(const std::string& text, std::size_t columns) {
  std::vector<std::string> pieces(1);
  for (std::size_t from = 0; from <= text.size();) {
    const std::size_t to = std::min(text.find(' ', from), text.size());
    const std::string word = text.substr(from, to - from);
    std::string& last = pieces.back();
    if (last.empty())
      last = word;
    else if (width_of(last) + 1 + width_of(word) <= columns)
      last += " " + word;
    else
      pieces.push_back(word);
    from = to + 1;
  }
  return pieces;
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

std::string wrapped(const std::string& text) {
  std::string made;
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t to = std::min(text.find('\n', from), text.size());
    const std::string line = text.substr(from, to - from);
    const std::string indent(std::min(line.find_first_not_of(' '), line.size()), ' ');
    if (width_of(line) <= page_columns)
      made += line + "\n";
    else
      for (const std::string& piece : pieces_of(line.substr(indent.size()), page_columns - indent.size()))
        made += indent + piece + "\n";
    from = to + 1;
  }
  return made;
}

std::string table(const std::vector<Align>& columns, const std::vector<std::vector<std::string>>& rows) {
  constexpr std::size_t least_last_columns = 24;
  const std::size_t last = columns.size() - 1;
  std::vector<std::size_t> widths(columns.size(), 0);
  for (const auto& row : rows)
    for (std::size_t i = 0; i < columns.size(); ++i) widths[i] = std::max(widths[i], width_of(row[i]));
  std::size_t before_last = 0;
  for (std::size_t i = 0; i < last; ++i) before_last += 2 + widths[i];
  before_last += 2;
  if (columns[last] == Align::left && before_last + widths[last] > page_columns)
    widths[last] = std::max(least_last_columns, page_columns - std::min(page_columns, before_last));
  std::string text;
  for (const auto& row : rows) {
    std::string line;
    for (std::size_t i = 0; i < columns.size(); ++i) {
      const std::size_t blanks = widths[i] - std::min(widths[i], width_of(row[i]));
      line += "  ";
      if (columns[i] == Align::right) line.append(blanks, ' ');
      if (i < last) line += row[i];
      if (columns[i] == Align::left && i < last) line.append(blanks, ' ');
    }
    const std::vector<std::string> pieces =
        columns[last] == Align::left ? pieces_of(row[last], widths[last]) : std::vector{row[last]};
    line += pieces.front();
    line.erase(line.find_last_not_of(' ') + 1);
    for (std::size_t i = 1; i < pieces.size(); ++i) {
      line += '\n';
      line.append(before_last, ' ');
      line += pieces[i];
    }
    text += line + "\n";
  }
  return text;
}

std::string cautions() {
  return "Turn the engine by hand only, in the running direction, plugs out. These figures are a plan:\n"
         "confirm the clearance between piston and valve physically before starting. The engine maker's\n"
         "limits and a qualified engine builder's judgement come first.\n";
}

} // namespace phasewright::cli
