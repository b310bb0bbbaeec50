#include "files/lobe_table.hpp"

#include "files/document.hpp"
#include "files/limits.hpp"
#include "files/lobe_noise.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>
#include <vector>

namespace phasewright {

namespace {

constexpr double widest_step_deg = 10; // cam degrees; wider, a spline through the rows would be a guess
constexpr double base_circle_mm =
    0.02;                        // lift that still counts as the base circle: two graduations of a dial indicator
constexpr double hair_mm = 1e-9; // so that a difference of two decimal figures counts as it is written
constexpr double least_lift_mm = 0.5;
// Where a lobe rises or falls so slowly that a sound reading may step back by as much as that.
constexpr double ramp_mm = 0.4;        // ramps are seldom higher: common practice, no source
constexpr double nose_within_mm = 0.1; // a few degrees on either side of the nose
constexpr double most_lift_mm = 40;
constexpr std::size_t most_problems = 20; // a table with more is no lobe table

struct Row {
  int line;
  int angle_column;
  int lift_column;
  double cam_deg;
  double lift_mm;
};

std::string_view trimmed(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t\r");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t\r") - first + 1);
}

struct Cell {
  std::string_view text;
  int column;
};

// At most three, which is one too many.
std::vector<Cell> cells_of(std::string_view line) {
  std::vector<Cell> cells;
  for (std::size_t from = 0; cells.size() < 3;) {
    const std::size_t comma = line.find(',', from);
    const std::string_view cell = line.substr(from, comma == std::string_view::npos ? comma : comma - from);
    const std::size_t lead = cell.find_first_not_of(" \t\r");
    cells.push_back({trimmed(cell), static_cast<int>(from + (lead == std::string_view::npos ? 0 : lead)) + 1});
    if (comma == std::string_view::npos) break;
    from = comma + 1;
  }
  return cells;
}

std::optional<double> figure(std::string_view text) {
  if (text.starts_with('+')) text.remove_prefix(1);
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

// 3 of "1.250", 4 of "1.25e-2".
int digits_after_point(std::string_view text) {
  const std::size_t power_at = text.find_first_of("eE");
  const std::string_view plain = text.substr(0, power_at);
  const std::size_t point = plain.find('.');
  int digits = point == std::string_view::npos ? 0 : static_cast<int>(plain.size() - point) - 1;
  if (power_at != std::string_view::npos)
    if (const auto power = figure(text.substr(power_at + 1)))
      digits -= static_cast<int>(std::clamp(*power, -99.0, 99.0));
  return std::clamp(digits, 0, 12);
}

class TableReader {
public:
  explicit TableReader(const std::string& file) : file_(file) {}

  Result<LobeTable> read(std::string_view text) {
    int number = 0;
    while (!text.empty() && problems_.size() < most_problems && rows_.size() <= limits::table_rows_most) {
      const std::size_t end = text.find('\n');
      ++number;
      read_line(text.substr(0, end), number);
      text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
    }
    if (!header_ && problems_.empty()) add(number, 1, "", "no line that names the columns", "cam_deg,lift_mm");
    if (problems_.empty()) check_count(number);
    if (problems_.empty()) check_angles();
    if (problems_.empty()) check_lifts();
    if (!problems_.empty()) return problems_;
    LobeTable table;
    table.lift_of = lift_of_;
    table.last_digit_mm = length_ * std::pow(10.0, -digits_);
    for (const Row& row : rows_) {
      table.cam_deg.push_back(row.cam_deg);
      table.lift_mm.push_back(row.lift_mm);
    }
    return table;
  }

  // Of a table that has been read without a problem.
  void add_cautions(const LobeTable& table, std::vector<std::string>& cautions) const {
    for (const StrayReading& stray : stray_readings(table.cam_deg, table.lift_mm)) {
      const double off = std::abs(stray.off_mm);
      cautions.push_back(fmt::format(
          "{}:{}: row {}: {} {} the curve through its neighbours; check the reading", file_, rows_[stray.row].line,
          stray.row + 1, length_ > 1 ? fmt::format("{:.4f} in", off / length_) : fmt::format("{:.2f} mm", off),
          stray.off_mm > 0 ? "above" : "below"));
    }
  }

private:
  void add(int line, int column, std::string key, std::string found, std::string allowed, std::string advice = {}) {
    if (problems_.size() >= most_problems) return;
    problems_.push_back({file_, line, column, std::move(key), std::move(found), std::move(allowed), std::move(advice)});
  }

  void add_angle(std::size_t i, std::string allowed, std::string advice) {
    add(rows_[i].line, rows_[i].angle_column, fmt::format("row {} {}", i + 1, angle_name()),
        fmt::format("{}", rows_[i].cam_deg / degree_), std::move(allowed), std::move(advice));
  }

  void add_lift(std::size_t i, std::string allowed, std::string advice) {
    add(rows_[i].line, rows_[i].lift_column, fmt::format("row {} {}", i + 1, lift_name()),
        fmt::format("{}", rows_[i].lift_mm / length_), std::move(allowed), std::move(advice));
  }

  [[nodiscard]] const char* angle_name() const { return degree_ < 1 ? "crank_deg" : "cam_deg"; }
  [[nodiscard]] const char* lift_name() const {
    if (lift_of_ == LiftOf::lobe) return length_ > 1 ? "lobe_in" : "lobe_mm";
    return length_ > 1 ? "lift_in" : "lift_mm";
  }

  void read_line(std::string_view line, int number) {
    const std::string_view bare = trimmed(line);
    if (bare.empty() || bare.front() == '#') return;
    const std::vector<Cell> cells = cells_of(line);
    if (!header_) {
      read_header(cells, bare, number);
      return;
    }
    const std::string row = fmt::format("row {}", rows_.size() + 1);
    if (cells.size() != 2) {
      add(number, 1, row, shorten(bare), "two figures and a comma between them");
      return;
    }
    const Cell& angle = cells[angle_first_ ? 0 : 1];
    const Cell& lift = cells[angle_first_ ? 1 : 0];
    const auto angle_value = figure(angle.text);
    const auto lift_value = figure(lift.text);
    const auto shown = [](std::string_view text) { return text.empty() ? std::string("nothing") : shorten(text); };
    if (!angle_value) add(number, angle.column, row + " " + angle_name(), shown(angle.text), "a figure");
    if (!lift_value) add(number, lift.column, row + " " + lift_name(), shown(lift.text), "a figure");
    digits_ = std::max(digits_, digits_after_point(lift.text));
    rows_.push_back(
        {number, angle.column, lift.column, angle_value.value_or(0) * degree_, lift_value.value_or(0) * length_});
  }

  void read_header(const std::vector<Cell>& cells, std::string_view line, int number) {
    header_ = true;
    bool angle = false;
    bool lift = false;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      const std::string_view name = cells[i].text;
      if (name == "cam_deg" || name == "crank_deg") {
        angle = true;
        angle_first_ = i == 0;
        degree_ = name == "crank_deg" ? 0.5 : 1;
      } else if (name == "lift_mm" || name == "lift_in" || name == "lobe_mm" || name == "lobe_in") {
        lift = true;
        length_ = name.ends_with("_in") ? 25.4 : 1;
        lift_of_ = name.starts_with("lobe") ? LiftOf::lobe : LiftOf::tappet;
      }
    }
    if (cells.size() != 2 || !angle || !lift)
      add(number, 1, "columns", shorten(line), "cam_deg (or crank_deg) and lift_mm (or lift_in, lobe_mm, lobe_in)");
  }

  void check_count(int last_line) {
    if (rows_.size() >= limits::table_rows_least && rows_.size() <= limits::table_rows_most) return;
    const bool many = rows_.size() > limits::table_rows_most;
    add(many ? rows_.back().line : last_line, 1, "", many ? "more rows" : fmt::format("{} rows", rows_.size()),
        count_of_rows());
  }

  static std::string count_of_rows() {
    return fmt::format("{} to {} rows", limits::table_rows_least, limits::table_rows_most);
  }

  void check_angles() {
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      const double deg = rows_[i].cam_deg;
      if (!(std::abs(deg) <= 180)) add_angle(i, fmt::format("{} to {}", -180 / degree_, 180 / degree_), "");
      if (i == 0) continue;
      const double before = rows_[i - 1].cam_deg;
      if (!(deg > before)) {
        add_angle(i, fmt::format("more than {}", before / degree_), "angles rise from row to row");
      } else if (!(deg - before <= widest_step_deg)) {
        add_angle(i, fmt::format("at most {}", (before + widest_step_deg) / degree_),
                  "the rows are too far apart to draw a curve through");
      }
    }
    if (problems_.empty() && !(rows_.back().cam_deg - rows_.front().cam_deg <= 360))
      add_angle(rows_.size() - 1, fmt::format("at most {}", (rows_.front().cam_deg + 360) / degree_),
                "a lobe has one turn");
  }

  void check_lifts() {
    for (std::size_t i = 0; i < rows_.size(); ++i)
      if (!(rows_[i].lift_mm >= 0 && rows_[i].lift_mm <= most_lift_mm))
        add_lift(i, fmt::format("0 to {}", most_lift_mm / length_), "");
    if (!problems_.empty()) return;

    const auto higher = [](const Row& a, const Row& b) { return a.lift_mm < b.lift_mm; };
    const auto nose = static_cast<std::size_t>(std::max_element(rows_.begin(), rows_.end(), higher) - rows_.begin());
    if (!(rows_[nose].lift_mm >= least_lift_mm)) {
      add_lift(nose, fmt::format("at least {}", least_lift_mm / length_), "this is the greatest lift of the table");
      return;
    }
    const std::string base = fmt::format("at most {}", base_circle_mm / length_);
    if (!(rows_.front().lift_mm <= base_circle_mm)) add_lift(0, base, "the table begins on the base circle");
    check_rise(nose);
    check_fall(nose);
    if (!(rows_.back().lift_mm <= base_circle_mm))
      add_lift(rows_.size() - 1, base, "the table ends on the base circle");
    if (problems_.empty()) check_nose(nose);
  }

  // By how much the reading may lie on the wrong side of one of that lift beside it.
  [[nodiscard]] double back_step_mm(double lift_mm, std::size_t nose) const {
    return lift_mm <= ramp_mm || lift_mm >= rows_[nose].lift_mm - nose_within_mm ? base_circle_mm + hair_mm : 0;
  }

  // Each row against the highest so far, so that small steps back do not add up.
  void check_rise(std::size_t nose) {
    double highest_mm = rows_.front().lift_mm;
    for (std::size_t i = 1; i <= nose; ++i) {
      const double least_mm = highest_mm - back_step_mm(highest_mm, nose);
      if (!(rows_[i].lift_mm >= least_mm))
        add_lift(i, fmt::format("at least {:.6g}", least_mm / length_), "lift rises without a break to one nose");
      highest_mm = std::max(highest_mm, rows_[i].lift_mm);
    }
  }

  void check_fall(std::size_t nose) {
    double lowest_mm = rows_[nose].lift_mm;
    for (std::size_t i = nose + 1; i < rows_.size(); ++i) {
      const double most_mm = lowest_mm + back_step_mm(lowest_mm, nose);
      if (!(rows_[i].lift_mm <= most_mm))
        add_lift(i, fmt::format("at most {:.6g}", most_mm / length_), "lift falls without a break from one nose");
      lowest_mm = std::min(lowest_mm, rows_[i].lift_mm);
    }
  }

  // `nose`: the first row of the greatest lift; a flat nose may have several, or several within what a reading may be
  // out by.
  void check_nose(std::size_t nose) {
    const double flat_mm = rows_[nose].lift_mm - base_circle_mm - hair_mm;
    std::size_t first = nose;
    std::size_t last = nose;
    while (first > 1 && rows_[first - 1].lift_mm >= flat_mm) --first;
    while (last + 2 < rows_.size() && rows_[last + 1].lift_mm >= flat_mm) ++last;
    const double from = rows_[first - 1].cam_deg; // the greatest lift is neither in the first nor in the last row
    const double to = rows_[last + 1].cam_deg;
    if (from <= 0 && to >= 0) return;
    const double step = from > 0 ? rows_[first].cam_deg - from : to - rows_[last].cam_deg;
    add_angle(nose, fmt::format("{} to {}", -step / degree_, step / degree_),
              "the greatest lift stands here; angles count from the nose");
  }

  std::string file_;
  Problems problems_;
  std::vector<Row> rows_;
  bool header_ = false;
  bool angle_first_ = true;
  double degree_ = 1; // cam degrees to one of the table's
  double length_ = 1; // millimetres to one of the table's
  LiftOf lift_of_ = LiftOf::tappet;
  int digits_ = 0; // most that any lift has after its point
};

} // namespace

Result<LobeTable> parse_lobe_table(std::string_view text, const std::string& file, std::vector<std::string>* cautions) {
  TableReader reader(file);
  auto table = reader.read(text);
  if (table && cautions != nullptr) reader.add_cautions(*table, *cautions);
  return table;
}

Result<LobeTable> read_lobe_table(const Folder& folder, const std::string& name, const std::string& key,
                                  std::vector<std::string>* cautions) {
  const std::filesystem::path path(name);
  const bool leads_out = path.is_absolute() || std::find(path.begin(), path.end(), "..") != path.end();
  Problem problem;
  problem.key = key;
  if (name.empty() || leads_out) {
    problem.allowed = "the name of a file beside the engine file";
    return problem;
  }
  if (!exists(folder, name)) {
    problem.advice = "there is no such file beside the engine file";
    return problem;
  }
  auto text = read_text(folder, name, limits::table_bytes);
  if (!text) return text.problems();
  auto table = parse_lobe_table(*text, shown_path(folder, name), cautions);
  if (table) table->file = name;
  return table;
}

} // namespace phasewright
