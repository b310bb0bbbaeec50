// The drive moving, drawn into a film. Needs no display.
#include "film/film.hpp"
#include "cli/commands.hpp"
#include "cli/film_shot.hpp"
#include "cli/output.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cmath>
#include <csignal>

#include <unistd.h>

namespace phasewright::cli {

namespace {

// A signal's handler can reach nothing else.
std::atomic<bool> told_to_end = false;
static_assert(std::atomic<bool>::is_always_lock_free);

// While it lives, Ctrl+C asks the film to end.
class CtrlC {
public:
  CtrlC() {
    told_to_end = false;
    struct sigaction action {};
    action.sa_handler = [](int) { told_to_end = true; };
    ::sigaction(SIGINT, &action, &before_);
  }
  ~CtrlC() { ::sigaction(SIGINT, &before_, nullptr); }
  CtrlC(const CtrlC&) = delete;
  CtrlC& operator=(const CtrlC&) = delete;

private:
  struct sigaction before_ {};
};

// "45 %, 132 frames left": on a terminal over and over on one line, else a line for each.
class Progress {
public:
  Progress(int frames, bool wanted) : frames_(frames), terminal_(::isatty(STDERR_FILENO) == 1), wanted_(wanted) {}
  ~Progress() {
    if (terminal_) print_error("\r\x1b[K");
  }
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;

  void operator()(int done) {
    const int percent = 100 * done / frames_;
    if (!(terminal_ || wanted_) || percent == said_percent_) return;
    said_percent_ = percent;
    const std::string words = fmt::format("{} %, {} left", percent, count_words(frames_ - done, "frame", "frames"));
    print_error(terminal_ ? "\r\x1b[K" + words : words + "\n");
  }

private:
  int frames_;
  int said_percent_ = -1;
  bool terminal_;
  bool wanted_;
};

Result<std::unique_ptr<film::FrameSink>> open_sink(const DrawOptions& draw, const FilmOptions& film) {
  const film::FilmFormat format{{draw.width_px, draw.height_px}, film.frames_per_second};
  if (draw.output.ends_with(".mp4")) return film::open_video(draw.output, format);
  if (draw.output.ends_with(".gif")) return film::open_gif(draw.output, format);
  return film::open_pngs(draw.output, format);
}

std::string what_is_shown(const Context& context, const States& states) {
  const Options& options = context.options;
  if (options.film.of == FilmOf::lay)
    return options.draw.plan ? fmt::format("option {} of the plan put in", *options.draw.plan) : drive_words(states);
  const char* how = options.film.of == FilmOf::apart       ? "taken apart and put together again"
                    : options.turning == Turning::backward ? "turned backward"
                                                           : "turning";
  return fmt::format("{}, {}", what_is_drawn(options.draw, states), how);
}

// Whether the film shown over and over goes on without a jump, and what jumps where it does not. A chain looks the same
// again when it has moved on by an even number of links and has an even number of them.
struct Loops {
  bool seamless = true;
  std::string words;
};

Loops loops_of(const DrawnStates& states, const film::DriveMoment& first, const film::DriveMoment& after,
               bool ends_as_it_began) {
  if (!ends_as_it_began) return {false, "Shown over and over it jumps: it does not end where it began.\n"};
  Loops loops;
  const auto moved = film::links_moved_on(states.shown.mechanism, first, after);
  for (std::size_t l = 0; l < moved.size(); ++l) {
    const int links = states.shown.mechanism.engine().loops[l].chain.links;
    if (!moved[l] || (*moved[l] != 0 && (links % 2 != 0 || *moved[l] % 2 != 0))) loops.seamless = false;
    if (moved[l].value_or(0) != 0)
      loops.words += fmt::format("A chain of {} stands {} further on after it.\n", count_words(links, "link", "links"),
                                 count_words(*moved[l], "link", "links"));
  }
  loops.words = (loops.seamless ? "Shown over and over it goes on without a jump.\n"
                                : "Shown over and over the chain's plates jump.\n") +
                loops.words;
  return loops;
}

struct Made {
  std::vector<std::string> files; // empty when it was cancelled
  std::vector<std::string> confessions;
  double ms_per_frame = 0.0;
};

// Somebody else watches, or Ctrl+C is heeded and the terminal told.
Result<std::vector<std::string>> make_watched(const Context& context, const film::DrawFrame& draw,
                                              film::FrameSink& sink) {
  const FilmOptions& film = context.options.film;
  if (context.watch != nullptr) return film::make_film(film.frames, draw, sink, *context.watch);
  const CtrlC ctrl_c;
  Progress progress(film.frames, film.progress);
  return film::make_film(film.frames, draw, sink,
                         {.progress = [&progress](int done) { progress(done); }, .cancelled = &told_to_end});
}

Result<Made> make(const Context& context, FilmShot& shot) {
  const FilmOptions& film = context.options.film;
  Result<std::unique_ptr<film::FrameSink>> sink = open_sink(context.options.draw, film);
  if (!sink) return sink.problems();
  Made made;
  const auto began = std::chrono::steady_clock::now();
  const auto draw = [&](int frame) -> Result<Image> {
    Result<film::DrawnDrive> drawn = shot.draw(frame);
    if (!drawn) return drawn.problems();
    for (std::string& confession : drawn->scene.confessions)
      if (std::ranges::find(made.confessions, confession) == made.confessions.end())
        made.confessions.push_back(std::move(confession));
    return std::move(drawn->image);
  };
  Result<std::vector<std::string>> files = make_watched(context, draw, **sink);
  if (!files) return files.problems();
  const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - began;
  made.ms_per_frame = took.count() / film.frames;
  made.files = *std::move(files);
  return made;
}

Json json_of(const Context& context, const States& states, const Made& made, const Loops& loops, double first_deg,
             double last_deg) {
  const DrawOptions& draw = context.options.draw;
  const FilmOptions& film = context.options.film;
  Json files = Json::array();
  for (const std::string& file : made.files) files.add(file);
  Json confessions = Json::array();
  for (const std::string& confession : made.confessions) confessions.add(confession);
  return Json::object({{"files", files},
                       {"shown", what_is_shown(context, states)},
                       {"frames", film.frames},
                       {"frames_per_second", film.frames_per_second},
                       {"seconds", static_cast<double>(film.frames) / film.frames_per_second},
                       {"width_px", draw.width_px},
                       {"height_px", draw.height_px},
                       {"theme", draw.night ? "night" : "day"},
                       {"first_crank_deg", first_deg},
                       {"last_crank_deg", last_deg},
                       {"turned", to_word(context.options.turning)},
                       {"seamless", loops.seamless},
                       {"exaggerated", confessions}});
}

} // namespace

Result<Answer> film_command(const Context& context) {
  const DrawOptions& draw = context.options.draw;
  const FilmOptions& film = context.options.film;
  Result<FilmShot> shot = FilmShot::make(context);
  if (!shot) return shot.problems();
  const DrawnStates& states = shot->states();
  const Result<Made> made = make(context, *shot);
  if (!made) return made.problems();
  if (made->files.empty()) {
    if (context.watch == nullptr) print_error("phasewright: cancelled; nothing was written\n");
    return Answer{.page = {}, .json = {}, .exit_code = exit_cancelled};
  }
  const film::DriveMoment first = shot->moment(0);
  const film::DriveMoment last = shot->moment(film.frames - 1);
  const bool ends_as_it_began =
      film.of == FilmOf::apart || (film.of == FilmOf::turn && std::fmod(film.turns, 2.0) == 0.0);
  const Loops loops = loops_of(states, first, shot->after(), ends_as_it_began);
  Answer answer;
  answer.page =
      fmt::format("{}{}: {}, ", made->files.front(), made->files.size() > 1 ? " to " + made->files.back() : "",
                  what_is_shown(context, states.states));
  answer.page += first.crank_deg == last.crank_deg
                     ? fmt::format("crank at {}°", fixed(first.crank_deg, 1))
                     : fmt::format("from {}° to {}° crank", fixed(first.crank_deg, 1), fixed(last.crank_deg, 1));
  answer.page += fmt::format(", {} x {} pixels, {} a second: {} s.\n", draw.width_px, draw.height_px,
                             count_words(film.frames_per_second, "frame", "frames"),
                             fixed(static_cast<double>(film.frames) / film.frames_per_second, 2));
  for (const std::string& note : reading_notes(context, asked_of(draw), "the film")) answer.page += note + "\n";
  if (film.of == FilmOf::lay)
    for (std::size_t k = 0; k < context.opened.engine->camshafts.size(); ++k)
      answer.page +=
          fmt::format("{}: phase from {}° to {}° crank.\n", capital(camshaft_words(*context.opened.engine, k)),
                      signed_fixed(states.ghost->mechanism.drive().phase_deg(k), 2),
                      signed_fixed(states.shown.mechanism.drive().phase_deg(k), 2));
  for (const std::string& confession : made->confessions) answer.page += confession + "\n";
  answer.page += loops.words;
  answer.page +=
      fmt::format("{}, {} ms each.\n", count_words(film.frames, "frame", "frames"), fixed(made->ms_per_frame, 1));
  answer.json = json_of(context, states.states, *made, loops, first.crank_deg, last.crank_deg);
  add_standing(states.states, answer);
  return answer;
}

} // namespace phasewright::cli
