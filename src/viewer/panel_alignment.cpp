// Alignment: from straight-edge and feeler gauge to shims behind the crank sprocket.
#include "viewer/form.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr const char* meaning =
    "A chain that runs askew wears sprockets and plates on one side. Both sprockets belong in one plane; what is wrong "
    "is put right with shims behind the crank sprocket.";

std::vector<std::string> crank_loop_names(const Engine& engine) {
  std::vector<std::string> names;
  for (const Sprocket& sprocket : engine.loops.front().sprockets) names.push_back(sprocket.name);
  return names;
}

void put_gap(Frame& frame, const std::optional<GapReading>& gap, const char* what, const char* field) {
  Measured next = frame.bench.document().measured;
  next.gap = gap;
  frame.actions.measured = std::move(next);
  frame.actions.what = what;
  frame.actions.field = field;
  frame.actions.clears = Actions::Clears::gap;
}

// What stands in the fields: the reading, or what has been typed of one.
NewGap shown_gap(const Frame& frame) {
  const std::optional<GapReading>& read = frame.bench.document().measured.gap;
  if (read) return {read->near_mm, read->far_mm, read->under};
  NewGap gap = frame.view.gap;
  if (gap.under.empty()) gap.under = frame.bench.engine().loops.front().sprockets.front().name;
  return gap;
}

void gap_fields(Frame& frame, Form& form) {
  NewGap gap = shown_gap(frame);
  form.section("Gap under the straight-edge");
  constexpr double most_mm = 20.0; // as build files allow
  const auto near = form.length("at the near edge", {.name = "gap.near",
                                                     .mm = gap.near_mm,
                                                     .high_mm = most_mm,
                                                     .hint = "the feeler that just goes under; mm, thou or in"});
  const auto far = form.length("at the far edge", {.name = "gap.far",
                                                   .mm = gap.far_mm,
                                                   .high_mm = most_mm,
                                                   .from_mm = gap.near_mm.value_or(0.0),
                                                   .hint = "likewise, at the sprocket's other edge"});
  form.sentence("The feeler went under the sprocket:");
  const std::vector<std::string> names = crank_loop_names(frame.bench.engine());
  const auto chosen = static_cast<std::size_t>(std::ranges::find(names, gap.under) - names.begin());
  const auto under = choice(form, frame.ui, "gap.under", names, chosen);
  if (!near.mm && !far.mm && !under) return;
  if (near.mm) gap.near_mm = near.mm;
  if (far.mm) gap.far_mm = far.mm;
  if (under) gap.under = names[*under];
  if (gap.near_mm && gap.far_mm)
    put_gap(frame, GapReading{*gap.near_mm, *gap.far_mm, gap.under}, "gap", near.mm ? "gap.near" : "gap.far");
  else
    frame.view.gap = gap;
}

// Moves a piece from one list into the other.
void move_piece(std::vector<double>& from, std::vector<double>& to, double mm) {
  const auto found = std::ranges::find(from, mm);
  if (found == from.end()) return;
  from.erase(found);
  to.push_back(mm);
  std::ranges::sort(to);
}

void change_shims(Frame& frame, Document next, const char* what) {
  frame.actions.document = std::move(next);
  frame.actions.what = what;
  frame.actions.field = "shims";
}

// A row of pieces; the index of one that was pressed.
std::optional<std::size_t> pieces(Frame& frame, Form& form, const char* name, const std::vector<double>& shims_mm,
                                  const char* hint) {
  if (shims_mm.empty()) {
    form.note("none");
    return std::nullopt;
  }
  std::optional<std::size_t> answer;
  Ui& ui = frame.ui;
  const float gap = ui.px(6);
  ScreenRect row = form.row(24);
  float x = row.left;
  for (std::size_t i = 0; i < shims_mm.size(); ++i) {
    const std::string label = shim_text(shims_mm[i], frame.view.units);
    const float wide = text_size(ui.fonts.text, label).x + ui.px(18);
    if (x > row.left && x + wide > row.right) {
      form.space(4);
      row = form.row(24);
      x = row.left;
    }
    const std::string item = fmt::format("{}.{}", name, i + 1);
    if (button(ui, item.c_str(), {x, row.top, x + wide, row.bottom}, label, {.hint = hint})) answer = i;
    x += wide + gap;
  }
  form.space(6);
  return answer;
}

double together(const std::vector<double>& shims_mm) {
  double sum = 0.0;
  for (const double mm : shims_mm) sum += mm;
  return sum;
}

void shim_rows(Frame& frame, Form& form) {
  const Document& document = frame.bench.document();
  form.section("Shims behind the crank sprocket");
  if (!document.fitted.shim_mm.empty())
    form.fact("together", length_text(together(document.fitted.shim_mm), frame.view.units));
  if (const auto out = pieces(frame, form, "shim.fitted", document.fitted.shim_mm, "take it out, onto the shelf")) {
    Document next = document;
    move_piece(next.fitted.shim_mm, next.shelf_mm, document.fitted.shim_mm[*out]);
    change_shims(frame, std::move(next), "shim taken out");
  }
  form.note(document.shelf_mm.empty() ? "On the shelf" : "On the shelf: press one to fit it");
  if (const auto in = pieces(frame, form, "shim.shelf", document.shelf_mm, "fit it behind the crank sprocket")) {
    Document next = document;
    move_piece(next.shelf_mm, next.fitted.shim_mm, document.shelf_mm[*in]);
    change_shims(frame, std::move(next), "shim fitted");
  }
}

// The pack the verdict asks for, in or out at one press.
void pack_button(Frame& frame, Form& form, const Alignment& found) {
  if (found.shims == ShimsTo::leave) return;
  const bool in = found.shims == ShimsTo::add;
  if (!form.press("shim.pack",
                  found.shims == ShimsTo::remake ? "make up the new pack"
                  : in                           ? "fit these shims"
                                                 : "take these shims out",
                  {.hint = "as the verdict says; undo brings it back"}))
    return;
  Document next = frame.bench.document();
  if (found.shims == ShimsTo::remake) {
    for (const double mm : std::vector<double>(next.fitted.shim_mm)) move_piece(next.fitted.shim_mm, next.shelf_mm, mm);
    for (const double mm : found.pack.pieces_mm) move_piece(next.shelf_mm, next.fitted.shim_mm, mm);
  } else {
    for (const double mm : found.pack.pieces_mm)
      in ? move_piece(next.shelf_mm, next.fitted.shim_mm, mm) : move_piece(next.fitted.shim_mm, next.shelf_mm, mm);
  }
  change_shims(frame, std::move(next), "shims");
}

std::string side_words(double behind_mm, Units units) {
  const std::string size = length_text(std::fabs(behind_mm), units);
  if (length_figure(std::fabs(behind_mm), units) == length_figure(0.0, units)) return "in plane";
  return size + (behind_mm > 0.0 ? " behind" : " proud");
}

void figures(Frame& frame, Form& form, const Alignment& found) {
  const Units units = frame.view.units;
  form.section("What it comes to");
  form.fact("crank sprocket now, to " + plus_minus_text(coverage * found.u_gap_mm, units),
            side_words(found.behind_mm, units));
  if (found.since_mm != 0.0) form.fact("shimmed since it was read", signed_length_text(found.since_mm, units));
  if (found.shims != ShimsTo::leave)
    form.fact("after shimming, to " + plus_minus_text(coverage * found.u_left_mm, units),
              side_words(found.left_mm, units));
  form.fact("limit, either way", length_text(found.limit_mm, units));
  form.fact(fmt::format("tilt, far less near; limit {}", deg_text(found.tilt_limit_deg, 2)),
            fmt::format("{} ±{}", signed_deg_text(found.tilt_deg, 2), deg_text(coverage * found.u_tilt_deg, 2)));
  form.fact("chain askew over its shortest strand", deg_text(found.chain_deg, 2));
  form.fact("the chain's own side play", length_text(found.side_play_mm, units));
  form.space(2);
  form.sentence(fmt::format("Read again{}: {}.", found.shims == ShimsTo::leave ? "" : " after fitting", found.recheck));
  for (const std::string& advice : found.advice) form.note(advice);
}

} // namespace

float alignment_panel(Frame& frame, ImVec2 at, float width) {
  const Found<Alignment>& found = *frame.bench.findings().alignment;
  Form form(
      frame,
      {at.x, at.y + panel_head(frame, at, width, "Alignment", "Whether both sprockets run in one plane.", meaning)},
      width);
  if (found) {
    form.verdict(alignment_standing(frame.bench), found->words);
    pack_button(frame, form, *found);
  } else {
    form.verdict(Verdict::warning, frame.bench.document().measured.gap ? "Alignment is not computed." : "Not read yet.",
                 {frame.bench.document().measured.gap
                      ? found.fault
                      : std::string("Lay a straight-edge across the sprockets' faces and put in the feeler gap at both "
                                    "edges.")});
  }
  gap_fields(frame, form);
  if (!found && (frame.view.gap.near_mm || frame.view.gap.far_mm)) form.note("The other edge is wanted as well.");
  if (frame.bench.document().measured.gap && form.press("gap.remove", "take this reading away"))
    put_gap(frame, std::nullopt, "gap taken away", "gap.remove");
  shim_rows(frame, form);
  if (found) figures(frame, form, *found);
  form.space(4);
  form.note(bench_cautions);
  return form.bottom();
}

} // namespace phasewright::viewer
