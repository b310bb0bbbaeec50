#include "paper/key_drawings.hpp"

#include "bench/fit_words.hpp"
#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright::paper {

namespace {

constexpr TextStyle figure_style{.size_pt = 7};
constexpr double left_mm = 9.5; // of a section: its height
constexpr double caption_mm = 4.0;

Pen extension_pen() {
  return {.width_mm = 0.1, .ink = inks::quiet};
}

// How deep the key lies in its shaft; where that is not known it is drawn half in, and said to be.
double seat_depth_mm(const CardKey& key) {
  const double depth_mm = key.fit ? key.fit->seat_depth_mm : key_height_mm(key) / 2.0;
  return std::clamp(depth_mm, 0.0, key_height_mm(key));
}

double signed_step_mm(const CardKey& key) {
  return key.picture.side * key.picture.step_mm;
}

// Outline of a key seen along the shaft: width along +x, outward -y, the middle of its lower half's foot at the origin.
std::vector<glm::dvec2> section_points(const CardKey& key, double scale) {
  const double half_mm = scale * key.seat.key.width_mm / 2.0;
  const double seat_mm = scale * seat_depth_mm(key);
  const double top_mm = scale * key_height_mm(key);
  const double step_mm = scale * signed_step_mm(key);
  return {{-half_mm, 0.0},
          {-half_mm, -seat_mm},
          {step_mm - half_mm, -seat_mm},
          {step_mm - half_mm, -top_mm},
          {step_mm + half_mm, -top_mm},
          {step_mm + half_mm, -seat_mm},
          {half_mm, -seat_mm},
          {half_mm, 0.0}};
}

std::vector<glm::dvec2> moved(std::vector<glm::dvec2> points, glm::dvec2 by) {
  for (glm::dvec2& point : points) point += by;
  return points;
}

std::vector<glm::dvec2> turned_clock(std::vector<glm::dvec2> points, double clock_deg) {
  const double c = cos_deg(clock_deg);
  const double s = sin_deg(clock_deg);
  for (glm::dvec2& point : points) point = {c * point.x - s * point.y, s * point.x + c * point.y};
  return points;
}

// The length between two points, its words over the middle of the line or beside it.
void draw_height(Canvas& canvas, double x_mm, double from_mm, double to_mm, const std::string& words) {
  canvas.dimension_line({x_mm, from_mm}, {x_mm, to_mm}, {.width_mm = 0.13});
  canvas.text({x_mm - 2.5, (from_mm + to_mm) / 2.0}, words,
              {.size_pt = figure_style.size_pt, .align = TextAlign::centre}, -90.0, TextStands::middle);
}

// A section that is large enough has its words within it.
bool words_within(const CardKey& key, double scale) {
  const double seat_mm = scale * seat_depth_mm(key);
  const double out_mm = scale * key_height_mm(key) - seat_mm;
  return scale * key.seat.key.width_mm >= 24.0 && seat_mm >= 17.0 && out_mm >= 7.0;
}

// From the key's right edge to the words beside it, clear of those above it, which may be wider than it is.
double beside_mm(const CardKey& key, double scale) {
  return std::max(6.0, 20.0 - scale * key.seat.key.width_mm);
}

double right_mm(const CardKey& key, double scale) {
  return beside_mm(key, scale) + (words_within(key, scale) ? 20.0 : 24.0);
}

// Room above and below a section: for its caption and width, and for words that reach further than it does.
double above_mm(const CardKey& key, double scale) {
  const double out_mm = scale * (key_height_mm(key) - seat_depth_mm(key));
  const double words_mm = words_within(key, scale) ? 0.0 : 15.0 - out_mm;
  return std::max({12.0, words_mm, 16.0 - scale * key_height_mm(key) / 2.0});
}

double below_mm(const CardKey& key, double scale) {
  const double words_mm = words_within(key, scale) ? 0.0 : 17.0 - scale * seat_depth_mm(key);
  return std::max({2.0, words_mm, 11.0 - scale * key_height_mm(key) / 2.0});
}

// Where the section's lower foot stands on the page.
glm::dvec2 foot_mm(glm::dvec2 top_left_mm, const CardKey& key, double scale) {
  const double reach_mm = scale * (key.seat.key.width_mm / 2.0 + std::max(0.0, -signed_step_mm(key)));
  return top_left_mm + glm::dvec2{left_mm + reach_mm, above_mm(key, scale) + scale * key_height_mm(key)};
}

// The two halves' words: in the middle of each, or beside it from `words_mm`.
void draw_halves(Canvas& canvas, glm::dvec2 foot, const CardKey& key, double scale, double words_mm) {
  const double surface_mm = foot.y - scale * seat_depth_mm(key);
  const double top_mm = foot.y - scale * key_height_mm(key);
  const bool within = words_within(key, scale);
  const auto draw = [&](double middle_mm, double x_mm, const char* half, const std::string& figure) {
    const TextAlign align = within ? TextAlign::centre : TextAlign::left;
    const glm::dvec2 at{within ? x_mm : words_mm, middle_mm};
    const double up_mm = figure.empty() ? 0.0 : 1.7;
    canvas.text(at - glm::dvec2{0.0, up_mm}, half, {.size_pt = 7.5, .bold = true, .align = align}, 0.0,
                TextStands::middle);
    if (!figure.empty())
      canvas.text(at + glm::dvec2{0.0, up_mm}, figure, {.size_pt = figure_style.size_pt, .align = align}, 0.0,
                  TextStands::middle);
  };
  // Beside a small section they keep clear of the words for the surface and the step.
  const double upper_mm = within ? (top_mm + surface_mm) / 2.0 : surface_mm - 6.0;
  const double lower_mm = within ? (surface_mm + 10.0 + foot.y) / 2.0 : surface_mm + 13.0;
  draw(upper_mm, foot.x + scale * signed_step_mm(key), "sprocket half",
       key.fit ? fmt::format("{:.2f} mm out", key.fit->proud_mm) : std::string());
  draw(lower_mm, foot.x, "shaft half", key.fit ? fmt::format("{:.2f} mm in", key.fit->seat_depth_mm) : std::string());
}

// Too short for arrows within it: they stand outside and point at each other.
void draw_step(Canvas& canvas, glm::dvec2 foot, const CardKey& key, double scale) {
  if (key.picture.side == 0) return;
  const int side = key.picture.side;
  const double lower_mm = foot.x + side * scale * key.seat.key.width_mm / 2.0;
  const double upper_mm = lower_mm + scale * signed_step_mm(key);
  const double surface_mm = foot.y - scale * seat_depth_mm(key);
  const double line_mm = surface_mm + 5.0;
  constexpr double tail_mm = 3.0;
  canvas.line({upper_mm, surface_mm + 0.6}, {upper_mm, line_mm + 1.5}, extension_pen());
  canvas.line({upper_mm, line_mm}, {upper_mm + side * tail_mm, line_mm}, {.width_mm = 0.13});
  canvas.line({lower_mm, line_mm}, {lower_mm - side * tail_mm, line_mm}, {.width_mm = 0.13});
  canvas.arrow_head({upper_mm, line_mm}, side > 0 ? 270.0 : 90.0, 1.8);
  canvas.arrow_head({lower_mm, line_mm}, side > 0 ? 90.0 : 270.0, 1.8);
  // Within the key where there is room, else to its right.
  const std::string words = "step " + size_words(key.picture.step_mm);
  const TextStyle style{.size_pt = 7, .bold = true};
  const double wide_mm = measure_text(words, style).width_mm;
  if (wide_mm <= scale * key.seat.key.width_mm - tail_mm - 2.5) {
    const double at_mm = lower_mm - side * (tail_mm + 1.0) - (side > 0 ? wide_mm : 0.0);
    canvas.text({at_mm, line_mm}, words, style, 0.0, TextStands::middle);
    return;
  }
  const double most_mm = foot.x + scale * key.seat.key.width_mm / 2.0 + std::max(0.0, scale * signed_step_mm(key));
  const double words_mm = most_mm + beside_mm(key, scale);
  const std::size_t blank = words.find(" (");
  canvas.text({words_mm, line_mm}, words.substr(0, blank), style, 0.0, TextStands::middle);
  canvas.text({words_mm, line_mm + 3.0}, words.substr(blank + 1), style, 0.0, TextStands::middle);
}

constexpr double around_mm = 13.5; // about the shaft: the hub, the clock and the running direction

void draw_clock(Canvas& canvas, glm::dvec2 centre, double radius_mm) {
  for (int hour = 0; hour < 12; ++hour) {
    const double long_mm = hour % 3 == 0 ? 2.0 : 1.0;
    canvas.line(clock_point_mm(centre, 30.0 * hour, radius_mm),
                clock_point_mm(centre, 30.0 * hour, radius_mm + long_mm), {.width_mm = 0.2, .ink = inks::quiet});
    if (hour % 3 == 0)
      canvas.text(clock_point_mm(centre, 30.0 * hour, radius_mm + 4.4), fmt::format("{}", hour == 0 ? 12 : hour),
                  {.size_pt = 7, .ink = inks::quiet, .align = TextAlign::centre}, 0.0, TextStands::middle);
  }
}

// An arrow around the shaft: which way it runs, or the upper half is stepped.
void draw_arrow_around(Canvas& canvas, glm::dvec2 centre, double radius_mm, double from_deg, double to_deg,
                       const Pen& pen) {
  const double way = to_deg > from_deg ? 1.0 : -1.0;
  canvas.arc(centre, radius_mm, from_deg, to_deg, pen);
  canvas.arrow_head(clock_point_mm(centre, to_deg, radius_mm), to_deg + way * 90.0, 2.6, pen.ink);
}

} // namespace

std::string scale_words(double scale) {
  return scale >= 1.0 ? fmt::format("{:g}:1", scale) : fmt::format("1:{:g}", 1.0 / scale);
}

glm::dvec2 section_size_mm(const CardKey& key, double scale) {
  return {left_mm + scale * (key.seat.key.width_mm + key.picture.step_mm) + right_mm(key, scale),
          above_mm(key, scale) + scale * key_height_mm(key) + below_mm(key, scale)};
}

void draw_section(Canvas& canvas, glm::dvec2 top_left_mm, const CardKey& key, double scale) {
  const KeySize& size = key.seat.key;
  const glm::dvec2 foot = foot_mm(top_left_mm, key, scale);
  const double half_mm = scale * size.width_mm / 2.0;
  const double step_mm = scale * signed_step_mm(key);
  const double top_mm = foot.y - scale * key_height_mm(key);
  const double surface_mm = foot.y - scale * seat_depth_mm(key);
  const double least_mm = foot.x + std::min(-half_mm, step_mm - half_mm);
  const double most_mm = foot.x + std::max(half_mm, step_mm + half_mm);
  canvas.fitted({top_left_mm.x, top_left_mm.y, most_mm + right_mm(key, scale) - top_left_mm.x - 1.0, caption_mm},
                fmt::format("{}, from the timing end, outward up", scale_words(scale)), {.size_pt = 7.5, .bold = true},
                5.0);
  canvas.polygon(moved(section_points(key, scale), foot), Pen{.width_mm = 0.35}, inks::wash);
  canvas.line({least_mm - 2.0, surface_mm}, {most_mm + 4.0, surface_mm}, {.width_mm = 0.18, .dashes_mm = {2.0, 0.8}});
  const double words_mm = most_mm + beside_mm(key, scale);
  canvas.text({words_mm, surface_mm}, key.fit ? "shaft's surface" : "not known how deep", {.size_pt = 6.5}, 0.0,
              TextStands::middle);
  draw_halves(canvas, foot, key, scale, words_mm);
  const double width_mm = top_mm - 3.0;
  for (const double x_mm : {foot.x + step_mm - half_mm, foot.x + step_mm + half_mm})
    canvas.line({x_mm, top_mm - 0.6}, {x_mm, width_mm - 1.0}, extension_pen());
  canvas.dimension_line({foot.x + step_mm - half_mm, width_mm}, {foot.x + step_mm + half_mm, width_mm},
                        {.width_mm = 0.13});
  // From the left edge, where it cannot reach over the height's words.
  canvas.text({foot.x + step_mm - half_mm, width_mm - 1.2}, fmt::format("width {:.2f} mm", size.width_mm),
              figure_style);
  for (const double y_mm : {foot.y, top_mm})
    canvas.line({least_mm - 5.0, y_mm}, {(y_mm == foot.y ? foot.x - half_mm : foot.x + step_mm - half_mm) - 0.6, y_mm},
                extension_pen());
  draw_height(canvas, least_mm - 4.5, foot.y, top_mm, fmt::format("height {:.2f} mm", key_height_mm(key)));
  draw_step(canvas, foot, key, scale);
}

double shaft_end_scale(const CardKey& key) {
  constexpr double most_mm = 44.0;
  constexpr double most_out_mm = 3.5; // within the arrow around it
  const double out_mm = key_height_mm(key) - seat_depth_mm(key);
  double scale = 5.0;
  while (scale > 0.1 && (scale * key.seat.diameter_mm > most_mm || scale * out_mm > most_out_mm))
    scale = next_smaller_scale(scale);
  return scale;
}

double next_smaller_scale(double scale) {
  for (const double smaller : {2.0, 1.5, 1.0, 0.5, 0.2})
    if (smaller < scale) return smaller;
  return 0.1;
}

glm::dvec2 shaft_end_size_mm(const CardKey& key, double scale) {
  const double across_mm = std::max(46.0, scale * key.seat.diameter_mm + 2.0 * around_mm);
  return {across_mm, across_mm + 2.0 * caption_mm};
}

void draw_shaft_end(Canvas& canvas, glm::dvec2 top_left_mm, const CardKey& key, double scale,
                    const std::string& caption) {
  const double radius_mm = scale * key.seat.diameter_mm / 2.0;
  const glm::dvec2 size = shaft_end_size_mm(key, scale);
  const KeyPicture& picture = key.picture;
  canvas.fitted({top_left_mm.x, top_left_mm.y, size.x, caption_mm}, caption, {.size_pt = 7.5, .bold = true}, 5.0);
  const glm::dvec2 centre = top_left_mm + glm::dvec2{size.x / 2.0, caption_mm + size.x / 2.0};
  canvas.circle(centre, radius_mm, Pen{.width_mm = 0.3}, inks::wash);
  const double foot_radius_mm = radius_mm - scale * seat_depth_mm(key);
  // Each half lies along the keyway it fits.
  const double half_mm = scale * key.seat.key.width_mm / 2.0;
  const double top_mm = foot_radius_mm + scale * key_height_mm(key);
  const auto draw_half = [&](double from_mm, double to_mm, double clock_deg) {
    const std::vector<glm::dvec2> upright{
        {-half_mm, -from_mm}, {-half_mm, -to_mm}, {half_mm, -to_mm}, {half_mm, -from_mm}};
    canvas.polygon(moved(turned_clock(upright, clock_deg), centre), Pen{.width_mm = 0.3}, inks::white);
  };
  draw_half(foot_radius_mm, radius_mm, picture.keyway_clock_deg);
  draw_half(radius_mm, top_mm, picture.hub_clock_deg);
  const double clock_mm = radius_mm + 7.0;
  draw_clock(canvas, centre, clock_mm);
  canvas.line(clock_point_mm(centre, picture.keyway_clock_deg, std::max(0.0, foot_radius_mm - 1.0)), centre,
              {.width_mm = 0.13, .ink = inks::accent});
  canvas.circle(centre, 0.4, std::nullopt, inks::accent);
  // Outside the key's own reach.
  const double half_deg = degrees(std::atan((half_mm + 0.5) / radius_mm));
  if (picture.side != 0) {
    const double from_deg = picture.hub_clock_deg + picture.side * (half_deg + 4.0);
    draw_arrow_around(canvas, centre, radius_mm + 4.5, from_deg, from_deg + picture.side * 35.0,
                      {.width_mm = 0.5, .ink = inks::warning});
  }
  const double running = picture.rotation == Rotation::clockwise ? 1.0 : -1.0;
  const double middle_deg = picture.keyway_clock_deg + 180.0;
  draw_arrow_around(canvas, centre, radius_mm - 3.5, middle_deg - running * 35.0, middle_deg + running * 35.0,
                    {.width_mm = 0.3, .ink = inks::accent});
  canvas.fitted({top_left_mm.x, top_left_mm.y + caption_mm + size.x, size.x, caption_mm},
                fmt::format("inner arrow: runs {}{}", to_word(picture.rotation),
                            picture.side == 0 ? "; the key is straight"
                                              : fmt::format("; outer arrow: the step, {}",
                                                            picture.side > 0 ? "clockwise" : "anticlockwise")),
                {.size_pt = 6.5, .align = TextAlign::centre}, 4.5);
}

glm::dvec2 outline_size_mm(const CardKey& key) {
  const KeySize& size = key.seat.key;
  return {std::max(25.0, size.diameter_mm + 4.0 + size.width_mm + key.picture.step_mm),
          caption_mm + size.height_mm + 9.0};
}

void draw_outline(Canvas& canvas, glm::dvec2 top_left_mm, const CardKey& key) {
  const KeySize& size = key.seat.key;
  canvas.text(top_left_mm, "1:1, true size", {.size_pt = 7.5, .bold = true}, 0.0, TextStands::top);
  const double radius_mm = size.diameter_mm / 2.0;
  const double foot_y_mm = top_left_mm.y + caption_mm + 1.5 + size.height_mm;
  const glm::dvec2 centre{top_left_mm.x + radius_mm, foot_y_mm - radius_mm};
  // From one end of its flat top around by the foot to the other.
  const double top_deg = degrees(std::acos(std::clamp((size.height_mm - radius_mm) / radius_mm, -1.0, 1.0)));
  canvas.shape({{ArcTo{centre, radius_mm, top_deg, 360.0 - top_deg}, ClosePath{}}, Pen{.width_mm = 0.25}, inks::wash});
  const glm::dvec2 foot{
      top_left_mm.x + size.diameter_mm + 4.0 + size.width_mm / 2.0 + std::max(0.0, -signed_step_mm(key)), foot_y_mm};
  canvas.polygon(moved(section_points(key, 1.0), foot), Pen{.width_mm = 0.25}, inks::wash);
  canvas.text({top_left_mm.x, foot_y_mm + 3.5}, fmt::format("diameter {:.2f} mm", size.diameter_mm), figure_style);
}

} // namespace phasewright::paper
