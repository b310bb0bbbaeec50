#include "viewer/screen_checks.hpp"

#include "support/catch.hpp"

namespace phasewright::viewer {

namespace {

bool overlap(const ScreenRect& a, const ScreenRect& b) {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

} // namespace

void check_texts(Driver& driver) {
  int texts = 0;
  for (const DrawnText& text : driver.recorder().texts) {
    ++texts;
    INFO(text.panel << ": \"" << text.text << "\" " << text.where.left << ".." << text.where.right << ", "
                    << text.where.top << ".." << text.where.bottom << " in " << text.clip.left << ".."
                    << text.clip.right << ", " << text.clip.top << ".." << text.clip.bottom);
    CHECK(text.where.left >= text.clip.left);
    CHECK(text.where.right <= text.clip.right);
    // What can be scrolled into sight is not cut off.
    if (text.scrolls) continue;
    CHECK(text.where.top >= text.clip.top);
    CHECK(text.where.bottom <= text.clip.bottom);
  }
  CHECK(texts > 40);
  for (const auto& text : driver.recorder().texts) {
    INFO(text.panel << ": \"" << text.text << "\"");
    // Work under way is said with one, too.
    CHECK((text.text.find("…") == std::string::npos || text.text.ends_with(" …")));
    if (text.panel == "output") continue; // a file's own figures
    for (const char* none : {"nan", "inf ", "inf°", "-nan", "1e+", "e-0"})
      CHECK(text.text.find(none) == std::string::npos);
  }
}

// No two texts of a panel lie over one another (fields' own text boxes are taller than their words).
void check_apart(Driver& driver, const std::string& panel) {
  const auto& texts = driver.recorder().texts;
  for (std::size_t i = 0; i < texts.size(); ++i)
    for (std::size_t k = i + 1; k < texts.size(); ++k) {
      if (texts[i].panel != panel || texts[k].panel != panel) continue;
      INFO(panel << ": \"" << texts[i].text << "\" and \"" << texts[k].text << "\"");
      // Lines of type are set closer than their full height.
      ScreenRect first = texts[i].where;
      first.top += 2.0f;
      first.bottom -= 2.0f;
      CHECK_FALSE(overlap(first, texts[k].where));
    }
}

void check_screen(Driver& driver) {
  check_texts(driver);
  for (const char* panel : {"top", "rail", "scene", "side", "options", "strip"}) check_apart(driver, panel);
}

} // namespace phasewright::viewer
