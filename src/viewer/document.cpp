#include "viewer/document.hpp"

#include <algorithm>

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

Document settled(Document document) {
  if (has_readings(document.measured)) return document;
  document.measured.with = document.fitted;
  document.measured.engine.reset();
  return document;
}

} // namespace phasewright::viewer
