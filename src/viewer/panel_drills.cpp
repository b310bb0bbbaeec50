// Drills: drawn, answered, and gone over afterwards.
#include "viewer/drill_run.hpp"
#include "viewer/form.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <span>

namespace phasewright::viewer {

namespace {

constexpr std::array all_works{DrillWork::set_inlet_lash, DrillWork::set_exhaust_lash, DrillWork::renew_camshaft,
                               DrillWork::square_sprocket};

std::vector<std::string> words_of(std::span<const DrillWork> works) {
  std::vector<std::string> words;
  for (const DrillWork work : works) words.emplace_back(to_word(work));
  return words;
}

// Which of them are chosen.
std::vector<bool> marked(const std::vector<std::string>& words, const std::vector<std::string>& chosen) {
  std::vector<bool> marks;
  for (const std::string& one : words) marks.push_back(std::ranges::find(chosen, one) != chosen.end());
  return marks;
}

void name_faults(Form& form, Frame& frame, const DrillRun& run) {
  const int hidden = faults_of_level(run.drill().ask.level);
  form.section(hidden == 1 ? "What is wrong: one of these" : "What is wrong: two of these");
  for (const auto& [means, keys] : by_meaning(run.drill().faults())) {
    form.note(fmt::format("{}:", means));
    if (const auto pressed = ticks(form, frame.ui, "drill.fault", keys, marked(keys, run.named())))
      frame.actions.learn.drill.name = keys[*pressed];
  }
}

void plan_cure(Form& form, Frame& frame, const DrillRun& run) {
  form.section("What is to be done");
  form.note(
      "Keys, chain and teeth: what is planned under Correction goes in as it stands there. Shims: those fitted under "
      "Alignment.");
  const std::vector<std::string> words = words_of(all_works);
  if (const auto pressed = ticks(form, frame.ui, "drill.work", words, marked(words, words_of(run.works()))))
    frame.actions.learn.drill.work = all_works.at(*pressed);
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
  for (const std::string& words : handed.debrief.beside) form.note(words);
  if (handed.debrief.readings.empty()) return;
  form.section("Reading by reading");
  for (const ReadingTold& told : handed.debrief.readings) {
    form.fact(told.reading, told.read);
    form.note(fmt::format("by the card {}: {}", told.right, told.words));
  }
}

// By the learner, so far; and whether what is about to be drawn has been told.
void answered(Form& form, const Frame& frame) {
  const Learning& learning = frame.view.learning;
  form.note(fmt::format("{}: {}.", learning.learner, drills_words(learning.answered)));
  const bool told = std::ranges::any_of(learning.answered, [&](const DrillAnswered& one) {
    return one.engine == frame.bench.engine().name && one.number == learning.drill_seed &&
           one.level == learning.drill_level;
  });
  if (told) form.note("This one has been answered: it does not count again.");
}

void draw_one(Form& form, Frame& frame) {
  Learning& learning = frame.view.learning;
  learner_name(form, frame);
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
                                              .low = 0,
                                              .high = most_drill_number,
                                              .decimals = 0,
                                              .unit = ""})
                            .figure)
    learning.drill_seed = *seed;
  if (!learning.learner.empty()) answered(form, frame);
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
