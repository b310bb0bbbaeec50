#include "cli/options_typed.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace phasewright::cli {

namespace {

// One value each; said again, the last one counts.
CLI::Option* add_value(CLI::App& app, const std::string& name, std::string& into, const char* value,
                       const std::string& words) {
  return app.add_option(name, into, words)->type_name(value)->take_last();
}

void add_as_option(CLI::App& app, Typed& typed) {
  add_value(app, "--as", typed.as, "STATE", "draw what is \"fitted\" (default), or the maker's \"reference\" assembly");
}

void add_subject_options(CLI::App& app, Typed& typed) {
  add_value(app, "--plan", typed.plan, "K", "option K of the plan, with what is fitted as a ghost beside it");
  add_value(app, "--from", typed.from, "VIEW", "end, side, key, valve or whole");
}

void add_apart_options(CLI::App& app, DrawOptions& draw, Typed& typed) {
  add_value(app, "--apart", typed.apart, "SHARE", "draw the drive apart, in the order of assembly; 0 to 1");
  app.add_flag("--section", draw.section, "with --from key, cut through the keyway");
}

void add_label_options(CLI::App& app, DrawOptions& draw, Typed& typed) {
  app.add_flag("--labels", draw.labels, "write the figures into the picture, and what it exaggerates");
  add_value(app, "--cylinder", typed.drawn_cylinder, "N", "whose valves and piston are drawn; default 1");
}

void add_film_options(CLI::App& app, Options& options, Typed& typed) {
  add_value(app, "-o,--output", options.draw.output, "FILE",
            "where the film goes: .mp4 (by the program ffmpeg), .gif, or .png for a file of each frame");
  add_value(
      app, "--of", typed.of, "WHAT",
      "turn (default): the crank turning from --crank on; lay: the chain laid a tooth further, or with --plan that "
      "option put in, the crank still; apart: taken apart, part after part, and put together again, from the "
      "side unless --from says otherwise");
  add_value(app, "--frames", typed.frames, "N", "frames in all; 2 to 2000, default 240");
  add_value(app, "--fps", typed.fps, "N", "frames a second; 5 to 60, default 30");
  add_value(app, "--turns", typed.turns, "T", "with --of turn, turns of the crank; default 2, one cycle");
  add_as_option(app, typed);
  add_subject_options(app, typed);
  add_label_options(app, options.draw, typed);
  add_value(app, "--magnify", typed.magnify, "TIMES",
            "with --labels, draw the keys' step so many times as large; 1 to 10");
  add_apart_options(app, options.draw, typed);
  add_value(app, "--scale", typed.scale, "TIMES", "size of the text; 1 to 3");
  add_value(app, "--size", typed.size, "WxH", "pixels; default 1280x800, of an MP4 even numbers");
  add_value(app, "--theme", typed.theme, "THEME", "day (default) or night");
  app.add_flag("--progress", options.film.progress, "say on standard error how far it is, also without a terminal");
}

void add_draw_options(CLI::App& app, const Command& command, DrawOptions& draw, Typed& typed) {
  const bool picture = takes(command, Takes::picture);
  if (picture) {
    add_value(app, "-o,--output", draw.output, "FILE.png", "where the picture goes");
    add_as_option(app, typed);
    app.add_flag("--window", draw.window, "draw the whole viewer");
  }
  add_subject_options(app, typed);
  if (picture) add_label_options(app, draw, typed);
  add_value(app, "--page", typed.page, "PAGE",
            fmt::format("{}the panel that is open{}: {}; default correction", picture ? "with --window, " : "",
                        picture ? "" : " at first", fmt::join(page_names, ", ")));
  add_value(app, "--magnify", typed.magnify, "TIMES",
            "draw the keys' step (on the pages alignment and endfloat, gaps) so many times as large; 1 to 10");
  add_apart_options(app, draw, typed);
  const char* kept = picture ? "" : ", or as it was left";
  add_value(app, "--size", typed.size, "WxH", fmt::format("pixels; default 1280x800{}", kept));
  add_value(app, "--theme", typed.theme, "THEME", fmt::format("day (default{}) or night", kept));
  add_value(app, "--scale", typed.scale, "TIMES",
            fmt::format("size of the {}text; 1 to 3{}", picture ? "" : "viewer's ", kept));
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

void add_export_options(CLI::App& app, ExportOptions& curves, Typed& typed) {
  add_value(app, "-o,--output", curves.output, "FILE",
            "FILE.glb, a model, FILE.csv, curves, or FILE.json, all answers");
  add_value(app, "--as", typed.as, "STATE", "a model of what is \"fitted\" (default), or \"reference\", the maker's");
  add_value(app, "--plan", typed.plan, "K", "a model of option K of the plan");
  app.add_flag("--nuts", curves.nuts, "in a model, shaft nuts with their lock tabs too, which hide the keys");
  add_value(app, "--of", typed.of, "WHAT", "curves of the cycle (default), phase or lobe");
  add_value(app, "--step", typed.step, "DEG", "of curves, from row to row, 0.01 to 20 degrees; default 1");
}

void add_key_options(CLI::App& app, KeyOptions& key, Typed& typed) {
  add_value(app, "--at", typed.key_at, "SHAFT", "crank or cam; without it, both");
  add_value(app, "--camshaft", key.camshaft, "NAME", "which camshaft, where there are several");
  add_value(app, "--deg", typed.key_deg, "D", "step of a key of so many degrees of its shaft, + = cam advanced");
  add_value(app, "--step", typed.key_step, "MM", "the other way round: degrees of a key with that step");
}

void add_paper_options(CLI::App& app, Typed& typed) {
  add_value(app, "--paper", typed.paper, "SIZE", "a4 (default) or letter");
  add_value(app, "--dpi", typed.dpi, "N", "of a PNG, 300 (default) or 150");
}

void add_print_options(CLI::App& app, const Command& command, PrintOptions& print, KeyOptions& key, Typed& typed) {
  const bool wheel = takes(command, Takes::wheel);
  add_value(app, "-o,--output", print.output, "FILE", "where it goes: a .pdf, or .svg or .png, a file for each page");
  if (wheel) {
    add_value(app, "--diameter", typed.diameter, "MM",
              "of the wheel, 80 to 500; default 200. Larger than the page: tiles");
    add_value(app, "--bore", typed.bore, "MM", "its hole; without it only the centre is marked");
    add_value(app, "--reads", typed.reads, "WAY",
              "for a crank that turns clockwise or anticlockwise, seen from the timing end, or both; default as the "
              "engine's does");
    app.add_flag("--events", print.events, "mark the valve events and lobe centres of No. 1 on it");
    add_value(app, "--as", typed.as, "STATE", "of the maker's \"reference\" assembly (default), or as \"fitted\"");
  } else {
    add_value(app, "--at", typed.key_at, "SHAFT", "crank or cam; without it, both");
    add_value(app, "--camshaft", key.camshaft, "NAME", "which camshaft, where there are several");
  }
  add_value(app, "--plan", typed.plan, "K",
            wheel ? "the events as option K of the plan has them"
                  : "the keys of option K of the plan; without it, as fitted");
  add_paper_options(app, typed);
}

void add_sheet_options(CLI::App& app, PrintOptions& print, Typed& typed) {
  add_value(app, "-o,--output", print.output, "FILE",
            "where it goes: a .pdf, .svg or .png, a file for each page, or .html");
  add_value(app, "--plan", typed.plan, "K", "with option K of the plan; default 1, its best");
  app.add_flag("--record", print.record, "what is fitted; nothing is to be changed");
  add_value(app, "--units", typed.units, "UNIT", "of lengths: mm (default) or thou");
  add_paper_options(app, typed);
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

void add_lesson_options(CLI::App& app, Options& options) {
  app.add_option("FILE", options.file, "a lesson's name or file; without it, all lessons")->type_name("");
  add_value(app, "--learner", options.lesson.learner, "NAME", "say what that learner has done");
  app.add_flag("--answers", options.lesson.answers, "the sheet with its answers");
  app.add_flag("--check", options.lesson.check, "try the lesson: every step must be reached, and by nothing wrong");
  app.add_flag("--quantities", options.lesson.quantities, "what a lesson's conditions may be about");
}

void add_drill_options(CLI::App& app, DrillOptions& drill, SaveOptions& save, Typed& typed) {
  add_value(app, "--seed", typed.first_seed, "N", "which drill; default 1");
  add_value(app, "--level", typed.level, "L", "1, one big fault of chain or key, to 4, two faults at once; default 1");
  add_value(app, "--count", typed.drills, "N", "so many drills, of successive seeds, a page each; to 100, default 1");
  app.add_flag("--readings", drill.readings, "with the readings a careful apprentice takes");
  app.add_flag("--answers", drill.answers, "the answer sheet: what is wrong, what can be told, the cure, the debrief");
  add_value(app, "-o,--output", save.output, "FILE.build.toml",
            "the build to work on, for other commands and the viewer; with --readings, these in it");
}

} // namespace

void add_options(CLI::App& app, const Command& command, Options& options, Typed& typed) {
  if (takes(command, Takes::lesson)) {
    add_lesson_options(app, options);
  } else {
    app.add_option("FILE", options.file, "an engine or a build; without it, the demo build")->type_name("");
    app.add_option("--set", options.overrides, "override a key of the file for this run; may be repeated")
        ->type_name("KEY=VALUE")
        ->allow_extra_args(false);
  }
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
  if (takes(command, Takes::curves)) add_export_options(app, options.curves, typed);
  if (takes(command, Takes::sheet)) add_sheet_options(app, options.print, typed);
  if (takes(command, Takes::key)) add_key_options(app, options.key, typed);
  if (takes(command, Takes::against))
    add_value(app, "--against", options.against, "SET", "compare with an earlier set: last, its number or its date");
  if (takes(command, Takes::keep) || takes(command, Takes::fit)) add_save_options(app, command, options.save, typed);
  if (takes(command, Takes::drill)) add_drill_options(app, options.drill, options.save, typed);
  const bool prints_option = takes(command, Takes::wheel) || takes(command, Takes::key_card);
  if (takes(command, Takes::plan) || takes(command, Takes::fit) || prints_option || takes(command, Takes::sheet))
    add_value(app, "--lay", typed.lay, "TEETH",
              fmt::format("{}how far from the marks the chain may be laid; 0 to 10, default 1",
                          prints_option || takes(command, Takes::sheet) ? "as plan counts its options: " : ""));
  if (takes(command, Takes::plan)) {
    add_value(app, "--top", typed.top, "ROWS", "how many options the page shows; default 8 (JSON has them all)");
  }
  if (prints_option) add_print_options(app, command, options.print, options.key, typed);
  if (takes(command, Takes::film)) add_film_options(app, options, typed);
  if (takes(command, Takes::picture) || takes(command, Takes::window))
    add_draw_options(app, command, options.draw, typed);
}

} // namespace phasewright::cli
