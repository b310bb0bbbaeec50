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
void draw_sign(Canvas& canvas, glm::dvec2 middle_mm, SheetTone tone, double size = 1.0) {
  const Pen pen{.width_mm = 0.7 * size, .ink = ink_of(tone), .dashes_mm = {}, .end = LineEnd::round};
  const auto at = [&](double x_mm, double y_mm) { return middle_mm + size * glm::dvec2{x_mm, y_mm}; };
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

// All else that is judged, a line each, with its sign.
void draw_standings(SheetFlow& flow, const std::vector<SheetWords>& standings) {
  constexpr double beside_mm = 12.0;
  flow.skip(1.5);
  for (const SheetWords& one : standings) {
    const TextStyle style{.size_pt = body_pt, .ink = ink_of(one.tone)};
    const double height_mm = std::max(4.6, measure_text(one.words, style, flow.width_mm() - beside_mm).height_mm + 0.8);
    flow.drawing(height_mm, [&](Canvas& canvas, const Box& box) {
      draw_sign(canvas, {box.left_mm + 6.0, box.top_mm + 2.0}, one.tone, 0.6);
      canvas.paragraph({box.left_mm + beside_mm, box.top_mm}, box.width_mm - beside_mm, one.words, style);
    });
  }
}

double words_height_mm(const std::vector<SheetWords>& words, double width_mm) {
  double height_mm = 0.0;
  for (const SheetWords& one : words)
    height_mm += measure_text(one.words, body_style(one.tone), width_mm).height_mm + 0.8;
  return height_mm;
}

// One key's name, the shaft's end, and its section much larger, in a column of that width.
class KeyPlace {
public:
  KeyPlace(const SheetKey& key, double width_mm)
      : key_(key), width_mm_(width_mm), end_scale_(shaft_end_scale(key.key)) {
    while (end_scale_ > 0.1 && shaft_end_size_mm(key.key, end_scale_).x > width_mm)
      end_scale_ = next_smaller_scale(end_scale_);
    constexpr double most_high_mm = 46.0;
    while (section_scale_ > 0.1 && (section_size_mm(key.key, section_scale_).x > width_mm ||
                                    section_size_mm(key.key, section_scale_).y > most_high_mm))
      section_scale_ = section_scale_ > 2.0 ? section_scale_ - 1.0 : next_smaller_scale(section_scale_);
  }

  [[nodiscard]] double height_mm() const {
    return name_mm() + shaft_end_size_mm(key_.key, end_scale_).y + section_size_mm(key_.key, section_scale_).y + 3.0;
  }

  double draw(Canvas& canvas, glm::dvec2 top_left_mm) const {
    const double left_mm = top_left_mm.x;
    double y_mm = canvas.paragraph(top_left_mm, width_mm_, key_.name, style) + 1.0;
    const glm::dvec2 end_mm = shaft_end_size_mm(key_.key, end_scale_);
    draw_shaft_end(canvas, {left_mm + (width_mm_ - end_mm.x) / 2.0, y_mm}, key_.key, end_scale_,
                   "shaft’s end at overlap TDC of No. 1");
    y_mm += end_mm.y + 1.0;
    draw_section(canvas, {left_mm, y_mm}, key_.key, section_scale_);
    return y_mm + section_size_mm(key_.key, section_scale_).y + 1.0;
  }

private:
  static inline const TextStyle style{.size_pt = 8.0, .bold = true};

  [[nodiscard]] double name_mm() const { return measure_text(key_.name, style, width_mm_).height_mm; }

  const SheetKey& key_;
  double width_mm_;
  double end_scale_;
  double section_scale_ = 10.0;
};

constexpr double key_mm = 57.0;
constexpr double key_gap_mm = 4.0;

// The part's words, and beside them what is drawn of its keys.
void draw_words(SheetFlow& flow, const SheetPart& part, const std::vector<SheetKey>& keys) {
  if (keys.empty()) {
    for (const SheetWords& one : part.words) flow.paragraph(one.words, body_style(one.tone));
    return;
  }
  const double width_mm = flow.width_mm() - key_mm - key_gap_mm;
  if (keys.size() == 1) {
    const KeyPlace key(keys.front(), key_mm);
    flow.drawing(std::max(words_height_mm(part.words, width_mm), key.height_mm()), [&](Canvas& canvas, const Box& box) {
      double y_mm = box.top_mm;
      for (const SheetWords& one : part.words)
        y_mm = canvas.paragraph({box.left_mm, y_mm}, width_mm, one.words, body_style(one.tone)) + 0.8;
      key.draw(canvas, {box.right_mm() - key_mm, box.top_mm});
    });
    return;
  }
  for (const SheetWords& one : part.words) flow.paragraph(one.words, body_style(one.tone));
  // Several side by side below the words, in their order.
  constexpr std::size_t in_row = 3;
  for (std::size_t from = 0; from < keys.size(); from += in_row) {
    const std::size_t to = std::min(keys.size(), from + in_row);
    double height_mm = 0.0;
    for (std::size_t i = from; i < to; ++i) height_mm = std::max(height_mm, KeyPlace(keys[i], key_mm).height_mm());
    flow.skip(1.0);
    flow.drawing(height_mm, [&](Canvas& canvas, const Box& box) {
      for (std::size_t i = from; i < to; ++i)
        KeyPlace(keys[i], key_mm)
            .draw(canvas, {box.left_mm + static_cast<double>(i - from) * (key_mm + key_gap_mm), box.top_mm});
    });
  }
}

void draw_notes(SheetFlow& flow, const SheetPart& part) {
  for (const std::string& note : part.notes) flow.paragraph(note, {.size_pt = note_pt, .ink = inks::quiet});
}

void draw_part(SheetFlow& flow, const SheetPart& part, const std::vector<SheetKey>& keys = {}) {
  if (part.words.empty() && part.tables.empty()) return;
  // A short part stays together.
  const double table_mm = part.tables.empty() ? 0.0 : flow.kept_mm(part.tables.front());
  const double words_mm = keys.empty() ? words_height_mm(part.words, flow.width_mm()) : 0.0;
  flow.heading(part.title, std::max(12.0, words_mm + table_mm));
  draw_words(flow, part, keys);
  for (const SheetTable& table : part.tables) flow.table(table);
  draw_notes(flow, part);
}

// In two columns where that has room on a page: the last of several tables on the right.
void draw_as_read(SheetFlow& flow, const SheetPart& part) {
  if (part.tables.size() < 2) return draw_part(flow, part);
  constexpr double gap_mm = 8.0;
  constexpr double between_mm = 2.5;
  constexpr double most_mm = 170.0;
  const double half_mm = (flow.width_mm() - gap_mm) / 2.0;
  std::vector<TableLayout> layouts;
  for (const SheetTable& table : part.tables) layouts.emplace_back(table, half_mm);
  double left_high_mm = 0.0;
  for (std::size_t i = 0; i + 1 < layouts.size(); ++i) left_high_mm += layouts[i].height_mm() + between_mm;
  const double height_mm = std::max(left_high_mm, layouts.back().height_mm());
  if (height_mm > most_mm) return draw_part(flow, part);
  flow.heading(part.title, height_mm);
  flow.drawing(height_mm, [&](Canvas& canvas, const Box& box) {
    double y_mm = box.top_mm;
    for (std::size_t i = 0; i + 1 < layouts.size(); ++i) y_mm = layouts[i].draw(canvas, box.left_mm, y_mm) + between_mm;
    layouts.back().draw(canvas, box.left_mm + half_mm + gap_mm, box.top_mm);
  });
  draw_notes(flow, part);
}

void draw_events(SheetFlow& flow, const BuildSheet& sheet) {
  constexpr double ring_mm = 68.0;
  constexpr double curves_mm = 52.0;
  const bool drawn = !sheet.events.tables.empty();
  flow.heading(sheet.events.title, drawn ? ring_mm + curves_mm + 6.0 : 10.0);
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

constexpr double signatures_mm = 3.0 * write_mm;

void draw_signatures(SheetFlow& flow) {
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

constexpr double written_mm = 34.0; // a line beside a check

double check_width_mm(const SheetFlow& flow, const SheetCheck& check) {
  return flow.width_mm() - 7.0 - (check.blank ? written_mm + 4.0 : 0.0);
}

double check_height_mm(const SheetFlow& flow, const SheetCheck& check) {
  return std::max(write_mm,
                  measure_text(check.words, {.size_pt = body_pt}, check_width_mm(flow, check)).height_mm + 2.5);
}

// What is signed stands on one page with the signatures.
void draw_checks(SheetFlow& flow, const BuildSheet& sheet) {
  double height_mm = signatures_mm;
  for (const SheetCheck& check : sheet.checks) height_mm += check_height_mm(flow, check);
  flow.heading("To be ticked off", height_mm);
  for (const SheetCheck& check : sheet.checks)
    flow.drawing(check_height_mm(flow, check), [&](Canvas& canvas, const Box& box) {
      canvas.tick_box({box.left_mm, box.top_mm + 1.0}, 3.6);
      canvas.paragraph({box.left_mm + 7.0, box.top_mm + 1.0}, check_width_mm(flow, check), check.words,
                       {.size_pt = body_pt});
      if (check.blank)
        canvas.line({box.right_mm() - written_mm, box.top_mm + 5.0}, {box.right_mm(), box.top_mm + 5.0},
                    {.width_mm = 0.2});
    });
  draw_signatures(flow);
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
  draw_standings(flow, sheet.standings);
  draw_part(flow, sheet.correction, sheet.keys);
  draw_part(flow, sheet.clearances);
  draw_cautions(flow, sheet.cautions);
  draw_events(flow, sheet);
  draw_part(flow, sheet.readings);
  draw_part(flow, sheet.alignment);
  draw_fasteners(flow, sheet.fasteners);
  draw_checks(flow, sheet);
  draw_as_read(flow, sheet.as_read);
  flow.number_pages(sheet.planned ? "A plan, computed and not measured. The engine maker’s limits come first."
                                  : "Computed from what is fitted and was read. The engine maker’s limits come first.");
  return print;
}

} // namespace phasewright::paper
