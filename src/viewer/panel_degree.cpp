// Readings of wheel and indicator: the verdict over its pages, and what the readings come to.
#include "viewer/form.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr const char* meaning =
    "The wheel says where the camshaft really stands, whatever the marks say. Each pair of readings, opening and "
    "closing at one lift, gives the middle of the lobe; more pairs make it surer.";

std::string standing_words(const Workbench& bench, const CamshaftRead& read) {
  const double out_by_deg = coverage * read.u_deg;
  const std::string who = camshaft_words(bench.engine(), read.camshaft);
  if (!read.off_card)
    return fmt::format("The {} stands as the card says, as far as the readings tell: {} ±{}.", who,
                       signed_deg_text(read.phase_deg), deg_text(out_by_deg));
  return fmt::format("The {} stands {} by the card, and the readings are good to ±{}: the difference is real.", who,
                     lateness(read.phase_deg), deg_text(out_by_deg));
}

std::string drive_words(const CamshaftRead& read) {
  const std::string drive = signed_deg_text(read.drawn_phase_deg);
  if (!read.off_drawn) return fmt::format("The drive as it was fitted explains it: {}.", drive);
  return fmt::format("The drive as it was fitted makes {}; {} of it is not explained.", drive,
                     signed_deg_text(read.extra_deg));
}

std::string trouble_words(const Workbench& bench, ReadingsTrouble trouble) {
  switch (trouble) {
  case ReadingsTrouble::slip:
    return "A reading looks like a slip of the pencil.";
  case ReadingsTrouble::outlier:
    return "A reading stands far from the others and is left out.";
  case ReadingsTrouble::scattered:
    return "The readings scatter more than the instruments explain.";
  case ReadingsTrouble::lobes_disagree:
    return "Inlet and exhaust lobes say different phases.";
  case ReadingsTrouble::unexplained:
    return "The readings show more than the drive explains.";
  case ReadingsTrouble::no_lobes:
    return "The wheel is read, no lobe yet.";
  case ReadingsTrouble::none_taken:
    return has_readings(bench.document().measured) && !bench.document().measured.lobe.empty()
               ? "The readings cannot be worked out."
               : "Not read yet.";
  case ReadingsTrouble::nothing:
    break;
  }
  return {};
}

void verdict(Frame& frame, Form& form) {
  const Workbench& bench = frame.bench;
  const Found<DegreeRead>& found = *bench.findings().degree;
  const ReadingsTrouble trouble = readings_trouble(bench);
  std::vector<std::string> rows;
  if (!found) {
    const bool any = !bench.document().measured.lobe.empty() || !bench.document().measured.stop_deg.empty();
    rows.push_back(any ? found.fault
                       : "Find TDC with a piston stop, then read the wheel where each lobe reaches a lift, opening and "
                         "closing.");
    return form.verdict(Verdict::warning, trouble_words(bench, trouble), rows);
  }
  for (const SlipFound& slip : found->slips) rows.push_back(slip.words + ".");
  for (const std::string& outlier : found->outliers) rows.push_back(outlier + ".");
  std::string sentence = trouble_words(bench, trouble);
  for (const CamshaftRead& read : found->camshafts) {
    if (sentence.empty())
      sentence = standing_words(bench, read);
    else
      rows.push_back(standing_words(bench, read));
    if (found->slips.empty()) rows.push_back(drive_words(read));
  }
  form.verdict(readings_standing(bench), sentence, rows);
}

void go_by_button(Frame& frame, Form& form) {
  const Workbench& bench = frame.bench;
  const Found<DegreeRead>& found = *bench.findings().degree;
  const Fitted& fitted = bench.document().fitted;
  const bool gone_by = fitted.found_deg != 0.0 || !fitted.found_of.empty();
  if (found && !goes_by_readings(bench)) {
    if (form.press("degree.go_by", "go by these readings",
                   {.hint = "reckon with what they show above what the drive explains"})) {
      Fitted next = fitted;
      for (const auto& [camshaft, deg] : found_by_readings(bench.engine(), *found)) next.found_of[camshaft] = deg;
      frame.actions.fitted = next;
      frame.actions.what = "gone by the readings";
      frame.actions.field = "degree.go_by";
    }
  } else if (gone_by && form.press("degree.forget", "leave out what readings found",
                                   {.hint = "reckon with what the drive explains, and no more"})) {
    Fitted next = fitted;
    next.found_deg = 0.0;
    next.found_of.clear();
    frame.actions.fitted = next;
    frame.actions.what = "found by readings left out";
    frame.actions.field = "degree.forget";
  }
}

// What is fitted has changed since the readings were taken.
void stale_words(Frame& frame, Form& form) {
  const Document& document = frame.bench.document();
  if (!has_readings(document.measured)) return;
  Fitted then = document.measured.with;
  then.found_deg = document.fitted.found_deg; // what readings found is no change of what is fitted
  then.found_of = document.fitted.found_of;
  if (same_fit(then, document.fitted, frame.bench.engine())) return;
  form.caution("Something else is fitted now than when these were read. Put them by and read again, or say that they "
               "were read with what is fitted now.");
  if (form.press("degree.read_now", "read with what is fitted now")) {
    Measured next = document.measured;
    next.with = document.fitted;
    frame.actions.measured = std::move(next);
    frame.actions.what = "what was fitted when read";
    frame.actions.field = "degree.read_now";
  }
}

std::string wheel_words(const WheelZero& wheel) {
  if (!wheel.read) return "taken to stand right";
  return fmt::format("{} ±{}", signed_deg_text(wheel.tdc_correction_deg, 2), deg_text(coverage * wheel.u_deg, 2));
}

void lobe_facts(Frame& frame, Form& form, const LobeRead& lobe) {
  Ui& ui = frame.ui;
  const Workbench& bench = frame.bench;
  const bool inlet = lobe.valve == ValveKind::inlet;
  const char* from = inlet ? "ATDC" : "BTDC";
  const ScreenRect row = form.row(20);
  const std::string title = bench.engine().block.cylinders > 1
                                ? fmt::format("{} lobe of No. {}", inlet ? "Inlet" : "Exhaust", lobe.cylinder)
                                : fmt::format("{} lobe", inlet ? "Inlet" : "Exhaust");
  text(ui, top_left(row), ui.fonts.bold, kind_colour(ui, lobe.valve), title);
  const float x = row.left + text_size(ui.fonts.bold, title).x + ui.px(8);
  const float middle = std::round(row.top + ui.fonts.bold->FontSize / 2.0f) + 0.5f;
  draw_curve(*ui.list, {{x, middle}, {x + ui.px(24), middle}}, kind_colour(ui, lobe.valve), 2.0f * ui.scale,
             kind_style(lobe.valve), ui.scale);
  form.fact("centre as read",
            fmt::format("{} ±{} {}", deg_text(lobe.centre_deg), deg_text(coverage * lobe.u_deg), from));
  form.fact("on the card", fmt::format("{} {}", deg_text(lobe.card_deg), from));
  form.fact("by the drive as fitted", fmt::format("{} {}", deg_text(lobe.drawn_deg), from));
  if (lobe.leans) form.caution("It leans from lift to lift: a worn flank, or an indicator out of line.");
  if (lobe.scattered) form.caution("Its pairs scatter more than the instruments explain.");
  form.space(3);
}

} // namespace

float found_page(Frame& frame, ImVec2 at, float width) {
  Form form(frame, at, width);
  const Found<DegreeRead>& found = *frame.bench.findings().degree;
  if (!found) {
    form.note("Nothing yet: put in what was read.");
    return form.bottom();
  }
  form.section("Wheel");
  form.fact("to be added to what it shows", wheel_words(found->wheel));
  for (std::size_t i = 0; i < found->wheel.pairs.size(); ++i) {
    const WheelZero::Pair& pair = found->wheel.pairs[i];
    form.fact(fmt::format("stop {}: {} below the top", pair.reading + 1, length_text(pair.drop_mm, frame.view.units)),
              signed_deg_text(pair.correction_deg, 2) + (pair.left_out ? ", left out" : ""));
  }
  if (found->wheel.scattered) form.caution("The stop pairs differ by more than the wheel explains: read TDC again.");
  form.space(4);
  for (const LobeRead& lobe : found->lobes) lobe_facts(frame, form, lobe);
  for (const CamshaftRead& read : found->camshafts) {
    form.section("Phase of the camshaft");
    form.fact("which", frame.bench.engine().camshafts[read.camshaft].name);
    form.fact("by all its lobes",
              fmt::format("{} ±{}", signed_deg_text(read.phase_deg), deg_text(coverage * read.u_deg)));
    form.fact("by the drive as it was fitted", signed_deg_text(read.drawn_phase_deg));
    form.fact("not explained by it", signed_deg_text(read.extra_deg));
    if (read.lobes_apart_deg)
      form.fact("exhaust lobe less inlet lobe",
                signed_deg_text(*read.lobes_apart_deg) + (read.lobes_disagree ? ", real" : ", by chance"));
  }
  form.space(2);
  form.note(
      "±: k = 2. The wheel's zero is one error that all readings share: more pairs do not average it out. Phase in "
      "crank degrees against the maker's card, + = advanced.");
  form.note(bench_cautions);
  return form.bottom();
}

float degree_panel(Frame& frame, ImVec2 at, float width) {
  Ui& ui = frame.ui;
  Form form(frame,
            {at.x, at.y + panel_head(frame, at, width, "Readings", "Where the camshaft stands by wheel and indicator.",
                                     meaning)},
            width);
  verdict(frame, form);
  go_by_button(frame, form);
  stale_words(frame, form);
  const ScreenRect pages = form.row(26);
  if (const auto picked = segments(ui, "readings.page", pages, {"taken", "found", "causes", "earlier"},
                                   static_cast<std::size_t>(frame.view.readings_page)))
    frame.view.readings_page = static_cast<ReadingsPage>(*picked);
  form.space(8);
  const ImVec2 below{at.x, form.bottom()};
  switch (frame.view.readings_page) {
  case ReadingsPage::taken:
    return taken_page(frame, below, width);
  case ReadingsPage::found:
    return found_page(frame, below, width);
  case ReadingsPage::causes:
    return causes_page(frame, below, width);
  case ReadingsPage::earlier:
    break;
  }
  return earlier_page(frame, below, width);
}

} // namespace phasewright::viewer
