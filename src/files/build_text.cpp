#include "files/build_text.hpp"

#include "files/build_reader.hpp"
#include "files/files.hpp"
#include "files/toml_value.hpp"

#include <fmt/format.h>

namespace phasewright {

namespace {

using phasewright::toml;

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
  entries.add_text("holes", toml_for_each(fitted.holes, fitted.holes_of),
                   fitted.holes_of.empty() && fitted.holes == plain.holes);
  entries.add_text("slot_deg", toml_for_each(fitted.slot_deg, fitted.slot_of),
                   fitted.slot_of.empty() && fitted.slot_deg == plain.slot_deg);
  entries.add_text("found_deg", toml_for_each(fitted.found_deg, fitted.found_of),
                   fitted.found_of.empty() && fitted.found_deg == plain.found_deg);
  entries.add("shim_mm", fitted.shim_mm, plain.shim_mm);
  return entries;
}

Entries target_entries(const Target& target) {
  const Target plain;
  Entries entries("target");
  entries.add_optional("inlet_centre_deg", target.inlet_centre_deg);
  entries.add_optional("exhaust_centre_deg", target.exhaust_centre_deg);
  entries.add_optional("phase_deg", target.phase_deg);
  entries.add_optional("event", target.event);
  entries.add_text("equal_lift_at_tdc", target.equal_lift_at_tdc ? "true" : "", !target.equal_lift_at_tdc);
  entries.add_optional("effective_ratio", target.effective_ratio);
  entries.add_text("camshaft", target.camshaft.empty() ? "" : toml(target.camshaft), target.camshaft.empty());
  entries.add_text("preset_for_wear", target.preset_for_wear ? "true" : "", !target.preset_for_wear);
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

Entries instrument_entries(const Instruments& instruments) {
  const Instruments plain;
  Entries entries("instruments");
  entries.add("wheel_deg", instruments.wheel_deg, plain.wheel_deg);
  entries.add("indicator_mm", instruments.indicator_mm, plain.indicator_mm);
  entries.add("dimension_mm", instruments.dimension_mm, plain.dimension_mm);
  entries.add("feeler_mm", instruments.feeler_mm, plain.feeler_mm);
  entries.add("caliper_mm", instruments.caliper_mm, plain.caliper_mm);
  return entries;
}

Entries tolerance_entries(const Tolerances& tolerances) {
  const Tolerances plain;
  Entries entries("tolerance");
  entries.add("centre_mm", tolerances.centre_mm, plain.centre_mm);
  entries.add("chain_percent", tolerances.chain_percent, plain.chain_percent);
  entries.add("keyway_mm", tolerances.keyway_mm, plain.keyway_mm);
  entries.add("crank_sprocket_deg", tolerances.crank_sprocket_deg, plain.crank_sprocket_deg);
  entries.add("cam_sprocket_deg", tolerances.cam_sprocket_deg, plain.cam_sprocket_deg);
  entries.add("key_deg", tolerances.key_deg, plain.key_deg);
  entries.add("lobe_centre_deg", tolerances.lobe_centre_deg, plain.lobe_centre_deg);
  return entries;
}

std::string in_one_value(const std::vector<BuildEntry>& entries) {
  std::string text;
  for (const BuildEntry& entry : entries)
    if (!entry.is_default && !entry.value.empty())
      text += (text.empty() ? "{ " : ", ") + entry.key + " = " + entry.value;
  return text.empty() ? "{}" : text + " }";
}

} // namespace

std::string fitted_text(const Fitted& fitted) {
  std::vector<BuildEntry> entries;
  fitted_entries(fitted).move_to(entries);
  return in_one_value(entries);
}

std::string history_value(const Measured& set) {
  return in_one_value(measured_entries(set, "history", nullptr));
}

std::string history_text(const Build& build, std::size_t from) {
  std::string text;
  for (std::size_t i = from; i < build.history.size(); ++i) {
    text += "\n[[history]]\n";
    for (const BuildEntry& entry : measured_entries(build.history[i], "history", nullptr))
      if (!entry.is_default && !entry.value.empty()) text += fmt::format("{} = {}\n", entry.key, entry.value);
  }
  return text;
}

std::vector<BuildEntry> build_entries(const Build& build) {
  std::vector<BuildEntry> all;
  all.push_back({"", "engine", toml(build.engine), false});
  all.push_back({"", "title", toml(build.title), build.title.empty()});
  fitted_entries(build.fitted).move_to(all);
  target_entries(build.target).move_to(all);
  stock_entries(build.stock).move_to(all);
  const std::vector<BuildEntry> measured = measured_entries(build.measured, "measured", &build.fitted);
  all.insert(all.end(), measured.begin(), measured.end());
  instrument_entries(build.instruments).move_to(all);
  tolerance_entries(build.tolerances).move_to(all);
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
  return text + history_text(build, 0);
}

} // namespace phasewright
