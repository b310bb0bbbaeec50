#include "viewer/app.hpp"

#include "viewer/card.hpp"
#include "viewer/frame.hpp"
#include "viewer/imgui_compat.hpp"
#include "viewer/shortcuts.hpp"

#include <glad/gl.h>
#include <imgui_impl_opengl3.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace phasewright::viewer {

namespace {

constexpr double glide_s = 0.15;
constexpr double turn_deg_per_s = 90.0; // a cycle in eight seconds
constexpr double slow_share = 0.125;
constexpr double settle_s = 0.12;       // a still picture is made smooth after this long
constexpr float picture_margin = 52.0f; // of a framed view, at scale 1: room for the buttons over it

std::optional<compat::EditKey> edit_key(Key key) {
  switch (key) {
  case Key::tab:
    return compat::EditKey::tab;
  case Key::left:
    return compat::EditKey::left;
  case Key::right:
    return compat::EditKey::right;
  case Key::up:
    return compat::EditKey::up;
  case Key::down:
    return compat::EditKey::down;
  case Key::home:
    return compat::EditKey::home;
  case Key::end:
    return compat::EditKey::end;
  case Key::del:
    return compat::EditKey::del;
  case Key::backspace:
    return compat::EditKey::backspace;
  case Key::enter:
    return compat::EditKey::enter;
  case Key::escape:
    return compat::EditKey::escape;
  case Key::a:
    return compat::EditKey::a;
  case Key::c:
    return compat::EditKey::c;
  case Key::v:
    return compat::EditKey::v;
  case Key::x:
    return compat::EditKey::x;
  case Key::y:
    return compat::EditKey::y;
  case Key::z:
    return compat::EditKey::z;
  default:
    return std::nullopt;
  }
}

double mixed(double from, double to, double share) {
  return from + (to - from) * share;
}

Camera mixed(const Camera& from, const Camera& to, double share) {
  Camera camera = to;
  camera.target_mm = from.target_mm + (to.target_mm - from.target_mm) * share;
  camera.yaw_deg = mixed(from.yaw_deg, to.yaw_deg, share);
  camera.pitch_deg = mixed(from.pitch_deg, to.pitch_deg, share);
  camera.height_mm = mixed(from.height_mm, to.height_mm, share);
  return camera;
}

void set_style(const Palette& colours, double scale) {
  ImGuiStyle style;
  style.WindowMinSize = {1, 1};
  style.ScrollbarSize = std::round(static_cast<float>(8.0 * scale));
  style.ScrollbarRounding = style.ScrollbarSize / 2.0f;
  style.ItemSpacing = {0, 0};
  style.AntiAliasedLinesUseTex = true;
  const auto set = [&style](ImGuiCol slot, ImU32 colour) {
    style.Colors[slot] = ImGui::ColorConvertU32ToFloat4(colour);
  };
  set(ImGuiCol_Text, colours.ink);
  set(ImGuiCol_ScrollbarBg, with_alpha(colours.panel, 0.0f));
  set(ImGuiCol_ScrollbarGrab, colours.line);
  set(ImGuiCol_ScrollbarGrabHovered, colours.faint);
  set(ImGuiCol_ScrollbarGrabActive, colours.quiet);
  ImGui::GetStyle() = style;
}

// The wanted scale, or the largest at which the panels still have room.
double fitting_scale(double wanted, const Canvas& canvas) {
  constexpr double least_width = 940.0; // points at scale 1
  constexpr double least_height = 580.0;
  const double room = std::min(canvas.width_pt / least_width, canvas.height_pt / least_height);
  return std::clamp(std::min(wanted, room), 0.5, 6.0);
}

std::vector<std::string> words_of(const Workbench& bench) {
  std::vector<std::string> words{bench.build().title, bench.engine().name};
  for (const Loop& loop : bench.engine().loops)
    for (const Sprocket& sprocket : loop.sprockets) words.push_back(sprocket.name);
  for (const Camshaft& camshaft : bench.engine().camshafts) words.push_back(camshaft.name);
  for (const auto& [name, fastener] : bench.engine().fasteners) words.push_back(name + fastener.locks);
  words.push_back(bench.document().measured.date + bench.document().measured.note + bench.path());
  for (const Measured& set : bench.document().history) words.push_back(set.date + set.note);
  return words;
}

} // namespace

App::ImGuiOwner::ImGuiOwner() {
  ImGui::CreateContext();
  ImGuiIO& io = ImGui::GetIO();
  io.IniFilename = nullptr;
  io.LogFilename = nullptr;
  io.ConfigInputTextCursorBlink = false; // a blinking caret would keep drawing
  io.BackendPlatformName = "phasewright";
  compat::map_keys(io);
  compat::no_trickling(io);
}

App::ImGuiOwner::~ImGuiOwner() {
  if (ImGui::GetIO().BackendRendererUserData != nullptr) ImGui_ImplOpenGL3_Shutdown();
  ImGui::DestroyContext();
}

App::App(Workbench bench, const ViewerOptions& options, Renderer::GetProc get_proc, bool glide)
    : bench_(std::move(bench)), recovery_(options.state_folder), models_(options.models),
      state_folder_(options.state_folder), glide_wanted_(glide), renderer_(get_proc, options.shaders),
      picture_(std::in_place, renderer_, bench_.shared_engine()), output_(options.maker) {
  load_gl(get_proc);
  if (!ImGui_ImplOpenGL3_Init("#version 330")) throw std::runtime_error("The screen's OpenGL back end does not start.");
  lessons_folder_ = options.lessons;
  overridden_ = options.overridden;
  view_.theme = options.theme;
  view_.scale = options.scale;
  view_.units = options.thou ? Units::thou : Units::mm;
  view_.camshaft = bench_.target_camshaft();
  view_.open(options.page);
  const bool backward = options.turning == Turning::backward;
  view_.crank_deg = options.crank_deg + (backward ? 1.0 : 0.0);
  if (backward) turn_to(options.crank_deg);
  magnified(view_) = options.magnify;
  view_.apart = options.apart;
  view_.section = options.section;
  view_.subject = options.from.value_or(view_of(view_.step));
  view_.framed = view_.subject;
  note_open_file();
  look_for_left_work();
}

App::~App() = default;

void App::push(InputEvent event) {
  queue_.push_back(std::move(event));
}

void App::take_key(const InputEvent& event) {
  ImGuiIO& io = ImGui::GetIO();
  const auto edit = edit_key(event.key);
  // A release always goes through, so that no key stays down for a field that has lost the keyboard.
  const bool to_card = event.key == Key::tab && view_.card_shown();
  if (edit && (!event.down || io.WantTextInput || to_card) && (event.key != Key::tab || to_card))
    compat::key(io, *edit, event.down);
  if (!event.down) return;
  Actions actions;
  if (take_card_key(event, io.WantTextInput, view_, actions)) return carry_out(actions);
  if (take_ring_key(event)) return;
  if (io.WantTextInput) {
    if (event.key == Key::escape) view_.edit.cancelled = true;
    return;
  }
  take_shortcut(event, bench_, waiting_.has_value(), view_, actions);
  carry_out(actions);
}

// To the next button or field, and pressing the button. True when it was such a key.
bool App::take_ring_key(const InputEvent& event) {
  KeyRing& ring = view_.ring;
  if (view_.card_shown()) return false; // it has keys of its own
  if (event.key == Key::tab && !event.ctrl) {
    step_on(ring, view_.edit.field, event.shift);
    frames_to_field_ = 6;
    return true;
  }
  if (event.key == Key::escape) ring.at.clear();
  if (event.key != Key::enter || event.ctrl || ring.at.empty() || !view_.edit.field.empty()) return false;
  ring.press = !event.again;
  return true;
}

// What is typed at a card goes into its field, which needs frames to get the keyboard.
void App::take_text(InputEvent event) {
  constexpr int most_frames = 4;
  ImGuiIO& io = ImGui::GetIO();
  if (io.WantTextInput) {
    io.AddInputCharactersUTF8(event.text.c_str());
  } else if (view_.card_shown() && event.waited < most_frames) {
    view_.card.to_field = event.waited == 0;
    ++event.waited;
    queue_.push_front(std::move(event));
  }
}

// Pointer moves up to the next press, key or text; that one too, and the rest in frames to come.
void App::take_input() {
  ImGuiIO& io = ImGui::GetIO();
  // What is typed after Tab is meant for the field, which needs frames to get the keyboard.
  if (!view_.ring.field.empty() && view_.edit.field != view_.ring.field && frames_to_field_-- > 0) return;
  view_.ring.field.clear();
  bool changed = false;
  while (!queue_.empty() && !changed) {
    InputEvent event = std::move(queue_.front());
    queue_.pop_front();
    compat::modifiers(io, event.ctrl, event.shift);
    switch (event.kind) {
    case InputEvent::Kind::pointer:
      compat::mouse_at(io, event.x, event.y);
      break;
    case InputEvent::Kind::pointer_left:
      compat::mouse_at(io, -FLT_MAX, -FLT_MAX);
      break;
    case InputEvent::Kind::button:
      if (event.button >= 0 && event.button < 3) compat::mouse_button(io, event.button, event.down);
      pointer_down_ = event.down;
      view_.ring.at.clear(); // the pointer has taken over
      changed = true;
      break;
    case InputEvent::Kind::wheel:
      compat::mouse_wheel(io, event.steps);
      changed = true;
      break;
    case InputEvent::Kind::key:
      take_key(event);
      changed = true;
      break;
    case InputEvent::Kind::text:
      take_text(event);
      changed = true;
      break;
    case InputEvent::Kind::drop:
      // What is being typed is entered first, or refused: it belongs to the file that is open now.
      if (!view_.edit.field.empty() && event.waited == 0) {
        InputEvent enter;
        enter.kind = InputEvent::Kind::key;
        enter.key = Key::enter;
        ++event.waited;
        queue_.push_front(std::move(event));
        queue_.push_front(enter);
        enter.down = true;
        queue_.push_front(enter);
        break;
      }
      // A question that is open is answered first.
      if (!view_.card_shown() || view_.open_card.shown) open_file(event.text);
      changed = true;
      break;
    }
  }
}

void App::go_to(NamedView view, bool at_once) {
  view_.subject = view;
  view_.framed = view;
  if (!(pane_.x > 0.0) || !(pane_.y > 0.0)) return; // the first frame will do it
  const double margin = static_cast<double>(picture_margin) * font_scale_;
  Camera to = frame_view(picture_->model(), view, pane_, margin, close_up_of(bench_, view_, picture_->model()));
  to.parallel = view_.camera.parallel;
  if (at_once || !glide_wanted_) {
    glide_.reset();
    view_.camera = to;
  } else {
    glide_ = Glide{view_.camera, to, 0.0};
  }
}

void App::turn_to(double wanted_deg) {
  const CrankByHand now =
      turned(shown_state(bench_, view_.shown).mechanism, {view_.crank_deg, view_.turning, view_.turn_forward_deg},
             turns_to(wanted_deg) - view_.crank_deg);
  view_.crank_deg = now.crank_deg;
  view_.turning = now.turning;
  view_.turn_forward_deg = now.turn_forward_deg;
}

void App::move_on(double passed_s) {
  if (view_.playing && !scrubbing_)
    turn_to(view_.crank_deg +
            passed_s * turn_deg_per_s * (view_.slow ? slow_share : 1.0) * (view_.backward ? -1.0 : 1.0));
  if (!glide_) return;
  glide_->passed_s += passed_s;
  const double share = std::min(1.0, glide_->passed_s / glide_s);
  view_.camera = mixed(glide_->from, glide_->to, share * share * (3.0 - 2.0 * share));
  if (share >= 1.0) {
    view_.camera = glide_->to;
    glide_.reset();
  }
}

void App::prepare_fonts(double scale) {
  if (scale == font_scale_ && !fonts_stale_) return;
  if (font_scale_ != 0.0) ImGui_ImplOpenGL3_DestroyFontsTexture();
  std::vector<std::string> words = words_of(bench_);
  words.push_back(shown_words_);
  fonts_ = load_fonts(scale, words);
  if (font_scale_ != 0.0) ImGui_ImplOpenGL3_CreateFontsTexture(); // the first time the back end does it
  font_scale_ = scale;
  fonts_stale_ = false;
}

void App::paint(const Canvas& canvas) {
  glBindFramebuffer(GL_FRAMEBUFFER, canvas.framebuffer);
  glViewport(0, 0, canvas.width_px, canvas.height_px);
  glDisable(GL_SCISSOR_TEST);
  const ImVec4 ground = ImGui::ColorConvertU32ToFloat4(palette(view_.theme).panel);
  glClearColor(ground.x, ground.y, ground.z, 1.0f);
  glClear(GL_COLOR_BUFFER_BIT);
  ImGui_ImplOpenGL3_RenderDrawData(ImGui::GetDrawData());
}

Next App::frame(const Canvas& canvas, double passed_s) {
  const double passed = std::clamp(passed_s, 1e-4, 0.1);
  const double scale = fitting_scale(view_.scale * canvas.screen_scale, canvas);
  prepare_fonts(scale);
  set_style(palette(view_.theme), scale);
  ImGuiIO& io = ImGui::GetIO();
  io.DisplaySize = {static_cast<float>(canvas.width_pt), static_cast<float>(canvas.height_pt)};
  io.DisplayFramebufferScale = {static_cast<float>(canvas.width_px) / io.DisplaySize.x,
                                static_cast<float>(canvas.height_px) / io.DisplaySize.y};
  io.DeltaTime = static_cast<float>(passed);
  take_input();
  move_on(passed);
  const bool made = output_.take_results();
  const bool drilled = take_drill_work();
  const bool news = bench_.take_results() || made || drilled;
  std::erase_if(retired_, [](Workbench& bench) {
    bench.take_results();
    return !bench.working();
  });
  if (waiting_) waiting_->bench.take_results();

  const ScreenRect scene =
      layout_for(io.DisplaySize.x, io.DisplaySize.y, static_cast<float>(scale), waiting_.has_value()).scene;
  const glm::dvec2 pane{static_cast<double>(scene.width()), static_cast<double>(scene.height())};
  if (pane != pane_) {
    pane_ = pane;
    if (view_.framed) go_to(*view_.framed, true);
  }

  ImGui_ImplOpenGL3_NewFrame();
  ImGui::NewFrame();
  // Tab has gone on from a field to a button: what was typed is entered. Between frames that would go by unnoticed.
  if (view_.ring.reach && view_.ring.field.empty()) ImGui::SetWindowFocus(nullptr);
  recorder_.clear();
  Ui ui{.fonts = fonts_,
        .colours = palette(view_.theme),
        .scale = static_cast<float>(scale),
        .recorder = recording_ ? &recorder_ : nullptr,
        .edit = view_.edit,
        .ring = view_.ring};
  Actions actions;
  const double crank_deg = view_.crank_deg;
  const int draws = picture_->draws();
  const bool moving = view_.playing || glide_ || pointer_down_ || still_s_ < settle_s;
  Frame frame{.ui = ui,
              .bench = bench_,
              .view = view_,
              .actions = actions,
              .picture = *picture_,
              .output = output_,
              .output_leaf = output_leaf_,
              .overridden = overridden_ && !waiting_,
              .lessons = lessons_,
              .lesson = lesson_ ? &*lesson_ : nullptr,
              .drill = drill_ ? &*drill_ : nullptr,
              .moving = moving};
  view_.crank_hidden = only_wheel_deg(frame).has_value();
  draw_frame(frame, io.DisplaySize.x, io.DisplaySize.y);
  const bool keyboard_goes_on = view_.ring.press || view_.ring.reach || !view_.ring.field.empty();
  end_of_frame(view_.ring);
  ImGui::Render();
  paint(canvas);

  const std::uint64_t revision = bench_.revision();
  const double scale_before = view_.scale;
  carry_out(actions);
  seek_preview();
  look_for_lessons();
  judge_lesson();
  look_at_drill();
  const bool told = look_after_work();
  scrubbing_ = actions.turn_to_deg.has_value();
  still_s_ = picture_->draws() != draws && moving ? 0.0 : still_s_ + passed;
  Next next;
  next.at_once = news || keyboard_goes_on || told || leaving_ || view_.playing || glide_ || !queue_.empty() ||
                 bench_.revision() != revision || view_.crank_deg != crank_deg || view_.scale != scale_before;
  // Where files are made the drive is not drawn, rough or not.
  if (picture_->rough() && !pointer_down_ && view_.step != Step::sheet)
    next.within_s = std::max(0.001, settle_s - still_s_);
  return next;
}

} // namespace phasewright::viewer
