#include "viewer/document.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <functional>

namespace phasewright::viewer {

namespace {

template <class T>
bool all_same(const std::vector<T>& a, const std::vector<T>& b) {
  return std::ranges::equal(a, b, [](const T& one, const T& other) { return same(one, other); });
}

bool same_set(const Measured& a, const Measured& b) {
  return a.with == b.with && a.engine == b.engine;
}

} // namespace

bool same(const LobeReading& a, const LobeReading& b) {
  return a.valve == b.valve && a.cylinder == b.cylinder && a.lift_mm == b.lift_mm && a.at == b.at &&
         a.opens_deg == b.opens_deg && a.closes_deg == b.closes_deg;
}

bool same(const KeyReading& a, const KeyReading& b) {
  return a.shaft == b.shaft && a.height_mm == b.height_mm && a.width_mm == b.width_mm &&
         a.seat_depth_mm == b.seat_depth_mm && a.seat_width_mm == b.seat_width_mm && a.hub_depth_mm == b.hub_depth_mm &&
         a.hub_width_mm == b.hub_width_mm;
}

bool same(const ClearanceReading& a, const ClearanceReading& b) {
  return a.valve == b.valve && a.crank_deg == b.crank_deg && a.clearance_mm == b.clearance_mm;
}

bool same_wheel_readings(const Measured& a, const Measured& b) {
  return same_set(a, b) && a.stop_deg == b.stop_deg && all_same(a.lobe, b.lobe);
}

bool same_clearances(const Measured& a, const Measured& b) {
  return same_set(a, b) && all_same(a.clearance, b.clearance);
}

bool same_gap(const Measured& a, const Measured& b) {
  if (a.with.shim_mm != b.with.shim_mm || a.gap.has_value() != b.gap.has_value()) return false;
  return !a.gap || (a.gap->near_mm == b.gap->near_mm && a.gap->far_mm == b.gap->far_mm && a.gap->under == b.gap->under);
}

bool same_floats(const Measured& a, const Measured& b) {
  return a.float_mm == b.float_mm && a.float_of == b.float_of && a.plate_mm == b.plate_mm && a.boss_mm == b.boss_mm;
}

bool same_keys(const Measured& a, const Measured& b) {
  return all_same(a.key, b.key);
}

bool same_readings(const Measured& a, const Measured& b) {
  return same_wheel_readings(a, b) && same_clearances(a, b) && same_gap(a, b) && same_floats(a, b) && same_keys(a, b) &&
         a.pins == b.pins;
}

bool same(const Measured& a, const Measured& b) {
  return a.date == b.date && a.note == b.note && same_readings(a, b);
}

bool same(const std::vector<Measured>& a, const std::vector<Measured>& b) {
  return all_same(a, b);
}

bool same_on_file(const Document& a, const Document& b) {
  return a.fitted == b.fitted && a.shelf_mm == b.shelf_mm && same(a.measured, b.measured) && same(a.history, b.history);
}

bool operator==(const Document& a, const Document& b) {
  return a.planned == b.planned && same_on_file(a, b);
}

namespace {

int changed_settings(const Fitted& a, const Fitted& b) {
  int count = 0;
  const auto add = [&count](bool differs) { count += differs ? 1 : 0; };
  add(a.lay != b.lay || a.lay_of != b.lay_of);
  add(a.crank_key_deg != b.crank_key_deg);
  add(a.cam_key_deg != b.cam_key_deg || a.cam_key_of != b.cam_key_of);
  add(a.elongation_percent != b.elongation_percent);
  add(a.centre_change_mm != b.centre_change_mm);
  add(a.vernier != b.vernier || a.holes != b.holes || a.holes_of != b.holes_of);
  add(a.slot_deg != b.slot_deg || a.slot_of != b.slot_of);
  add(a.found_deg != b.found_deg || a.found_of != b.found_of);
  add(a.shim_mm != b.shim_mm);
  return count;
}

// How many of them one list has and the other has not; one that was changed counts once.
template <class T, class Same>
int changed_entries(const std::vector<T>& a, std::vector<T> b, Same alike) {
  int only_a = 0;
  for (const T& one : a) {
    const auto found = std::ranges::find_if(b, [&](const T& other) { return alike(one, other); });
    if (found == b.end())
      ++only_a;
    else
      b.erase(found);
  }
  return std::max(only_a, static_cast<int>(b.size()));
}

template <class T>
int changed_values(const std::vector<T>& a, const std::vector<T>& b) {
  return changed_entries(a, b, std::equal_to<T>());
}

} // namespace

Differences differences(const Document& a, const Document& b) {
  Differences all;
  const auto add = [&all](int count, const char* one, const char* more) {
    if (count == 0) return;
    all.count += count;
    all.words.push_back(fmt::format("{} {}", count, count == 1 ? one : more));
  };
  const auto alike = [](const auto& one, const auto& other) { return same(one, other); };
  const Measured& x = a.measured;
  const Measured& y = b.measured;
  add(changed_settings(a.fitted, b.fitted), "setting of what is fitted", "settings of what is fitted");
  add(changed_values(x.stop_deg, y.stop_deg), "pair of stop readings", "pairs of stop readings");
  add(changed_entries(x.lobe, y.lobe, alike), "reading of a lobe", "readings of lobes");
  add(changed_entries(x.clearance, y.clearance, alike), "reading of clearance", "readings of clearance");
  Measured gap = x; // what was behind the sprocket then is told by the settings
  gap.with = y.with;
  add(same_gap(gap, y) ? 0 : 1, "reading of a gap", "");
  add(changed_values(x.float_mm, y.float_mm), "reading of end float", "readings of end float");
  add((x.float_of != y.float_of ? 1 : 0) + (x.plate_mm != y.plate_mm ? 1 : 0) + (x.boss_mm != y.boss_mm ? 1 : 0),
      "size of what holds the camshaft", "sizes of what holds the camshaft");
  add(changed_entries(x.key, y.key, alike), "key that was measured", "keys that were measured");
  add(changed_values(x.pins, y.pins), "count of pins", "counts of pins");
  add((x.date != y.date ? 1 : 0) + (x.note != y.note ? 1 : 0), "word on the readings", "words on the readings");
  add(changed_entries(a.history, b.history, alike), "set of readings put by", "sets of readings put by");
  add(changed_values(a.shelf_mm, b.shelf_mm), "shim on the shelf", "shims on the shelf");
  if (all.count == 0 && !same_on_file(a, b)) add(1, "thing", "");
  return all;
}

Document settled(Document document) {
  if (has_readings(document.measured)) return document;
  document.measured.with = document.fitted;
  document.measured.engine.reset();
  return document;
}

} // namespace phasewright::viewer
