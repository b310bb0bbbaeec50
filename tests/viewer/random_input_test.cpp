// A hand that presses, drags, turns wheels and types at random: nothing breaks, and what is shown stays readable and a
// figure. A tenth of it runs each time; all ten thousand with the tag [long].
#include "viewer/screen_checks.hpp"

#include "support/catch.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <random>
#include <string>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

class RandomHand {
public:
  RandomHand(Driver& driver, unsigned seed, float width_px, float height_px)
      : driver_(driver), random_(seed), width_px_(width_px), height_px_(height_px) {}

  void act() {
    switch (below(10)) {
    case 0:
    case 1:
    case 2:
      press_item();
      break;
    case 3:
      press_anywhere();
      break;
    case 4:
      drag_anywhere();
      break;
    case 5:
      driver_.wheel(has_item_of("strip") && below(2) == 0 ? "strip" : "panel.side", below(2) == 0 ? 1.0f : -1.0f);
      break;
    case 6:
    case 7:
      press_key();
      break;
    default:
      type_into_field();
      break;
    }
  }

  // Where a screen can be looked at: nothing turns.
  void rest() {
    driver_.key(Key::escape);
    if (driver_.view().playing) driver_.key(Key::space);
    driver_.settle();
  }

private:
  int below(int count) { return std::uniform_int_distribution<int>(0, count - 1)(random_); }
  float share(float of) { return std::uniform_real_distribution<float>(0.0f, of)(random_); }
  bool has_item_of(const char* name) const { return driver_.has(name); }

  // Saving and opening are for tests with a folder of their own.
  static bool is_safe(const std::string& item) {
    return item.find("save") == std::string::npos && item.find("open") == std::string::npos;
  }

  void press_item() {
    const auto& items = driver_.recorder().items;
    if (items.empty()) return;
    auto item = items.begin();
    std::advance(item, below(static_cast<int>(items.size())));
    if (!is_safe(item->first)) return;
    const ScreenRect rect = item->second;
    const float x = std::clamp(rect.left + share(std::max(rect.width(), 1.0f)), 1.0f, width_px_ - 2.0f);
    const float y = std::clamp(rect.top + share(std::max(rect.height(), 1.0f)), 1.0f, height_px_ - 2.0f);
    if (meets_unsafe(x, y)) return;
    driver_.press(x, y, true);
    driver_.press(x, y, false);
  }

  [[nodiscard]] bool meets_unsafe(float x, float y) const {
    return std::ranges::any_of(driver_.recorder().items, [&](const auto& item) {
      const ScreenRect& rect = item.second;
      return !is_safe(item.first) && x >= rect.left && x <= rect.right && y >= rect.top && y <= rect.bottom;
    });
  }

  void press_anywhere() {
    const float x = share(width_px_ - 1.0f);
    const float y = share(height_px_ - 1.0f);
    if (meets_unsafe(x, y)) return;
    const int button = below(3);
    driver_.press(x, y, true, button);
    driver_.press(x, y, false, button);
  }

  void drag_anywhere() {
    const float x = share(width_px_ - 1.0f);
    const float y = share(height_px_ - 1.0f);
    if (meets_unsafe(x, y)) return;
    const int button = below(3);
    driver_.hold_ctrl(below(3) == 0);
    driver_.press(x, y, true, button);
    for (int i = 0; i < 3; ++i) driver_.point(share(width_px_ - 1.0f), share(height_px_ - 1.0f));
    driver_.press(share(width_px_ - 1.0f), share(height_px_ - 1.0f), false, button);
    driver_.hold_ctrl(false);
  }

  void press_key() {
    constexpr std::array keys{Key::space,   Key::tab,     Key::left,    Key::right,     Key::up,      Key::down,
                              Key::home,    Key::end,     Key::page_up, Key::page_down, Key::del,     Key::backspace,
                              Key::enter,   Key::escape,  Key::f1,      Key::a,         Key::b,       Key::c,
                              Key::d,       Key::f,       Key::k,       Key::l,         Key::m,       Key::n,
                              Key::p,       Key::u,       Key::v,       Key::x,         Key::y,       Key::z,
                              Key::digit_0, Key::digit_1, Key::digit_2, Key::digit_3,   Key::digit_4, Key::digit_5,
                              Key::plus,    Key::minus,   Key::e,       Key::i,         Key::r,       Key::t};
    const Key key = keys[static_cast<std::size_t>(below(static_cast<int>(keys.size())))];
    if (key == Key::enter && !is_safe(driver_.view().ring.at)) return;
    driver_.key(key, below(4) == 0, below(4) == 0);
  }

  void type_into_field() {
    constexpr std::array words{
        "",      "nan",    "-inf",    "1e999", "-5",          "abc",        "12.5",
        "0x10",  "3 thou", "0.003in", "1/0",   "½",           "−4",         "999999999999999999999999999",
        "  7  ", "7 mm",   "1,5",     "--",    "0.000000001", "\"quoted\"", "[a]\t=",
        "日本"};
    press_item();
    driver_.key(Key::a, true);
    driver_.type(words[static_cast<std::size_t>(below(static_cast<int>(words.size())))]);
    driver_.key(below(3) == 0 ? Key::tab : Key::enter);
  }

  Driver& driver_;
  std::mt19937 random_;
  float width_px_;
  float height_px_;
};

struct Size {
  int width_px;
  int height_px;
  double scale;
  int inputs;
};

void work_at_random(const Size& size, unsigned seed, int inputs) {
  Driver driver(size.width_px, size.height_px, seed % 2 == 0 ? Theme::day : Theme::night, size.scale);
  RandomHand hand(driver, seed, static_cast<float>(size.width_px), static_cast<float>(size.height_px));
  constexpr int between_looks = 20;
  for (int input = 1; input <= inputs; ++input) {
    INFO(size.width_px << " x " << size.height_px << ", seed " << seed << ", input " << input);
    hand.act();
    CHECK(std::isfinite(driver.view().crank_deg));
    if (input % between_looks != 0) continue;
    hand.rest();
    check_screen(driver);
  }
}

constexpr std::array sizes{Size{1024, 700, 1.0, 4000}, Size{1280, 800, 1.0, 4000}, Size{1920, 1080, 1.0, 1400},
                           Size{3840, 2160, 2.0, 600}};

} // namespace

TEST_CASE("a thousand random inputs") {
  unsigned seed = 1;
  for (const Size& size : sizes) work_at_random(size, seed++, size.inputs / 10);
}

TEST_CASE("ten thousand random inputs", "[.][long]") {
  unsigned seed = 100;
  for (const Size& size : sizes)
    for (int part = 0; part < 4; ++part) work_at_random(size, seed++, size.inputs / 4);
}
