#include "cli/options.hpp"

#include "cli/commands.hpp"
#include "cli/numbers.hpp"
#include "cli/words.hpp"
#include "files/key_path.hpp"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <type_traits>
#include <utility>

namespace phasewright::cli {

namespace {

constexpr int least_px = 16;
constexpr int most_px = 8192; // what every OpenGL 3.3 renderer in use can draw
constexpr int least_window_width_px = 640;
constexpr int least_window_height_px = 480;

// Options as they were typed; read into Options once CLI11 has sorted them.
struct Typed {
  std::string crank, turned, lay, top, size, theme, plan, as, from, page, magnify, scale, frames;
  std::string loop, band, count, links, centre_change, block_growth, chain_growth, rise; // of the chain
  std::string cylinder, at, altitude, exponent;                                          // of the events
  std::vector<std::string> lifts;
  std::string of, step; // of the curves
  std::string key_at, key_deg, key_step;
  bool spread = false; // of the phase
  std::string builds, seed, threads;
  std::string option; // of the plan, to be fitted
};

Problem usage_fault(std::string option, std::string found, std::string allowed, std::string advice = {}) {
  return {.file = {},
          .line = 0,
          .column = 0,
          .key = std::move(option),
          .found = std::move(found),
          .allowed = std::move(allowed),
          .advice = std::move(advice)};
}

bool takes(const Command& command, Takes what) {
  return std::ranges::find(command.takes, what) != command.takes.end();
}

// One value each; said again, the last one counts.
CLI::Option* add_value(CLI::App& app, const std::string& name, std::string& into, const char* value,
                       const char* words) {
  return app.add_option(name, into, words)->type_name(value)->take_last();
}

void add_draw_options(CLI::App& app, const Command& command, DrawOptions& draw, Typed& typed) {
  const bool picture = takes(command, Takes::picture);
  if (picture) {
    add_value(app, "-o,--output", draw.output, "FILE.png", "where the picture goes");
    add_value(app, "--as", typed.as, "STATE",
              "draw what is \"fitted\" (default), or the maker's \"reference\" assembly");
    app.add_flag("--window", draw.window, "draw the whole viewer");
  }
  add_value(app, "--plan", typed.plan, "K", "option K of the plan, with what is fitted as a ghost beside it");
  add_value(app, "--from", typed.from, "VIEW", "end, side, key, valve or whole");
  add_value(app, "--page", typed.page, "PAGE",
            picture ? "with --window, the panel that is open: parts, key, spread, alignment, endfloat, timing, "
                      "events, lobes, compression, degree, found, explain, earlier, correction (default), clearance, "
                      "phase or readings"
                    : "the panel that is open at first: parts, key, spread, alignment, endfloat, timing, events, "
                      "lobes, compression, degree, found, explain, earlier, correction (default), clearance, phase "
                      "or readings");
  add_value(app, "--magnify", typed.magnify, "TIMES", "draw the keys' step so many times as large; 1 to 10");
  add_value(app, "--size", typed.size, "WxH", "pixels; default 1280x800");
  add_value(app, "--theme", typed.theme, "THEME", "day (default) or night");
  add_value(app, "--scale", typed.scale, "TIMES", "size of the viewer's text; 1 to 3");
  if (picture) return;
  add_value(app, "--frames", typed.frames, "N", "turn N frames, print how long they took, and end");
  app.add_flag("--announce", draw.announce, "print each change, for a program that works the window");
}

void add_phase_options(CLI::App& app, Typed& typed) {
  app.add_flag("--spread", typed.spread, "what phase to expect before fitting, over the parts' tolerances");
  add_value(app, "--builds", typed.builds, "N", "with --spread, builds to draw; 1000 to 100000000, default 1000000");
  add_value(app, "--seed", typed.seed, "S", "with --spread, another set of them; default 1");
  add_value(app, "--threads", typed.threads, "N", "with --spread; the answer is the same; default as the machine has");
}

void add_chain_options(CLI::App& app, ChainOptions& chain, Typed& typed) {
  add_value(app, "--loop", typed.loop, "N", "which chain, the crank's being 1; default 1");
  add_value(app, "--band", typed.band, "DEG", "say when wear takes a camshaft out of this, crank degrees; default 2");
  add_value(app, "--count", typed.count, "PINS", "pins counted along the taut side, mark to mark: says the lay");
  add_value(app, "--camshaft", chain.camshaft, "NAME", "the camshaft whose mark they were counted from");
  add_value(app, "--links", typed.links, "N", "centres for so many links");
  add_value(app, "--centre-change", typed.centre_change, "MM", "what boring or facing by so much does, + = apart");
  add_value(app, "--block-growth", typed.block_growth, "PER_K", "linear expansion of the block, per kelvin ...");
  add_value(app, "--chain-growth", typed.chain_growth, "PER_K", "... of the chain ...");
  add_value(app, "--rise", typed.rise, "K", "... and how much warmer both are than the drawing's temperature");
}

void add_events_options(CLI::App& app, Typed& typed) {
  add_value(app, "--cylinder", typed.cylinder, "N", "which cylinder, or \"all\"; default 1");
  app.add_option("--lift", typed.lifts, "the events at this lift too, mm; may be repeated")
      ->type_name("MM")
      ->allow_extra_args(false);
  add_value(app, "--at", typed.at, "WHERE", "take those lifts at the tappet or the valve; default as the check lift");
  add_value(app, "--altitude", typed.altitude, "M", "of the cranking estimate, metres over the sea; default 0");
  add_value(app, "--exponent", typed.exponent, "N", "of its compression, 1 to 1.4; default 1.3");
}

void add_curve_options(CLI::App& app, ExportOptions& curves, Typed& typed) {
  add_value(app, "-o,--output", curves.output, "FILE.csv", "where the curves go");
  add_value(app, "--of", typed.of, "WHAT", "cycle (default), phase or lobe");
  add_value(app, "--step", typed.step, "DEG", "from row to row, 0.01 to 20 degrees; default 1");
}

void add_key_options(CLI::App& app, KeyOptions& key, Typed& typed) {
  add_value(app, "--at", typed.key_at, "SHAFT", "crank or cam; without it, both");
  add_value(app, "--camshaft", key.camshaft, "NAME", "which camshaft, where there are several");
  add_value(app, "--deg", typed.key_deg, "D", "step of a key of so many degrees of its shaft, + = cam advanced");
  add_value(app, "--step", typed.key_step, "MM", "the other way round: degrees of a key with that step");
}

void add_save_options(CLI::App& app, const Command& command, SaveOptions& save, Typed& typed) {
  add_value(app, "-o,--output", save.output, "FILE", "a new build file; without it the one that was opened is changed");
  if (takes(command, Takes::fit)) {
    add_value(app, "--option", typed.option, "K", "option K of the plan, as plan counts them");
    return;
  }
  add_value(app, "--date", save.date, "DAY", "when they were read, as 2026-05-14, where the readings do not say");
  add_value(app, "--note", save.note, "TEXT", "a line about them");
}

void add_options(CLI::App& app, const Command& command, Options& options, Typed& typed) {
  app.add_option("FILE", options.file, "an engine or a build; without it, the demo build")->type_name("");
  app.add_option("--set", options.overrides, "override a key of the file for this run; may be repeated")
      ->type_name("KEY=VALUE")
      ->allow_extra_args(false);
  if (!takes(command, Takes::window)) app.add_flag("--json", options.json, "one JSON object, numbers in full");
  if (takes(command, Takes::crank))
    add_value(app, "--crank", typed.crank, "DEG", "crank angle in degrees, up to a million either way; default 0");
  if (takes(command, Takes::turned))
    add_value(app, "--turned", typed.turned, "WAY",
              "which way the crank was last turned: forward (default) or backward");
  if (takes(command, Takes::phase)) add_phase_options(app, typed);
  if (takes(command, Takes::chain)) add_chain_options(app, options.chain, typed);
  if (takes(command, Takes::events)) add_events_options(app, typed);
  if (takes(command, Takes::clearance))
    app.add_flag("--curve", options.phase_curve, "the least clearances against phase as well");
  if (takes(command, Takes::curves)) add_curve_options(app, options.curves, typed);
  if (takes(command, Takes::key)) add_key_options(app, options.key, typed);
  if (takes(command, Takes::against))
    add_value(app, "--against", options.against, "SET", "compare with an earlier set: last, its number or its date");
  if (takes(command, Takes::keep) || takes(command, Takes::fit)) add_save_options(app, command, options.save, typed);
  if (takes(command, Takes::plan) || takes(command, Takes::fit))
    add_value(app, "--lay", typed.lay, "TEETH", "how far from the marks the chain may be laid; 0 to 10, default 1");
  if (takes(command, Takes::plan)) {
    add_value(app, "--top", typed.top, "ROWS", "how many options the page shows; default 8 (JSON has them all)");
  }
  if (takes(command, Takes::picture) || takes(command, Takes::window))
    add_draw_options(app, command, options.draw, typed);
}

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

std::optional<Problem> read_plan_options(const Typed& typed, Options& options) {
  if (auto fault = read_in_range("--lay", typed.lay, 0, 10, "teeth", options.lay_reach)) return fault;
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

std::optional<Problem> read_draw_options(const Typed& typed, bool is_window, DrawOptions& draw) {
  if (auto fault = read_size_option(typed.size, draw, is_window || draw.window)) return fault;
  if (auto fault = read_word("--theme", typed.theme, {"day", "night"}, "day or night")) return fault;
  if (auto fault = read_word("--as", typed.as, {"fitted", "reference"}, "fitted or reference")) return fault;
  if (auto fault =
          read_word("--from", typed.from, {"end", "side", "key", "valve", "whole"}, "end, side, key, valve or whole"))
    return fault;
  if (auto fault =
          read_word("--page", typed.page,
                    {"parts", "key", "spread", "alignment", "endfloat", "timing", "events", "lobes", "compression",
                     "degree", "found", "explain", "earlier", "correction", "clearance", "phase", "readings"},
                    "parts, timing, events, lobes, compression, correction, clearance, phase or readings"))
    return fault;
  if (!typed.page.empty() && !is_window && !draw.window) return usage_fault("--page", typed.page, "--window beside it");
  if (auto fault = read_times("--magnify", typed.magnify, 10.0, draw.magnify)) return fault;
  if (auto fault = read_times("--scale", typed.scale, 3.0, draw.scale)) return fault;
  // Only the viewer writes into its picture how far it exaggerates, and a picture must not leave that out.
  if (draw.magnify > 1.0 && !is_window && !draw.window)
    return usage_fault("--magnify", typed.magnify, "1 without --window");
  draw.night = typed.theme == "night";
  draw.reference = typed.as == "reference";
  draw.from = typed.from;
  draw.page = typed.page;
  if (!typed.plan.empty()) {
    draw.plan = read_whole_number(typed.plan);
    if (!draw.plan || *draw.plan < 1)
      return usage_fault("--plan", typed.plan, "the number of a plan's option: 1 or more");
    if (!typed.as.empty()) return usage_fault("--plan", "--as beside it", "one of the two");
  }
  if (draw.window && !typed.as.empty()) return usage_fault("--window", "--as beside it", "one of the two");
  if (!typed.frames.empty()) {
    const std::optional<int> frames = read_whole_number(typed.frames);
    if (!frames || *frames < 1 || *frames > 100000) return usage_fault("--frames", typed.frames, "1 to 100000 frames");
    draw.frames = *frames;
  }
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

std::optional<Problem> read_curve_options(const Typed& typed, ExportOptions& curves) {
  if (curves.output.empty()) return usage_fault("-o", "", "", "say where the curves go: -o cycle.csv");
  if (curves.output.size() < 5 || !curves.output.ends_with(".csv"))
    return usage_fault("-o", curves.output, "a file name that ends in .csv");
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

std::optional<Problem> read_typed(const Command& command, const Typed& typed, Options& options) {
  if (auto fault =
          read_in_range("--crank", typed.crank, -most_crank_deg, most_crank_deg, "crank degrees", options.crank_deg))
    return fault;
  if (auto fault = read_word("--turned", typed.turned, {"forward", "backward"}, "forward or backward")) return fault;
  if (typed.turned == "backward") options.turning = Turning::backward;
  if (auto fault = read_phase_options(typed, options.spread)) return fault;
  if (auto fault = read_chain_options(typed, options.chain)) return fault;
  if (auto fault = read_events_options(typed, options.events)) return fault;
  if (takes(command, Takes::curves))
    if (auto fault = read_curve_options(typed, options.curves)) return fault;
  if (auto fault = read_key_options(typed, options.key)) return fault;
  if (auto fault = read_save_options(command, typed, options.save)) return fault;
  if (std::optional<Problem> fault = read_plan_options(typed, options)) return fault;
  if (std::optional<Problem> fault = read_draw_options(typed, takes(command, Takes::window), options.draw))
    return fault;
  if (!takes(command, Takes::picture)) return std::nullopt;
  const std::string& output = options.draw.output;
  if (output.empty()) return usage_fault("-o", "", "", "say where the picture goes: -o drive.png");
  if (output.size() < 5 || !output.ends_with(".png")) return usage_fault("-o", output, "a file name that ends in .png");
  return std::nullopt;
}

// Words left over after CLI11 took what it knows.
std::optional<Problem> leftover_fault(const CLI::App& app) {
  std::vector<std::string> rest = app.remaining();
  std::erase(rest, "--"); // what follows it has been taken for a FILE
  if (rest.empty()) return std::nullopt;
  const std::string& word = rest.front();
  if (word.size() < 2 || word.front() != '-')
    return usage_fault({}, {}, {}, fmt::format("one FILE at a time: \"{}\" is a second", word));
  std::vector<std::string> known;
  for (const CLI::Option* option : app.get_options())
    for (const std::string& name : option->get_lnames()) known.push_back("--" + name);
  const std::string name = word.substr(0, word.find('='));
  const std::string near = nearest_word(name, known);
  return usage_fault({}, {}, {},
                     fmt::format("no such option: {}{}", name, near.empty() ? "" : "; did you mean " + near + "?"));
}

std::string help_text(CLI::App& app, const Command& command) {
  app.description(wrapped(fmt::format("{}: {}\n\n{}", command.name, command.summary, command.detail)));
  app.footer(fmt::format("Example:\n  {}", command.example));
  return app.help();
}

} // namespace

Parsed parse_options(const Command& command, const std::vector<std::string>& arguments) {
  // A script's unset variable: it must not stand for the demo or for a default.
  if (std::ranges::find(arguments, "") != arguments.end())
    return {.options = {}, .help = {}, .fault = usage_fault({}, {}, {}, "an empty word stands among the options")};
  Options options;
  Typed typed;
  CLI::App app("", fmt::format("phasewright {}", command.name));
  app.set_help_flag("-h,--help", "this text");
  app.allow_extras();
  add_options(app, command, options, typed);
  std::vector<std::string> reversed(arguments.rbegin(), arguments.rend()); // as CLI11 wants them
  try {
    app.parse(reversed);
  } catch (const CLI::CallForHelp&) {
    return {.options = {}, .help = help_text(app, command), .fault = {}};
  } catch (const CLI::ParseError& error) {
    std::string words = error.what();
    std::ranges::replace(words, '\n', ' ');
    return {.options = {}, .help = {}, .fault = usage_fault({}, {}, {}, words)};
  }
  if (std::optional<Problem> fault = leftover_fault(app)) return {.options = {}, .help = {}, .fault = std::move(fault)};
  if (std::optional<Problem> fault = read_typed(command, typed, options))
    return {.options = {}, .help = {}, .fault = std::move(fault)};
  return {.options = std::move(options), .help = {}, .fault = {}};
}

} // namespace phasewright::cli
