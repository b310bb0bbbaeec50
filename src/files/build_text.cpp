#include "files/build_text.hpp"

#include "files/build_reader.hpp"
#include "files/files.hpp"

#include <fmt/format.h>

namespace phasewright {

namespace {

// The shortest figures that read back as the same number.
std::string toml(double value) {
  return fmt::format("{}", value);
}
std::string toml(int value) {
  return fmt::format("{}", value);
}

std::string toml(const std::string& text) {
  std::string quoted = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') quoted += '\\';
    if (static_cast<unsigned char>(c) < 0x20u || c == 0x7F) {
      quoted += fmt::format("\\u{:04X}", static_cast<unsigned>(static_cast<unsigned char>(c)));
    } else {
      quoted += c;
    }
  }
  return quoted + '"';
}

std::string toml(const std::array<double, 2>& pair) {
  return fmt::format("[{}, {}]", pair[0], pair[1]);
}

template <class T>
std::string toml(const std::vector<T>& values) {
  std::string text = "[";
  for (const T& value : values) text += (text.size() > 1 ? ", " : "") + toml(value);
  return text + "]";
}

// One reading to a line.
template <class T, class Write>
std::string toml_lines(const std::vector<T>& values, Write write) {
  if (values.empty()) return "[]";
  std::string text = "[\n";
  for (const T& value : values) text += "  " + write(value) + ",\n";
  return text + "]";
}

std::string toml(const LobeReading& reading) {
  return fmt::format("{{ valve = \"{}\", cylinder = {}, lift_mm = {}, opens_deg = {}, closes_deg = {} }}",
                     to_word(reading.valve), reading.cylinder, reading.lift_mm, reading.opens_deg, reading.closes_deg);
}

std::string toml(const ClearanceReading& reading) {
  return fmt::format("{{ valve = \"{}\", crank_deg = {}, clearance_mm = {} }}", to_word(reading.valve),
                     reading.crank_deg, reading.clearance_mm);
}

std::string toml(const TargetEvent& event) {
  for (const EventKey& name : event_keys) {
    if (name.kind != event.kind) continue;
    const std::string at = event.at_lift_mm > 0 ? fmt::format(", at_lift_mm = {}", event.at_lift_mm) : "";
    return fmt::format("{{ {} = {}{} }}", name.key, event.deg, at);
  }
  return {};
}

// One figure for all, or a table by name when there is one, with the figure for those not named.
template <class T>
std::string toml_for_each(const T& for_all, const std::map<std::string, T>& by_name) {
  if (by_name.empty()) return toml(for_all);
  std::string text;
  for (const auto& [name, value] : by_name)
    text += fmt::format("{}{} = {}", text.empty() ? "" : ", ", join_key("", name), toml(value));
  if (for_all != T{}) text += fmt::format(", {} = {}", others_key, toml(for_all));
  return "{ " + text + " }";
}

class Entries {
public:
  explicit Entries(const char* table) : table_(table) {}

  template <class T>
  void add(const char* key, const T& value, const T& otherwise) {
    entries_.push_back({table_, key, toml(value), value == otherwise});
  }
  void add_text(const char* key, std::string value, bool is_default) {
    entries_.push_back({table_, key, std::move(value), is_default});
  }
  template <class T>
  void add_optional(const char* key, const std::optional<T>& value) {
    entries_.push_back({table_, key, value ? toml(*value) : "", !value});
  }
  void move_to(std::vector<BuildEntry>& all) const { all.insert(all.end(), entries_.begin(), entries_.end()); }

private:
  const char* table_;
  std::vector<BuildEntry> entries_;
};

Entries fitted_entries(const Fitted& fitted) {
  const Fitted plain;
  Entries entries("fitted");
  entries.add_text("lay", toml_for_each(fitted.lay, fitted.lay_of), fitted.lay_of.empty() && fitted.lay == plain.lay);
  entries.add("crank_key_deg", fitted.crank_key_deg, plain.crank_key_deg);
  entries.add_text("cam_key_deg", toml_for_each(fitted.cam_key_deg, fitted.cam_key_of),
                   fitted.cam_key_of.empty() && fitted.cam_key_deg == plain.cam_key_deg);
  entries.add("elongation_percent", fitted.elongation_percent, plain.elongation_percent);
  entries.add("centre_change_mm", fitted.centre_change_mm, plain.centre_change_mm);
  entries.add_text("holes", fmt::format("[{}, {}]", fitted.holes.hub_hole, fitted.holes.sprocket_hole),
                   fitted.holes == plain.holes);
  entries.add("slot_deg", fitted.slot_deg, plain.slot_deg);
  return entries;
}

Entries target_entries(const Target& target) {
  const Target plain;
  Entries entries("target");
  entries.add_optional("inlet_centre_deg", target.inlet_centre_deg);
  entries.add_optional("phase_deg", target.phase_deg);
  entries.add_optional("event", target.event);
  entries.add("min_clearance_inlet_mm", target.min_clearance_inlet_mm, plain.min_clearance_inlet_mm);
  entries.add("min_clearance_exhaust_mm", target.min_clearance_exhaust_mm, plain.min_clearance_exhaust_mm);
  entries.add("min_clearance_radial_mm", target.min_clearance_radial_mm, plain.min_clearance_radial_mm);
  entries.add("min_valve_to_valve_mm", target.min_valve_to_valve_mm, plain.min_valve_to_valve_mm);
  return entries;
}

Entries stock_entries(const Stock& stock) {
  const Stock plain;
  Entries entries("stock");
  entries.add("crank_key_deg", stock.crank_key_deg, plain.crank_key_deg);
  entries.add("cam_key_deg", stock.cam_key_deg, plain.cam_key_deg);
  entries.add_text("vernier",
                   stock.vernier ? fmt::format("{{ hub_holes = {}, sprocket_holes = {} }}", stock.vernier->hub_holes,
                                               stock.vernier->sprocket_holes)
                                 : "",
                   !stock.vernier);
  entries.add_optional("slots_deg", stock.slots_deg);
  entries.add("shim_mm", stock.shim_mm, plain.shim_mm);
  return entries;
}

// What was fitted then, in one line.
std::string toml_fitted(const Fitted& fitted) {
  std::vector<BuildEntry> entries;
  fitted_entries(fitted).move_to(entries);
  std::string text;
  for (const BuildEntry& entry : entries)
    if (!entry.is_default) text += (text.empty() ? "{ " : ", ") + entry.key + " = " + entry.value;
  return text.empty() ? "{}" : text + " }";
}

Entries measured_entries(const Measured& measured, const Fitted& fitted) {
  Entries entries("measured");
  // Readings keep what was fitted when they were taken, also when something else is fitted now.
  const bool as_fitted_now = !has_readings(measured) || measured.with == fitted;
  entries.add_text("with", as_fitted_now ? "" : toml_fitted(measured.with), as_fitted_now);
  const auto write = [](const auto& reading) { return toml(reading); };
  entries.add_text("stop_deg", toml(measured.stop_deg), measured.stop_deg.empty());
  entries.add_text("lobe", toml_lines(measured.lobe, write), measured.lobe.empty());
  entries.add_text("clearance", toml_lines(measured.clearance, write), measured.clearance.empty());
  entries.add_text("gap_mm",
                   measured.gap ? fmt::format("{{ near = {}, far = {}, under = {} }}", measured.gap->near_mm,
                                              measured.gap->far_mm, toml(measured.gap->under))
                                : "",
                   !measured.gap);
  entries.add_text("float_mm", toml(measured.float_mm), measured.float_mm.empty());
  return entries;
}

Entries instrument_entries(const Instruments& instruments) {
  const Instruments plain;
  Entries entries("instruments");
  entries.add("wheel_deg", instruments.wheel_deg, plain.wheel_deg);
  entries.add("indicator_mm", instruments.indicator_mm, plain.indicator_mm);
  entries.add("dimension_mm", instruments.dimension_mm, plain.dimension_mm);
  return entries;
}

} // namespace

std::vector<BuildEntry> build_entries(const Build& build) {
  std::vector<BuildEntry> all;
  all.push_back({"", "engine", toml(build.engine), false});
  all.push_back({"", "title", toml(build.title), build.title.empty()});
  fitted_entries(build.fitted).move_to(all);
  target_entries(build.target).move_to(all);
  stock_entries(build.stock).move_to(all);
  measured_entries(build.measured, build.fitted).move_to(all);
  instrument_entries(build.instruments).move_to(all);
  return all;
}

std::string build_text(const Build& build) {
  std::string text = fmt::format("format = \"{}\"\n", build_format);
  std::string table;
  for (const BuildEntry& entry : build_entries(build)) {
    if (entry.value.empty() || entry.is_default) continue;
    if (entry.table != table) text += fmt::format("\n[{}]\n", entry.table);
    table = entry.table;
    text += fmt::format("{} = {}\n", entry.key, entry.value);
  }
  return text;
}

} // namespace phasewright
