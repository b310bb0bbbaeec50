// What explains the readings: causes with how likely each is, and the reading that would tell them apart.
#include "viewer/form.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr std::size_t most_causes = 8;
constexpr double least_shown = 0.002; // of probability: less is no cause to look for

std::string percent_words(double probability) {
  if (probability >= 0.995) return "> 99 %";
  if (probability < 0.01) return "< 1 %";
  return fmt::format("{:.0f} %", probability * 100.0);
}

void cause_row(Frame& frame, Form& form, const Cause& cause, bool first) {
  Ui& ui = frame.ui;
  const ScreenRect row = form.row(20);
  const std::string percent = percent_words(cause.probability);
  const float bar_right = row.right - ui.px(56);
  const float top = row.top + ui.px(5);
  const float bottom = row.top + ui.px(13);
  ui.list->AddRectFilled({row.left, top}, {bar_right, bottom}, ui.colours.grid, ui.px(2));
  const float share = static_cast<float>(std::clamp(cause.probability, 0.0, 1.0));
  if (share > 0.0f)
    ui.list->AddRectFilled({row.left, top},
                           {std::max(row.left + 2.0f, row.left + (bar_right - row.left) * share), bottom},
                           first ? ui.colours.accent : ui.colours.quiet, ui.px(2));
  text_right(ui, {row.right, row.top + ui.px(1)}, first ? ui.fonts.bold : ui.fonts.text, ui.colours.ink, percent);
  form.sentence(cause.words);
  if (cause.tied) form.note("these readings cannot tell it from the one above");
  form.space(4);
}

} // namespace

float causes_page(Frame& frame, ImVec2 at, float width) {
  Form form(frame, at, width);
  const Found<Explanation>* found = frame.bench.explanation();
  if (found == nullptr) {
    frame.actions.seek_explanation = true;
    form.note("Weighing what could explain these readings …");
    return form.bottom();
  }
  if (!*found) {
    form.verdict(Verdict::warning, "Nothing to explain yet.", {found->fault});
    return form.bottom();
  }
  const Explanation& explained = **found;
  form.section("What would explain these readings");
  if (explained.nothing_fits)
    form.verdict(Verdict::warning, "None of them explains the readings well.",
                 {"Even the best leaves more than chance would, once in a thousand: read again before going by it."});
  std::size_t shown = 0;
  for (const Cause& cause : explained.causes) {
    if (shown >= most_causes || (shown > 0 && cause.probability < least_shown)) break;
    cause_row(frame, form, cause, shown == 0);
    ++shown;
  }
  if (explained.causes.size() > shown)
    form.note(fmt::format("{} more were weighed and are less likely.", explained.causes.size() - shown));
  if (explained.next) {
    const std::size_t against = explained.next->against;
    form.section(against == 1 ? "To tell the first two apart" : "To tell the first from another");
    if (against > 1) form.sentence("The other: " + explained.causes[against].words + ".");
    form.sentence(explained.next->words);
    form.note(
        fmt::format("They foretell readings {} standard uncertainties apart there.", figure(explained.next->apart, 1)));
  }
  form.space(2);
  form.note(fmt::format("From {} figures read. How often each fault is met is our own guess. A likely cause is not "
                        "proof: see it with your own eyes before anything is taken apart for it.",
                        explained.figures));
  return form.bottom();
}

} // namespace phasewright::viewer
