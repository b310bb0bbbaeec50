// Drills: drawn, answered, and gone over afterwards.
#include "viewer/drill_run.hpp"
#include "viewer/form.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace phasewright::viewer {

namespace {

constexpr std::array works{DrillWork::set_inlet_lash, DrillWork::set_exhaust_lash, DrillWork::renew_camshaft,
                           DrillWork::square_sprocket};

// One of which any number may be chosen; true when pressed.
bool tick(Form& form, Ui& ui, const char* name, const std::string& words, bool chosen) {
  const ScreenRect row = form.row(24);
  const std::string item = fmt::format("{}.{}", name, words);
  const std::string label = shortened(ui.fonts.text, words, row.width() - ui.px(16));
  const bool pressed = button(ui, item.c_str(), row, label, {.chosen = chosen});
  form.space(3);
  return pressed;
}

void name_faults(Form& form, Frame& frame, const DrillRun& run) {
  const int hidden = faults_of_level(run.drill().ask.level);
  form.section(hidden == 1 ? "What is wrong: one of these" : "What is wrong: two of these");
  for (const DrillFault& fault : run.drill().faults()) {
    const bool chosen = std::ranges::find(run.named(), fault.key) != run.named().end();
    if (tick(form, frame.ui, "drill.fault", fault.key, chosen)) frame.actions.learn.drill.name = fault.key;
    form.note(fault.means);
  }
}

void plan_cure(Form& form, Frame& frame, const DrillRun& run) {
  form.section("What is to be done");
  form.note(
      "What is to be fitted is what is planned under Correction; as it stands there, it goes in. Shims are fitted "
      "under Alignment.");
  for (const DrillWork work : works) {
    const bool chosen = std::ranges::find(run.works(), work) != run.works().end();
    if (tick(form, frame.ui, "drill.work", to_word(work), chosen)) frame.actions.learn.drill.work = work;
  }
  if (run.drill().float_of.empty()) return;
  const Form::Answer change = form.length("end float changed by", {.name = "drill.float_change",
                                                                   .mm = run.float_change_mm,
                                                                   .low_mm = -1.0,
                                                                   .high_mm = 1.0,
                                                                   .clearable = true,
                                                                   .hint = "+ = more of it: a thinner plate"});
  if (change.mm) frame.actions.learn.drill.float_change_mm = *change.mm;
  if (change.cleared) frame.actions.learn.drill.float_change_mm = 0.0;
}

Verdict sign_of(DrillVerdict verdict) {
  switch (verdict) {
  case DrillVerdict::right:
  case DrillVerdict::as_far_as_told:
    return Verdict::good;
  case DrillVerdict::not_told_yet:
    return Verdict::warning;
  case DrillVerdict::wrong:
    break;
  }
  return Verdict::bad;
}

void debriefing(Form& form, const DrillHanded& handed) {
  form.verdict(sign_of(handed.faults.verdict), handed.faults.words);
  form.verdict(handed.cure.right ? Verdict::good : Verdict::bad,
               handed.cure.right ? "That puts it right." : "That does not put it right.");
  for (const std::string& words : handed.cure.words) form.note(words);
  form.section("What was true");
  for (const std::string& words : handed.debrief.truth) form.sentence(words);
  form.section("What would put it right");
  for (const std::string& words : handed.right.words) form.note(words);
  form.section("What the readings could tell");
  for (const std::string& words : handed.debrief.words) form.note(words);
}

void draw_one(Form& form, Frame& frame) {
  Learning& learning = frame.view.learning;
  form.sentence("An engine with something wrong, drawn by number: the same number is the same engine. It is the one "
                "that is open, put together anew.");
  std::vector<std::string> levels;
  for (int level = 1; level <= most_drill_level; ++level) levels.push_back(fmt::format("{}", level));
  form.note("Level");
  if (const auto picked =
          choice(form, frame.ui, "drill.level", levels, static_cast<std::size_t>(learning.drill_level - 1)))
    learning.drill_level = static_cast<int>(*picked) + 1;
  form.note(fmt::format("{}: {}", learning.drill_level, level_words(learning.drill_level)));
  if (const auto seed = form.whole("number", {.name = "drill.seed",
                                              .value = static_cast<double>(learning.drill_seed),
                                              .step = 1,
                                              .low = 1,
                                              .high = 999999,
                                              .decimals = 0,
                                              .unit = ""})
                            .figure)
    learning.drill_seed = *seed;
  if (learning.drawing) return form.note("Drawing it …");
  if (form.press("drill.begin", "begin", {.hint = "it takes a moment"})) frame.actions.learn.what = Learn::What::draw;
}

} // namespace

void drills_page(Form& form, Frame& frame) {
  form.wrong(frame.view.learning.fault);
  if (frame.drill == nullptr) return draw_one(form, frame);
  const DrillRun& run = *frame.drill;
  if (run.handed) return debriefing(form, *run.handed);
  name_faults(form, frame, run);
  plan_cure(form, frame, run);
  form.wrong(run.fault);
  if (frame.view.learning.judging) return form.note("Judging it …");
  if (form.press("drill.hand_in", "hand it in", {.enabled = !run.named().empty(), .hint = "then it is gone over"}))
    frame.actions.learn.what = Learn::What::hand_in;
}

} // namespace phasewright::viewer
