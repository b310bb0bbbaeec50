#include "paper/draw_sheet.hpp"

#include "paper/key_drawings.hpp"
#include "paper/sheet_flow.hpp"
#include "paper/sheet_plots.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright::paper {

namespace {

constexpr double body_pt = 8.5;
constexpr double note_pt = 7.5;
constexpr double write_mm = 7.5; // a line to be written on by hand

TextStyle body_style(SheetTone tone) {
  return {.size_pt = body_pt, .bold = tone == SheetTone::bad || tone == SheetTone::good, .ink = ink_of(tone)};
}

// A strand of chain, as the program's own mark has it.
void draw_strand(Canvas& canvas, glm::dvec2 right_mm) {
  constexpr double pitch_mm = 4.2;
  for (int i = 0; i < 3; ++i) {
    const glm::dvec2 at_mm{right_mm.x - pitch_mm * i, right_mm.y};
    if (i > 0) canvas.line(at_mm, {at_mm.x + pitch_mm, at_mm.y}, {.width_mm = 0.5, .ink = inks::accent});
    canvas.circle(at_mm, 1.3, Pen{.width_mm = 0.4, .ink = inks::accent}, i == 0 ? inks::accent : inks::white);
  }
}

void draw_title(SheetFlow& flow, const BuildSheet& sheet) {
  flow.drawing(17.0, [&](Canvas& canvas, const Box& box) {
    canvas.bookmark("Build sheet", box.top_mm);
    canvas.text({box.right_mm(), box.top_mm + 2.6}, "Build sheet",
                {.size_pt = 9.0, .bold = true, .ink = inks::accent, .align = TextAlign::right});
    draw_strand(canvas, {box.right_mm() - 1.5, box.top_mm + 7.0});
    const double below_mm = canvas.fitted({box.left_mm, box.top_mm - 1.5, box.width_mm - 32.0, 10.5}, sheet.title,
                                          {.size_pt = 16.0, .bold = true}, 9.0);
    std::string second = sheet.engine == sheet.title ? std::string() : sheet.engine;
    if (!sheet.date.empty()) second += fmt::format("{}readings of {}", second.empty() ? "" : " · ", sheet.date);
    canvas.fitted({box.left_mm, std::max(below_mm + 0.4, box.top_mm + 9.0), box.width_mm - 32.0, 5.0}, second,
                  {.size_pt = 9.5, .ink = inks::quiet});
    canvas.line({box.left_mm, box.top_mm + 15.2}, {box.right_mm(), box.top_mm + 15.2},
                {.width_mm = 0.5, .ink = inks::accent});
  });
}

// A sign that is told by its shape as well: a tick, a triangle, a cross.
void draw_sign(Canvas& canvas, glm::dvec2 middle_mm, SheetTone tone) {
  const Pen pen{.width_mm = 0.7, .ink = ink_of(tone), .dashes_mm = {}, .end = LineEnd::round};
  const auto at = [&](double x_mm, double y_mm) { return glm::dvec2{middle_mm.x + x_mm, middle_mm.y + y_mm}; };
  if (tone == SheetTone::good)
    canvas.polyline(std::array{at(-2.0, 0.2), at(-0.6, 1.7), at(2.2, -1.8)}, pen);
  else if (tone == SheetTone::bad)
    for (const double side : {-1.0, 1.0}) canvas.line(at(-1.8, -1.8 * side), at(1.8, 1.8 * side), pen);
  else
    canvas.polygon(std::array{at(0.0, -2.0), at(2.3, 1.9), at(-2.3, 1.9)}, pen, std::nullopt);
}

void draw_verdict(SheetFlow& flow, const SheetWords& verdict) {
  const TextStyle style{.size_pt = 10.0, .bold = true, .ink = ink_of(verdict.tone)};
  const double height_mm = measure_text(verdict.words, style, flow.width_mm() - 14.0).height_mm + 4.0;
  flow.skip(1.5);
  flow.drawing(height_mm, [&](Canvas& canvas, const Box& box) {
    canvas.rectangle(box, Pen{.width_mm = 0.4, .ink = ink_of(verdict.tone)}, inks::wash);
    draw_sign(canvas, {box.left_mm + 6.0, box.middle_mm().y}, verdict.tone);
    canvas.paragraph({box.left_mm + 12.0, box.top_mm + 2.0}, box.width_mm - 14.0, verdict.words, style);
  });
}

double words_height_mm(const std::vector<SheetWords>& words, double width_mm) {
  double height_mm = 0.0;
  for (const SheetWords& one : words)
    height_mm += measure_text(one.words, body_style(one.tone), width_mm).height_mm + 0.8;
  return height_mm;
}

// The part's words, and beside them what is drawn of its keys.
void draw_words(SheetFlow& flow, const SheetPart& part, const std::vector<CardKey>& keys) {
  if (keys.empty()) {
    for (const SheetWords& one : part.words) flow.paragraph(one.words, body_style(one.tone));
    return;
  }
  constexpr double key_mm = 56.0;
  constexpr double gap_mm = 5.0;
  const double width_mm = flow.width_mm() - key_mm - gap_mm;
  std::vector<double> scales;
  double drawn_mm = 0.0;
  for (const CardKey& key : keys) {
    double scale = shaft_end_scale(key);
    while (scale > 0.1 && shaft_end_size_mm(key, scale).x > key_mm) scale = next_smaller_scale(scale);
    scales.push_back(scale);
    drawn_mm += shaft_end_size_mm(key, scale).y;
  }
  flow.drawing(std::max(words_height_mm(part.words, width_mm), drawn_mm), [&](Canvas& canvas, const Box& box) {
    double y_mm = box.top_mm;
    for (const SheetWords& one : part.words)
      y_mm = canvas.paragraph({box.left_mm, y_mm}, width_mm, one.words, body_style(one.tone)) + 0.8;
    double key_y_mm = box.top_mm;
    for (std::size_t i = 0; i < keys.size(); ++i) {
      const glm::dvec2 size_mm = shaft_end_size_mm(keys[i], scales[i]);
      draw_shaft_end(canvas, {box.right_mm() - size_mm.x, key_y_mm}, keys[i], scales[i]);
      key_y_mm += size_mm.y;
    }
  });
}

void draw_notes(SheetFlow& flow, const SheetPart& part) {
  for (const std::string& note : part.notes) flow.paragraph(note, {.size_pt = note_pt, .ink = inks::quiet});
}

void draw_part(SheetFlow& flow, const SheetPart& part, const std::vector<CardKey>& keys = {}) {
  if (part.words.empty() && part.tables.empty()) return;
  // A short part stays together.
  const double table_mm = part.tables.empty() ? 0.0 : flow.kept_mm(part.tables.front());
  const double words_mm = keys.empty() ? words_height_mm(part.words, flow.width_mm()) : 0.0;
  flow.heading(part.title, std::max(12.0, words_mm + table_mm));
  draw_words(flow, part, keys);
  for (const SheetTable& table : part.tables) flow.table(table);
  draw_notes(flow, part);
}

void draw_events(SheetFlow& flow, const BuildSheet& sheet) {
  constexpr double ring_mm = 68.0;
  constexpr double curves_mm = 52.0;
  const bool drawn = !sheet.events.tables.empty();
  flow.heading(sheet.events.title, drawn ? ring_mm : 10.0);
  draw_words(flow, sheet.events, {});
  if (!drawn) return;
  // As wide as it must be; the ring has the rest.
  const double table_mm = 0.43 * flow.width_mm();
  const TableLayout layout(sheet.events.tables.front(), table_mm, 7.5);
  flow.drawing(std::max(ring_mm, layout.height_mm()), [&](Canvas& canvas, const Box& box) {
    layout.draw(canvas, box.left_mm, box.top_mm);
    draw_event_ring(canvas, {box.left_mm + table_mm + 4.0, box.top_mm, box.width_mm - table_mm - 4.0, ring_mm}, sheet);
  });
  draw_notes(flow, sheet.events);
  flow.drawing(curves_mm, [&](Canvas& canvas, const Box& box) { draw_lift_curves(canvas, box, sheet); });
}

void draw_cautions(SheetFlow& flow, const std::vector<std::string>& cautions) {
  flow.heading("Cautions", 10.0);
  for (const std::string& caution : cautions) flow.paragraph("– " + caution, {.size_pt = body_pt});
}

void draw_checks(SheetFlow& flow, const BuildSheet& sheet) {
  flow.heading("To be ticked off", 2.0 * write_mm);
  const TextStyle style{.size_pt = body_pt};
  constexpr double written_mm = 34.0;
  for (const SheetCheck& check : sheet.checks) {
    const double width_mm = flow.width_mm() - 7.0 - (check.blank ? written_mm + 4.0 : 0.0);
    const double height_mm = std::max(write_mm, measure_text(check.words, style, width_mm).height_mm + 2.5);
    flow.drawing(height_mm, [&](Canvas& canvas, const Box& box) {
      canvas.tick_box({box.left_mm, box.top_mm + 1.0}, 3.6);
      canvas.paragraph({box.left_mm + 7.0, box.top_mm + 1.0}, width_mm, check.words, style);
      if (check.blank)
        canvas.line({box.right_mm() - written_mm, box.top_mm + 5.0}, {box.right_mm(), box.top_mm + 5.0},
                    {.width_mm = 0.2});
    });
  }
}

// A box to tick at the end of each row.
void draw_fasteners(SheetFlow& flow, const SheetTable& fasteners) {
  if (fasteners.rows.empty()) return;
  flow.heading("Fasteners, by the maker’s figures", 14.0);
  constexpr double box_mm = 3.4;
  const TableLayout layout(fasteners, flow.width_mm() - 12.0);
  flow.drawing(layout.head_mm(),
               [&](Canvas& canvas, const Box& box) { layout.draw_head(canvas, box.left_mm, box.top_mm); });
  for (std::size_t i = 0; i < layout.rows(); ++i)
    flow.drawing(std::max(layout.row_mm(i), box_mm + 0.6), [&](Canvas& canvas, const Box& box) {
      layout.draw_row(canvas, i, box.left_mm, box.top_mm);
      canvas.tick_box({box.right_mm() - box_mm - 1.0, box.top_mm + 0.3}, box_mm);
    });
}

void draw_signatures(SheetFlow& flow) {
  flow.keep(3.0 * write_mm);
  flow.skip(2.0 * write_mm);
  flow.drawing(6.0, [](Canvas& canvas, const Box& box) {
    const double gap_mm = 6.0;
    const double width_mm = (box.width_mm - 2.0 * gap_mm) / 3.0;
    const char* words[] = {"fitted by", "checked by", "date"};
    for (int i = 0; i < 3; ++i) {
      const double left_mm = box.left_mm + i * (width_mm + gap_mm);
      canvas.line({left_mm, box.top_mm}, {left_mm + width_mm, box.top_mm}, {.width_mm = 0.25});
      canvas.text({left_mm, box.top_mm + 3.6}, words[i], {.size_pt = note_pt, .ink = inks::quiet});
    }
  });
}

} // namespace

Print draw_sheet(const BuildSheet& sheet, PaperSize size) {
  Print print;
  print.info = {.title = sheet.title,
                .subject = "Build sheet of a camshaft timing drive: " + sheet.engine,
                .keywords = "cam timing, valve events, piston to valve clearance",
                .date = sheet.date};
  SheetFlow flow(print, size, fmt::format("Build sheet · {}", sheet.title));
  draw_title(flow, sheet);
  draw_verdict(flow, sheet.verdict);
  draw_part(flow, sheet.correction, sheet.keys);
  draw_part(flow, sheet.clearances);
  draw_cautions(flow, sheet.cautions);
  draw_events(flow, sheet);
  draw_part(flow, sheet.readings);
  draw_part(flow, sheet.alignment);
  draw_fasteners(flow, sheet.fasteners);
  draw_checks(flow, sheet);
  draw_signatures(flow);
  draw_part(flow, sheet.as_read);
  flow.number_pages();
  return print;
}

} // namespace phasewright::paper
