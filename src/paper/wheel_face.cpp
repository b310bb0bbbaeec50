#include "paper/wheel_face.hpp"

#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright::paper {

namespace {

double figure_height_mm(double size_pt) {
  return measure_text("0", {.size_pt = size_pt}).ink.height_mm;
}

WheelScale scale_from(double outer_mm, double rim_mm) {
  WheelScale scale;
  scale.outer_mm = outer_mm;
  scale.one_mm = std::clamp(0.032 * rim_mm, 1.4, 4.5);
  scale.five_mm = 1.5 * scale.one_mm;
  scale.ten_mm = 2.1 * scale.one_mm;
  scale.figures_pt = std::clamp(0.085 * rim_mm, 5.0, 13.0);
  scale.counted_pt = 0.8 * scale.figures_pt;
  scale.words_pt = std::clamp(0.09 * rim_mm, 5.5, 14.0);
  const double gap_mm = 0.35 * figure_height_mm(scale.figures_pt) + 0.3;
  double at_mm = outer_mm - scale.ten_mm - gap_mm;
  const auto row = [&](double size_pt) {
    const double half_mm = figure_height_mm(size_pt) / 2.0;
    const double middle_mm = at_mm - half_mm;
    at_mm -= 2.0 * half_mm + gap_mm;
    return middle_mm;
  };
  scale.figures_mm = row(scale.figures_pt);
  scale.counted_mm = row(scale.counted_pt);
  scale.words_mm = row(scale.words_pt);
  scale.inner_mm = at_mm;
  return scale;
}

std::array<std::string, 2> label_lines(const WheelEvent& event) {
  const std::string which = event.number == 0 ? "" : fmt::format(" {}", event.number);
  return {fmt::format("{}{} {}", to_word(event.kind), which, event.what), event.words};
}

Rotation other_way(Rotation crank) {
  return crank == Rotation::clockwise ? Rotation::anticlockwise : Rotation::clockwise;
}

void draw_graduations(Canvas& canvas, glm::dvec2 centre_mm, const WheelScale& scale) {
  for (int deg = 0; deg < 360; ++deg) {
    const double long_mm = deg % 10 == 0 ? scale.ten_mm : deg % 5 == 0 ? scale.five_mm : scale.one_mm;
    canvas.line(clock_point_mm(centre_mm, deg, scale.outer_mm),
                clock_point_mm(centre_mm, deg, scale.outer_mm - long_mm),
                {.width_mm = deg % 90 == 0   ? 0.35
                             : deg % 10 == 0 ? 0.22
                                             : 0.13});
  }
}

// Letters stand upright toward the rim, so that they do so at a pointer at 12 o'clock.
void draw_figures(Canvas& canvas, glm::dvec2 centre_mm, const WheelScale& scale, Rotation crank) {
  for (int deg = 0; deg < 360; deg += 10) {
    const double clock_deg = clock_of_figure(crank, deg);
    canvas.text(clock_point_mm(centre_mm, clock_deg, scale.figures_mm), fmt::format("{}", deg),
                {.size_pt = scale.figures_pt, .bold = deg % 90 == 0, .align = TextAlign::centre}, clock_deg,
                TextStands::middle);
    const int counted = std::min(deg % 180, 180 - deg % 180);
    if (counted == 0) continue;
    canvas.text(clock_point_mm(centre_mm, clock_deg, scale.counted_mm), fmt::format("{}", counted),
                {.size_pt = scale.counted_pt, .ink = inks::quiet, .align = TextAlign::centre}, clock_deg,
                TextStands::middle);
  }
}

void draw_words(Canvas& canvas, glm::dvec2 centre_mm, const WheelScale& scale, Rotation crank) {
  const std::array<std::pair<double, const char*>, 6> words{
      {{0.0, "TDC"}, {45.0, "ATDC"}, {135.0, "BBDC"}, {180.0, "BDC"}, {225.0, "ABDC"}, {315.0, "BTDC"}}};
  for (const auto& [deg, word] : words) {
    const double clock_deg = clock_of_figure(crank, deg);
    canvas.text(clock_point_mm(centre_mm, clock_deg, scale.words_mm), word,
                {.size_pt = scale.words_pt, .bold = true, .align = TextAlign::centre}, clock_deg, TextStands::middle);
  }
}

// "crank turns" and an arrow, the way it does, about 3 and 9 o'clock. Each word is short enough to follow the ring.
void draw_running(Canvas& canvas, glm::dvec2 centre_mm, const WheelScale& scale, Rotation crank) {
  const TextStyle style{.size_pt = 0.72 * scale.words_pt, .ink = inks::accent, .align = TextAlign::centre};
  const auto degrees_of = [&](double length_mm) { return degrees(length_mm / scale.words_mm); };
  const double gap_deg = degrees_of(0.35 * scale.words_pt * 25.4 / 72.0);
  const double crank_deg = degrees_of(measure_text("crank", style).width_mm);
  const double turns_deg = degrees_of(measure_text("turns", style).width_mm);
  constexpr double arrow_deg = 14.0;
  for (const double middle_deg : {90.0, 270.0}) {
    double at_deg = middle_deg - (crank_deg + turns_deg + arrow_deg + 2.0 * gap_deg) / 2.0;
    for (const auto& [word, wide_deg] : {std::pair("crank", crank_deg), std::pair("turns", turns_deg)}) {
      canvas.text(clock_point_mm(centre_mm, at_deg + wide_deg / 2.0, scale.words_mm), word, style,
                  at_deg + wide_deg / 2.0, TextStands::middle);
      at_deg += wide_deg + gap_deg;
    }
    const bool clockwise = crank == Rotation::clockwise;
    const double head_mm = 0.6 * figure_height_mm(scale.words_pt) + 0.8;
    canvas.arc(centre_mm, scale.words_mm, at_deg, at_deg + arrow_deg, {.width_mm = 0.3, .ink = inks::accent});
    const double tip_deg = clockwise ? at_deg + arrow_deg : at_deg;
    canvas.arrow_head(clock_point_mm(centre_mm, tip_deg, scale.words_mm), tip_deg + (clockwise ? 90.0 : -90.0), head_mm,
                      inks::accent);
  }
}

void draw_centre(Canvas& canvas, glm::dvec2 centre_mm, const WheelSpec& spec) {
  const double arm_mm = spec.bore_mm ? *spec.bore_mm / 2.0 : 5.0;
  if (spec.bore_mm) canvas.circle(centre_mm, *spec.bore_mm / 2.0, Pen{.width_mm = 0.25});
  for (const double clock_deg : {0.0, 90.0})
    canvas.line(clock_point_mm(centre_mm, clock_deg, arm_mm), clock_point_mm(centre_mm, clock_deg + 180.0, arm_mm),
                {.width_mm = 0.13});
}

// Both lines along the radius, upright or nearly so; they end at `label_mm` from the centre.
void draw_label(Canvas& canvas, glm::dvec2 centre_mm, const WheelFace& face, const WheelEvent& event,
                double clock_deg) {
  const bool on_right = wrap_360(clock_deg) < 180.0;
  const double turned_deg = on_right ? clock_deg - 90.0 : clock_deg - 270.0;
  const glm::dvec2 end_mm = clock_point_mm(centre_mm, clock_deg, face.label_mm);
  const double half_line_mm = 0.25 * face.label_height_mm;
  const auto [first, second] = label_lines(event);
  const TextAlign align = on_right ? TextAlign::right : TextAlign::left;
  const Ink ink = event.kind == ValveKind::inlet ? inks::inlet : inks::exhaust;
  const double up_deg = turned_deg;
  canvas.text(clock_point_mm(end_mm, up_deg, half_line_mm), first,
              {.size_pt = face.label_pt, .ink = ink, .align = align}, turned_deg, TextStands::middle);
  canvas.text(clock_point_mm(end_mm, up_deg + 180.0, half_line_mm), second,
              {.size_pt = face.label_pt, .bold = true, .ink = ink, .align = align}, turned_deg, TextStands::middle);
}

Pen event_pen(ValveKind kind, double width_mm) {
  if (kind == ValveKind::inlet) return inlet_pen(width_mm);
  return {.width_mm = width_mm, .ink = inks::exhaust, .dashes_mm = {0.9, 0.5}, .end = LineEnd::flat};
}

void draw_event(Canvas& canvas, glm::dvec2 centre_mm, const WheelSpec& spec, const WheelFace& face,
                const WheelEvent& event, double label_deg, bool flies_clockwise) {
  const double clock_deg = clock_of_figure(spec.crank, event.crank_deg);
  const Pen pen = event_pen(event.kind, 0.4);
  canvas.line(clock_point_mm(centre_mm, clock_deg, face.rim_mm),
              clock_point_mm(centre_mm, clock_deg, face.rim_mm - face.band_mm), pen);
  const double from_mm = face.inner_mm;
  const double flag_mm = (face.inner_mm - face.label_mm) * 0.4;
  const glm::dvec2 staff_mm = clock_point_mm(centre_mm, clock_deg, from_mm - flag_mm);
  const std::array<glm::dvec2, 3> leader_mm{clock_point_mm(centre_mm, clock_deg, from_mm), staff_mm,
                                            clock_point_mm(centre_mm, label_deg, face.label_mm + 0.8)};
  canvas.polyline(leader_mm, pen);
  const std::array<glm::dvec2, 3> flag{
      leader_mm[0], staff_mm,
      clock_point_mm((leader_mm[0] + staff_mm) / 2.0, clock_deg + (flies_clockwise ? 90.0 : -90.0), flag_mm)};
  canvas.polygon(flag, Pen{.width_mm = 0.2, .ink = pen.ink},
                 event.kind == ValveKind::inlet ? inks::inlet : inks::white);
  draw_label(canvas, centre_mm, face, event, label_deg);
}

// Whether the event nearest to this one stands before it, clockwise: its flag then flies the other way.
bool nearest_is_before(const WheelSpec& spec, std::size_t index) {
  double nearest_deg = 360.0;
  for (std::size_t i = 0; i < spec.events.size(); ++i) {
    if (i == index) continue;
    const double ahead_deg = wrap_180(clock_of_figure(spec.crank, spec.events[i].crank_deg) -
                                      clock_of_figure(spec.crank, spec.events[index].crank_deg));
    if (std::fabs(ahead_deg) < std::fabs(nearest_deg)) nearest_deg = ahead_deg;
  }
  return nearest_deg < 0.0 || spec.events.size() == 1;
}

} // namespace

double clock_of_figure(Rotation crank, double wheel_deg) {
  return wrap_360(figures_run(crank) == Rotation::clockwise ? wheel_deg : -wheel_deg);
}

WheelFace wheel_face(const WheelSpec& spec) {
  WheelFace face;
  face.rim_mm = spec.diameter_mm / 2.0;
  face.band_mm = spec.events.empty() ? 0.0 : std::clamp(0.03 * face.rim_mm, 1.8, 5.0);
  face.inner_mm = face.rim_mm - face.band_mm;
  for (int i = 0; i < (spec.both_ways ? 2 : 1); ++i) {
    face.scales.push_back(scale_from(face.inner_mm, face.rim_mm));
    face.inner_mm = face.scales.back().inner_mm;
  }
  face.label_pt = std::clamp(0.075 * face.rim_mm, 5.0, 8.0);
  face.label_mm = face.inner_mm - std::clamp(0.1 * face.rim_mm, 5.0, 12.0);
  for (const WheelEvent& event : spec.events) {
    const auto [first, second] = label_lines(event);
    const double first_mm = measure_text(first, {.size_pt = face.label_pt}).width_mm;
    const double second_mm = measure_text(second, {.size_pt = face.label_pt, .bold = true}).width_mm;
    face.label_length_mm = std::max({face.label_length_mm, first_mm, second_mm});
  }
  face.label_height_mm = 2.0 * measure_text("0", {.size_pt = face.label_pt}).height_mm;
  return face;
}

std::vector<double> label_places_deg(const WheelSpec& spec, const WheelFace& face) {
  const std::size_t count = spec.events.size();
  const double within_mm = face.label_mm - face.label_length_mm;
  if (!(within_mm > face.label_height_mm / 2.0)) return {};
  // Two labels side by side just clear each other at their inner corners.
  const double apart_deg = 2.0 * degrees(std::atan(face.label_height_mm / 2.0 / within_mm)) + 0.5;
  if (apart_deg * static_cast<double>(count) > 355.0) return {};
  std::vector<std::size_t> order(count);
  for (std::size_t i = 0; i < count; ++i) order[i] = i;
  std::vector<double> at_deg(count);
  for (std::size_t i = 0; i < count; ++i) at_deg[i] = clock_of_figure(spec.crank, spec.events[i].crank_deg);
  std::ranges::stable_sort(order, {}, [&](std::size_t i) { return at_deg[i]; });
  // Neighbours that are too near push each other apart by half each, again and again around the wheel.
  constexpr int most_rounds = 4000;
  constexpr double done_deg = 1e-6;
  for (int round = 0; round < most_rounds; ++round) {
    double worst_deg = 0.0;
    for (std::size_t k = 0; k < count && count > 1; ++k) {
      double& here = at_deg[order[k]];
      double& next = at_deg[order[(k + 1) % count]];
      const double turn_deg = k + 1 == count ? 360.0 : 0.0;
      const double lacks_deg = apart_deg - (next + turn_deg - here);
      if (lacks_deg <= 0.0) continue;
      worst_deg = std::max(worst_deg, lacks_deg);
      here -= lacks_deg / 2.0;
      next += lacks_deg / 2.0;
    }
    if (worst_deg < done_deg) return at_deg;
  }
  return {};
}

void draw_wheel_face(Canvas& canvas, glm::dvec2 centre_mm, const WheelSpec& spec) {
  const WheelFace face = wheel_face(spec);
  canvas.circle(centre_mm, face.rim_mm, Pen{.width_mm = 0.25});
  Rotation crank = spec.crank;
  for (const WheelScale& scale : face.scales) {
    if (scale.outer_mm < face.rim_mm) canvas.circle(centre_mm, scale.outer_mm, Pen{.width_mm = 0.13});
    draw_graduations(canvas, centre_mm, scale);
    draw_figures(canvas, centre_mm, scale, crank);
    draw_words(canvas, centre_mm, scale, crank);
    draw_running(canvas, centre_mm, scale, crank);
    crank = other_way(crank);
  }
  canvas.circle(centre_mm, face.inner_mm, Pen{.width_mm = 0.13});
  draw_centre(canvas, centre_mm, spec);
  const std::vector<double> places_deg = label_places_deg(spec, face);
  for (std::size_t i = 0; i < places_deg.size(); ++i)
    draw_event(canvas, centre_mm, spec, face, spec.events[i], places_deg[i], nearest_is_before(spec, i));
}

} // namespace phasewright::paper
