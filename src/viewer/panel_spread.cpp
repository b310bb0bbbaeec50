// What phase to expect before anything is fitted: how far the parts' tolerances spread it, and which matter most.
#include "viewer/form.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr std::size_t most_parts = 8;
constexpr std::size_t low_level = 1; // of spread_levels: 2.5 % and 97.5 %
constexpr std::size_t high_level = 5;
constexpr std::size_t middle_level = 3;

// Shares by phase, the middle 95 % in the accent, the nominal phase as a line.
void histogram(Frame& frame, Form& form, const Spread& spread) {
  Ui& ui = frame.ui;
  const ScreenRect box = form.row(118);
  record_item(ui, "spread.plot", box);
  const PlotFrame plot{.left = box.left + ui.px(6),
                       .right = box.right - ui.px(6),
                       .top = box.top + ui.px(4),
                       .bottom = box.bottom - ui.px(20),
                       .low_deg = spread.low_deg,
                       .high_deg = spread.low_deg + spread.bin_deg * static_cast<double>(spread.histogram.size()),
                       .high = std::max(1e-12, *std::ranges::max_element(spread.histogram)) * 1.05,
                       .low = 0.0};
  ui.list->AddRectFilled({box.left, plot.top}, {box.right, plot.bottom}, ui.colours.field, ui.px(3));
  for (std::size_t i = 0; i < spread.histogram.size(); ++i) {
    const double from = spread.low_deg + spread.bin_deg * static_cast<double>(i);
    const double middle = from + spread.bin_deg / 2.0;
    const bool inside = middle >= spread.percentile_deg[low_level] && middle <= spread.percentile_deg[high_level];
    ui.list->AddRectFilled({plot.x(from), plot.y(spread.histogram[i])}, {plot.x(from + spread.bin_deg), plot.bottom},
                           inside ? with_alpha(ui.colours.accent, 0.55f) : ui.colours.faint);
  }
  const float nominal = std::round(plot.x(spread.nominal_deg)) + 0.5f;
  if (nominal >= plot.left && nominal <= plot.right)
    draw_curve(*ui.list, {{nominal, plot.top}, {nominal, plot.bottom}}, ui.colours.ink, std::max(1.0f, ui.scale),
               LineStyle::dashed, ui.scale);
  ui.list->AddLine({box.left, plot.bottom}, {box.right, plot.bottom}, ui.colours.line);
  for (const double deg : round_ticks(plot.low_deg, plot.high_deg, 7)) {
    const std::string words = signed_deg_text(deg);
    const float half = text_size(ui.fonts.note, words).x / 2.0f;
    const float x = plot.x(deg);
    if (x - half < box.left || x + half > box.right) continue;
    ui.list->AddLine({x, plot.bottom}, {x, plot.bottom + ui.px(3)}, ui.colours.line);
    text_middle(ui, {x, plot.bottom + ui.px(4)}, ui.fonts.note, ui.colours.quiet, words);
  }
}

void part_rows(Frame& frame, Form& form, const Spread& spread) {
  Ui& ui = frame.ui;
  form.section("What matters most");
  const std::size_t shown = std::min(most_parts, spread.parts.size());
  for (std::size_t i = 0; i < shown; ++i) {
    const SpreadPart& part = spread.parts[i];
    const double most = part.one_sided ? 2.0 * part.half_width : part.half_width;
    form.fact(fmt::format("{}, {}{}{}", part.cause, part.one_sided ? "0 to " : "±", figure(most, most < 0.1 ? 3 : 2),
                          part.unit == "deg" ? "°" : " " + part.unit),
              fmt::format("{}   {:.0f} %", deg_text(part.deviation_deg, 2), part.share * 100.0));
    const ScreenRect row = form.row(9);
    const float share = static_cast<float>(std::clamp(part.share, 0.0, 1.0));
    ui.list->AddRectFilled(top_left(row), {row.right, row.top + ui.px(4)}, ui.colours.grid, ui.px(2));
    if (share > 0.0f)
      ui.list->AddRectFilled(top_left(row), {row.left + std::max(2.0f, row.width() * share), row.top + ui.px(4)},
                             ui.colours.accent, ui.px(2));
  }
}

} // namespace

float spread_page(Frame& frame, ImVec2 at, float width) {
  Form form(frame, at, width);
  const Found<std::vector<Spread>>* found = frame.bench.spread();
  if (found == nullptr) {
    frame.actions.seek_spread = true;
    form.note("Building it a million times over within the parts' tolerances …");
    return form.bottom();
  }
  if (!*found || (*found)->empty()) {
    form.verdict(Verdict::warning, "The spread is not computed.", {found->fault});
    return form.bottom();
  }
  const std::vector<Spread>& all = **found;
  std::vector<std::string> names;
  for (const Spread& one : all) names.push_back(frame.bench.engine().camshafts[one.camshaft].name);
  const std::size_t shown = std::min(frame.view.camshaft, all.size() - 1);
  if (names.size() > 1)
    if (const auto picked = choice(form, frame.ui, "spread.camshaft", names, shown)) frame.actions.camshaft = *picked;
  const Spread& spread = all[shown];
  form.sentence(fmt::format("As fitted, and with parts only as true as their tolerances, 95 of 100 such engines have "
                            "their {} between {} and {}.",
                            camshaft_words(frame.bench.engine(), spread.camshaft),
                            signed_deg_text(spread.percentile_deg[low_level]),
                            signed_deg_text(spread.percentile_deg[high_level])));
  form.space(4);
  if (!spread.histogram.empty()) histogram(frame, form, spread);
  form.space(4);
  form.fact("with nothing out", signed_deg_text(spread.nominal_deg, 2));
  form.fact("half are below", signed_deg_text(spread.percentile_deg[middle_level], 2));
  const auto between = [&spread](std::size_t low, std::size_t high) {
    return fmt::format("{} to {}", signed_deg_text(spread.percentile_deg[low], 2),
                       signed_deg_text(spread.percentile_deg[high], 2));
  };
  form.fact("68 of 100", between(2, 4)); // spread_levels
  form.fact("95 of 100", between(low_level, high_level));
  form.fact("99 of 100", between(0, 6));
  form.fact("standard deviation", deg_text(spread.deviation_deg, 2));
  form.fact("within 1° of nominal", fmt::format("{:.0f} of 100", spread.within_1_deg * 100.0));
  part_rows(frame, form, spread);
  form.space(2);
  form.note(
      fmt::format("{} builds, seed {}; crank degrees, + = advanced. Behind each part the most it may be out and what "
                  "that alone does to the "
                  "phase, standard, and the share of the variance that is its own.",
                  spread.builds, spread.seed));
  form.note("The tolerances stand in the build file. Read the wheel: only that says where this one stands.");
  return form.bottom();
}

} // namespace phasewright::viewer
