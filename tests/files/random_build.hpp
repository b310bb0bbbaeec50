// Random builds with everything in them that can be said, and whether two are the same.
#pragma once

#include "files/folder.hpp"

#include <random>
#include <tuple>

namespace phasewright::testing {

class Dice {
public:
  explicit Dice(unsigned seed) : random_(seed) {}

  bool coin() { return std::uniform_int_distribution(0, 1)(random_) == 1; }
  int whole(int from, int to) { return std::uniform_int_distribution(from, to)(random_); }
  double number(double from, double to) { return std::uniform_real_distribution(from, to)(random_); }
  std::optional<double> maybe(double from, double to) {
    return coin() ? std::optional(number(from, to)) : std::nullopt;
  }
  std::vector<double> numbers(double from, double to, int most) {
    std::vector<double> all(static_cast<std::size_t>(whole(0, most)));
    for (double& one : all) one = number(from, to);
    return all;
  }
  std::string words() {
    static const std::array<std::string, 5> some{"", "cold", "the \"long\" stop", "back\\slash # no comment", "Fähre"};
    return some[static_cast<std::size_t>(whole(0, 4))];
  }
  ValveKind kind() { return coin() ? ValveKind::inlet : ValveKind::exhaust; }

private:
  std::mt19937 random_;
};

inline constexpr std::array<const char*, 2> twin_camshafts{"inlet", "exhaust"};

inline Fitted some_fitted(Dice& dice) {
  Fitted fitted;
  fitted.vernier = {10, 11};
  fitted.lay = dice.whole(-2, 2);
  fitted.crank_key_deg = dice.number(-4, 4);
  fitted.cam_key_deg = dice.number(-4, 4);
  fitted.elongation_percent = dice.number(0, 0.5);
  fitted.centre_change_mm = dice.number(-0.2, 0);
  fitted.holes = {dice.whole(0, 9), dice.whole(0, 10)};
  fitted.slot_deg = dice.coin() ? dice.number(-3, 3) : 0.0;
  fitted.found_deg = dice.coin() ? dice.number(-5, 5) : 0.0;
  for (const char* name : twin_camshafts) {
    if (dice.coin()) fitted.lay_of[name] = dice.whole(-2, 2);
    if (dice.coin()) fitted.cam_key_of[name] = dice.number(-4, 4);
    if (dice.coin()) fitted.holes_of[name] = {dice.whole(0, 9), dice.whole(0, 10)};
    if (dice.coin()) fitted.slot_of[name] = dice.number(-3, 3);
    if (dice.coin()) fitted.found_of[name] = dice.number(-5, 5);
  }
  fitted.shim_mm = dice.numbers(0.01, 1, 3);
  return fitted;
}

inline Target some_target(Dice& dice) {
  Target target;
  switch (dice.whole(0, 5)) {
  case 0:
    target.inlet_centre_deg = dice.number(100, 115);
    target.exhaust_centre_deg = dice.maybe(100, 115);
    break;
  case 1:
    target.exhaust_centre_deg = dice.number(100, 115);
    break;
  case 2:
    target.phase_deg = dice.number(-5, 5);
    break;
  case 3:
    target.event = TargetEvent{EventKind::exhaust_opens, dice.number(30, 60), dice.coin() ? 1.0 : 0.0};
    break;
  case 4:
    target.equal_lift_at_tdc = true;
    break;
  default:
    target.effective_ratio = dice.number(5, 9);
    break;
  }
  if (dice.coin()) target.camshaft = twin_camshafts[static_cast<std::size_t>(dice.whole(0, 1))];
  target.preset_for_wear = dice.coin();
  return target;
}

inline Measured some_measured(Dice& dice) {
  Measured measured;
  measured.with = some_fitted(dice);
  measured.date = dice.coin() ? "2026-02-28" : "";
  measured.note = dice.words();
  for (int i = dice.whole(0, 2); i > 0; --i) measured.stop_deg.push_back({dice.number(-60, -40), dice.number(40, 60)});
  for (int i = dice.whole(0, 3); i > 0; --i) {
    LobeReading reading{dice.kind(), dice.whole(1, 2), dice.number(1, 5), {}, dice.number(0, 720), dice.number(0, 720)};
    if (dice.coin()) reading.at = dice.coin() ? CheckAt::valve : CheckAt::tappet;
    measured.lobe.push_back(reading);
  }
  for (int i = dice.whole(0, 2); i > 0; --i)
    measured.clearance.push_back({dice.kind(), dice.number(0, 720), dice.number(0, 5)});
  if (dice.coin()) measured.gap = GapReading{dice.number(0, 1), dice.number(0, 1), "crank"};
  measured.float_mm = dice.numbers(0, 0.2, 3);
  if (dice.coin()) measured.float_of = twin_camshafts[static_cast<std::size_t>(dice.whole(0, 1))];
  measured.plate_mm = dice.maybe(2, 5);
  measured.boss_mm = dice.maybe(5, 6);
  for (const char* name : twin_camshafts)
    if (dice.coin()) measured.pins.push_back({name, dice.whole(0, 60)});
  if (dice.coin())
    measured.key.push_back({"crank", dice.maybe(1, 9), dice.maybe(1, 9), dice.maybe(1, 9), dice.maybe(1, 9),
                            dice.maybe(1, 9), dice.maybe(1, 9)});
  // Something must be there, or the set says nothing and what was fitted then is not kept.
  if (!has_readings(measured)) measured.float_mm = {0.1};
  return measured;
}

inline Build some_build(unsigned seed) {
  Dice dice(seed);
  Build build;
  build.engine = "marram-2050.toml";
  build.title = dice.words();
  build.stock.vernier = Vernier{10, 11};
  build.fitted = some_fitted(dice);
  build.target = some_target(dice);
  build.measured = some_measured(dice);
  for (int i = dice.whole(0, 3); i > 0; --i) build.history.push_back(some_measured(dice));
  build.instruments.feeler_mm = dice.number(0.001, 1);
  build.instruments.caliper_mm = dice.number(0.001, 1);
  build.tolerances = {dice.number(0, 1), dice.number(0, 1), dice.number(0, 1), dice.number(0, 1),
                      dice.number(0, 1), dice.number(0, 1), dice.number(0, 1)};
  return build;
}

inline auto tied(const LobeReading& r) {
  return std::tie(r.valve, r.cylinder, r.lift_mm, r.at, r.opens_deg, r.closes_deg);
}
inline auto tied(const ClearanceReading& r) {
  return std::tie(r.valve, r.crank_deg, r.clearance_mm);
}
inline auto tied(const KeyReading& r) {
  return std::tie(r.shaft, r.height_mm, r.width_mm, r.seat_depth_mm, r.seat_width_mm, r.hub_depth_mm, r.hub_width_mm);
}
inline auto tied(const GapReading& r) {
  return std::tie(r.near_mm, r.far_mm, r.under);
}

template <class T>
void check_all(const std::vector<T>& a, const std::vector<T>& b) {
  REQUIRE(a.size() == b.size());
  for (std::size_t i = 0; i < a.size(); ++i) CHECK(tied(a[i]) == tied(b[i]));
}

inline void check_same(const Measured& a, const Measured& b) {
  CHECK(a.with == b.with);
  CHECK(std::tie(a.date, a.note, a.stop_deg, a.float_mm, a.float_of, a.plate_mm, a.boss_mm, a.pins) ==
        std::tie(b.date, b.note, b.stop_deg, b.float_mm, b.float_of, b.plate_mm, b.boss_mm, b.pins));
  check_all(a.lobe, b.lobe);
  check_all(a.clearance, b.clearance);
  check_all(a.key, b.key);
  REQUIRE(a.gap.has_value() == b.gap.has_value());
  if (a.gap) CHECK(tied(*a.gap) == tied(*b.gap));
}

inline auto tied(const Tolerances& t) {
  return std::tie(t.centre_mm, t.chain_percent, t.keyway_mm, t.crank_sprocket_deg, t.cam_sprocket_deg, t.key_deg,
                  t.lobe_centre_deg);
}

inline auto tied(const Target& t) {
  return std::tie(t.inlet_centre_deg, t.exhaust_centre_deg, t.phase_deg, t.equal_lift_at_tdc, t.effective_ratio,
                  t.camshaft, t.preset_for_wear);
}

inline void check_same(const Build& a, const Build& b) {
  CHECK(a.title == b.title);
  CHECK(a.fitted == b.fitted);
  CHECK(tied(a.target) == tied(b.target));
  REQUIRE(a.target.event.has_value() == b.target.event.has_value());
  if (a.target.event)
    CHECK(std::tie(a.target.event->kind, a.target.event->deg, a.target.event->at_lift_mm) ==
          std::tie(b.target.event->kind, b.target.event->deg, b.target.event->at_lift_mm));
  check_same(a.measured, b.measured);
  REQUIRE(a.history.size() == b.history.size());
  for (std::size_t i = 0; i < a.history.size(); ++i) check_same(a.history[i], b.history[i]);
  CHECK(a.instruments.feeler_mm == b.instruments.feeler_mm);
  CHECK(a.instruments.caliper_mm == b.instruments.caliper_mm);
  CHECK(tied(a.tolerances) == tied(b.tolerances));
}

inline Build opened_build(const Folder& folder) {
  const auto opened = open_any(folder / "x.build.toml");
  INFO((opened ? std::string() : to_text(opened.problems())));
  REQUIRE(opened.ok());
  return opened->build;
}

} // namespace phasewright::testing
