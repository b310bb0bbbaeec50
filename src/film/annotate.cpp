#include "film/annotate.hpp"

#include "paper/canvas.hpp"
#include "paper/write.hpp"
#include "render/word_colours.hpp"
#include "scene/overlay_layout.hpp"
#include "scene/view_labels.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright::film {

namespace {

// Paper is measured in millimetres; here one is a pixel of text at scale 1.
constexpr double mm_per_px = 25.4 / 96.0;
constexpr double pt_per_px = 0.75;

paper::Ink ink(std::uint32_t rgb) {
  const auto share = [rgb](unsigned shift) { return ((rgb >> shift) & 0xffU) / 255.0; };
  return {share(16), share(8), share(0)};
}

std::uint32_t tone_colour(const WordColours& colours, Tone tone) {
  switch (tone) {
  case Tone::quiet:
    return colours.quiet;
  case Tone::accent:
    return colours.accent;
  case Tone::inlet:
    return colours.inlet;
  case Tone::exhaust:
    return colours.exhaust;
  case Tone::ink:
    return colours.ink;
  case Tone::bad:
    return colours.bad;
  case Tone::warning:
    break;
  }
  return colours.warning;
}

// Draws in pixels on a page that is laid over the picture.
class Overlay {
public:
  Overlay(const Image& image, Theme theme, double scale)
      : page_{.size_mm = glm::dvec2{image.width_px, image.height_px} * mm_per_px}, canvas_(page_),
        colours_(word_colours(theme)), scale_(scale) {}

  [[nodiscard]] float px(double at_scale_1) const { return static_cast<float>(at_scale_1 * scale_); }
  [[nodiscard]] const WordColours& colours() const { return colours_; }
  [[nodiscard]] const paper::Page& page() const { return page_; }

  [[nodiscard]] paper::TextStyle style(double size_px, bool bold, std::uint32_t colour) const {
    return {.size_pt = size_px * scale_ * pt_per_px, .bold = bold, .ink = ink(colour)};
  }
  [[nodiscard]] paper::TextStyle title() const { return style(13.0, true, colours_.ink); }
  [[nodiscard]] paper::TextStyle note() const { return style(11.0, false, colours_.quiet); }
  [[nodiscard]] glm::vec2 size(const std::string& words, const paper::TextStyle& style, float width = 0.0f) const {
    const paper::TextSize size = paper::measure_text(words, style, mm(width));
    return glm::vec2{size.width_mm, size.height_mm} / static_cast<float>(mm_per_px);
  }

  // Its border lies within it, on whole pixels.
  void panel(const ScreenRect& rect, float radius, std::uint32_t border) {
    const double half = 0.5 * scale_;
    const double r = radius;
    const double left = double{rect.left} + half;
    const double top = double{rect.top} + half;
    const double right = double{rect.right} - half;
    const double bottom = double{rect.bottom} - half;
    canvas_.shape({{paper::ArcTo{at(right - r, top + r), r * mm_per_px, 0.0, 90.0},
                    paper::ArcTo{at(right - r, bottom - r), r * mm_per_px, 90.0, 180.0},
                    paper::ArcTo{at(left + r, bottom - r), r * mm_per_px, 180.0, 270.0},
                    paper::ArcTo{at(left + r, top + r), r * mm_per_px, 270.0, 360.0}, paper::ClosePath{}},
                   pen(border),
                   ink(colours_.panel)});
  }
  void line(glm::vec2 from, glm::vec2 to, std::uint32_t colour) { canvas_.line(point(from), point(to), pen(colour)); }
  void anchor(glm::vec2 middle, std::uint32_t colour) {
    canvas_.circle(point(middle), mm(px(3.0)), pen(colour), ink(colours_.panel));
  }
  void text(glm::vec2 baseline, const std::string& words, const paper::TextStyle& style) {
    if (!words.empty()) canvas_.text(point(baseline), words, style);
  }
  void paragraph(glm::vec2 top_left, float width, const std::string& words, const paper::TextStyle& style) {
    canvas_.paragraph(point(top_left), mm(width), words, style);
  }

private:
  static double mm(float px) { return double{px} * mm_per_px; }
  static glm::dvec2 at(double x, double y) { return glm::dvec2{x, y} * mm_per_px; }
  static glm::dvec2 point(glm::vec2 px) { return glm::dvec2{px} * mm_per_px; }
  [[nodiscard]] paper::Pen pen(std::uint32_t colour) const {
    return {.width_mm = scale_ * mm_per_px, .ink = ink(colour)};
  }

  paper::Page page_;
  paper::Canvas canvas_;
  WordColours colours_;
  double scale_;
};

// What is exaggerated or not as it would be, from the lower left corner up; gives what they take.
std::vector<ScreenRect> draw_confessions(Overlay& over, const std::vector<std::string>& confessions,
                                         const ScreenRect& pane, const ScreenRect& drive) {
  std::vector<ScreenRect> taken;
  const paper::TextStyle style = over.style(13.0, true, over.colours().warning);
  const float pad = over.px(12);
  const float widest = std::max(drive.left - pane.left - over.px(8), std::min(over.px(150), pane.width()));
  float bottom = pane.bottom;
  for (const std::string& words : confessions) {
    const float one_line = std::ceil(over.size(words, style).x) + 1.0f;
    const float inner = std::min(one_line, std::max(widest - 2 * pad, over.px(40)));
    const float height = std::ceil(over.size(words, style, inner).y) + over.px(8);
    const ScreenRect rect{pane.left, bottom - height, pane.left + inner + 2 * pad, bottom};
    over.panel(rect, over.px(11), over.colours().warning);
    over.paragraph({rect.left + pad, rect.top + over.px(4)}, inner, words, style);
    taken.push_back(rect);
    bottom = rect.top - over.px(6);
  }
  return taken;
}

// Those that stand where they belong, as far as there is room; what they take is added to `reserved`.
void draw_in_place(Overlay& over, const std::vector<Label>& labels, const Camera& camera, glm::dvec2 size_px,
                   const ScreenRect& pane, std::vector<ScreenRect>& reserved) {
  const paper::TextStyle style = over.style(11.0, false, over.colours().ink);
  for (const Label& label : labels) {
    if (!label.in_place) continue;
    const auto pixel = camera.project(label.anchor_mm, size_px);
    if (!pixel) continue;
    const glm::vec2 words = over.size(label.title, style);
    const float left = std::round(static_cast<float>(pixel->x) - words.x / 2.0f) - over.px(3);
    const float top = std::round(static_cast<float>(pixel->y) - words.y / 2.0f) - over.px(1);
    const ScreenRect box{left, top, left + std::ceil(words.x) + over.px(6), top + std::ceil(words.y) + over.px(2)};
    if (!pane.holds(box) ||
        std::ranges::any_of(reserved, [&box](const ScreenRect& other) { return box.touches(other); }))
      continue;
    over.panel(box, over.px(3), over.colours().panel);
    over.text({left + over.px(3), top + over.px(12)}, label.title, style);
    reserved.push_back(box);
  }
}

void draw_label(Overlay& over, const Label& label, glm::vec2 anchor, const ScreenRect& box) {
  const std::uint32_t colour = tone_colour(over.colours(), label.tone);
  const glm::vec2 end{anchor.x < box.left    ? box.left
                      : anchor.x > box.right ? box.right
                                             : (box.left + box.right) / 2.0f,
                      std::clamp(anchor.y, box.top + over.px(6), box.bottom - over.px(6))};
  over.line(anchor, end, colour);
  over.anchor(anchor, colour);
  over.panel(box, over.px(4), label.tone == Tone::quiet ? over.colours().line : colour);
  over.text({box.left + over.px(8), box.top + over.px(16)}, label.title, over.title());
  over.text({box.left + over.px(8), box.top + over.px(31)}, label.figure, over.note());
}

void draw_beside(Overlay& over, const std::vector<Label>& labels, const Camera& camera, glm::dvec2 size_px,
                 const LabelArea& area, std::map<std::string, bool>& side) {
  std::vector<LabelWish> wishes;
  std::vector<const Label*> shown;
  for (const Label& label : labels) {
    if (label.in_place) continue;
    const auto pixel = camera.project(label.anchor_mm, size_px);
    if (!pixel) continue;
    const glm::vec2 anchor{*pixel};
    if (!area.pane.holds({anchor.x, anchor.y, anchor.x, anchor.y})) continue;
    const float width =
        std::max(over.size(label.title, over.title()).x, over.size(label.figure, over.note()).x) + over.px(16);
    wishes.push_back({label.key, anchor, std::ceil(width), std::round(over.px(38)), label.rank});
    shown.push_back(&label);
  }
  const auto places = place_labels(wishes, area, side);
  for (std::size_t i = 0; i < places.size(); ++i)
    if (places[i]) draw_label(over, *shown[i], wishes[i].anchor, *places[i]);
}

} // namespace

void annotate(const Scene& scene, const std::vector<Label>& further, const Annotated& about, Theme theme, Words& words,
              Image& image) {
  Overlay over(image, theme, words.scale);
  const glm::dvec2 size_px{image.width_px, image.height_px};
  const ScreenRect whole{0.0f, 0.0f, static_cast<float>(image.width_px), static_cast<float>(image.height_px)};
  const float edge = over.px(8);
  const ScreenRect pane{edge, edge, whole.right - edge, whole.bottom - edge};
  const Box box = framed_box(about.model, about.view, about.close_up);
  const ScreenRect drive = box_on_screen(box, about.camera, whole);
  std::vector<ScreenRect> reserved = draw_confessions(over, scene.confessions, pane, drive);
  if (words.labels) {
    std::vector<Label> labels = further;
    for (const Label& label : scene.labels)
      if (belongs_to(about.view, box, label)) labels.push_back(label);
    draw_in_place(over, labels, about.camera, size_px, pane, reserved);
    draw_beside(over, labels, about.camera, size_px, {pane, drive, std::move(reserved), over.px(20)}, words.side);
  }
  paper::draw_over(over.page(), image.width_px, image.height_px, image.rgba);
}

} // namespace phasewright::film
