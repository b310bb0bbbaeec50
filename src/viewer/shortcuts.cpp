#include "viewer/shortcuts.hpp"

#include "viewer/by_hand.hpp"
#include "viewer/cylinder_shown.hpp"
#include "viewer/output.hpp"
#include "viewer/output_look.hpp"
#include "viewer/readings.hpp"

#include <algorithm>
#include <array>

namespace phasewright::viewer {

namespace {

constexpr double greatest_key_deg = 20.0; // as the fields allow
constexpr int greatest_lay = 10;

void with_ctrl(const InputEvent& key, View& view, Actions& actions) {
  switch (key.key) {
  case Key::z:
    (key.shift ? actions.redo : actions.undo) = true;
    break;
  case Key::y:
    actions.redo = true;
    break;
  case Key::s:
    (key.shift ? actions.save_elsewhere : actions.save) = true;
    break;
  case Key::left:
    actions.turn_by_deg -= 0.1;
    break;
  case Key::right:
    actions.turn_by_deg += 0.1;
    break;
  case Key::o:
    actions.open = true;
    break;
  case Key::l:
    actions.step = Step::lessons;
    break;
  case Key::p:
    if (key.again) break; // held down it would write again and again
    if (view.step == Step::sheet)
      actions.output = Actions::Output::make;
    else
      actions.step = Step::sheet;
    break;
  case Key::plus:
    actions.scale = std::min(3.0, view.scale + 0.125);
    break;
  case Key::minus:
    actions.scale = std::max(0.75, view.scale - 0.125);
    break;
  case Key::digit_0:
    actions.scale = 1.0;
    break;
  default:
    break;
  }
}

// The camshaft that is shown has the key and the lay.
void change_plan(const InputEvent& key, const Workbench& bench, const View& view, Actions& actions) {
  const double by = key.shift ? -1.0 : 1.0;
  Fitted planned = bench.document().planned;
  const auto next = [by](double deg) { return std::clamp(deg + by, -greatest_key_deg, greatest_key_deg); };
  if (key.key == Key::k) {
    set_cam_key(planned, bench.engine(), view.camshaft, next(cam_key_at(planned, bench.engine(), view.camshaft)));
    actions.what = "cam key";
  } else if (key.key == Key::c) {
    planned.crank_key_deg = next(planned.crank_key_deg);
    actions.what = "crank key";
  } else {
    const int lay = lay_at(planned, bench.engine(), view.camshaft) + (key.shift ? -1 : 1);
    set_lay(planned, bench.engine(), view.camshaft, std::clamp(lay, -greatest_lay, greatest_lay));
    actions.what = "chain laid";
  }
  actions.planned = planned;
}

void next_option(const Workbench& bench, int by, Actions& actions) {
  const auto count = static_cast<long>(bench.plan().options.size());
  if (count == 0) return;
  const auto tried = bench.tried_option();
  const long next = tried ? static_cast<long>(*tried) + by : 0;
  actions.option = static_cast<std::size_t>(std::clamp(next, 0L, count - 1));
}

// Keys that turn something over: held down they would flicker, and end as chance has it.
bool turns_over(Key key) {
  constexpr std::array keys{Key::space, Key::s, Key::b, Key::v, Key::o,   Key::u, Key::d,
                            Key::x,     Key::t, Key::i, Key::r, Key::del, Key::f1};
  return std::ranges::find(keys, key) != keys.end();
}

void step_by(const View& view, int by, Actions& actions) {
  const int step = std::clamp(static_cast<int>(view.step) + by, 0, static_cast<int>(Step::lessons));
  if (step != static_cast<int>(view.step)) actions.step = static_cast<Step>(step);
}

// The page after the one that the step's panel shows.
void next_page(View& view, int by) {
  const auto turned = [by](auto page, int pages) {
    using Page = decltype(page);
    return static_cast<Page>((static_cast<int>(page) + by + pages) % pages);
  };
  if (view.step == Step::parts) view.parts_page = turned(view.parts_page, 3);
  if (view.step == Step::valves) view.valves_page = turned(view.valves_page, 3);
  if (view.step == Step::readings) view.readings_page = turned(view.readings_page, 4);
  if (view.step == Step::clearance) view.clearance_page = turned(view.clearance_page, 3);
  if (view.step == Step::sheet) take_kind(view.output, turned(view.output.kind, static_cast<int>(output_kinds)));
}

void change_lobes(Key key, const Workbench& bench, View& view, Actions& actions) {
  if (key == Key::a)
    add_lobe(bench, view, actions);
  else if (key == Key::x)
    view.lobe.valve = view.lobe.valve == ValveKind::inlet ? ValveKind::exhaust : ValveKind::inlet;
  else if (!bench.document().measured.lobe.empty())
    remove_lobe(bench, bench.document().measured.lobe.size() - 1, actions);
}

void change_readings(Key key, const Workbench& bench, View& view, Actions& actions) {
  if (view.step == Step::readings && view.readings_page == ReadingsPage::taken)
    return change_lobes(key, bench, view, actions);
  if (view.step != Step::clearance || view.clearance_page != ClearancePage::readings) return;
  if (key == Key::a)
    add_reading(bench, view, actions);
  else if (key == Key::x)
    view.reading.valve = view.reading.valve == ValveKind::inlet ? ValveKind::exhaust : ValveKind::inlet;
  else if (!bench.document().measured.clearance.empty())
    remove_reading(bench, bench.document().measured.clearance.size() - 1, actions);
}

// Each of these takes the keys it knows; true when it was one of them.
bool follow_lesson(const InputEvent& key, bool learns, Actions& actions) {
  if (!learns) return false;
  switch (key.key) {
  case Key::enter:
    actions.learn.what = Learn::What::next;
    return true;
  case Key::h:
    actions.learn.what = Learn::What::hint;
    return true;
  case Key::backspace:
    actions.learn.what = Learn::What::again;
    return true;
  default:
    return false;
  }
}

bool turn_crank(const InputEvent& key, const Workbench& bench, View& view, Actions& actions) {
  const double turn_deg = key.shift ? 360.0 / bench.engine().loops[0].sprockets.front().teeth : 1.0;
  switch (key.key) {
  case Key::space:
    view.playing = !view.playing;
    return true;
  case Key::left:
    actions.turn_by_deg -= turn_deg;
    return true;
  case Key::right:
    actions.turn_by_deg += turn_deg;
    return true;
  case Key::s:
    view.slow = !view.slow;
    return true;
  case Key::b:
    view.backward = !view.backward;
    return true;
  default:
    return false;
  }
}

bool look_from(Key key, View& view, Actions& actions) {
  switch (key) {
  case Key::digit_1:
    actions.go_to = NamedView::end;
    return true;
  case Key::digit_2:
    actions.go_to = NamedView::side;
    return true;
  case Key::digit_3:
    actions.go_to = NamedView::key;
    return true;
  case Key::digit_4:
    actions.go_to = NamedView::valve;
    return true;
  case Key::digit_5:
    actions.go_to = NamedView::whole;
    return true;
  case Key::f:
  case Key::home:
    actions.go_to = view.subject;
    return true;
  case Key::o:
    view.camera.parallel = !view.camera.parallel;
    return true;
  default:
    return false;
  }
}

bool show(const InputEvent& key, const Workbench& bench, View& view, Actions& actions) {
  switch (key.key) {
  case Key::v:
    view.shown = static_cast<Shown>((static_cast<int>(view.shown) + 1) % 3);
    return true;
  case Key::m:
    magnified(view) = std::clamp(magnified(view) + (key.shift ? -1.0 : 1.0), 1.0, 10.0);
    return true;
  case Key::e:
    take_apart(view, view.apart + (key.shift ? -apart_step : apart_step), actions);
    return true;
  case Key::t:
    cut_keyway(view, !(view.section && view.subject == NamedView::key), actions);
    return true;
  case Key::i:
    view.instruments = !view.instruments;
    actions.fit_again = true;
    return true;
  case Key::n:
    next_cylinder(bench, view, key.shift ? -1 : 1, actions);
    return true;
  case Key::u:
    view.units = view.units == Units::mm ? Units::thou : Units::mm;
    return true;
  case Key::d:
    view.theme = view.theme == Theme::day ? Theme::night : Theme::day;
    return true;
  case Key::f1:
    view.help = !view.help;
    return true;
  case Key::escape:
    view.help = false;
    view.notice.clear();
    return true;
  default:
    return false;
  }
}

// Where files are made: their choices, and how the preview is looked at.
bool make_files(const InputEvent& key, View& view, Actions& actions) {
  if (view.step != Step::sheet) return false;
  for (const OutputChoice& one : choices_of(view))
    if (one.key == key.key && one.key != Key::other) {
      one.choose((one.chosen + (key.shift ? one.words.size() - 1 : 1)) % one.words.size(), view, actions);
      return true;
    }
  switch (key.key) {
  case Key::x: // a choice that this file has not
  case Key::r:
  case Key::l:
  case Key::a:
    return true;
  case Key::page_up:
    read_on(view.output, -1, view.output.leaves);
    return true;
  case Key::page_down:
    read_on(view.output, 1, view.output.leaves);
    return true;
  case Key::plus:
    zoom_leaf(view.output, leaf_zoom_step);
    return true;
  case Key::minus:
    zoom_leaf(view.output, 1.0 / leaf_zoom_step);
    return true;
  case Key::f:
  case Key::home:
    fit_leaf(view.output);
    return true;
  default:
    return false;
  }
}

bool work(const InputEvent& key, const Workbench& bench, View& view, Actions& actions) {
  switch (key.key) {
  case Key::up:
    step_by(view, -1, actions);
    return true;
  case Key::down:
    step_by(view, 1, actions);
    return true;
  case Key::p:
    next_page(view, key.shift ? -1 : 1);
    return true;
  case Key::page_up:
    next_option(bench, -1, actions);
    return true;
  case Key::page_down:
    next_option(bench, 1, actions);
    return true;
  case Key::k:
  case Key::c:
  case Key::l:
    change_plan(key, bench, view, actions);
    return true;
  case Key::r:
    turn_key_round(bench, view, key.shift, actions);
    return true;
  case Key::a:
  case Key::x:
  case Key::del:
    change_readings(key.key, bench, view, actions);
    return true;
  default:
    return false;
  }
}

} // namespace

void take_shortcut(const InputEvent& key, const Workbench& bench, bool learns, View& view, Actions& actions) {
  if (key.ctrl) return with_ctrl(key, view, actions);
  if (key.again && turns_over(key.key)) return;
  if (follow_lesson(key, learns, actions) || make_files(key, view, actions)) return;
  if (turn_crank(key, bench, view, actions) || look_from(key.key, view, actions)) return;
  if (!show(key, bench, view, actions)) work(key, bench, view, actions);
}

} // namespace phasewright::viewer
