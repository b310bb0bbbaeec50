// The screen's own widgets, drawn at places the panels choose. All text goes through here, so that it can be checked.
#pragma once

#include "viewer/fonts.hpp"
#include "viewer/palette.hpp"
#include "viewer/recorder.hpp"
#include "viewer/view.hpp"

#include <imgui.h>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace phasewright::viewer {

// What drawing needs, for the length of one frame.
struct Ui {
  const Fonts& fonts;
  const Palette& colours;
  float scale;
  Recorder* recorder; // may be null
  NumberEdit& edit;
  KeyRing& ring;
  ImDrawList* list = nullptr;
  std::string panel{};
  bool scrolls = false;

  [[nodiscard]] float px(float at_scale_1) const; // whole pixels
};

// A panel: a window without a frame that fills `rect`. Every begin_panel needs its end_panel. The point returned is
// where its contents start, scrolled; a panel that scrolls says at the end how far down its contents went. Cards lie
// over the panels and have the keyboard; notes lie over them and leave it where it is. Each `page` of one that scrolls
// begins at its top, and stands where it was left when it comes back.
enum class PanelKind { fixed, scrolling, card, note };
ImVec2 begin_panel(Ui& ui, const char* name, const ScreenRect& rect, ImU32 ground, PanelKind kind = PanelKind::fixed,
                   std::string_view page = {});
void end_panel(Ui& ui, std::optional<float> contents_bottom = std::nullopt);

// Has the keyboard go to what is drawn at `rect` in its turn; true while it is there. Rolls a panel that scrolls.
bool in_ring(Ui& ui, const std::string& name, const ScreenRect& rect, bool field);

[[nodiscard]] ImVec2 text_size(const ImFont* font, std::string_view words);
// Draws one line and gives its width; the place is its top left, top right or top middle.
float text(Ui& ui, ImVec2 at, const ImFont* font, ImU32 colour, std::string_view words);
float text_right(Ui& ui, ImVec2 at, const ImFont* font, ImU32 colour, std::string_view words);
float text_middle(Ui& ui, ImVec2 at, const ImFont* font, ImU32 colour, std::string_view words);
// Shortens with "…" what would be wider; gives the words as drawn.
[[nodiscard]] std::string shortened(const ImFont* font, std::string_view words, float width);
// Breaks at spaces; gives the height drawn.
float paragraph(Ui& ui, ImVec2 at, float width, const ImFont* font, ImU32 colour, std::string_view words);
[[nodiscard]] float paragraph_height(const ImFont* font, float width, std::string_view words);

enum class Icon {
  none,
  play,
  pause,
  back_1,
  on_1,
  back_tooth,
  on_tooth,
  undo,
  redo,
  sun,
  moon,
  minus,
  plus,
  cross,
  save,
  open
};

struct ButtonLook {
  Icon icon = Icon::none; // instead of the label
  bool enabled = true;
  bool chosen = false;
  const char* hint = nullptr; // tooltip
  bool by_tab = true;         // Tab comes to it
};

// True when pressed. `name` is how tests find it.
bool button(Ui& ui, const char* name, const ScreenRect& rect, std::string_view label, const ButtonLook& look = {});

// A switch of several words, one chosen; the index when another is pressed. Names of the parts: NAME.WORD.
std::optional<std::size_t> segments(Ui& ui, const char* name, const ScreenRect& rect,
                                    const std::vector<const char*>& words, std::size_t chosen);

enum class Verdict { good, warning, bad };
[[nodiscard]] ImU32 verdict_colour(const Ui& ui, Verdict verdict);
void verdict_sign(Ui& ui, ImVec2 middle, Verdict verdict);
// A sign, a colour and a sentence in one box, then quiet rows; gives its height.
float verdict_box(Ui& ui, ImVec2 at, float width, Verdict verdict, std::string_view sentence,
                  const std::vector<std::string>& rows);

struct NumberField {
  const char* name;
  double value;
  double step; // of its two buttons
  double low;
  double high;
  int decimals;
  const char* unit;           // stands in the field
  const char* hint = nullptr; // tooltip
  // A length: its figures are in these units, and may be typed in others.
  std::optional<Units> length = std::nullopt;
  bool bare = false;      // without buttons, its unit said elsewhere
  bool absent = false;    // nothing stands in it yet; its buttons step from `value`
  bool clearable = false; // what stands in it may be taken out
};

struct NumberAnswer {
  std::optional<double> entered; // in range, and not the value it had
  bool cleared = false;          // what stood in it was taken out
  std::string problem;           // beside the field: what is wrong with what is typed
};

// Exact values as typed, or one step by the buttons NAME.minus and NAME.plus; never by the wheel.
NumberAnswer number_field(Ui& ui, ImVec2 at, float width, const NumberField& field);

// The same for a length: figures are in mm, shown in the screen's units, and may be typed in others.
struct LengthField {
  const char* name;
  double mm;
  double low_mm;
  double high_mm;
  Units units;
  bool narrow = false; // a short word for the unit
  const char* hint = nullptr;
  bool bare = false; // these as in NumberField
  bool absent = false;
  bool clearable = false;
};
[[nodiscard]] NumberField number_of(const LengthField& field);
// What was entered into it, in mm.
[[nodiscard]] double entered_mm(double entered, Units units);

// A line of words.
struct TextField {
  const char* name;
  std::string value;
  const char* hint = nullptr;       // tooltip
  const char* when_empty = nullptr; // stands in it, faint
  std::size_t most_bytes = 200;
  std::string (*fault)(const std::string& words) = nullptr; // what is wrong with them; empty = nothing
};
struct TextAnswer {
  std::optional<std::string> entered; // not the words it had
  std::string problem;
};
TextAnswer text_field(Ui& ui, ImVec2 at, float width, const TextField& field);

// Names a rectangle that is not a widget.
void record_item(Ui& ui, const std::string& name, const ScreenRect& rect);

[[nodiscard]] inline ImVec2 top_left(const ScreenRect& rect) {
  return {rect.left, rect.top};
}
[[nodiscard]] inline ImVec2 bottom_right(const ScreenRect& rect) {
  return {rect.right, rect.bottom};
}
void hint_under_pointer(Ui& ui, const std::string& title, const std::vector<std::string>& rows);

} // namespace phasewright::viewer
