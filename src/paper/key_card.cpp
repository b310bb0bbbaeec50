#include "paper/key_card.hpp"

#include "bench/figure_words.hpp"
#include "paper/check_line.hpp"
#include "paper/key_drawings.hpp"
#include "paper/warning_box.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>

namespace phasewright::paper {

namespace {

constexpr double border_mm = 10.0;
constexpr double foot_mm = 8.0;
constexpr double gap_mm = 4.0; // between drawings, and between cards

std::string name_words(const CardKey& key) {
  return key.picture.at == KeyAt::crank ? std::string("Crank key")
                                        : fmt::format("Cam key of \"{}\"", key.picture.shaft);
}

std::string heading_words(const CardKey& key) {
  if (key.picture.side == 0) return name_words(key) + ": straight, with no step and no wrong way round";
  const char* half = key.picture.at == KeyAt::crank ? "sprocket" : "shaft";
  return fmt::format("{}: {}, {} half {}", name_words(key), key_angle_text(key.picture.key_deg), half,
                     key.picture.key_deg > 0.0 ? "leading" : "trailing");
}

// How its drawings stand: beside each other, or the section above the others where it is too wide for that.
struct Arrangement {
  double scale = 10.0;    // of the section
  double end_scale = 1.0; // of the shaft's end
  bool stacked = false;
};

glm::dvec2 drawings_size_mm(const CardKey& key, const Arrangement& arrangement) {
  const glm::dvec2 section = section_size_mm(key, arrangement.scale);
  const glm::dvec2 end = shaft_end_size_mm(key, arrangement.end_scale);
  const glm::dvec2 outline = outline_size_mm(key);
  const glm::dvec2 others{end.x + gap_mm + outline.x, std::max(end.y, outline.y)};
  if (arrangement.stacked) return {std::max(section.x, others.x), section.y + gap_mm + others.y};
  return {section.x + gap_mm + others.x, std::max(section.y, others.y)};
}

// All that is said of a key below its drawings.
std::vector<std::string> card_lines(const CardKey& key) {
  std::vector<std::string> lines;
  if (!key.picture.words.empty()) lines.push_back("In place: " + key.picture.words + ".");
  for (const std::string& line : key_figures(key)) lines.push_back(line);
  if (key.picture.side != 0) lines.push_back(key_wrong_way(key.picture.at, key.picture.key_deg).words);
  if (const std::string caution = step_caution(key.seat.key.width_mm, key.picture.step_mm); !caution.empty())
    lines.push_back("Caution: " + caution + ".");
  if (!key.fit) {
    lines.push_back(fmt::format("{}; how deep it lies is not drawn to scale.", key.unknown));
    return lines;
  }
  // Otherwise the figures have said it all.
  if (!is_out_of_limits(*key.fit)) return lines;
  std::string fit = key.fit->words;
  for (const std::string& advice : key.fit->advice) fit += " " + advice;
  lines.push_back(fit);
  return lines;
}

constexpr TextStyle line_style{.size_pt = 7};

double lines_height_mm(const CardKey& key, double width_mm) {
  double height_mm = 0.0;
  for (const std::string& line : card_lines(key)) height_mm += measure_text(line, line_style, width_mm).height_mm + 0.3;
  return height_mm;
}

constexpr double heading_mm = 6.5;

double card_height_mm(const CardKey& key, const Arrangement& arrangement, double width_mm) {
  return heading_mm + drawings_size_mm(key, arrangement).y + 1.0 + lines_height_mm(key, width_mm);
}

void draw_card(Canvas& canvas, double top_mm, const CardKey& key, const Arrangement& arrangement) {
  const double width_mm = canvas.size_mm().x - 2.0 * border_mm;
  canvas.line({border_mm, top_mm - 1.5}, {border_mm + width_mm, top_mm - 1.5}, {.width_mm = 0.2, .ink = inks::quiet});
  canvas.fitted({border_mm, top_mm, width_mm, heading_mm}, heading_words(key), {.size_pt = 11, .bold = true});
  canvas.bookmark(name_words(key), top_mm, 2);
  const double drawings_mm = top_mm + heading_mm;
  const glm::dvec2 section = section_size_mm(key, arrangement.scale);
  draw_section(canvas, {border_mm, drawings_mm}, key, arrangement.scale);
  const glm::dvec2 others_mm = arrangement.stacked ? glm::dvec2{border_mm, drawings_mm + section.y + gap_mm}
                                                   : glm::dvec2{border_mm + section.x + gap_mm, drawings_mm};
  draw_shaft_end(canvas, others_mm, key, arrangement.end_scale,
                 fmt::format("{}, shaft's end at overlap TDC of No. 1", scale_words(arrangement.end_scale)));
  draw_outline(canvas, others_mm + glm::dvec2{shaft_end_size_mm(key, arrangement.end_scale).x + gap_mm, 0.0}, key);
  double line_mm = drawings_mm + drawings_size_mm(key, arrangement).y + 1.0;
  for (const std::string& line : card_lines(key))
    line_mm = canvas.paragraph({border_mm, line_mm}, width_mm, line, line_style) + 0.3;
}

double draw_head(Canvas& canvas, const KeyCardSpec& spec) {
  const double width_mm = canvas.size_mm().x - 2.0 * border_mm;
  const double top_mm = draw_warning(canvas, 7.0, spec.warning);
  // An option with much to set has a long name: rather two lines than small ones.
  constexpr double least_pt = 10.0;
  const double below_mm =
      canvas.fitted({border_mm, top_mm, width_mm, 12.0},
                    fmt::format("{}, {}", spec.keys.size() == 1 ? "Key card" : "Key cards", spec.of),
                    {.size_pt = 13, .bold = true}, least_pt);
  return canvas.fitted({border_mm, below_mm, width_mm, 8.0}, spec.title, {.size_pt = 9}) + 3.0;
}

std::string cautions_of(const KeyCardSpec& spec) {
  std::string words;
  for (const std::string& caution : spec.cautions) words += (words.empty() ? "" : " ") + caution;
  return words;
}

double foot_height_mm(const KeyCardSpec& spec, double width_mm) {
  const std::string words = cautions_of(spec);
  const double cautions_mm = words.empty() ? 0.0 : measure_text(words, {.size_pt = 7}, width_mm).height_mm;
  return cautions_mm + 2.0 + check_line_height_mm;
}

void draw_foot(Canvas& canvas, const KeyCardSpec& spec) {
  const double width_mm = canvas.size_mm().x - 2.0 * border_mm;
  const double top_mm = canvas.size_mm().y - foot_mm - foot_height_mm(spec, width_mm);
  const double below_mm =
      canvas.paragraph({border_mm, top_mm}, width_mm, cautions_of(spec), {.size_pt = 7, .ink = inks::quiet});
  draw_check_line(canvas, border_mm, below_mm + 2.0, "laying a key on the drawing");
}

// The largest scale at which a card fits a page that has nothing else; for it the shaft's end is drawn smaller, or
// below.
Arrangement arranged(const CardKey& key, glm::dvec2 room_mm) {
  const double end_scale = shaft_end_scale(key);
  const double less = next_smaller_scale(end_scale);
  for (const double scale : {10.0, 5.0, 2.0, 1.0, 0.5, 0.2})
    for (const Arrangement& tried : {Arrangement{scale, end_scale, false}, Arrangement{scale, less, false},
                                     Arrangement{scale, end_scale, true}, Arrangement{scale, less, true}})
      if (drawings_size_mm(key, tried).x <= room_mm.x && card_height_mm(key, tried, room_mm.x) <= room_mm.y)
        return tried;
  return {0.1, less, false};
}

} // namespace

double key_height_mm(const CardKey& key) {
  return key.fit ? key.fit->height_mm : key.seat.key.height_mm;
}

std::vector<std::string> key_figures(const CardKey& key) {
  const KeySize& size = key.seat.key;
  const KeyPicture& picture = key.picture;
  const char* of = picture.at == KeyAt::crank ? "crank" : "cam";
  std::vector<std::string> figures;
  std::string offset =
      fmt::format("Half-round key {}: width {:.2f}, height {:.2f}, diameter {:.2f} mm, on a shaft of "
                  "{:.2f} mm.",
                  to_text(size), size.width_mm, key_height_mm(key), size.diameter_mm, key.seat.diameter_mm);
  if (picture.side != 0)
    offset +=
        fmt::format(" Step {:.2f} mm for {:.2f}° {}, {:.2f}° of crank.", picture.step_mm, std::fabs(picture.key_deg),
                    of, std::fabs(key_wrong_way(picture.at, picture.key_deg).meant_deg));
  figures.push_back(std::move(offset));
  figures.push_back(
      fmt::format("With No. 1 at overlap TDC the shaft's keyway points {}, {:.2f}° clockwise from 12; the "
                  "sprocket's {:.2f}°.",
                  key.clock_words, picture.keyway_clock_deg, picture.hub_clock_deg));
  if (key.fit)
    figures.push_back(fmt::format("It lies {:.2f} mm deep in the shaft and stands {:.2f} mm out; the sprocket's keyway "
                                  "is {:.2f} mm deep: {:.2f} mm over it{}.",
                                  key.fit->seat_depth_mm, key.fit->proud_mm, key.fit->hub_depth_mm, key.fit->top_gap_mm,
                                  key.fit->measured ? "" : " (DIN 6888, not measured)"));
  return figures;
}

KeyCard key_card(const KeyCardSpec& spec) {
  assert(!spec.keys.empty());
  KeyCard card;
  card.print.info = {.title = fmt::format("Key card, {}", spec.of),
                     .subject = spec.title,
                     .keywords = fmt::format("key card, {}, half-round key, offset key", to_name(spec.paper)),
                     .date = spec.date};
  const glm::dvec2 page_mm = page_size_mm(spec.paper);
  const double width_mm = page_mm.x - 2.0 * border_mm;
  const double bottom_mm = page_mm.y - foot_mm - foot_height_mm(spec, width_mm) - 2.0;
  double at_mm = 0.0;
  for (const CardKey& key : spec.keys) {
    Page trial{.size_mm = page_mm};
    Canvas measured(trial);
    const double head_mm = draw_head(measured, spec);
    const Arrangement arrangement = arranged(key, {width_mm, bottom_mm - head_mm});
    const double height_mm = card_height_mm(key, arrangement, width_mm);
    if (card.print.pages.empty() || at_mm + height_mm > bottom_mm) {
      card.print.pages.push_back({.size_mm = page_mm});
      Canvas canvas(card.print.pages.back());
      canvas.bookmark(fmt::format("Key card, {}", spec.of), 0.0);
      at_mm = draw_head(canvas, spec);
      draw_foot(canvas, spec);
    }
    Canvas canvas(card.print.pages.back());
    draw_card(canvas, at_mm, key, arrangement);
    card.scales.push_back(arrangement.scale);
    at_mm += height_mm + gap_mm;
  }
  return card;
}

} // namespace phasewright::paper
