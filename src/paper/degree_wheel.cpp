#include "paper/degree_wheel.hpp"

#include "geometry/angle.hpp"
#include "paper/check_line.hpp"
#include "paper/warning_box.hpp"
#include "paper/wheel_face.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>

namespace phasewright::paper {

namespace {

constexpr double border_mm = 10.0; // of text
constexpr double edge_mm = 5.0;    // of the wheel: printers leave about as much free
constexpr double page_top_mm = 7.0;
constexpr double foot_mm = 8.0;   // below everything
constexpr double around_mm = 8.0; // about a wheel that is cut into tiles, for the joining marks

double text_width_mm(const Canvas& canvas) {
  return canvas.size_mm().x - 2.0 * border_mm;
}

std::string wheel_words(const WheelSpec& spec) {
  return fmt::format("Degree wheel, {:.1f} mm", spec.diameter_mm);
}

std::string bore_words(const WheelSpec& spec) {
  return spec.bore_mm ? fmt::format("bore {:.1f} mm", *spec.bore_mm) : std::string("bore not drawn, centre marked");
}

std::string running_words(const WheelSpec& spec) {
  const char* turns = to_word(spec.crank);
  const char* run = to_word(figures_run(spec.crank));
  std::string words = fmt::format(
      "For a crank that turns {}, seen from the timing end. The wheel is fixed to the crank and turns with it past a "
      "pointer that stands still, so its figures run the other way, {}: as the crank turns on, the figure at the "
      "pointer rises.",
      turns, run);
  if (spec.both_ways) words += fmt::format(" The inner figures are for a crank that turns {}.", run);
  return words;
}

std::string use_words() {
  return "Find TDC of No. 1 with the piston stop and set the pointer to 0 there. A second turn goes on from 360: add "
         "it. "
         "Marked each 1°, longer each 5°, numbered each 10°; the smaller figures count from the nearest dead centre.";
}

// Gives where the next may begin.
double draw_head(Canvas& canvas, const WheelSpec& spec) {
  const double width_mm = text_width_mm(canvas);
  double at_mm = draw_warning(canvas, page_top_mm, spec.warning);
  at_mm = canvas.fitted({border_mm, at_mm, width_mm, 7.0}, wheel_words(spec) + ", " + bore_words(spec),
                        {.size_pt = 13, .bold = true});
  at_mm = canvas.fitted({border_mm, at_mm, width_mm, 8.0}, spec.title, {.size_pt = 9});
  at_mm = canvas.paragraph({border_mm, at_mm + 0.6}, width_mm, running_words(spec), {.size_pt = 7.5});
  return canvas.paragraph({border_mm, at_mm + 0.4}, width_mm, use_words(), {.size_pt = 7.5});
}

struct EventRow {
  ValveKind kind = ValveKind::inlet;
  int number = 0;
  std::vector<const WheelEvent*> events;
};

std::vector<EventRow> event_rows(const WheelSpec& spec) {
  std::vector<EventRow> rows;
  for (const WheelEvent& event : spec.events) {
    const auto same = [&event](const EventRow& row) { return row.kind == event.kind && row.number == event.number; };
    const auto row = std::ranges::find_if(rows, same);
    if (row == rows.end())
      rows.push_back({event.kind, event.number, {&event}});
    else
      row->events.push_back(&event);
  }
  return rows;
}

std::string row_words(const EventRow& row) {
  std::string words = row.kind == ValveKind::inlet ? "Inlet" : "Exhaust";
  if (row.number > 0) words += fmt::format(" {}, \"{}\"", row.number, row.events.front()->camshaft);
  return words + (row.kind == ValveKind::inlet ? " (solid)" : " (dashed)");
}

void draw_event_cell(Canvas& canvas, const WheelEvent& event, glm::dvec2 top_left_mm) {
  constexpr double line_mm = 3.4;
  const char* what = event.what == "centre" ? "lobe centre" : event.what.c_str();
  canvas.text(top_left_mm, fmt::format("{} {}", what, event.words), {.size_pt = 7.5}, 0.0, TextStands::top);
  canvas.text(top_left_mm + glm::dvec2{0.0, line_mm},
              fmt::format("wheel {}°, crank {:.1f}°", wheel_figure(event.crank_deg), event.crank_deg),
              {.size_pt = 7, .ink = inks::quiet}, 0.0, TextStands::top);
}

double draw_events(Canvas& canvas, const WheelSpec& spec, double top_mm) {
  if (spec.events.empty()) return top_mm;
  const double width_mm = text_width_mm(canvas);
  double at_mm =
      canvas.paragraph({border_mm, top_mm}, width_mm,
                       fmt::format("Marked: events {} at {}, and lobe centres. Crank degrees are of the whole cycle.",
                                   spec.events_of, spec.check_lift),
                       {.size_pt = 7.5, .bold = true});
  constexpr double name_mm = 34.0;
  constexpr double row_mm = 7.6;
  const double cell_mm = (width_mm - name_mm) / 3.0;
  for (const EventRow& row : event_rows(spec)) {
    at_mm += 0.5;
    const Ink ink = row.kind == ValveKind::inlet ? inks::inlet : inks::exhaust;
    canvas.fitted({border_mm, at_mm, name_mm - 2.0, row_mm}, row_words(row), {.size_pt = 7.5, .bold = true, .ink = ink},
                  7.0);
    for (std::size_t i = 0; i < row.events.size(); ++i)
      draw_event_cell(canvas, *row.events[i], {border_mm + name_mm + static_cast<double>(i) * cell_mm, at_mm});
    at_mm += row_mm;
  }
  return at_mm;
}

double draw_cautions(Canvas& canvas, const WheelSpec& spec, double top_mm) {
  std::string words;
  for (const std::string& caution : spec.cautions) words += (words.empty() ? "" : " ") + caution;
  return canvas.paragraph({border_mm, top_mm}, text_width_mm(canvas), words, {.size_pt = 7, .ink = inks::quiet});
}

// What stands below the wheel.
double draw_foot(Canvas& canvas, const WheelSpec& spec, double top_mm) {
  double at_mm = draw_events(canvas, spec, top_mm);
  at_mm = draw_cautions(canvas, spec, at_mm + 0.8);
  draw_check_line(canvas, border_mm, at_mm + 1.5, "cutting");
  return at_mm + 1.5 + check_line_height_mm;
}

Page new_page(const WheelSpec& spec) {
  return {.size_mm = page_size_mm(spec.paper)};
}

// The wheel with its words about it, if all goes on one sheet.
std::optional<Page> one_sheet(const WheelSpec& spec) {
  Page trial = new_page(spec);
  Canvas measured(trial);
  constexpr double gap_mm = 2.0;
  const double head_mm = draw_head(measured, spec);
  const double needed_mm = draw_foot(measured, spec, 0.0) + spec.diameter_mm + 2.0 * gap_mm;
  if (head_mm + needed_mm > trial.size_mm.y - foot_mm || spec.diameter_mm > trial.size_mm.x - 2.0 * edge_mm)
    return std::nullopt;
  Page page = new_page(spec);
  Canvas canvas(page);
  canvas.bookmark(wheel_words(spec), 0.0);
  // What room is left over goes above and below the wheel.
  const double spare_mm = page.size_mm.y - foot_mm - head_mm - needed_mm;
  const double middle_mm = draw_head(canvas, spec) + gap_mm + spare_mm / 2.0 + spec.diameter_mm / 2.0;
  draw_wheel_face(canvas, {page.size_mm.x / 2.0, middle_mm}, spec);
  draw_foot(canvas, spec, middle_mm + spec.diameter_mm / 2.0 + gap_mm + spare_mm / 2.0);
  return page;
}

void draw_joining_mark(Canvas& canvas, glm::dvec2 at_mm) {
  constexpr double arm_mm = 3.0;
  const Pen pen{.width_mm = 0.13};
  canvas.line(at_mm - glm::dvec2{arm_mm, 0.0}, at_mm + glm::dvec2{arm_mm, 0.0}, pen);
  canvas.line(at_mm - glm::dvec2{0.0, arm_mm}, at_mm + glm::dvec2{0.0, arm_mm}, pen);
  canvas.circle(at_mm, 1.5, pen);
}

// At the ends of every joint and where joints cross; the wheel's own cross does for the middle.
void draw_joining_marks(Canvas& canvas, const WheelSpec& spec, const TileGrid& grid) {
  const glm::dvec2 size_mm = canvas.size_mm();
  const std::vector<double> across_mm = joints_across_mm(grid);
  const std::vector<double> down_mm = joints_down_mm(grid);
  const double in_mm = around_mm / 2.0;
  for (const double x_mm : across_mm)
    for (const double y_mm : {in_mm, size_mm.y - in_mm}) draw_joining_mark(canvas, {x_mm, y_mm});
  for (const double y_mm : down_mm)
    for (const double x_mm : {in_mm, size_mm.x - in_mm}) draw_joining_mark(canvas, {x_mm, y_mm});
  for (const double x_mm : across_mm)
    for (const double y_mm : down_mm) {
      const glm::dvec2 off_mm = glm::dvec2{x_mm, y_mm} - size_mm / 2.0;
      const double centre_mm = std::max(8.0, spec.bore_mm.value_or(0.0) / 2.0);
      if (std::hypot(off_mm.x, off_mm.y) > centre_mm) draw_joining_mark(canvas, {x_mm, y_mm});
    }
}

std::string place_words(const TileGrid& grid, int column, int row) {
  const auto along = [](int at, int count, const char* first, const char* last) {
    return std::string(count == 1 ? "" : at == 0 ? first : at == count - 1 ? last : "middle");
  };
  const std::string down = along(row, grid.rows, "top", "bottom");
  const std::string across = along(column, grid.columns, "left", "right");
  if (down.empty() && across.empty()) return "the whole wheel";
  return down + (down.empty() || across.empty() ? "" : ", ") + across;
}

// The wheel small, cut where the tiles are joined, and what each is called.
double draw_key_plan(Canvas& canvas, const WheelSpec& spec, const TileGrid& grid, double top_mm) {
  constexpr double plan_mm = 84.0;
  const double drawing_mm = spec.diameter_mm + 2.0 * around_mm;
  const double scale = plan_mm / drawing_mm;
  const Box plan{border_mm, top_mm, plan_mm, plan_mm};
  canvas.rectangle(plan, Pen{.width_mm = 0.25});
  canvas.circle(plan.middle_mm(), spec.diameter_mm / 2.0 * scale, Pen{.width_mm = 0.3});
  for (const double x_mm : joints_across_mm(grid))
    canvas.line({plan.left_mm + scale * x_mm, plan.top_mm}, {plan.left_mm + scale * x_mm, plan.bottom_mm()},
                {.width_mm = 0.2, .dashes_mm = {1.5, 1.0}});
  for (const double y_mm : joints_down_mm(grid))
    canvas.line({plan.left_mm, plan.top_mm + scale * y_mm}, {plan.right_mm(), plan.top_mm + scale * y_mm},
                {.width_mm = 0.2, .dashes_mm = {1.5, 1.0}});
  double at_mm = plan.top_mm;
  const double words_mm = plan.right_mm() + 6.0;
  for (int row = 0; row < grid.rows; ++row)
    for (int column = 0; column < grid.columns; ++column) {
      // Nearer the middle than its tile's own, so that the rim does not run through it.
      constexpr double inward = 0.8;
      const glm::dvec2 from_middle{(column + 0.5) / grid.columns - 0.5, (row + 0.5) / grid.rows - 0.5};
      canvas.text(plan.middle_mm() + inward * plan_mm * from_middle, tile_name(column, row),
                  {.size_pt = 13, .bold = true, .align = TextAlign::centre}, 0.0, TextStands::middle);
      at_mm = canvas.paragraph({words_mm, at_mm}, canvas.size_mm().x - border_mm - words_mm,
                               fmt::format("{}: {}, sheet {}", tile_name(column, row), place_words(grid, column, row),
                                           row * grid.columns + column + 2),
                               {.size_pt = 9});
    }
  return plan.bottom_mm();
}

std::string joining_words(const TileGrid& grid) {
  if (grid.count() == 1) return "The wheel stands on sheet 2 by itself.";
  return fmt::format(
      "The wheel stands on {} tiles, {} beside and {} below each other, that overlap by {:.0f} mm. On one "
      "of two neighbours cut straight from joining mark to joining mark (small crosses with a ring; in "
      "the middle of the wheel its own cross). Lay it over the other so that every cross is whole again, "
      "glue, and see that the rim and all graduations run on without a step. Glue the wheel on stiff "
      "sheet before it is cut out.",
      grid.count(), grid.columns, grid.rows, tile_overlap_mm);
}

Page cover_sheet(const WheelSpec& spec, const TileGrid& grid) {
  Page page = new_page(spec);
  Canvas canvas(page);
  canvas.bookmark(wheel_words(spec), 0.0);
  double at_mm = draw_head(canvas, spec) + 4.0;
  at_mm = canvas.paragraph({border_mm, at_mm}, text_width_mm(canvas), joining_words(grid), {.size_pt = 9}) + 4.0;
  if (grid.count() > 1) at_mm = draw_key_plan(canvas, spec, grid, at_mm) + 5.0;
  draw_foot(canvas, spec, at_mm);
  return page;
}

// Where the drawing begins on a tile: below the warning and the tile's name.
double tile_top_mm(const WheelSpec& spec) {
  constexpr double name_mm = 6.0;
  Page trial = new_page(spec);
  Canvas measured(trial);
  return draw_warning(measured, page_top_mm, spec.warning) + name_mm;
}

glm::dvec2 tile_room_mm(const WheelSpec& spec) {
  const glm::dvec2 page_mm = page_size_mm(spec.paper);
  return {page_mm.x - 2.0 * edge_mm, page_mm.y - tile_top_mm(spec) - foot_mm - check_line_height_mm - 2.0};
}

Page tile_sheet(const WheelSpec& spec, const TileGrid& grid, const Page& drawing, int column, int row) {
  Page page = new_page(spec);
  Canvas canvas(page);
  const int sheet = row * grid.columns + column + 2;
  const std::string name = tile_name(column, row);
  canvas.bookmark(fmt::format("Tile {}", name), 0.0, 2);
  const double name_mm = draw_warning(canvas, page_top_mm, spec.warning);
  canvas.fitted({border_mm, name_mm, text_width_mm(canvas), 4.5},
                fmt::format("Tile {}: {}. {}, sheet {} of {}. {}", name, place_words(grid, column, row),
                            wheel_words(spec), sheet, grid.count() + 1, spec.title),
                {.size_pt = 9}, 5.0);
  const Box window = tile_window(grid, column, row);
  const double top_mm = tile_top_mm(spec);
  add_window(drawing, window, {(page.size_mm.x - window.width_mm) / 2.0, top_mm}, page);
  draw_check_line(canvas, border_mm, top_mm + window.height_mm + 2.0, "cutting");
  return page;
}

} // namespace

Rotation figures_run(Rotation crank) {
  return crank == Rotation::clockwise ? Rotation::anticlockwise : Rotation::clockwise;
}

std::string wheel_figure(double crank_deg) {
  const double tenths = std::round(wrap_360(crank_deg) * 10.0);
  return fmt::format("{:.1f}", tenths >= 3600.0 ? 0.0 : tenths / 10.0);
}

double greatest_bore_mm(const WheelSpec& spec) {
  const WheelFace face = wheel_face(spec);
  constexpr double clear_mm = 2.0;
  if (spec.events.empty()) return 2.0 * (face.inner_mm - 3.0 * clear_mm);
  if (label_places_deg(spec, face).empty()) return 0.0;
  return 2.0 * (face.label_mm - face.label_length_mm - clear_mm);
}

DegreeWheel degree_wheel(const WheelSpec& spec) {
  assert(spec.diameter_mm >= least_wheel_mm && spec.diameter_mm <= most_wheel_mm);
  assert(!spec.bore_mm || (*spec.bore_mm >= least_bore_mm && *spec.bore_mm <= greatest_bore_mm(spec)));
  DegreeWheel wheel;
  wheel.print.info = {.title = wheel_words(spec),
                      .subject = spec.title,
                      .keywords = fmt::format("degree wheel, {}, crank degrees, valve timing", to_name(spec.paper)),
                      .date = spec.date};
  if (std::optional<Page> page = one_sheet(spec)) {
    wheel.print.pages.push_back(*std::move(page));
    return wheel;
  }
  wheel.one_sheet = false;
  const double size_mm = spec.diameter_mm + 2.0 * around_mm;
  wheel.drawing_mm = {size_mm, size_mm};
  wheel.tiles = tile_grid(wheel.drawing_mm, tile_room_mm(spec));
  Page drawing{.size_mm = wheel.drawing_mm};
  Canvas canvas(drawing);
  draw_wheel_face(canvas, wheel.drawing_mm / 2.0, spec);
  draw_joining_marks(canvas, spec, wheel.tiles);
  wheel.print.pages.push_back(cover_sheet(spec, wheel.tiles));
  for (int row = 0; row < wheel.tiles.rows; ++row)
    for (int column = 0; column < wheel.tiles.columns; ++column)
      wheel.print.pages.push_back(tile_sheet(spec, wheel.tiles, drawing, column, row));
  return wheel;
}

} // namespace phasewright::paper
