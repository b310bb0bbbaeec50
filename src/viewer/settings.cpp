#include "viewer/settings.hpp"

#include "files/document.hpp"
#include "files/files.hpp"
#include "files/text_file.hpp"

#include <fmt/format.h>

#include <cmath>
#include <system_error>

namespace phasewright::viewer {

namespace {

namespace fs = std::filesystem;

constexpr const char* format_word = "phasewright-viewer/1";
constexpr std::size_t most_bytes = 64 * 1024;
constexpr double least_scale = 0.75;
constexpr double most_scale = 3.0;

// The keys of the file, each with what is wrong with it.
class SettingsReader {
public:
  SettingsReader(const Node& root, std::string file) : root_(root), file_(std::move(file)) {}

  template <class T>
  std::optional<T> word(const char* key, const char* first, T first_value, const char* second, T second_value) {
    const Node* node = find(root_, key);
    if (node == nullptr) return std::nullopt;
    if (node->kind == Node::Kind::text && node->text == first) return first_value;
    if (node->kind == Node::Kind::text && node->text == second) return second_value;
    refuse(*node, key, fmt::format("\"{}\" or \"{}\"", first, second));
    return std::nullopt;
  }

  std::optional<double> number(const char* key, double least, double most) {
    const Node* node = find(root_, key);
    if (node == nullptr) return std::nullopt;
    const bool is_number = node->kind == Node::Kind::real || node->kind == Node::Kind::integer;
    if (is_number && node->real >= least && node->real <= most) return node->real;
    refuse(*node, key, fmt::format("{} to {}", least, most));
    return std::nullopt;
  }

  void must_be(const char* key, const char* wanted) {
    const Node* node = find(root_, key);
    if (node == nullptr || node->kind != Node::Kind::text || node->text != wanted)
      refuse(node == nullptr ? root_ : *node, key, fmt::format("\"{}\"", wanted));
  }

  Problems problems;

private:
  void refuse(const Node& node, const char* key, std::string allowed) {
    Problem problem = problem_at(key, node.raw.empty() ? "nothing" : node.raw, std::move(allowed));
    problem.file = file_;
    problem.line = node.begin.line;
    problem.column = node.begin.column;
    problems.push_back(std::move(problem));
  }

  const Node& root_;
  std::string file_;
};

std::optional<int> whole(std::optional<double> number) {
  if (!number) return std::nullopt;
  return static_cast<int>(std::lround(*number));
}

} // namespace

Result<Settings> read_settings(const fs::path& file) {
  std::error_code fault;
  if (file.empty() || !fs::exists(file, fault)) return Settings{};
  const auto text = read_text({file.parent_path(), false}, file.filename().string(), most_bytes);
  if (!text) return text.problems();
  const Result<Node> root = parse_document(*text, file.string());
  if (!root) return root.problems();
  SettingsReader reader(*root, file.string());
  reader.must_be("format", format_word);
  Settings settings;
  settings.theme = reader.word("theme", "day", Theme::day, "night", Theme::night);
  settings.scale = reader.number("scale", least_scale, most_scale);
  settings.units = reader.word("units", "mm", Units::mm, "thou", Units::thou);
  settings.width_px = whole(reader.number("width_px", least_window_width_px, most_window_px));
  settings.height_px = whole(reader.number("height_px", least_window_height_px, most_window_px));
  if (!reader.problems.empty()) return reader.problems;
  return settings;
}

std::string settings_text(const Settings& settings) {
  std::string text =
      fmt::format("# How the viewer was left. It is written anew when that changes.\nformat = \"{}\"\n", format_word);
  if (settings.theme) text += fmt::format("theme = \"{}\"\n", *settings.theme == Theme::day ? "day" : "night");
  if (settings.scale) text += fmt::format("scale = {}\n", *settings.scale);
  if (settings.units) text += fmt::format("units = \"{}\"\n", *settings.units == Units::mm ? "mm" : "thou");
  if (settings.width_px) text += fmt::format("width_px = {}\n", *settings.width_px);
  if (settings.height_px) text += fmt::format("height_px = {}\n", *settings.height_px);
  return text;
}

SettingsKeeper::SettingsKeeper(fs::path file, Settings at_first) : file_(std::move(file)), last_(at_first) {}

void SettingsKeeper::update(const Settings& now, bool ending) {
  if (file_.empty()) return;
  const bool resized = now.width_px != last_.width_px || now.height_px != last_.height_px;
  const bool changed = now.theme != last_.theme || now.scale != last_.scale || now.units != last_.units;
  unwritten_ = unwritten_ || resized;
  if (!changed && !(ending && unwritten_)) {
    last_.width_px = now.width_px;
    last_.height_px = now.height_px;
    return;
  }
  // Another viewer may have written meanwhile: what was not changed here stays as it stands there.
  const Result<Settings> there = read_settings(file_);
  Settings kept = there ? *there : Settings{};
  if (now.theme != last_.theme) kept.theme = now.theme;
  if (now.scale != last_.scale) kept.scale = now.scale;
  if (now.units != last_.units) kept.units = now.units;
  if (unwritten_) {
    kept.width_px = now.width_px;
    kept.height_px = now.height_px;
  }
  last_ = now;
  unwritten_ = false;
  std::error_code ignored;
  fs::create_directories(file_.parent_path(), ignored);
  [[maybe_unused]] const std::optional<Problem> unsaid = write_atomic(file_, settings_text(kept));
}

} // namespace phasewright::viewer
