#include "bench/key_fit.hpp"

#include "bench/fit_words.hpp"
#include "geometry/angle.hpp"
#include "mechanics/uncertainty.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>

namespace phasewright {

namespace {

constexpr double cover = 2.0; // k

const ShaftSeat* find_seat(const Engine& engine, const std::string& shaft) {
  if (shaft == "crank") return &engine.crank_seat;
  const auto seat = engine.cam_seats.find(shaft);
  return seat == engine.cam_seats.end() ? nullptr : &seat->second;
}

KeyReading reading_of(const Measured& measured, const std::string& shaft) {
  const auto reading = std::ranges::find(measured.key, shaft, &KeyReading::shaft);
  return reading == measured.key.end() ? KeyReading{} : *reading;
}

// How many of the figures were measured.
int count_of(std::initializer_list<std::optional<double>> figures) {
  return static_cast<int>(std::ranges::count_if(figures, [](const auto& figure) { return figure.has_value(); }));
}

Problem unknown_size(const KeyFit& fit, const char* which) {
  return problem_at("measured.key",
                    fmt::format("key {} of shaft \"{}\", not a size of DIN 6888", to_text(fit.key), fit.shaft), "",
                    fmt::format("measure {}", which));
}

double out_by_mm(int measured, double caliper_mm) {
  return cover * u_of_limit(caliper_mm) * std::sqrt(static_cast<double>(measured));
}

std::optional<Problem> find_depths(KeyFit& fit, const KeyReading& reading, double caliper_mm) {
  const std::optional<Keyway> standard = find_keyway(fit.key);
  fit.standard = standard.has_value();
  if (!standard && !(reading.seat_depth_mm && reading.hub_depth_mm))
    return unknown_size(fit, "seat_depth_mm and hub_depth_mm");
  fit.height_mm = reading.height_mm.value_or(fit.key.height_mm);
  fit.seat_depth_mm = reading.seat_depth_mm ? *reading.seat_depth_mm : standard->shaft_depth_mm;
  fit.hub_depth_mm = reading.hub_depth_mm ? *reading.hub_depth_mm : standard->hub_depth_mm;
  fit.proud_mm = fit.height_mm - fit.seat_depth_mm;
  fit.top_gap_mm = fit.hub_depth_mm - fit.proud_mm;
  fit.u_top_gap_mm =
      out_by_mm(count_of({reading.height_mm, reading.seat_depth_mm, reading.hub_depth_mm}), caliper_mm) / cover;
  // Figures that rounding has put a hair short are enough.
  const double short_mm = fit.least_top_gap_mm - fit.top_gap_mm;
  fit.dress_top_mm = short_mm > 1e-9 ? short_mm : 0.0;
  fit.dress_limit_mm = std::max(0.0, fit.proud_mm - least_dressed_key_reach * fit.hub_depth_mm);
  fit.bears_on_top = fit.top_gap_mm < -1e-9;
  fit.too_low = fit.proud_mm < least_key_reach * fit.hub_depth_mm - 1e-9;
  return std::nullopt;
}

// Play of a keyway: both widths as they lie above the nominal one, measured or by their limits.
std::array<double, 2> play_mm(const std::optional<double>& keyway_mm, SizeLimits keyway,
                              const std::optional<double>& key_mm, SizeLimits key, double nominal_mm) {
  if (keyway_mm) keyway = {*keyway_mm - nominal_mm, *keyway_mm - nominal_mm};
  if (key_mm) key = {*key_mm - nominal_mm, *key_mm - nominal_mm};
  return {keyway.lower_mm - key.upper_mm, keyway.upper_mm - key.lower_mm};
}

double mean_play_mm(const std::array<double, 2>& play_mm) {
  return std::max(0.0, (play_mm[0] + play_mm[1]) / 2.0);
}

std::optional<Problem> find_plays(KeyFit& fit, const KeyReading& reading, double caliper_mm) {
  const std::optional<KeyWidthLimits> limits = key_width_limits(fit.key.width_mm, KeywayFit::sliding);
  if (!limits && !(reading.width_mm && reading.seat_width_mm && reading.hub_width_mm))
    return unknown_size(fit, "width_mm, seat_width_mm and hub_width_mm: widths above 10 mm are not in the table");
  const auto [key, seat, hub] = limits.value_or(KeyWidthLimits{});
  fit.seat_play_mm = play_mm(reading.seat_width_mm, seat, reading.width_mm, key, fit.key.width_mm);
  fit.hub_play_mm = play_mm(reading.hub_width_mm, hub, reading.width_mm, key, fit.key.width_mm);
  fit.play_deg = degrees((mean_play_mm(fit.seat_play_mm) + mean_play_mm(fit.hub_play_mm)) / (fit.shaft_mm / 2.0));
  if (!limits) return std::nullopt;
  const double sure_mm = out_by_mm(2, caliper_mm);
  const auto judge = [&fit, sure_mm](const std::array<double, 2>& play, const std::array<double, 2>& allowed) {
    fit.too_loose = fit.too_loose || play[0] - allowed[1] > sure_mm;
    fit.too_tight = fit.too_tight || allowed[0] - play[1] > sure_mm;
  };
  judge(fit.seat_play_mm, play_mm({}, seat, {}, key, fit.key.width_mm));
  judge(fit.hub_play_mm, play_mm({}, hub, {}, key, fit.key.width_mm));
  return std::nullopt;
}

std::string top_words(const KeyFit& fit) {
  const std::string stands = fmt::format("The key stands {} out of the shaft", size_words(fit.proud_mm));
  if (fit.proud_mm <= 0.0)
    return fmt::format("The key lies {} below the shaft's surface and drives nothing.", size_words(fit.proud_mm));
  if (fit.bears_on_top)
    return fmt::format("{}, {} more than the sprocket's keyway is deep: the sprocket goes on tight by so much.", stands,
                       size_words(fit.top_gap_mm));
  return fmt::format("{}; over it are {} to the keyway's floor{}.", stands, size_words(fit.top_gap_mm),
                     fit.dress_top_mm > 0.0 ? ", which is little" : "");
}

std::string side_words(const KeyFit& fit) {
  if (fit.too_loose) return " It is looser sideways than a sliding fit allows.";
  if (fit.too_tight) return " It is tighter sideways than a sliding fit allows.";
  return "";
}

void add_top_advice(KeyFit& fit) {
  if (fit.too_low) {
    fit.advice.push_back(fmt::format("It reaches less than half way into the sprocket's keyway ({} deep): "
                                     "a key of the wrong size, or a "
                                     "keyseat cut too deep. Do not pack it up.",
                                     size_words(fit.hub_depth_mm)));
    return;
  }
  if (fit.dress_top_mm == 0.0) return;
  const std::string room = fmt::format("{:.2f} mm of room is wanted over a key", fit.least_top_gap_mm);
  if (fit.dress_top_mm > fit.dress_limit_mm)
    fit.advice.push_back(fmt::format("{}: {} would have to come off its top, and no more than {} may, or it drives on "
                                     "too little. See that it lies on "
                                     "the floor of its seat; then it is the wrong key, or the seat wants to be deeper.",
                                     room, size_words(fit.dress_top_mm), size_words(fit.dress_limit_mm)));
  else
    fit.advice.push_back(fmt::format(
        "{}: see that the key lies on the floor of its seat, free of burrs; if so, dress {} off its top, flat, and no "
        "more than {} in all, so that it still drives.",
        room, size_words(fit.dress_top_mm), size_words(fit.dress_limit_mm)));
}

void add_side_advice(KeyFit& fit) {
  if (fit.too_loose)
    fit.advice.emplace_back(
        "A loose key hammers its keyway out and lets the timing wander: fit a new key, or one made to "
        "the keyway. Do not peen, knurl or shim it.");
  if (fit.too_tight)
    fit.advice.emplace_back(
        "Take burrs off both keyways and try again; then ease the key on its sides with a fine stone, "
        "evenly, a little at a time, until it goes in by light taps.");
  if (fit.too_tight || fit.dress_top_mm > 0.0)
    fit.advice.emplace_back("Never file the sides of a key until it is loose: the sides do the driving.");
}

} // namespace

double key_deg_for_step(double shaft_diameter_mm, double step_mm) {
  assert(std::fabs(step_mm) <= shaft_diameter_mm / 2.0);
  return degrees(std::asin(step_mm / (shaft_diameter_mm / 2.0)));
}

Result<KeyFit> key_fit(const Engine& engine, const Measured& measured, const std::string& shaft,
                       const Instruments& instruments) {
  const ShaftSeat* seat = find_seat(engine, shaft);
  if (seat == nullptr)
    return problem_at("measured.key", fmt::format("shaft \"{}\"", shaft), "\"crank\" or the name of a camshaft");
  const KeyReading reading = reading_of(measured, shaft);
  KeyFit fit;
  fit.key = seat->key;
  fit.shaft = shaft;
  fit.shaft_mm = seat->diameter_mm;
  fit.measured = count_of({reading.height_mm, reading.width_mm, reading.seat_depth_mm, reading.seat_width_mm,
                           reading.hub_depth_mm, reading.hub_width_mm}) > 0;
  if (auto problem = find_depths(fit, reading, instruments.caliper_mm)) return *problem;
  if (auto problem = find_plays(fit, reading, instruments.caliper_mm)) return *problem;
  fit.words = top_words(fit) + side_words(fit);
  add_top_advice(fit);
  add_side_advice(fit);
  return fit;
}

bool is_out_of_limits(const KeyFit& fit) {
  return fit.dress_top_mm > 0.0 || fit.too_low || fit.too_loose || fit.too_tight;
}

WrongWay key_wrong_way(KeyAt at, double advance_deg) {
  WrongWay wrong;
  wrong.meant_deg = (at == KeyAt::crank ? 1.0 : 2.0) * advance_deg;
  wrong.got_deg = 0.0 - wrong.meant_deg;
  wrong.error_deg = wrong.got_deg - wrong.meant_deg;
  const auto moved = [](double deg) {
    return fmt::format("{:.2f}° crank {}", std::fabs(deg), deg > 0.0 ? "advanced" : "retarded");
  };
  wrong.words = advance_deg == 0.0
                    ? "A straight key has no wrong way."
                    : fmt::format("Fitted the other way round the cam comes out {} where {} was meant: {:.2f}° crank, "
                                  "twice as much, in error.",
                                  moved(wrong.got_deg), moved(wrong.meant_deg), std::fabs(wrong.error_deg));
  return wrong;
}

} // namespace phasewright
