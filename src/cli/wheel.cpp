// A degree wheel to be printed.
#include "cli/commands.hpp"
#include "cli/printed.hpp"
#include "cli/shown.hpp"
#include "cli/words.hpp"
#include "geometry/angle.hpp"
#include "mechanics/events.hpp"
#include "paper/check_line.hpp"
#include "paper/degree_wheel.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::cli {

namespace {

using paper::WheelEvent;
using paper::WheelSpec;

// How many camshafts work that kind of valve.
int count_of(const Engine& engine, ValveKind kind) {
  return static_cast<int>(std::ranges::count_if(engine.camshafts, [kind](const Camshaft& camshaft) {
    return (kind == ValveKind::inlet ? camshaft.inlet : camshaft.exhaust).has_value();
  }));
}

void add_events(const KindEvents& events, const std::string& camshaft, int number, std::vector<WheelEvent>& all) {
  const bool inlet = events.kind == ValveKind::inlet;
  const EventKind opens = inlet ? EventKind::inlet_opens : EventKind::exhaust_opens;
  const EventKind closes = inlet ? EventKind::inlet_closes : EventKind::exhaust_closes;
  const std::string named = number == 0 ? std::string() : camshaft;
  const auto add = [&](const char* what, double crank_deg, std::string words) {
    all.push_back({events.kind, named, number, what, crank_deg, std::move(words)});
  };
  add("opens", events.at_check.opens_deg, event_words(opens, events.at_check.opens_deg));
  add("closes", events.at_check.closes_deg, event_words(closes, events.at_check.closes_deg));
  add("centre", events.centre_crank_deg, fmt::format("{}° {}", fixed(events.centre_deg, 1), inlet ? "ATDC" : "BTDC"));
}

std::vector<WheelEvent> events_of(const Engine& engine, const Events& events) {
  std::vector<WheelEvent> all;
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    int number = count_of(engine, kind) > 1 ? 1 : 0;
    for (const CamshaftEvents& camshaft : events.camshafts)
      if (const auto& of = kind == ValveKind::inlet ? camshaft.inlet : camshaft.exhaust) {
        add_events(*of, camshaft.name, number, all);
        if (number > 0) ++number;
      }
  }
  return all;
}

// Once where all camshafts have the same.
std::string check_lift_words(const Engine& engine) {
  std::string words = event_lift_words(engine.camshafts.front());
  const bool alike = std::ranges::all_of(
      engine.camshafts, [&words](const Camshaft& camshaft) { return event_lift_words(camshaft) == words; });
  if (alike) return words;
  words.clear();
  for (const Camshaft& camshaft : engine.camshafts)
    words += fmt::format("{}{} (\"{}\")", words.empty() ? "" : ", ", event_lift_words(camshaft), camshaft.name);
  return words;
}

// The state whose events are to stand on it.
Result<States> asked_events(const Context& context, const WheelSpec& spec) {
  const Engine& engine = *context.opened.engine;
  if (spec.crank != engine.rotation)
    return problem_at("--reads", to_word(spec.crank),
                      fmt::format("{} or both with --events, as the engine runs", to_word(engine.rotation)));
  return states_of(context, asked_of(context.options.print));
}

std::optional<Problem> add_events(const Engine& engine, const States& states, const std::vector<std::string>& notes,
                                  WheelSpec& spec) {
  const Result<Events> events = valve_events(states.shown);
  if (!events) return events.problems().front();
  spec.events = events_of(engine, *events);
  spec.events_of = states.words;
  spec.check_lift = check_lift_words(engine);
  spec.warning = printed_warning(states.verdict);
  for (const std::string& note : with_doubt(notes, states.verdict)) spec.cautions.push_back(note);
  return std::nullopt;
}

std::optional<Problem> judge_bore(const WheelSpec& spec) {
  const double most_mm = std::floor(10.0 * paper::greatest_bore_mm(spec)) / 10.0;
  const char* with = spec.events.empty() ? "" : " with its events";
  if (most_mm < paper::least_bore_mm && !spec.events.empty())
    return problem_at("--diameter", fmt::format("{}", spec.diameter_mm), "",
                      "a wheel so small has no room for the words of its events; make it larger or leave --events out");
  if (spec.bore_mm && *spec.bore_mm > most_mm)
    return problem_at(
        "--bore", fmt::format("{}", *spec.bore_mm),
        fmt::format("{} to {} mm in a wheel of {} mm{}", paper::least_bore_mm, most_mm, spec.diameter_mm, with));
  return std::nullopt;
}

WheelSpec asked_wheel(const Context& context) {
  const PrintOptions& asked = context.options.print;
  const Engine& engine = *context.opened.engine;
  WheelSpec spec;
  spec.paper = paper_size(context);
  spec.diameter_mm = asked.diameter_mm;
  spec.bore_mm = asked.bore_mm;
  spec.crank = asked.reads == WheelReads::clockwise       ? Rotation::clockwise
               : asked.reads == WheelReads::anticlockwise ? Rotation::anticlockwise
                                                          : engine.rotation;
  spec.both_ways = asked.reads == WheelReads::both;
  spec.title = title_words(engine, context.opened.build);
  spec.cautions = printed_cautions(context);
  spec.date = context.opened.build.measured.date;
  return spec;
}

Json events_json(const WheelSpec& spec) {
  Json all = Json::array();
  for (const WheelEvent& event : spec.events) {
    Json one = Json::object({{"valve", to_word(event.kind)},
                             {"event", event.what},
                             {"crank_deg", event.crank_deg},
                             {"wheel_deg", wrap_360(event.crank_deg)},
                             {"words", event.words}});
    if (event.number > 0) one.set("camshaft", event.camshaft).set("number", event.number);
    all.add(std::move(one));
  }
  return all;
}

Json tiles_json(const paper::DegreeWheel& wheel) {
  if (wheel.one_sheet) return {};
  Json names = Json::array();
  for (int row = 0; row < wheel.tiles.rows; ++row)
    for (int column = 0; column < wheel.tiles.columns; ++column) names.add(paper::tile_name(column, row));
  return Json::object({{"across", wheel.tiles.columns},
                       {"down", wheel.tiles.rows},
                       {"overlap_mm", paper::tile_overlap_mm},
                       {"names", names}});
}

std::string running_words(const WheelSpec& spec) {
  std::string words = fmt::format("For a crank that turns {}: seen from the timing end its figures run {}.\n",
                                  to_word(spec.crank), to_word(paper::figures_run(spec.crank)));
  if (spec.both_ways)
    words += fmt::format("Inner figures for a crank that turns {}.\n", to_word(paper::figures_run(spec.crank)));
  return words;
}

// The wheel, and what is said of the state whose events stand on it.
struct AskedWheel {
  WheelSpec spec;
  paper::DegreeWheel wheel;
  std::vector<std::string> notes;
  std::optional<States> states; // with events
};

Result<AskedWheel> make_wheel(const Context& context) {
  AskedWheel asked;
  asked.spec = asked_wheel(context);
  if (context.options.print.events) {
    Result<States> states = asked_events(context, asked.spec);
    if (!states) return states.problems();
    asked.notes = reading_notes(context, asked_of(context.options.print), "the print");
    if (std::optional<Problem> problem = add_events(*context.opened.engine, *states, asked.notes, asked.spec))
      return *std::move(problem);
    asked.states = *std::move(states);
  }
  if (std::optional<Problem> problem = judge_bore(asked.spec)) return *std::move(problem);
  asked.wheel = paper::degree_wheel(asked.spec);
  return asked;
}

} // namespace

Result<paper::Print> wheel_print(const Context& context) {
  Result<AskedWheel> asked = make_wheel(context);
  if (!asked) return asked.problems();
  return std::move(asked->wheel.print);
}

Result<Answer> wheel_command(const Context& context) {
  const Result<AskedWheel> asked = make_wheel(context);
  if (!asked) return asked.problems();
  const auto& [spec, wheel, notes, states] = *asked;
  Result<Answer> answer =
      write_printed(context, wheel.print, fmt::format("a degree wheel of {} mm", fixed(spec.diameter_mm, 1)));
  if (!answer) return answer;
  answer->page += running_words(spec);
  if (!wheel.one_sheet)
    answer->page += wheel.tiles.count() == 1
                        ? std::string("What is said of it stands on the first page, the wheel on the second.\n")
                        : fmt::format("It comes in {} tiles, {} across and {} down; the first page says how to join "
                                      "them.\n",
                                      wheel.tiles.count(), wheel.tiles.columns, wheel.tiles.rows);
  for (const WheelEvent& event : spec.events)
    answer->page += fmt::format("  {}{} {} {}: wheel {}°\n", to_word(event.kind),
                                event.number > 0 ? fmt::format(" {}", event.number) : std::string(), event.what,
                                event.words, paper::wheel_figure(event.crank_deg));
  if (!spec.events.empty()) answer->page += fmt::format("Events {} at {}.\n", spec.events_of, spec.check_lift);
  for (const std::string& note : notes) answer->page += note + "\n";
  answer->page += fmt::format("Measure its line of {:.0f} mm before cutting.\n", paper::check_line_mm);
  answer->json.set("diameter_mm", spec.diameter_mm)
      .set("bore_mm", spec.bore_mm)
      .set("crank_turns", to_word(spec.crank))
      .set("figures_run", to_word(paper::figures_run(spec.crank)))
      .set("both_ways", spec.both_ways)
      .set("each_deg", 1)
      .set("longer_each_deg", 5)
      .set("numbered_each_deg", 10)
      .set("check_line_mm", paper::check_line_mm)
      .set("tiles", tiles_json(wheel))
      .set("events_of", spec.events_of)
      .set("events_at", spec.check_lift)
      .set("events", events_json(spec));
  if (states) add_standing(*states, *answer);
  return answer;
}

} // namespace phasewright::cli
