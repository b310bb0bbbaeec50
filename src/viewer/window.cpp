#include "viewer/window.hpp"

#include "viewer/announcer.hpp"
#include "viewer/app.hpp"
#include "viewer/frame_times.hpp"
#include "viewer/settings.hpp"
#include "viewer/window_keys.hpp"

#include <glad/gl.h>

#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <fmt/format.h>
#include <imgui.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <memory>
#include <stdexcept>
#include <string_view>
#include <thread>

namespace phasewright::viewer {

namespace {

constexpr int frames_after_event = 3;
constexpr double least_frame_s = 1.0 / 60.0; // vsync is not to be relied on

struct GlfwLibrary {
  bool ready = false;
  std::string fault;

  GlfwLibrary() {
    ready = glfwInit() == GLFW_TRUE;
    if (!ready) fault = last_error();
  }
  ~GlfwLibrary() { glfwTerminate(); }
  GlfwLibrary(const GlfwLibrary&) = delete;
  GlfwLibrary& operator=(const GlfwLibrary&) = delete;

  static std::string last_error() {
    const char* words = nullptr;
    glfwGetError(&words);
    return words != nullptr ? words : "no reason given";
  }
};

using Window = std::unique_ptr<GLFWwindow, decltype(&glfwDestroyWindow)>;

WindowFault fault_of(const std::string& reason) {
  return {fmt::format("The viewer's window cannot be opened: {}\n"
                      "It needs a display and OpenGL 3.3. Where the graphics driver has less, LIBGL_ALWAYS_SOFTWARE=1 "
                      "draws in software; "
                      "with no display, \"phasewright picture\" draws into a file.",
                      reason)};
}

Window open_window(const ViewerOptions& options, const std::string& title) {
  glfwWindowHint(GLFW_CONTEXT_VERSION_MAJOR, 3);
  glfwWindowHint(GLFW_CONTEXT_VERSION_MINOR, 3);
  glfwWindowHint(GLFW_OPENGL_PROFILE, GLFW_OPENGL_CORE_PROFILE);
  glfwWindowHint(GLFW_OPENGL_FORWARD_COMPAT, GLFW_TRUE);
  glfwWindowHint(GLFW_SCALE_TO_MONITOR, GLFW_TRUE);
  glfwWindowHintString(GLFW_X11_CLASS_NAME, "phasewright");
  glfwWindowHintString(GLFW_X11_INSTANCE_NAME, "phasewright");
  Window window(glfwCreateWindow(options.width_px, options.height_px, title.c_str(), nullptr, nullptr),
                &glfwDestroyWindow);
  if (window != nullptr) {
    glfwMakeContextCurrent(window.get());
    glfwSwapInterval(options.frame_report > 0 ? 0 : 1);
    glfwSetWindowSizeLimits(window.get(), 640, 480, GLFW_DONT_CARE, GLFW_DONT_CARE);
  }
  return window;
}

// What the window's callbacks write to.
struct Listener {
  App* app = nullptr;
  int frames_due = frames_after_event;

  void heard(InputEvent event) {
    app->push(std::move(event));
    frames_due = frames_after_event;
  }
};

Listener& listener_of(GLFWwindow* window) {
  return *static_cast<Listener*>(glfwGetWindowUserPointer(window));
}

void with_modifiers(GLFWwindow* window, InputEvent& event) {
  const auto down = [window](int left, int right) {
    return glfwGetKey(window, left) == GLFW_PRESS || glfwGetKey(window, right) == GLFW_PRESS;
  };
  event.ctrl = down(GLFW_KEY_LEFT_CONTROL, GLFW_KEY_RIGHT_CONTROL);
  event.shift = down(GLFW_KEY_LEFT_SHIFT, GLFW_KEY_RIGHT_SHIFT);
}

InputEvent event_at_pointer(GLFWwindow* window, InputEvent::Kind kind) {
  InputEvent event;
  event.kind = kind;
  with_modifiers(window, event);
  return event;
}

void on_pointer(GLFWwindow* window, double x, double y) {
  InputEvent event = event_at_pointer(window, InputEvent::Kind::pointer);
  event.x = static_cast<float>(x);
  event.y = static_cast<float>(y);
  listener_of(window).heard(std::move(event));
}

void on_enter(GLFWwindow* window, int inside) {
  if (inside == GLFW_FALSE) listener_of(window).heard(event_at_pointer(window, InputEvent::Kind::pointer_left));
}

void on_button(GLFWwindow* window, int button, int action, int) {
  InputEvent event = event_at_pointer(window, InputEvent::Kind::button);
  event.button = button;
  event.down = action == GLFW_PRESS;
  listener_of(window).heard(std::move(event));
}

void on_wheel(GLFWwindow* window, double, double steps) {
  InputEvent event = event_at_pointer(window, InputEvent::Kind::wheel);
  event.steps = static_cast<float>(steps);
  listener_of(window).heard(std::move(event));
}

bool quits(int key, int scancode, int modifiers) {
  const char* name = glfwGetKeyName(key, scancode);
  return name != nullptr && std::string_view(name) == "q" && (modifiers & GLFW_MOD_CONTROL) != 0;
}

void on_key(GLFWwindow* window, int key, int scancode, int action, int modifiers) {
  if (action == GLFW_PRESS && quits(key, scancode, modifiers)) glfwSetWindowShouldClose(window, GLFW_TRUE);
  InputEvent event;
  event.kind = InputEvent::Kind::key;
  event.key = letter_of(key, scancode);
  event.down = action != GLFW_RELEASE;
  event.again = action == GLFW_REPEAT;
  event.ctrl = (modifiers & GLFW_MOD_CONTROL) != 0;
  event.shift = (modifiers & GLFW_MOD_SHIFT) != 0;
  listener_of(window).heard(std::move(event));
}

void on_text(GLFWwindow* window, unsigned code) {
  InputEvent event = event_at_pointer(window, InputEvent::Kind::text);
  event.text = utf8(code);
  listener_of(window).heard(std::move(event));
}

// One file can be open at a time: the first of them.
void on_drop(GLFWwindow* window, int count, const char** paths) {
  if (count < 1) return;
  InputEvent event = event_at_pointer(window, InputEvent::Kind::drop);
  event.text = paths[0];
  listener_of(window).heard(std::move(event));
}

void listen(GLFWwindow* window, Listener& listener) {
  glfwSetWindowUserPointer(window, &listener);
  glfwSetCursorPosCallback(window, on_pointer);
  glfwSetCursorEnterCallback(window, on_enter);
  glfwSetMouseButtonCallback(window, on_button);
  glfwSetScrollCallback(window, on_wheel);
  glfwSetKeyCallback(window, on_key);
  glfwSetCharCallback(window, on_text);
  glfwSetDropCallback(window, on_drop);
  const auto redraw = [](GLFWwindow* changed, int, int) { listener_of(changed).frames_due = frames_after_event; };
  glfwSetFramebufferSizeCallback(window, redraw);
  glfwSetWindowRefreshCallback(window,
                               [](GLFWwindow* changed) { listener_of(changed).frames_due = frames_after_event; });
  glfwSetWindowContentScaleCallback(
      window, [](GLFWwindow* changed, float, float) { listener_of(changed).frames_due = frames_after_event; });

  ImGuiIO& io = ImGui::GetIO();
  io.ClipboardUserData = window;
  io.SetClipboardTextFn = [](void* to, const char* text) {
    glfwSetClipboardString(static_cast<GLFWwindow*>(to), text);
  };
  io.GetClipboardTextFn = [](void* from) { return glfwGetClipboardString(static_cast<GLFWwindow*>(from)); };
}

Canvas canvas_of(GLFWwindow* window) {
  Canvas canvas;
  glfwGetWindowSize(window, &canvas.width_pt, &canvas.height_pt);
  glfwGetFramebufferSize(window, &canvas.width_px, &canvas.height_px);
  float scale = 1.0f;
  glfwGetWindowContentScale(window, &scale, nullptr);
  // Where the framebuffer is finer than the window already, the screen's scale must not be counted twice.
  const double finer = canvas.width_pt > 0 ? static_cast<double>(canvas.width_px) / canvas.width_pt : 1.0;
  canvas.screen_scale = finer > 0.0 ? static_cast<double>(scale) / finer : 1.0;
  return canvas;
}

// The time between frames that a person sees, no shorter than a sixtieth of a second.
void keep_pace(Clock::time_point frame_began) {
  const double left_s = least_frame_s - seconds_since(frame_began);
  if (left_s > 0.0) std::this_thread::sleep_for(std::chrono::duration<double>(left_s));
}

// Waits for input or for work done beside the screen, at most so long; while announcing, says each second how many
// frames there were.
void wait(const Listener& listener, std::optional<double> within_s, const Announcer* announcer) {
  // Work that ends from here on wakes the wait; what ended before is in `has_news`.
  if (listener.app->has_news()) return;
  if (within_s) return glfwWaitEventsTimeout(*within_s);
  if (announcer == nullptr) return glfwWaitEvents();
  for (int seconds = 1; listener.frames_due == 0; ++seconds) {
    const Clock::time_point start = Clock::now();
    while (listener.frames_due == 0 && !listener.app->has_news() && seconds_since(start) < 1.0)
      glfwWaitEventsTimeout(1.0 - std::min(0.999, seconds_since(start)));
    if (listener.app->has_news()) return;
    if (listener.frames_due == 0) announcer->idle(seconds);
  }
}

std::string title_of(const Workbench& bench) {
  const std::string& title = bench.build().title.empty() ? bench.engine().name : bench.build().title;
  return (bench.unsaved() ? "* " : "") + title + " - Phasewright";
}

// The size is of a window on an ordinary screen, as it is asked for; that of one that fills the screen is not kept.
Settings settings_now(GLFWwindow* window, const App& app, const Settings& before) {
  Settings now = before;
  now.theme = app.view().theme;
  now.scale = app.view().scale;
  now.units = app.view().units;
  const Canvas canvas = canvas_of(window);
  const bool usual = glfwGetWindowAttrib(window, GLFW_MAXIMIZED) == GLFW_FALSE &&
                     glfwGetWindowAttrib(window, GLFW_ICONIFIED) == GLFW_FALSE;
  if (usual && canvas.width_pt > 0 && canvas.height_pt > 0 && canvas.screen_scale > 0.0) {
    const auto kept = [&canvas](int pt, int least_px) {
      return std::clamp(static_cast<int>(std::lround(pt / canvas.screen_scale)), least_px, most_window_px);
    };
    now.width_px = kept(canvas.width_pt, least_window_width_px);
    now.height_px = kept(canvas.height_pt, least_window_height_px);
  }
  return now;
}

// Whether the loop ends here. Where something is not saved, the screen asks first.
bool closes(GLFWwindow* window, App& app, Listener& listener) {
  if (app.leaving()) return true;
  if (glfwWindowShouldClose(window) == GLFW_FALSE) return false;
  if (app.ask_to_close()) return true;
  glfwSetWindowShouldClose(window, GLFW_FALSE);
  listener.frames_due = frames_after_event;
  return false;
}

void run_loop(GLFWwindow* window, App& app, const ViewerOptions& options) {
  Listener listener{.app = &app};
  listen(window, listener);
  Announcer announcer;
  app.record(options.announce);
  app.set_wake(&glfwPostEmptyEvent);
  std::string title;
  Settings settings = settings_now(window, app, {});
  SettingsKeeper keeper(options.settings_file, settings);
  Clock::time_point last = Clock::now();
  while (!closes(window, app, listener)) {
    const Clock::time_point began = Clock::now();
    if (std::string now = title_of(app.bench()); now != title) {
      title = std::move(now);
      glfwSetWindowTitle(window, title.c_str());
    }
    const Canvas canvas = canvas_of(window);
    const bool hidden =
        canvas.width_px == 0 || canvas.height_px == 0 || glfwGetWindowAttrib(window, GLFW_ICONIFIED) == GLFW_TRUE;
    if (hidden) {
      glfwWaitEvents();
      continue;
    }
    const Next next = app.frame(canvas, std::chrono::duration<double>(began - last).count());
    last = began;
    glfwSwapBuffers(window);
    if (options.announce) announcer.frame(app);
    settings = settings_now(window, app, settings);
    keeper.update(settings, false);
    if (listener.frames_due > 0) --listener.frames_due;
    glfwPollEvents();
    if (next.at_once || listener.frames_due > 0) {
      keep_pace(began);
      continue;
    }
    wait(listener, next.within_s, options.announce ? &announcer : nullptr);
    if (next.within_s) continue;
    last = Clock::now(); // nothing moved while it waited
  }
  keeper.update(settings, true);
  glfwHideWindow(window); // work that is still done beside the screen is waited for out of sight
  glfwPollEvents();
  if (options.announce) announcer.closed();
}

void time_frames(GLFWwindow* window, App& app, const ViewerOptions& options, Clock::time_point started) {
  FrameTimes times;
  const Canvas canvas = canvas_of(window);
  app.frame(canvas, least_frame_s);
  glfwSwapBuffers(window);
  glFinish();
  times.first_frame_s = seconds_since(started);
  app.play(true);
  for (int i = 0; i < options.frame_report; ++i) {
    const Clock::time_point began = Clock::now();
    glfwPollEvents();
    app.frame(canvas, least_frame_s);
    glfwSwapBuffers(window);
    glFinish();
    times.turning_ms.push_back(seconds_since(began) * 1000.0);
  }
  times.most_memory_mb = most_memory_mb();
  fmt::print("{}", report(times, app.renderer().description(), canvas.width_px, canvas.height_px));
}

} // namespace

std::optional<WindowFault> run_window(Workbench bench, const ViewerOptions& options) {
  const Clock::time_point started = options.started.value_or(Clock::now());
  const GlfwLibrary library;
  if (!library.ready) return fault_of(library.fault);
  const Window window = open_window(options, title_of(bench));
  if (window == nullptr) return fault_of(GlfwLibrary::last_error());
  std::unique_ptr<App> app;
  try {
    app = std::make_unique<App>(std::move(bench), options, &glfwGetProcAddress, options.frame_report == 0);
  } catch (const std::runtime_error& error) {
    return fault_of(error.what());
  }
  if (options.frame_report > 0)
    time_frames(window.get(), *app, options, started);
  else
    run_loop(window.get(), *app, options);
  return std::nullopt;
}

} // namespace phasewright::viewer
