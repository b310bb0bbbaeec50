// The drill that is under way: its job card and the instruments, which read the engine as it really is.
#include "bench/drill_words.hpp"
#include "viewer/drill_run.hpp"
#include "viewer/learning_column.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright::viewer {

namespace {

void job_card(Form& form, const DrillRun& run) {
  const Drill& drill = run.drill();
  const int hidden = faults_of_level(drill.ask.level);
  form.sentence(fmt::format(
      "{} wrong with this engine: {}. Turn it, read it, write what you read into the steps at the left "
      "(Alignment, End float, Readings, Clearance), and name {}.",
      hidden == 1 ? "One thing is" : "Two things are", level_words(drill.ask.level), hidden == 1 ? "it" : "both"));
  form.note("What the steps show as fitted is what the job card says. The drive is drawn so, too; only the instruments "
            "here tell how it really is.");
  if (drill.handed_on) form.note("Stop and lobe readings are there already, by those who had the engine before.");
}

const char* of_kind(ValveKind kind, const char* inlet, const char* exhaust) {
  return kind == ValveKind::inlet ? inlet : exhaust;
}

void wheel_and_indicator(Form& form, Frame& frame, const DrillRun& run) {
  form.section("Wheel and indicator");
  form.fact("degree wheel", deg_text(run.shown().wheel_deg));
  const std::size_t chosen = run.where == CheckAt::tappet ? 0 : 1;
  if (const auto picked = choice(form, frame.ui, "drill.where", {"at the tappet", "at the valve"}, chosen))
    frame.actions.learn.drill.where = *picked == 0 ? CheckAt::tappet : CheckAt::valve;
  for (const ValveKind kind : valve_kinds)
    if (const auto& mm = run.shown().indicator_mm[static_cast<std::size_t>(kind)])
      form.fact(of_kind(kind, "inlet of No. 1", "exhaust of No. 1"), length_text(*mm, frame.view.units));
  const std::size_t rod = run.rod() ? static_cast<std::size_t>(*run.rod()) + 1 : 0;
  const std::optional<PistonStop> stop = run.stop();
  form.note(stop && bears_on(*stop, frame.view.crank_deg)
                ? "Piston stop: the piston bears on it."
                : "Piston stop in No. 1; the long rod meets the piston further down");
  if (const auto picked = choice(form, frame.ui, "drill.stop", {"out", "long rod", "short rod"}, rod))
    frame.actions.learn.drill.stop = static_cast<int>(*picked) - 1;
}

void lash(Form& form, Frame& frame, const DrillRun& run) {
  const Units units = frame.view.units;
  for (const ValveKind kind : valve_kinds) {
    const auto& mm = run.shown().lash_mm[static_cast<std::size_t>(kind)];
    if (!mm) continue;
    form.fact(of_kind(kind, "lash, inlet of No. 1", "lash, exhaust of No. 1"),
              *mm > 0.0 ? length_text(*mm, units) : "valve open: turn on");
    const auto written = std::ranges::find(run.lash(), kind, &LashReading::valve);
    const std::string label = written == run.lash().end()
                                  ? "write it down"
                                  : fmt::format("written: {}", length_text(written->lash_mm, units));
    if (form.press(of_kind(kind, "drill.lash_inlet", "drill.lash_exhaust"), label.c_str(), {.enabled = *mm > 0.0}))
      frame.actions.learn.drill.lash = LashReading{kind, *mm};
  }
}

void feelers(Form& form, Frame& frame, const DrillRun& run) {
  const Units units = frame.view.units;
  form.section("Feelers and float");
  lash(form, frame, run);
  form.note("Straight-edge across the sprockets; the thickest feeler that goes in under its near and its far edge, 0 = "
            "none does:");
  for (const DrillShown::Gap& gap : run.shown().gaps)
    form.fact(fmt::format("at \"{}\"", gap.under),
              fmt::format("{}, {}", length_text(gap.near_mm, units), length_text(gap.far_mm, units)));
  for (const auto& [camshaft, mm] : run.shown().float_mm)
    form.fact(fmt::format("end float, \"{}\"", camshaft), length_text(mm, units));
}

void counts_and_gaps(Form& form, Frame& frame, const DrillRun& run) {
  form.section("Pins and pistons");
  for (const auto& [camshaft, pins] : run.shown().pins)
    form.fact(fmt::format("pins, \"{}\" to crank", camshaft),
              pins ? fmt::format("{}", *pins) : "a mark is off the strand");
  for (const ValveKind kind : valve_kinds)
    if (const auto& mm = run.shown().to_piston_mm[static_cast<std::size_t>(kind)])
      form.fact(of_kind(kind, "inlet valve to piston", "exhaust valve to piston"), length_text(*mm, frame.view.units));
}

} // namespace

void drill_column(Frame& frame, const ScreenRect& rect) {
  const DrillRun& run = *frame.drill;
  const LearningColumn column{.panel = "drill",
                              .small_line =
                                  fmt::format("Drill {}, level {}", run.drill().ask.seed, run.drill().ask.level),
                              .leave = "drill.leave",
                              .leave_hint = "leave the drill: back to what was open",
                              .title = "What is wrong here?"};
  learning_column(frame, rect, column, [&](Form& form) {
    job_card(form, run);
    if (form.press("drill.answer", run.handed ? "see the debrief" : "name the fault", {.hint = "Ctrl+L"}))
      frame.actions.step = Step::lessons;
    wheel_and_indicator(form, frame, run);
    counts_and_gaps(form, frame, run);
    feelers(form, frame, run);
    if (form.press("drill.anew", "read them all anew", {.hint = "each once more; none is quite the same twice  (H)"}))
      frame.actions.learn.drill.anew = true;
    form.section("Words");
    for (const WordMeaning& row : drill_words) form.note(fmt::format("{}: {}", row.word, row.means));
  });
}

} // namespace phasewright::viewer
