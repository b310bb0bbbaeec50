#include "viewer/driver.hpp"

#include "support/catch.hpp"

#include <algorithm>
#include <cstdlib>
#include <filesystem>

namespace phasewright::viewer {

ViewerOptions test_options() {
  ViewerOptions options;
  options.shaders = PHASEWRIGHT_SHADERS;
  return options;
}

namespace {

ViewerOptions options_of(int width_px, int height_px, Theme theme, double scale,
                         ViewerPage page = ViewerPage::correction) {
  ViewerOptions options = test_options();
  options.width_px = width_px;
  options.height_px = height_px;
  options.theme = theme;
  options.scale = scale;
  options.page = page;
  return options;
}

Workbench bench_of(const Opened& opened) {
  Result<Workbench> bench = Workbench::open(opened);
  INFO((bench ? std::string() : to_text(bench.problems())));
  REQUIRE(bench.ok());
  return *std::move(bench);
}

Workbench demo_bench(const Overrides& overrides = {}) {
  const Result<Opened> opened = open_demo(overrides);
  REQUIRE(opened.ok());
  return bench_of(*opened);
}

} // namespace

Driver::Driver(int width_px, int height_px, Theme theme, double scale)
    : screen_(demo_bench(), options_of(width_px, height_px, theme, scale)), recorder_(&screen_.app().recorder()) {
  screen_.app().record(true);
  settle();
}

Driver::Driver(const Overrides& overrides)
    : screen_(demo_bench(overrides), options_of(1280, 800, Theme::day, 1.0)), recorder_(&screen_.app().recorder()) {
  screen_.app().record(true);
  settle();
}

Driver::Driver(const Opened& opened, int width_px, int height_px, Theme theme, ViewerPage page)
    : screen_(bench_of(opened), options_of(width_px, height_px, theme, 1.0, page)),
      recorder_(&screen_.app().recorder()) {
  screen_.app().record(true);
  settle();
}

Driver::Driver(const Opened& opened, const ViewerOptions& options)
    : screen_(bench_of(opened), options), recorder_(&screen_.app().recorder()) {
  screen_.app().record(true);
  settle();
}

void Driver::frames(int count) {
  for (int i = 0; i < count; ++i) screen_.frame(frame_s);
}

int Driver::settle() {
  int count = 0;
  Next next;
  bool worked = false;
  for (int quiet = 0; quiet < 3; ++count) {
    INFO("at once " << next.at_once << ", within " << next.within_s.value_or(0.0) << " s, worked " << worked
                    << ", turning " << view().playing << ", crank " << view().crank_deg);
    REQUIRE(count < 200);
    next = screen_.frame(frame_s);
    worked = screen_.app().finish_work();
    quiet = worked || next.at_once || next.within_s ? 0 : quiet + 1;
  }
  return count;
}

bool Driver::has(const std::string& item) const {
  return recorder_->items.contains(item);
}

ScreenRect Driver::where(const std::string& item) const {
  INFO("item " << item);
  REQUIRE(has(item));
  return recorder_->items.at(item);
}

void Driver::point(float x, float y) {
  InputEvent event;
  event.kind = InputEvent::Kind::pointer;
  event.x = x;
  event.y = y;
  event.ctrl = ctrl_held_;
  screen_.app().push(event);
  frames();
}

void Driver::press(float x, float y, bool down, int button) {
  point(x, y);
  InputEvent event;
  event.kind = InputEvent::Kind::button;
  event.button = button;
  event.down = down;
  event.ctrl = ctrl_held_;
  screen_.app().push(event);
  frames();
}

void Driver::reach(const std::string& item) {
  const ScreenRect panel = where("panel.side");
  for (int i = 0; i < 100; ++i) {
    const ScreenRect rect = where(item);
    const bool beside = rect.right <= panel.left || rect.left >= panel.right || has("panel.save_card") ||
                        has("panel.open_card") || has("panel.left_card");
    if (beside || (rect.top >= panel.top && rect.bottom <= panel.bottom)) return;
    wheel("panel.side", rect.top < panel.top ? 1.0f : -1.0f);
  }
}

void Driver::click(const std::string& item) {
  reach(item);
  click_last(item);
  settle();
}

void Driver::click_last(const std::string& item) {
  const ScreenRect rect = where(item);
  const float x = (rect.left + rect.right) / 2.0f;
  const float y = (rect.top + rect.bottom) / 2.0f;
  press(x, y, true);
  press(x, y, false);
}

void Driver::drag(const std::string& item, float from_x, float to_x, float from_y, float to_y, int steps, int button) {
  const ScreenRect rect = where(item);
  const auto at = [&](float share_x, float share_y) {
    return ImVec2{rect.left + rect.width() * share_x, rect.top + rect.height() * share_y};
  };
  const ImVec2 start = at(from_x, from_y);
  press(start.x, start.y, true, button);
  for (int i = 1; i <= steps; ++i) {
    const float share = static_cast<float>(i) / static_cast<float>(steps);
    const ImVec2 next = at(from_x + (to_x - from_x) * share, from_y + (to_y - from_y) * share);
    point(next.x, next.y);
  }
  const ImVec2 end = at(to_x, to_y);
  press(end.x, end.y, false, button);
  settle();
}

void Driver::wheel(const std::string& item, float steps) {
  const ScreenRect rect = where(item);
  point((rect.left + rect.right) / 2.0f, (rect.top + rect.bottom) / 2.0f);
  frames();
  InputEvent event;
  event.kind = InputEvent::Kind::wheel;
  event.steps = steps;
  screen_.app().push(event);
  if (view().playing) // which never comes to rest
    frames(2);
  else
    settle();
}

void Driver::key(Key key, bool ctrl, bool shift) {
  InputEvent event;
  event.kind = InputEvent::Kind::key;
  event.key = key;
  event.ctrl = ctrl;
  event.shift = shift;
  for (const bool down : {true, false}) {
    event.down = down;
    screen_.app().push(event);
    frames(2);
  }
}

void Driver::type(const std::string& text) {
  InputEvent event;
  event.kind = InputEvent::Kind::text;
  event.text = text;
  screen_.app().push(event);
  frames(2);
}

void Driver::drop(const std::string& path) {
  InputEvent event;
  event.kind = InputEvent::Kind::drop;
  event.text = path;
  screen_.app().push(event);
  settle();
}

void Driver::enter(const std::string& field, const std::string& text) {
  click(field);
  type(text);
  key(Key::enter);
  settle();
}

bool Driver::shows(const std::string& words) const {
  return std::ranges::any_of(recorder_->texts,
                             [&](const DrawnText& text) { return text.text.find(words) != std::string::npos; });
}

bool Driver::shows_in(const std::string& panel, const std::string& words) const {
  return std::ranges::any_of(recorder_->texts, [&](const DrawnText& text) {
    return text.panel == panel && text.text.find(words) != std::string::npos;
  });
}

void Driver::keep(const std::string& name) {
  const char* folder = std::getenv("PHASEWRIGHT_TEST_PICTURES");
  if (folder == nullptr) return;
  std::filesystem::create_directories(folder);
  write_png(screen_.read(), std::filesystem::path(folder) / (name + ".png"));
}

} // namespace phasewright::viewer
