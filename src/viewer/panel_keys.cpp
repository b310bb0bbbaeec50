// How the half-round keys sit: what stands out of the shaft, the room over it, the play, and which way a step faces.
#include "viewer/form.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright::viewer {

namespace {

struct KeyFigure {
  const char* label;
  const char* name;
  std::optional<double> KeyReading::*member;
  double usual_mm;
};

const KeyReading* reading_of(const Measured& measured, const std::string& shaft) {
  const auto found = std::ranges::find(measured.key, shaft, &KeyReading::shaft);
  return found == measured.key.end() ? nullptr : &*found;
}

bool is_empty(const KeyReading& reading) {
  return !reading.height_mm && !reading.width_mm && !reading.seat_depth_mm && !reading.seat_width_mm &&
         !reading.hub_depth_mm && !reading.hub_width_mm;
}

void put_figure(Frame& frame, const std::string& shaft, const KeyFigure& figure, std::optional<double> mm) {
  Measured next = frame.bench.document().measured;
  auto found = std::ranges::find(next.key, shaft, &KeyReading::shaft);
  if (found == next.key.end()) {
    KeyReading fresh;
    fresh.shaft = shaft;
    next.key.push_back(fresh);
    found = next.key.end() - 1;
  }
  (*found).*figure.member = mm;
  if (is_empty(*found)) next.key.erase(found);
  frame.actions.measured = std::move(next);
  frame.actions.what = "key measured";
  frame.actions.field = figure.name;
}

void key_fields(Frame& frame, Form& form, const std::string& shaft, const KeyFit* fit, const KeySize& key) {
  const KeyReading* read = reading_of(frame.bench.document().measured, shaft);
  const auto usual = [&](double KeyFit::*member, double otherwise) {
    return fit != nullptr ? fit->*member : otherwise;
  };
  const std::array<KeyFigure, 6> figures{
      {{"key, height", "key.height", &KeyReading::height_mm, usual(&KeyFit::height_mm, key.height_mm)},
       {"key, width", "key.width", &KeyReading::width_mm, key.width_mm},
       {"in the shaft, deep", "key.seat_depth", &KeyReading::seat_depth_mm, usual(&KeyFit::seat_depth_mm, 1.0)},
       {"in the shaft, wide", "key.seat_width", &KeyReading::seat_width_mm, key.width_mm},
       {"in the sprocket, deep", "key.hub_depth", &KeyReading::hub_depth_mm, usual(&KeyFit::hub_depth_mm, 1.0)},
       {"in the sprocket, wide", "key.hub_width", &KeyReading::hub_width_mm, key.width_mm}}};
  form.section("As measured; empty = the standard's");
  for (const KeyFigure& figure : figures) {
    const auto answer =
        form.length(figure.label, {.name = figure.name,
                                   .mm = read == nullptr ? std::optional<double>() : read->*figure.member,
                                   .low_mm = 0.1,
                                   .high_mm = 50,
                                   .from_mm = figure.usual_mm,
                                   .clearable = true,
                                   .hint = "mm, thou or in; empty when it was not measured"});
    if (answer.mm || answer.cleared) put_figure(frame, shaft, figure, answer.mm);
  }
}

std::string play_words(const std::array<double, 2>& play_mm, Units units) {
  if (std::fabs(play_mm[1] - play_mm[0]) < 1e-9) return signed_dial_text(play_mm[0], units);
  const std::string high = signed_dial_text(play_mm[1], units);
  const std::string low = signed_dial_text(play_mm[0], units);
  return fmt::format("{} to {}", low.substr(0, low.find(' ')), high);
}

void fit_facts(Frame& frame, Form& form, const KeyFit& fit) {
  const Units units = frame.view.units;
  form.section(fit.measured ? "How it sits" : "How it sits, by the standard");
  form.fact("stands out of the shaft", length_text(fit.proud_mm, units));
  form.fact("room over it", fit.u_top_gap_mm > 0.0 ? fmt::format("{} {}", length_text(fit.top_gap_mm, units),
                                                                 plus_minus_text(coverage * fit.u_top_gap_mm, units))
                                                   : length_text(fit.top_gap_mm, units));
  if (fit.dress_top_mm > 0.0) form.fact("to come off its top", length_text(fit.dress_top_mm, units));
  form.fact("play in the shaft", play_words(fit.seat_play_mm, units));
  form.fact("play in the sprocket", play_words(fit.hub_play_mm, units));
  form.fact("the sprocket can turn, of its shaft", deg_text(fit.play_deg, 2));
  for (const std::string& advice : fit.advice) form.note(advice);
}

// Fitted and planned, where there is a step.
void step_facts(Frame& frame, Form& form, const std::string& shaft) {
  const Workbench& bench = frame.bench;
  const Engine& engine = bench.engine();
  const bool crank = shaft == "crank";
  const KeyAt where = crank ? KeyAt::crank : KeyAt::cam;
  const auto seat = engine.cam_seats.find(shaft);
  const double diameter_mm = crank ? engine.crank_seat.diameter_mm : seat->second.diameter_mm;
  const auto deg_of = [&](const Fitted& fitted) { return crank ? fitted.crank_key_deg : cam_key_of(fitted, shaft); };
  form.section("Its step");
  const auto one = [&](const char* when, double deg) {
    const Rotation turns = crank ? engine.rotation : camshaft_rotation(engine, shaft);
    const std::string step = step_words(where, deg, turns, diameter_mm);
    form.sentence(fmt::format("{}: {}{}.", when, key_words(where, deg), step.empty() ? "" : "; " + step));
    if (deg == 0.0) return;
    form.caution(key_wrong_way(where, deg).words);
  };
  const double fitted_deg = deg_of(bench.document().fitted);
  const double planned_deg = deg_of(bench.document().planned);
  one("Fitted", fitted_deg);
  if (planned_deg != fitted_deg) one("Planned", planned_deg);
}

} // namespace

float keys_page(Frame& frame, ImVec2 at, float width) {
  Form form(frame, at, width);
  const Engine& engine = frame.bench.engine();
  const std::vector<std::string> shafts = shafts_with_keys(engine);
  const std::size_t shown = std::min(frame.view.key_shaft, shafts.size() - 1);
  if (const auto picked = choice(form, frame.ui, "key.shaft", shafts, shown)) frame.view.key_shaft = *picked;
  const std::string& shaft = shafts[shown];
  const Found<KeyFit>& found = *frame.bench.findings().keys[shown];
  const KeySize key = shaft == "crank" ? engine.crank_seat.key : engine.cam_seats.at(shaft).key;
  if (found)
    form.verdict(is_out_of_limits(*found) ? Verdict::warning : Verdict::good, found->words);
  else
    form.verdict(Verdict::warning, "The key's fit is not computed.", {found.fault});
  if (found) fit_facts(frame, form, *found);
  step_facts(frame, form, shaft);
  key_fields(frame, form, shaft, found ? &*found : nullptr, key);
  form.space(2);
  form.note(
      "Sideways + is play, \u2212 is pressed in. Depths by DIN 6888, widths by its sliding fit, where not measured.");
  form.note(bench_cautions);
  return form.bottom();
}

} // namespace phasewright::viewer
