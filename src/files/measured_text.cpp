// Sets of readings as the values of a build file.
#include "files/build_text.hpp"
#include "files/key_path.hpp"
#include "files/toml_value.hpp"

namespace phasewright {

namespace {

std::string toml(const LobeReading& reading) {
  const std::string at =
      reading.at ? fmt::format(" at = \"{}\",", *reading.at == CheckAt::valve ? "valve" : "tappet") : "";
  return fmt::format("{{ valve = \"{}\", cylinder = {}, lift_mm = {},{} opens_deg = {}, closes_deg = {} }}",
                     to_word(reading.valve), reading.cylinder, reading.lift_mm, at, reading.opens_deg,
                     reading.closes_deg);
}

std::string toml(const ClearanceReading& reading) {
  return fmt::format("{{ valve = \"{}\", crank_deg = {}, clearance_mm = {} }}", to_word(reading.valve),
                     reading.crank_deg, reading.clearance_mm);
}

std::string toml(const KeyReading& reading) {
  std::string text = "{ shaft = " + phasewright::toml(reading.shaft);
  const auto add = [&text](const char* key, const std::optional<double>& mm) {
    if (mm) text += fmt::format(", {} = {}", key, *mm);
  };
  add("height_mm", reading.height_mm);
  add("width_mm", reading.width_mm);
  add("seat_depth_mm", reading.seat_depth_mm);
  add("seat_width_mm", reading.seat_width_mm);
  add("hub_depth_mm", reading.hub_depth_mm);
  add("hub_width_mm", reading.hub_width_mm);
  return text + " }";
}

// The only camshaft's count stands by itself.
std::string toml(const std::vector<PinCount>& pins) {
  if (pins.size() == 1 && pins[0].camshaft.empty()) return fmt::format("{}", pins[0].pins);
  std::string text;
  for (const PinCount& count : pins)
    text += fmt::format("{}{} = {}", text.empty() ? "{ " : ", ", join_key("", count.camshaft), count.pins);
  return text + " }";
}

// One reading to a line.
template <class T>
std::string lines(const std::vector<T>& values) {
  if (values.empty()) return "[]";
  std::string text = "[\n";
  for (const T& value : values) text += "  " + toml(value) + ",\n";
  return text + "]";
}

std::string toml(const GapReading& gap) {
  return fmt::format("{{ near = {}, far = {}, under = {} }}", gap.near_mm, gap.far_mm, phasewright::toml(gap.under));
}

} // namespace

std::vector<BuildEntry> measured_entries(const Measured& measured, const std::string& table, const Fitted* fitted) {
  std::vector<BuildEntry> entries;
  const auto add = [&](const char* key, std::string value, bool is_default) {
    entries.push_back({table, key, std::move(value), is_default});
  };
  const auto add_text = [&](const char* key, const std::string& text) {
    add(key, text.empty() ? "" : phasewright::toml(text), text.empty());
  };
  const auto add_length = [&](const char* key, const std::optional<double>& mm) {
    add(key, mm ? phasewright::toml(*mm) : "", !mm);
  };
  add_text("date", measured.date);
  add_text("note", measured.note);
  // Readings keep what was fitted when they were taken, also when something else is fitted now.
  const bool as_fitted_now = fitted != nullptr && (!has_readings(measured) || measured.with == *fitted);
  add("with", as_fitted_now ? "" : fitted_text(measured.with), as_fitted_now);
  add("stop_deg", phasewright::toml(measured.stop_deg), measured.stop_deg.empty());
  add("lobe", lines(measured.lobe), measured.lobe.empty());
  add("clearance", lines(measured.clearance), measured.clearance.empty());
  add("gap_mm", measured.gap ? toml(*measured.gap) : "", !measured.gap);
  add("float_mm", phasewright::toml(measured.float_mm), measured.float_mm.empty());
  add_text("float_of", measured.float_of);
  add_length("plate_mm", measured.plate_mm);
  add_length("boss_mm", measured.boss_mm);
  add("pins", measured.pins.empty() ? "" : toml(measured.pins), measured.pins.empty());
  add("key", lines(measured.key), measured.key.empty());
  return entries;
}

} // namespace phasewright
