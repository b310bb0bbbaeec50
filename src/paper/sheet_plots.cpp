#include "paper/sheet_plots.hpp"

#include "paper/sheet_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::paper {

namespace {

constexpr double note_pt = 7.0;

Pen pen_of(ValveKind kind, double width_mm, bool pale) {
  Pen pen = kind == ValveKind::inlet ? inlet_pen(width_mm) : exhaust_pen(width_mm);
  if (!pale) return pen;
  const auto paler = [](double share) { return 1.0 - 0.45 * (1.0 - share); };
  pen.ink = {paler(pen.ink.red), paler(pen.ink.green), paler(pen.ink.blue)};
  return pen;
}

constexpr double names_mm = 26.0; // a column either side of the ring

// Angles run clockwise on the paper, the way most people read a degree wheel, whatever way the engine runs.
class Ring {
public:
  Ring(Canvas& canvas, const Box& box)
      : canvas_(canvas), centre_mm_(box.middle_mm()),
        radius_mm_(std::min(box.width_mm / 2.0 - names_mm, box.height_mm / 2.0 - above_mm)) {}

  void dead_centres() const {
    canvas_.circle(centre_mm_, radius_mm_, Pen{.width_mm = 0.2, .ink = inks::faint});
    const auto at = [&](double deg, double radius_mm) { return clock_point_mm(centre_mm_, deg, radius_mm); };
    canvas_.line(at(0.0, radius_mm_ + 1.5), at(180.0, radius_mm_ + 1.5), {.width_mm = 0.2, .ink = inks::quiet});
    for (int deg = 0; deg < 360; deg += 10)
      canvas_.line(at(deg, radius_mm_ - (deg % 30 == 0 ? 1.6 : 0.9)), at(deg, radius_mm_),
                   {.width_mm = 0.1, .ink = inks::quiet});
    const TextStyle style{.size_pt = note_pt, .bold = true, .align = TextAlign::centre};
    canvas_.text(at(0.0, radius_mm_ + 4.0), "TDC", style, 0.0, TextStands::middle);
    canvas_.text(at(180.0, radius_mm_ + 4.0), "BDC", style, 0.0, TextStands::middle);
  }

  // The valve's open span: inlet outside of exhaust, so that the overlap shows side by side.
  void span(ValveKind kind, const OpenSpan& span, bool pale) const {
    const double share = (kind == ValveKind::inlet ? 0.80 : 0.58) - (pale ? 0.09 : 0.0);
    const double radius_mm = share * radius_mm_;
    canvas_.arc(centre_mm_, radius_mm, span.opens_deg, span.opens_deg + span.duration_deg,
                pen_of(kind, pale ? 0.5 : 1.1, pale));
    for (const double deg : {span.opens_deg, span.opens_deg + span.duration_deg})
      canvas_.line(clock_point_mm(centre_mm_, deg, radius_mm - 1.4),
                   clock_point_mm(centre_mm_, deg, pale ? radius_mm + 1.4 : radius_mm_),
                   {.width_mm = pale ? 0.15 : 0.25, .ink = pen_of(kind, 1.0, pale).ink});
  }

  [[nodiscard]] glm::dvec2 end_mm(double deg) const { return clock_point_mm(centre_mm_, deg, radius_mm_ + 1.5); }
  [[nodiscard]] glm::dvec2 centre_mm() const { return centre_mm_; }

private:
  static constexpr double above_mm = 6.5; // "TDC", and as much below
  Canvas& canvas_;
  glm::dvec2 centre_mm_;
  double radius_mm_;
};

// What an end of a span is: written at the side of the box it lies nearer to, with a line to it.
struct EndName {
  glm::dvec2 end_mm{};
  std::string what;
  std::string when;
  Ink ink;
  double y_mm = 0; // of its middle
};

constexpr double name_mm = 7.2; // from one name to the next

// Each where its end is, but clear of the one above; all within the box.
void keep_apart(std::vector<EndName>& names, const Box& box) {
  std::ranges::sort(names, {}, [](const EndName& name) { return name.end_mm.y; });
  double least_mm = box.top_mm + name_mm / 2.0;
  for (EndName& name : names) {
    name.y_mm = std::max(name.end_mm.y, least_mm);
    least_mm = name.y_mm + name_mm;
  }
  double most_mm = box.bottom_mm() - name_mm / 2.0;
  for (auto name = names.rbegin(); name != names.rend(); ++name) {
    name->y_mm = std::min(name->y_mm, most_mm);
    most_mm = name->y_mm - name_mm;
  }
}

void draw_names(Canvas& canvas, const Box& box, std::vector<EndName> names, bool rightward) {
  keep_apart(names, box);
  for (const EndName& name : names) {
    const TextStyle style{.size_pt = note_pt, .ink = name.ink, .align = rightward ? TextAlign::right : TextAlign::left};
    const double x_mm = rightward ? box.right_mm() : box.left_mm;
    const auto what = canvas.text({x_mm, name.y_mm - 0.3}, name.what, style);
    const auto when = canvas.text({x_mm, name.y_mm + 2.6}, name.when, style);
    double inner_mm = x_mm;
    for (const auto& corners : {what, when})
      for (const glm::dvec2& corner : corners)
        inner_mm = rightward ? std::min(inner_mm, corner.x) : std::max(inner_mm, corner.x);
    canvas.line(name.end_mm, {inner_mm + (rightward ? -0.8 : 0.8), name.y_mm}, {.width_mm = 0.15, .ink = name.ink});
  }
}

} // namespace

void draw_event_ring(Canvas& canvas, const Box& box, const BuildSheet& sheet) {
  const Ring ring(canvas, box);
  ring.dead_centres();
  std::array<std::vector<EndName>, 2> names; // left, right
  const auto name_end = [&](EventKind event, const char* what, ValveKind kind, double deg) {
    const glm::dvec2 end_mm = ring.end_mm(deg);
    names[end_mm.x >= ring.centre_mm().x ? 1 : 0].push_back(
        {.end_mm = end_mm,
         .what = fmt::format("{} {}", to_word(kind), what),
         .when = event_words(event, deg),
         .ink = kind == ValveKind::inlet ? inks::inlet : inks::exhaust});
  };
  for (const SheetState& state : sheet.states) {
    if (!state.events) continue;
    const bool last = &state == &sheet.states.back();
    for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
      const KindEvents* of = events_of(*state.events, kind);
      if (of == nullptr) continue;
      ring.span(kind, of->at_check, !last);
      if (!last) continue;
      const bool inlet = kind == ValveKind::inlet;
      name_end(inlet ? EventKind::inlet_opens : EventKind::exhaust_opens, "opens", kind, of->at_check.opens_deg);
      name_end(inlet ? EventKind::inlet_closes : EventKind::exhaust_closes, "closes", kind, of->at_check.closes_deg);
    }
  }
  draw_names(canvas, box, std::move(names[0]), false);
  draw_names(canvas, box, std::move(names[1]), true);
}

namespace {

// From 360 to 360 through the overlap, so that neither lobe is cut in two: -360 to 360 on the paper's axis.
struct LiftPlot {
  Box box; // within the axes
  double high_mm = 1.0;

  [[nodiscard]] double x(double from_tdc_deg) const {
    return box.left_mm + box.width_mm * (from_tdc_deg + 360.0) / 720.0;
  }
  [[nodiscard]] double y(double lift_mm) const { return box.bottom_mm() - box.height_mm * lift_mm / high_mm; }
};

double greatest_lift_mm(const BuildSheet& sheet) {
  double greatest = 1.0;
  for (const SheetState& state : sheet.states)
    for (const std::vector<double>& lift_mm : state.lift_mm)
      if (!lift_mm.empty()) greatest = std::max(greatest, std::ranges::max(lift_mm));
  return greatest;
}

void draw_axes(Canvas& canvas, const LiftPlot& plot, Units units) {
  const TextStyle note{.size_pt = note_pt, .ink = inks::quiet, .align = TextAlign::centre};
  for (int deg = -360; deg <= 360; deg += 90) {
    canvas.line({plot.x(deg), plot.box.top_mm}, {plot.x(deg), plot.box.bottom_mm()},
                {.width_mm = 0.1, .ink = inks::faint});
    const char* name = deg == 0               ? "TDC overlap"
                       : std::abs(deg) == 360 ? "TDC firing"
                       : std::abs(deg) == 180 ? "BDC"
                                              : "";
    canvas.text({plot.x(deg), plot.box.bottom_mm() + 3.2}, deg % 180 == 0 ? name : fmt::format("{}°", std::abs(deg)),
                note);
  }
  const double unit_mm = units == Units::mm ? 1.0 : mm_per_thou;
  const double step = units == Units::mm ? 2.0 : 100.0;
  for (double value = 0.0; value * unit_mm <= plot.high_mm; value += step) {
    const double y_mm = plot.y(value * unit_mm);
    canvas.line({plot.box.left_mm, y_mm}, {plot.box.right_mm(), y_mm}, {.width_mm = 0.1, .ink = inks::faint});
    canvas.text({plot.box.left_mm - 1.2, y_mm}, figure(value, 0),
                {.size_pt = note_pt, .ink = inks::quiet, .align = TextAlign::right}, 0.0, TextStands::middle);
  }
  canvas.text({plot.box.left_mm - 1.2, plot.box.top_mm - 2.0}, unit_word(units),
              {.size_pt = note_pt, .ink = inks::quiet, .align = TextAlign::right});
}

void draw_curve(Canvas& canvas, const LiftPlot& plot, const std::vector<double>& lift_mm, const Pen& pen) {
  std::vector<glm::dvec2> run;
  const auto end_run = [&] {
    if (run.size() > 1) canvas.polyline(run, pen);
    run.clear();
  };
  for (int deg = -360; deg <= 360; ++deg) {
    const double mm = lift_mm[static_cast<std::size_t>((deg + 720) % 720)];
    if (mm > 0.0)
      run.push_back({plot.x(deg), plot.y(mm)});
    else
      end_run();
  }
  end_run();
}

// Which line is which valve, right to left from a point on the words' baseline.
void draw_legend(Canvas& canvas, glm::dvec2 right_mm, const SheetState& state) {
  double x_mm = right_mm.x;
  for (const ValveKind kind : {ValveKind::exhaust, ValveKind::inlet}) {
    if (state.lift_mm[kind == ValveKind::inlet ? 0 : 1].empty()) continue;
    const Pen pen = pen_of(kind, 0.5, false);
    const TextStyle style{.size_pt = note_pt, .bold = true, .ink = pen.ink, .align = TextAlign::right};
    canvas.text({x_mm, right_mm.y}, to_word(kind), style);
    x_mm -= measure_text(to_word(kind), style).width_mm + 1.5;
    canvas.line({x_mm - 8.0, right_mm.y - 0.9}, {x_mm, right_mm.y - 0.9}, pen);
    x_mm -= 12.0;
  }
}

} // namespace

void draw_lift_curves(Canvas& canvas, const Box& box, const BuildSheet& sheet) {
  const LiftPlot plot{.box = {box.left_mm + 8.0, box.top_mm + 5.0, box.width_mm - 17.0, box.height_mm - 10.0},
                      .high_mm = 1.12 * greatest_lift_mm(sheet)};
  draw_axes(canvas, plot, sheet.units);
  for (const SheetState& state : sheet.states) {
    const bool last = &state == &sheet.states.back();
    for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
      const std::vector<double>& lift_mm = state.lift_mm[kind == ValveKind::inlet ? 0 : 1];
      if (lift_mm.empty()) continue;
      draw_curve(canvas, plot, lift_mm, pen_of(kind, last ? 0.5 : 0.25, !last));
    }
  }
  std::string what = "Lift at the valve, No. 1, against crank degrees.";
  if (sheet.states.size() > 1)
    what += fmt::format(" Strong: {}. Pale: {}.", sheet.states.back().name, sheet.states.front().name);
  canvas.text({plot.box.left_mm, plot.box.top_mm - 2.0}, what, {.size_pt = note_pt, .ink = inks::quiet});
  draw_legend(canvas, {plot.box.right_mm(), plot.box.top_mm - 2.0}, sheet.states.back());
}

} // namespace phasewright::paper
