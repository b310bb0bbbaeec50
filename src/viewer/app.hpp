// The viewer without a window: takes input events, draws frames into whatever framebuffer it is given. The window and
// the tests are its two users.
#pragma once

#include "render/renderer.hpp"
#include "viewer/drill_run.hpp"
#include "viewer/fonts.hpp"
#include "viewer/input.hpp"
#include "viewer/leaf_texture.hpp"
#include "viewer/left_work.hpp"
#include "viewer/lesson_run.hpp"
#include "viewer/output_desk.hpp"
#include "viewer/scene_picture.hpp"
#include "viewer/view.hpp"
#include "viewer/viewer.hpp"
#include "viewer/workbench.hpp"

#include <functional>
#include <memory>
#include <optional>

namespace phasewright::viewer {

// Where a frame is drawn. Points are what the pointer is measured in; the framebuffer may be finer.
struct Canvas {
  unsigned framebuffer = 0;
  int width_pt = 0;
  int height_pt = 0;
  int width_px = 0;
  int height_px = 0;
  double screen_scale = 1.0; // points per point of an ordinary screen
};

// When the next frame is due.
struct Next {
  bool at_once = false;
  std::optional<double> within_s; // nothing more to draw, unless input comes, when both are empty
};

class App {
public:
  // A current OpenGL context is needed for its whole life. `glide`: the camera takes 150 ms to a new view; off in
  // pictures. Throws std::runtime_error when fonts, shaders or the context will not do.
  App(Workbench bench, const ViewerOptions& options, Renderer::GetProc get_proc, bool glide);
  ~App();
  App(const App&) = delete;
  App& operator=(const App&) = delete;

  void push(InputEvent event);
  // Draws one frame, `passed_s` after the last one. One press or release is taken from the queue at a time.
  Next frame(const Canvas& canvas, double passed_s);

  [[nodiscard]] const Workbench& bench() const { return bench_; }
  [[nodiscard]] const View& view() const { return view_; }
  [[nodiscard]] const ScenePicture& picture() const { return *picture_; }
  [[nodiscard]] const Renderer& renderer() const { return renderer_; }
  // Where everything stood in the last frame, once asked for.
  void record(bool on) { recording_ = on; }
  [[nodiscard]] const Recorder& recorder() const { return recorder_; }
  void play(bool on) { view_.playing = on; }

  // Called on another thread when work done beside the screen is there for the next frame.
  void set_wake(std::function<void()> wake);
  [[nodiscard]] bool has_news() const {
    return bench_.has_results() || (drawing_.ready() && !drill_waits()) || judging_.ready() || output_.has_results() ||
           recovery_.has_fault();
  }
  // Waits for work that is done beside the screen; the next frame shows it. True when there was any.
  bool finish_work();
  void finish_keeping() { recovery_.finish(); } // waits until unsaved work is kept
  // The window is to be closed. True when it may be; else the screen asks, and `leaving()` says in the end.
  bool ask_to_close();
  [[nodiscard]] bool leaving() const { return leaving_; }

private:
  struct Glide {
    Camera from;
    Camera to;
    double passed_s = 0;
  };

  void take_input();
  void take_key(const InputEvent& event);
  bool take_ring_key(const InputEvent& event);
  void carry_out(const Actions& actions);
  bool carry_out_changes(const Actions& actions); // of the document; true when there were any
  void carry_out_saving(const Actions& actions);
  void show_folder(const std::string& path); // to choose a file in
  void show_open_card();
  Result<Workbench> open_bench(const std::string& path);
  void open_file(const std::string& typed); // or show that folder; asks about what is not saved
  void open_after_all();
  void replace_bench(Workbench bench);
  void put_on_bench(Workbench bench); // in place of the one there
  void refit_screen();                // to the bench
  void practise_on(Workbench bench);  // nothing that is done there is kept, and the other bench waits
  // A drill that was drawn while a card asks something: begun, it would take the question away.
  [[nodiscard]] bool drill_waits() const { return drawing_.ready() && view_.card_shown(); }
  void end_practice(); // back to that one, as it was left
  void leave();        // nothing is asked any more
  [[nodiscard]] Workbench& own_bench() { return waiting_ ? waiting_->bench : bench_; } // not for practice
  void note_open_file();
  void take_text(InputEvent event);
  void look_for_lessons(); // once they are to be shown
  void carry_out_learning(const Learn& learn);
  void begin_lesson(std::size_t index);
  void begin_step(std::size_t step);
  void put_up(const LessonBench& begun); // as a step of the lesson begins
  void judge_lesson();
  void note_done(); // the step of the lesson that is under way
  void leave_lesson();
  [[nodiscard]] double turns_to(double wanted_deg); // what holds the crank may hold it short of that
  void draw_drill();
  void begin_drill(Drill drill);
  void carry_out_drill(const Learn& learn);
  void look_at_drill();
  void hand_in_drill();
  bool take_drill_work(); // true when something has come
  void note_answer();     // to the drill
  void show_progress();   // of the learner
  void carry_out_output(Actions::Output wanted);
  void seek_preview();
  void look_for_left_work();
  void answer_left(Actions::Left answer);
  bool look_after_work(); // true when something is to be said
  void keep_changes();    // what is not saved yet, for the next start
  void clear_draft(Actions::Clears what);
  void turn_to(double wanted_deg); // a piston stop may hold it
  void go_to(NamedView view, bool at_once);
  void move_on(double passed_s);
  void prepare_fonts(double scale);
  void paint(const Canvas& canvas);

  // While one practises: what was open before.
  struct Waiting {
    Workbench bench;
    View view;
  };

  Workbench bench_;
  std::optional<Waiting> waiting_;
  std::filesystem::path lessons_folder_;
  std::vector<LessonRow> lessons_;
  bool lessons_looked_for_ = false;
  std::optional<LessonRun> lesson_;  // under way, on the practice bench
  std::size_t lesson_row_ = 0;       // of lessons_
  std::optional<DrillRun> drill_;    // likewise
  std::uint64_t drill_revision_ = 0; // of the bench, when it was looked at last
  Background<Result<Drill>> drawing_;
  Background<Result<DrillHanded>> judging_;
  std::shared_ptr<const DrillTruth> judged_; // of the drill that was handed in last
  View view_;
  Recovery recovery_;
  std::uint64_t kept_revision_ = 0; // of the document that was last handed to be kept
  std::optional<FoundWork> left_;   // behind by an earlier viewer, until it is answered
  std::filesystem::path models_;
  std::filesystem::path state_folder_;
  std::string cautions_;           // of the file that is being opened
  std::vector<Workbench> retired_; // that still work something out
  bool glide_wanted_;
  struct ImGuiOwner {
    ImGuiOwner();
    ~ImGuiOwner();
  } imgui_; // before all that needs it, destroyed after it
  Renderer renderer_;
  std::optional<ScenePicture> picture_; // never empty
  OutputDesk output_;
  LeafTexture output_leaf_;
  Fonts fonts_;
  double font_scale_ = 0;
  bool fonts_stale_ = false;
  std::string shown_words_; // of files and folders, which may need letters of their own
  InputQueue queue_;
  Recorder recorder_;
  bool recording_ = false;
  std::optional<Glide> glide_;
  double still_s_ = 1.0; // since the picture last changed
  std::function<void()> wake_;
  bool leaving_ = false;
  bool gives_up_film_ = false; // it was said that one is being made
  bool overridden_ = false;    // what is open has keys set by the command line
  int frames_to_field_ = 0;    // to wait for, at most, until the field that Tab went to is typed into
  bool pointer_down_ = false;
  bool scrubbing_ = false; // the strip is held: turning waits
  glm::dvec2 pane_{};      // size of the scene's pane, points
};

} // namespace phasewright::viewer
