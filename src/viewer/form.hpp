// Rows of a panel: a label, a field, and what is wrong with what is typed below it; tables and words between them.
#pragma once

#include "viewer/frame.hpp"

#include <optional>
#include <string>
#include <vector>

namespace phasewright::viewer {

// Go with every figure of the bench that is not a clearance.
inline constexpr const char* bench_cautions =
    "The engine maker's limits come first. Turn the engine by hand only, in the running direction, plugs out. Renew "
    "every lock washer that was bent back.";

class Form {
public:
  Form(Frame& frame, ImVec2 at, float width)
      : frame_(frame), ui_(frame.ui), left_(at.x), right_(at.x + width), y_(at.y) {}

  struct Length {
    const char* name;
    std::optional<double> mm; // nothing = not measured
    double low_mm = 0;
    double high_mm = 0;
    double from_mm = 0; // where the buttons begin, while there is nothing
    bool clearable = false;
    const char* hint = nullptr;
  };
  struct Answer {
    std::optional<double> mm; // entered
    bool cleared = false;
  };
  Answer length(const std::string& label, const Length& field);
  // `label` at the left, `field` as wide as its column; gives what was entered, in the field's own unit.
  std::optional<double> number(const std::string& label, const NumberField& field);
  struct Whole {
    std::optional<int> figure; // entered
    bool cleared = false;
  };
  Whole whole(const std::string& label, const NumberField& field);
  std::optional<std::string> words(const std::string& label, const TextField& field);

  void heading(const std::string& words) { paragraph_of(ui_.fonts.title, ui_.colours.ink, words); }
  void strong(const std::string& words) { paragraph_of(ui_.fonts.bold, ui_.colours.ink, words); }
  void section(const char* title);
  // Quiet label, figure at the right.
  void fact(const std::string& what, const std::string& figure);
  void note(const std::string& words) { paragraph_of(ui_.fonts.note, ui_.colours.quiet, words); }
  void caution(const std::string& words) { paragraph_of(ui_.fonts.note, ui_.colours.warning, words); }
  void sentence(const std::string& words) { paragraph_of(ui_.fonts.text, ui_.colours.ink, words); }
  void wrong(const std::string& words) { paragraph_of(ui_.fonts.note, ui_.colours.bad, words); }
  void verdict(Verdict verdict, const std::string& sentence, const std::vector<std::string>& rows = {});
  void space(float px) { y_ += ui_.px(px); }
  // A small line with a cross at its right end; true when that is pressed.
  bool note_with_cross(const std::string& words, const char* name, const char* hint);
  // A row of its own for a button, from the left; true when pressed.
  bool press(const char* name, const char* label, const ButtonLook& look = {});
  [[nodiscard]] ScreenRect row(float height_px); // a rectangle across, and below it goes on
  [[nodiscard]] float left() const { return left_; }
  [[nodiscard]] float right() const { return right_; }
  [[nodiscard]] float width() const { return right_ - left_; }
  [[nodiscard]] float bottom() const { return y_; }

private:
  void paragraph_of(const ImFont* font, ImU32 colour, const std::string& words);
  void label_at(const std::string& label);
  void trouble(const std::string& words);
  [[nodiscard]] float field_left() const;

  Frame& frame_;
  Ui& ui_;
  float left_;
  float right_;
  float y_;
};

// Drills, in the panel of lessons.
void drills_page(Form& form, Frame& frame);
void learner_name(Form& form, Frame& frame); // to be typed in

// Names of what there is to choose from, on as many rows of buttons as it takes; the index when another is pressed.
// Names of the buttons: NAME.WORD.
std::optional<std::size_t> choice(Form& form, Ui& ui, const char* name, const std::vector<std::string>& words,
                                  std::size_t chosen);
// Likewise where any number may be chosen; the index of the one that is pressed.
std::optional<std::size_t> ticks(Form& form, Ui& ui, const char* name, const std::vector<std::string>& words,
                                 const std::vector<bool>& chosen);

} // namespace phasewright::viewer
