#include "viewer/output.hpp"

#include "viewer/view.hpp"
#include "viewer/workbench.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

namespace phasewright::viewer {

namespace {

namespace fs = std::filesystem;

struct KindRow {
  const char* name;
  const char* command;
  const char* stem; // of its usual file
  std::vector<std::string> endings;
  std::vector<std::string> ending_words;
};

const KindRow& row_of(OutputKind kind) {
  static const std::vector<std::string> print_words{"PDF", "SVG", "PNG"};
  static const std::vector<std::string> prints{".pdf", ".svg", ".png"};
  static const std::array<KindRow, output_kinds> rows{
      {{"build sheet", "sheet", "sheet", {".pdf", ".svg", ".png", ".html"}, {"PDF", "SVG", "PNG", "web page"}},
       {"degree wheel", "wheel", "wheel", prints, print_words},
       {"key card", "keycard", "keycard", prints, print_words},
       {"picture", "picture", "picture", {".png"}, {"PNG"}},
       {"film", "film", "film", {".mp4", ".gif", ".png"}, {"MP4", "GIF", "PNG each"}},
       {"3D model", "export", "model", {".glb"}, {"glTF"}},
       {"curves", "export", "curves", {".csv"}, {"CSV"}},
       {"all figures", "export", "figures", {".json"}, {"JSON"}}}};
  return rows.at(index_of(kind));
}

// The words of the options, as the choices' buttons stand.
constexpr std::array<const char*, 4> reads_words{"", "clockwise", "anticlockwise", "both"};
constexpr std::array<const char*, 3> film_words{"turn", "lay", "apart"};
constexpr std::array<const char*, 3> curve_words{"cycle", "phase", "lobe"};

bool is_print(OutputKind kind) {
  return kind == OutputKind::sheet || kind == OutputKind::wheel || kind == OutputKind::key_card;
}

bool is_web_page(const OutputWishes& wishes) {
  return wishes.kind == OutputKind::sheet && wishes.ending[index_of(wishes.kind)] == 3;
}

OutputChoice on_off(const char* name, const char* label, std::vector<std::string> words, bool on,
                    void (*choose)(std::size_t, View&, Actions&)) {
  return {name, label, Key::a, "A", std::move(words), on ? std::size_t{1} : std::size_t{0}, choose};
}

void add_film_choices(const OutputWishes& wishes, std::vector<OutputChoice>& choices) {
  choices.push_back({"output.film_of",
                     "Of the drive",
                     Key::r,
                     "R",
                     {"turning", "laid over", "taken apart"},
                     wishes.film_of,
                     [](std::size_t index, View& view, Actions& actions) {
                       view.output.film_of = index;
                       if (index == 2) actions.go_to = NamedView::side; // where it shows
                     }});
}

// Words of a drawing that are the same for pictures and films.
void add_look(const View& view, bool apart_by_itself, Order& order) {
  const OutputWishes& wishes = view.output;
  order.insert(order.end(), {"--crank", fmt::format("{}", view.crank_deg), "--from", to_word(view.subject), "--size",
                             fmt::format("{}x{}", wishes.width_px, wishes.height_px)});
  if (view.turning == Turning::backward) order.insert(order.end(), {"--turned", "backward"});
  if (view.theme == Theme::night) order.insert(order.end(), {"--theme", "night"});
  if (wishes.labels) order.emplace_back("--labels");
  if (wishes.labels && view.magnify_key_step > 1.0)
    order.insert(order.end(), {"--magnify", fmt::format("{}", view.magnify_key_step)});
  if (wishes.labels && view.scale > 1.0) order.insert(order.end(), {"--scale", fmt::format("{}", view.scale)});
  if (view.apart > 0.0 && !apart_by_itself) order.insert(order.end(), {"--apart", fmt::format("{}", view.apart)});
  if (view.section && view.subject == NamedView::key) order.emplace_back("--section");
  if (view.cylinder != 1) order.insert(order.end(), {"--cylinder", std::to_string(view.cylinder)});
}

void add_print(const OutputWishes& wishes, Order& order) {
  if (wishes.letter && !is_web_page(wishes)) order.insert(order.end(), {"--paper", "letter"});
}

void add_wheel(const OutputWishes& wishes, Order& order) {
  order.insert(order.end(), {"--diameter", fmt::format("{}", wishes.diameter_mm)});
  if (wishes.bore_mm) order.insert(order.end(), {"--bore", fmt::format("{}", *wishes.bore_mm)});
  if (wishes.reads > 0) order.insert(order.end(), {"--reads", reads_words.at(wishes.reads)});
  if (wishes.events) order.emplace_back("--events");
}

void add_film(const OutputWishes& wishes, Order& order) {
  order.insert(order.end(), {"--of", film_words.at(wishes.film_of), "--frames", std::to_string(wishes.frames), "--fps",
                             std::to_string(wishes.frames_per_second)});
}

// Whether the state it shows can be another than what is fitted.
bool shows_a_state(const OutputWishes& wishes) {
  switch (wishes.kind) {
  case OutputKind::curves:
  case OutputKind::answers:
    return false;
  case OutputKind::wheel:
    return wishes.events;
  default:
    return true;
  }
}

bool shows_planned(const Workbench& bench, const View& view) {
  return view.shown != Shown::fitted && bench.planned_differs();
}

// Paths may hold spaces and quotes.
std::string quoted(const std::string& word) {
  const auto plain = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
           std::string_view("-_./=+,:").find(c) != std::string_view::npos;
  };
  if (!word.empty() && std::ranges::all_of(word, plain)) return word;
  std::string inside;
  for (const char c : word) inside += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return fmt::format("'{}'", inside);
}

} // namespace

const char* name_of(OutputKind kind) {
  return row_of(kind).name;
}

std::vector<OutputChoice> choices_of(const View& view) {
  const OutputWishes& wishes = view.output;
  const KindRow& row = row_of(wishes.kind);
  std::vector<OutputChoice> choices;
  if (row.endings.size() > 1)
    choices.push_back({"output.file", "File", Key::x, "X", row.ending_words, wishes.ending[index_of(wishes.kind)],
                       [](std::size_t index, View& on, Actions&) {
                         on.output.ending[index_of(on.output.kind)] = index;
                         on.output.path[index_of(on.output.kind)].clear(); // its ending is another
                       }});
  if (is_print(wishes.kind) && !is_web_page(wishes))
    choices.push_back({"output.paper",
                       "Paper",
                       Key::r,
                       "R",
                       {"A4", "Letter"},
                       wishes.letter ? std::size_t{1} : std::size_t{0},
                       [](std::size_t index, View& on, Actions&) { on.output.letter = index == 1; }});
  if (wishes.kind == OutputKind::wheel) {
    choices.push_back({"output.reads",
                       "For a crank that turns",
                       Key::l,
                       "L",
                       {"as this one", "clockwise", "anticlockwise", "both ways"},
                       wishes.reads,
                       [](std::size_t index, View& on, Actions&) { on.output.reads = index; }});
    choices.push_back(on_off("output.events", "Valve events on it", {"none", "marked"}, wishes.events,
                             [](std::size_t index, View& on, Actions&) { on.output.events = index == 1; }));
  }
  if (wishes.kind == OutputKind::film) add_film_choices(wishes, choices);
  if (wishes.kind == OutputKind::picture || wishes.kind == OutputKind::film) {
    const std::vector<std::string> views{"end", "side", "key", "valve", "whole"};
    choices.push_back({"output.from", "Seen from", Key::other, "1 to 5", views,
                       static_cast<std::size_t>(std::ranges::find(views, to_word(view.subject)) - views.begin()),
                       [](std::size_t index, View&, Actions& actions) {
                         constexpr std::array all{NamedView::end, NamedView::side, NamedView::key, NamedView::valve,
                                                  NamedView::whole};
                         actions.go_to = all.at(index);
                       }});
    choices.push_back(on_off("output.labels", "Labels", {"none", "written in"}, wishes.labels,
                             [](std::size_t index, View& on, Actions&) { on.output.labels = index == 1; }));
  }
  if (wishes.kind == OutputKind::model)
    choices.push_back(on_off("output.nuts", "Shaft nuts, which hide the keys", {"left off", "fitted"}, wishes.nuts,
                             [](std::size_t index, View& on, Actions&) { on.output.nuts = index == 1; }));
  if (wishes.kind == OutputKind::curves)
    choices.push_back({"output.curves_of",
                       "Of",
                       Key::r,
                       "R",
                       {"the cycle", "phase", "the lobes"},
                       wishes.curves_of,
                       [](std::size_t index, View& on, Actions&) { on.output.curves_of = index; }});
  return choices;
}

std::string output_path(const Workbench& bench, const View& view) {
  const OutputWishes& wishes = view.output;
  const std::size_t kind = index_of(wishes.kind);
  if (!wishes.path[kind].empty()) return wishes.path[kind];
  const KindRow& row = row_of(wishes.kind);
  const fs::path build = bench.path().empty() ? bench.suggested_path() : bench.path();
  std::string stem = build.filename().string();
  for (const char* ending : {".toml", ".build"})
    if (stem.ends_with(ending)) stem.resize(stem.size() - std::string_view(ending).size());
  return (build.parent_path() / fmt::format("{}-{}{}", stem, row.stem, row.endings.at(wishes.ending[kind]))).string();
}

std::string shown_words(const Workbench& bench, const View& view) {
  if (!shows_planned(bench, view)) return "as fitted";
  if (const auto option = bench.tried_option()) return fmt::format("as planned, option {}", *option + 1);
  return "what is tried by hand";
}

Result<Order> order_of(const Workbench& bench, const View& view) {
  const OutputWishes& wishes = view.output;
  Order order{row_of(wishes.kind).command};
  if (shows_a_state(wishes) && shows_planned(bench, view)) {
    const auto option = bench.tried_option();
    if (!option)
      return problem_at({}, {}, {},
                        "What is tried by hand is no option of the plan, and only these can be drawn. Take one under "
                        "Correction, or show what is fitted.");
    order.insert(order.end(), {"--plan", std::to_string(*option + 1)});
  } else if (wishes.kind == OutputKind::sheet) {
    order.emplace_back("--record");
  }
  if (wishes.kind == OutputKind::sheet && view.units == Units::thou) order.insert(order.end(), {"--units", "thou"});
  if (is_print(wishes.kind)) add_print(wishes, order);
  if (wishes.kind == OutputKind::wheel) add_wheel(wishes, order);
  if (wishes.kind == OutputKind::film) add_film(wishes, order);
  if (wishes.kind == OutputKind::picture || wishes.kind == OutputKind::film)
    add_look(view, wishes.kind == OutputKind::film && wishes.film_of == 2, order);
  if (wishes.kind == OutputKind::model && wishes.nuts) order.emplace_back("--nuts");
  if (wishes.kind == OutputKind::curves)
    order.insert(order.end(), {"--of", curve_words.at(wishes.curves_of), "--step", fmt::format("{}", wishes.step_deg)});
  order.insert(order.end(), {"-o", output_path(bench, view)});
  return order;
}

std::string command_line(const Order& order, const std::string& file) {
  std::string line = "phasewright";
  for (std::size_t i = 0; i < order.size(); ++i) {
    line += fmt::format(" {}", quoted(order[i]));
    if (i == 0 && !file.empty()) line += fmt::format(" {}", quoted(file));
  }
  return line;
}

} // namespace phasewright::viewer
