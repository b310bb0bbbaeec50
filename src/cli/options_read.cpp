#include "cli/options_typed.hpp"

#include "bench/drill.hpp"
#include "cli/numbers.hpp"
#include "files/learners.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <initializer_list>
#include <limits>
#include <tuple>
#include <type_traits>
#include <utility>

namespace phasewright::cli {

namespace {

constexpr int least_px = 16;
constexpr int most_px = 8192; // what every OpenGL 3.3 renderer in use can draw
constexpr int least_window_width_px = 640;
constexpr int least_window_height_px = 480;

// One of a few words; empty = not said.
std::optional<Problem> read_word(const char* option, const std::string& typed, std::initializer_list<const char*> words,
                                 const char* allowed) {
  const bool known = typed.empty() || std::ranges::any_of(words, [&typed](const char* word) { return typed == word; });
  return known ? std::nullopt : std::optional(usage_fault(option, typed, allowed));
}

// A figure that may be left out, within its range; `unit` is the word behind the range.
template <class Number, class Into>
std::optional<Problem> read_in_range(const char* option, const std::string& typed, Number least, Number most,
                                     const char* unit, Into& into) {
  if (typed.empty()) return std::nullopt;
  std::optional<Number> number;
  if constexpr (std::is_same_v<Number, int>)
    number = read_whole_number(typed);
  else
    number = read_number(typed);
  if (!number || *number < least || *number > most)
    return usage_fault(option, typed, fmt::format("{} to {}{}{}", least, most, *unit != '\0' ? " " : "", unit));
  into = *number;
  return std::nullopt;
}

std::optional<Problem> read_phase_options(const Typed& typed, std::optional<SpreadOptions>& spread) {
  SpreadOptions read;
  auto builds = static_cast<int>(read.builds);
  auto seed = static_cast<int>(read.seed);
  if (auto fault = read_in_range("--builds", typed.builds, static_cast<int>(least_spread_builds),
                                 static_cast<int>(most_spread_builds), "builds", builds))
    return fault;
  if (auto fault = read_in_range("--seed", typed.seed, 0, std::numeric_limits<int>::max(), "", seed)) return fault;
  if (auto fault = read_in_range("--threads", typed.threads, 1, most_spread_threads, "threads", read.threads))
    return fault;
  read.builds = static_cast<std::size_t>(builds);
  read.seed = static_cast<std::uint64_t>(seed);
  if (typed.spread) {
    spread = read;
    return std::nullopt;
  }
  for (const auto& [option, said] :
       {std::pair("--builds", &typed.builds), std::pair("--seed", &typed.seed), std::pair("--threads", &typed.threads)})
    if (!said->empty()) return usage_fault(option, "no --spread beside it", "both");
  return std::nullopt;
}

std::optional<Problem> read_chain_options(const Typed& typed, ChainOptions& chain) {
  if (auto fault = read_in_range("--loop", typed.loop, 1, 4, "chains", chain.loop)) return fault;
  if (auto fault = read_in_range("--band", typed.band, 0.01, 30.0, "crank degrees", chain.band_deg)) return fault;
  if (auto fault = read_in_range("--count", typed.count, 0, 1000, "pins", chain.count)) return fault;
  if (auto fault = read_in_range("--links", typed.links, 8, 1000, "links", chain.links)) return fault;
  if (auto fault = read_in_range("--centre-change", typed.centre_change, -5.0, 5.0, "mm", chain.centre_change_mm))
    return fault;
  constexpr double most_per_k = 1e-4;
  if (auto fault = read_in_range("--block-growth", typed.block_growth, 0.0, most_per_k, "per K", chain.block_per_k))
    return fault;
  if (auto fault = read_in_range("--chain-growth", typed.chain_growth, 0.0, most_per_k, "per K", chain.chain_per_k))
    return fault;
  if (auto fault = read_in_range("--rise", typed.rise, -100.0, 300.0, "K", chain.rise_k)) return fault;
  const int of_warmth = chain.block_per_k.has_value() + chain.chain_per_k.has_value() + chain.rise_k.has_value();
  if (of_warmth == 1 || of_warmth == 2)
    return usage_fault(!chain.block_per_k   ? "--block-growth"
                       : !chain.chain_per_k ? "--chain-growth"
                                            : "--rise",
                       "", "", "--block-growth, --chain-growth and --rise come together");
  if (!chain.camshaft.empty() && !chain.count) return usage_fault("--camshaft", "no --count beside it", "both");
  return std::nullopt;
}

std::optional<Problem> read_lay_option(const Typed& typed, int& lay_reach) {
  return read_in_range("--lay", typed.lay, 0, 10, "teeth", lay_reach);
}

std::optional<Problem> read_plan_options(const Typed& typed, Options& options) {
  if (auto fault = read_lay_option(typed, options.lay_reach)) return fault;
  return read_in_range("--top", typed.top, 1, 1000, "rows", options.top);
}

std::optional<Problem> read_size_option(const std::string& typed, DrawOptions& draw, bool whole_viewer) {
  if (!typed.empty()) {
    const std::optional<PixelSize> size = read_size(typed);
    const auto fits = [](int px) { return px >= least_px && px <= most_px; };
    if (!size || !fits(size->width) || !fits(size->height))
      return usage_fault("--size", typed, fmt::format("WxH such as 1280x800, each {} to {} pixels", least_px, most_px));
    draw.width_px = size->width;
    draw.height_px = size->height;
  }
  if (whole_viewer && (draw.width_px < least_window_width_px || draw.height_px < least_window_height_px))
    return usage_fault("--size", typed,
                       fmt::format("{}x{} or more for the viewer", least_window_width_px, least_window_height_px));
  return std::nullopt;
}

std::optional<Problem> read_times(const char* option, const std::string& typed, double most, double& times) {
  if (typed.empty()) return std::nullopt;
  const std::optional<double> number = read_number(typed);
  if (!number || !(*number >= 1.0 && *number <= most))
    return usage_fault(option, typed, fmt::format("1 to {} times", most));
  times = *number;
  return std::nullopt;
}

// The option of a plan that is to be shown.
std::optional<Problem> read_plan_number(const std::string& typed, std::optional<int>& number) {
  if (typed.empty()) return std::nullopt;
  number = read_whole_number(typed);
  if (!number || *number < 1) return usage_fault("--plan", typed, "the number of a plan's option: 1 or more");
  return std::nullopt;
}

std::optional<Problem> read_draw_options(const Typed& typed, bool is_window, DrawOptions& draw) {
  if (auto fault = read_size_option(typed.size, draw, is_window || draw.window)) return fault;
  if (auto fault = read_word("--theme", typed.theme, {"day", "night"}, "day or night")) return fault;
  if (auto fault = read_word("--as", typed.as, {"fitted", "reference"}, "fitted or reference")) return fault;
  if (auto fault =
          read_word("--from", typed.from, {"end", "side", "key", "valve", "whole"}, "end, side, key, valve or whole"))
    return fault;
  if (!typed.page.empty() && std::ranges::find(page_names, typed.page) == page_names.end())
    return usage_fault("--page", typed.page, fmt::format("{}", fmt::join(page_names, ", ")));
  if (!typed.page.empty() && !is_window && !draw.window) return usage_fault("--page", typed.page, "--window beside it");
  if (auto fault = read_times("--magnify", typed.magnify, 10.0, draw.magnify)) return fault;
  if (auto fault = read_in_range("--apart", typed.apart, 0.0, 1.0, "", draw.apart)) return fault;
  if (draw.section && typed.from != "key")
    return usage_fault("--section", typed.from.empty() ? "no --from" : "--from " + typed.from, "--from key beside it");
  if (auto fault = read_times("--scale", typed.scale, 3.0, draw.scale)) return fault;
  // A picture must not leave out how far it exaggerates: the viewer writes that into its own, labels say it too.
  if (draw.magnify > 1.0 && !is_window && !draw.window && !draw.labels)
    return usage_fault("--magnify", typed.magnify, "1 without --window or --labels");
  if (draw.labels && draw.window) return usage_fault("--labels", "--window beside it", "one of the two");
  if (!typed.drawn_cylinder.empty() && draw.window)
    return usage_fault("--cylinder", "--window beside it", "one of the two");
  constexpr int most_cylinders = 16; // an engine may have
  if (auto fault = read_in_range("--cylinder", typed.drawn_cylinder, 1, most_cylinders, "", draw.cylinder))
    return fault;
  draw.night = typed.theme == "night";
  draw.size_said = !typed.size.empty();
  draw.theme_said = !typed.theme.empty();
  draw.scale_said = !typed.scale.empty();
  draw.reference = typed.as == "reference";
  draw.from = typed.from;
  draw.page = typed.page;
  if (!typed.plan.empty()) {
    if (auto fault = read_plan_number(typed.plan, draw.plan)) return fault;
    if (!typed.as.empty()) return usage_fault("--plan", "--as beside it", "one of the two");
  }
  if (draw.window && !typed.as.empty()) return usage_fault("--window", "--as beside it", "one of the two");
  return is_window ? read_in_range("--frames", typed.frames, 1, 100000, "frames", draw.frames) : std::nullopt;
}

// After the draw options.
std::optional<Problem> read_film_options(const Typed& typed, DrawOptions& draw, FilmOptions& film) {
  const std::string& output = draw.output;
  if (output.empty()) return usage_fault("-o", "", "", "say where the film goes: -o turn.mp4");
  const bool video = output.ends_with(".mp4");
  const bool gif = output.ends_with(".gif");
  if (output.size() < 5 || !(video || gif || output.ends_with(".png")))
    return usage_fault("-o", output, "a file name that ends in .mp4, .gif or .png");
  if (auto fault = read_word("--of", typed.of, {"turn", "lay", "apart"}, "turn, lay or apart")) return fault;
  film.of = typed.of == "apart" ? FilmOf::apart : typed.of == "lay" ? FilmOf::lay : FilmOf::turn;
  if (film.of == FilmOf::apart && draw.from.empty()) draw.from = "side"; // where it shows
  if (auto fault = read_in_range("--frames", typed.frames, 2, 2000, "frames", film.frames)) return fault;
  if (auto fault = read_in_range("--fps", typed.fps, 5, 60, "frames a second", film.frames_per_second)) return fault;
  if (auto fault = read_in_range("--turns", typed.turns, 0.01, 1000.0, "turns of the crank", film.turns)) return fault;
  if (!typed.turns.empty() && film.of != FilmOf::turn)
    return usage_fault("--turns", "--of " + typed.of + " beside it", "--of turn");
  if (!typed.apart.empty() && film.of == FilmOf::apart)
    return usage_fault("--apart", "--of apart beside it", "one of the two");
  if (gif && film.frames_per_second > most_gif_frames_per_second)
    return usage_fault(
        "--fps", typed.fps,
        fmt::format("5 to {} for a GIF, whose delays are hundredths of a second", most_gif_frames_per_second));
  if (video && (draw.width_px % 2 != 0 || draw.height_px % 2 != 0))
    return usage_fault("--size", typed.size, "even numbers for an MP4");
  return std::nullopt;
}

std::optional<Problem> read_events_options(const Typed& typed, EventsOptions& events) {
  if (typed.cylinder == "all") {
    events.cylinder.reset();
  } else if (!typed.cylinder.empty()) {
    events.cylinder = read_whole_number(typed.cylinder);
    if (!events.cylinder || *events.cylinder < 1)
      return usage_fault("--cylinder", typed.cylinder, "the number of a cylinder, or all");
  }
  for (const std::string& lift : typed.lifts) {
    double mm = 0.0;
    if (auto fault = read_in_range("--lift", lift, 0.0, 40.0, "mm", mm)) return fault;
    events.lifts_mm.push_back(mm);
  }
  if (auto fault = read_word("--at", typed.at, {"tappet", "valve"}, "tappet or valve")) return fault;
  if (!typed.at.empty()) {
    if (typed.lifts.empty()) return usage_fault("--at", "no --lift beside it", "both");
    events.at = typed.at == "tappet" ? LiftedAt::tappet : LiftedAt::valve;
  }
  if (auto fault = read_in_range("--altitude", typed.altitude, -400.0, 5000.0, "m", events.cranking.altitude_m))
    return fault;
  return read_in_range("--exponent", typed.exponent, 1.0, 1.4, "", events.cranking.exponent);
}

std::optional<Problem> read_export_options(const Typed& typed, ExportOptions& curves) {
  const std::string& output = curves.output;
  if (output.empty())
    return usage_fault(
        "-o", "", "",
        "say where it goes: -o drive.glb for a model, -o cycle.csv for curves, -o all.json for all answers");
  struct Kind {
    ExportKind kind;
    const char* ending;
    const char* words;
  };
  static constexpr std::array<Kind, 3> kinds{{{ExportKind::model, ".glb", "a model, FILE.glb"},
                                              {ExportKind::curves, ".csv", "curves, FILE.csv"},
                                              {ExportKind::answers, ".json", "all answers, FILE.json"}}};
  const auto* const kind = std::ranges::find_if(kinds, [&](const Kind& one) {
    const std::string_view ending = one.ending;
    return output.size() > ending.size() && output.ends_with(ending);
  });
  if (kind == kinds.end()) return usage_fault("-o", output, "a file name that ends in .glb, .csv or .json");
  curves.kind = kind->kind;
  // What belongs to another kind of file would be lost without a word.
  for (const auto& [option, said, of] : {std::tuple("--of", !typed.of.empty(), ExportKind::curves),
                                         std::tuple("--step", !typed.step.empty(), ExportKind::curves),
                                         std::tuple("--as", !typed.as.empty(), ExportKind::model),
                                         std::tuple("--plan", !typed.plan.empty(), ExportKind::model),
                                         std::tuple("--nuts", curves.nuts, ExportKind::model)})
    if (said && of != curves.kind)
      return usage_fault(option, kind->words, of == ExportKind::model ? "only with FILE.glb" : "only with FILE.csv");
  if (auto fault = read_word("--of", typed.of, {"cycle", "phase", "lobe"}, "cycle, phase or lobe")) return fault;
  curves.of = typed.of == "phase" ? CurvesOf::phase : typed.of == "lobe" ? CurvesOf::lobe : CurvesOf::cycle;
  return read_in_range("--step", typed.step, 0.01, 20.0, "degrees", curves.step_deg);
}

std::optional<Problem> read_key_options(const Typed& typed, KeyOptions& key) {
  if (auto fault = read_word("--at", typed.key_at, {"crank", "cam"}, "crank or cam")) return fault;
  if (!typed.key_at.empty()) key.at = typed.key_at == "crank" ? KeyAt::crank : KeyAt::cam;
  if (!key.camshaft.empty()) {
    if (key.at == KeyAt::crank) return usage_fault("--camshaft", "--at crank beside it", "--at cam");
    key.at = KeyAt::cam;
  }
  if (auto fault = read_in_range("--deg", typed.key_deg, -90.0, 90.0, "degrees of its shaft", key.deg)) return fault;
  if (auto fault = read_in_range("--step", typed.key_step, -200.0, 200.0, "mm", key.step_mm)) return fault;
  if (key.deg && key.step_mm) return usage_fault("--deg", "--step beside it", "one of the two");
  return std::nullopt;
}

std::optional<Problem> read_wheel_options(const Typed& typed, PrintOptions& print) {
  if (auto fault = read_in_range("--diameter", typed.diameter, 80.0, 500.0, "mm", print.diameter_mm)) return fault;
  if (auto fault = read_in_range("--bore", typed.bore, 2.0, 500.0, "mm", print.bore_mm)) return fault;
  if (auto fault =
          read_word("--reads", typed.reads, {"clockwise", "anticlockwise", "both"}, "clockwise, anticlockwise or both"))
    return fault;
  if (!typed.reads.empty())
    print.reads = typed.reads == "both"        ? WheelReads::both
                  : typed.reads == "clockwise" ? WheelReads::clockwise
                                               : WheelReads::anticlockwise;
  if (auto fault = read_word("--as", typed.as, {"fitted", "reference"}, "fitted or reference")) return fault;
  if (!typed.as.empty() && !typed.plan.empty()) return usage_fault("--plan", "--as beside it", "one of the two");
  for (const auto& [option, said] : {std::pair("--as", &typed.as), std::pair("--plan", &typed.plan)})
    if (!said->empty() && !print.events) return usage_fault(option, "no --events beside it", "both");
  print.reference = typed.as != "fitted" && typed.plan.empty();
  return std::nullopt;
}

std::optional<Problem> read_print_options(const Command& command, const Typed& typed, PrintOptions& print) {
  const bool sheet = takes(command, Takes::sheet);
  const char* file = sheet ? "sheet.pdf" : takes(command, Takes::wheel) ? "wheel.pdf" : "keycard.pdf";
  if (print.output.empty()) return usage_fault("-o", "", "", fmt::format("say where it goes: -o {}", file));
  const auto ends_in = [&print](const char* ending) {
    return print.output.size() > std::string_view(ending).size() && print.output.ends_with(ending) &&
           !print.output.ends_with(fmt::format("/{}", ending));
  };
  if (!ends_in(".pdf") && !ends_in(".svg") && !ends_in(".png") && !(sheet && ends_in(".html")))
    return usage_fault("-o", print.output,
                       sheet ? "a file name that ends in .pdf, .svg, .png or .html"
                             : "a file name that ends in .pdf, .svg or .png");
  if (ends_in(".html") && !typed.paper.empty())
    return usage_fault("--paper", "a web page", "only what is printed has one");
  if (auto fault = read_word("--paper", typed.paper, {"a4", "letter"}, "a4 or letter")) return fault;
  print.letter = typed.paper == "letter";
  if (auto fault = read_word("--dpi", typed.dpi, {"300", "150"}, "300 or 150")) return fault;
  if (!typed.dpi.empty() && !ends_in(".png")) return usage_fault("--dpi", typed.dpi, "a .png beside it");
  if (typed.dpi == "150") print.dpi = 150;
  if (auto fault = read_plan_number(typed.plan, print.plan)) return fault;
  if (auto fault = read_word("--units", typed.units, {"mm", "thou"}, "mm or thou")) return fault;
  print.thou = typed.units == "thou";
  if (print.record && print.plan) return usage_fault("--record", "--plan beside it", "one of the two");
  return takes(command, Takes::wheel) ? read_wheel_options(typed, print) : std::nullopt;
}

std::optional<Problem> read_save_options(const Command& command, const Typed& typed, SaveOptions& save) {
  constexpr std::size_t most_note = 200;
  if (!save.date.empty() && !is_date(save.date)) return usage_fault("--date", save.date, "a day as YYYY-MM-DD");
  if (save.note.size() > most_note || save.note.find('\n') != std::string::npos)
    return usage_fault("--note", save.note, fmt::format("one line of up to {} characters", most_note));
  if (!takes(command, Takes::fit)) return std::nullopt;
  if (typed.option.empty()) return usage_fault("--option", "", "", "say which option of the plan: --option 1");
  constexpr int most_options = 100000;
  return read_in_range("--option", typed.option, 1, most_options, "of the plan", save.option);
}

std::optional<Problem> read_lesson_options(const Options& options) {
  const LessonOptions& lesson = options.lesson;
  if (!lesson.learner.empty() && !is_learner_name(lesson.learner))
    return usage_fault("--learner", lesson.learner, "a name of up to 80 bytes of UTF-8 text on one line");
  if (lesson.answers && lesson.check) return usage_fault("--answers", "--check beside it", "one of the two");
  for (const auto& [option, said] : {std::pair("--answers", lesson.answers), std::pair("--check", lesson.check)}) {
    if (said && lesson.quantities)
      return usage_fault("--quantities", std::string(option) + " beside it", "one of the two");
    if (said && options.file.empty()) return usage_fault(option, "no lesson beside it", "a lesson's name or file");
  }
  if (lesson.quantities && !options.file.empty())
    return usage_fault("--quantities", "a lesson beside it", "one of the two");
  if (!lesson.learner.empty() && !options.file.empty())
    return usage_fault("--learner", "a lesson beside it", "the list of all lessons, with no FILE");
  return std::nullopt;
}

std::optional<Problem> read_drill_options(const Typed& typed, const SaveOptions& save, DrillOptions& drill) {
  int seed = static_cast<int>(drill.seed);
  if (auto fault = read_in_range("--seed", typed.first_seed, 0, most_drill_number, "", seed)) return fault;
  drill.seed = static_cast<std::uint64_t>(seed);
  if (auto fault = read_in_range("--level", typed.level, 1, most_drill_level, "", drill.level)) return fault;
  static_assert(most_drill_number <= std::numeric_limits<int>::max() - most_drills);
  if (auto fault = read_in_range("--count", typed.drills, 1, most_drills, "drills", drill.count)) return fault;
  if (!save.output.empty() && drill.count > 1) return usage_fault("-o", "--count beside it", "one drill at a time");
  return std::nullopt;
}

} // namespace

std::optional<Problem> read_typed(const Command& command, const Typed& typed, Options& options) {
  if (auto fault =
          read_in_range("--crank", typed.crank, -most_crank_deg, most_crank_deg, "crank degrees", options.crank_deg))
    return fault;
  if (auto fault = read_word("--turned", typed.turned, {"forward", "backward"}, "forward or backward")) return fault;
  if (typed.turned == "backward") options.turning = Turning::backward;
  if (auto fault = read_phase_options(typed, options.spread)) return fault;
  if (auto fault = read_chain_options(typed, options.chain)) return fault;
  if (auto fault = read_events_options(typed, options.events)) return fault;
  if (takes(command, Takes::lesson)) return read_lesson_options(options);
  if (takes(command, Takes::curves))
    if (auto fault = read_export_options(typed, options.curves)) return fault;
  if (auto fault = read_key_options(typed, options.key)) return fault;
  if (takes(command, Takes::wheel) || takes(command, Takes::key_card)) {
    // Without a plan there is nothing that it could be about.
    if (!typed.lay.empty() && typed.plan.empty()) return usage_fault("--lay", "no --plan beside it", "both");
    if (auto fault = read_lay_option(typed, options.lay_reach)) return fault;
  }
  if (takes(command, Takes::sheet)) {
    if (!typed.lay.empty() && options.print.record) return usage_fault("--lay", "--record beside it", "one of the two");
    if (auto fault = read_lay_option(typed, options.lay_reach)) return fault;
  }
  if (takes(command, Takes::wheel) || takes(command, Takes::key_card) || takes(command, Takes::sheet))
    return read_print_options(command, typed, options.print);
  if (auto fault = read_save_options(command, typed, options.save)) return fault;
  if (auto fault = read_drill_options(typed, options.save, options.drill)) return fault;
  if (std::optional<Problem> fault = read_plan_options(typed, options)) return fault;
  if (std::optional<Problem> fault = read_draw_options(typed, takes(command, Takes::window), options.draw))
    return fault;
  if (takes(command, Takes::film)) return read_film_options(typed, options.draw, options.film);
  if (!takes(command, Takes::picture)) return std::nullopt;
  const std::string& output = options.draw.output;
  if (output.empty()) return usage_fault("-o", "", "", "say where the picture goes: -o drive.png");
  if (output.size() < 5 || !output.ends_with(".png")) return usage_fault("-o", output, "a file name that ends in .png");
  return std::nullopt;
}

} // namespace phasewright::cli
