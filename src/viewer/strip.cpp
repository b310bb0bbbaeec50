// The cycle strip: the 720 degrees of one cylinder's cycle with its lifts and piston on one scale, the gap between
// them, and events. Dragging along it turns the engine. Curves are No. 1's: the others differ by the chain's ripple, a
// few hundredths of a degree, which no strip shows; flags and figures are the cylinder's own.
#include "geometry/angle.hpp"
#include "scene/overlay_layout.hpp"
#include "viewer/frame.hpp"
#include "viewer/plot.hpp"
#include "viewer/strip_span.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr float pale = 0.38f; // of the present beside the plan
constexpr int flag_rows = 2;
constexpr double overlap_reach_deg = 120.0;
constexpr int name_at_deg = 42;
constexpr double piston_share = 0.55; // of the strip's height, where it has no scale

// `reading`: the part of the head that the cursor's figures take.
void grid(Ui& ui, const PlotFrame& plot, const std::vector<float>& poles, const ScreenRect& reading) {
  const double span_deg = plot.high_deg - plot.low_deg;
  const int apart = span_deg > 360.0 ? 90 : span_deg > 180.0 ? 45 : span_deg > 90.0 ? 20 : 10;
  for (int deg = 0; deg <= 720; deg += apart) {
    if (deg < plot.low_deg || deg > plot.high_deg) continue;
    const float x = std::round(plot.x(deg)) + 0.5f;
    ui.list->AddLine({x, plot.top}, {x, plot.bottom}, ui.colours.grid);
    const std::string words = fmt::format("{}°", deg);
    const float half = text_size(ui.fonts.note, words).x / 2.0f + ui.px(2);
    const bool crossed = std::ranges::any_of(poles, [&](float pole) { return std::fabs(pole - x) < half; });
    if (!crossed) text_middle(ui, {x, plot.bottom + ui.px(2)}, ui.fonts.note, ui.colours.quiet, words);
    if (deg % 180 != 0) continue;
    const char* name = deg == 360 ? "firing TDC" : deg % 360 == 0 ? "TDC" : "BDC";
    // In full at the strip's ends, where a zoom may bring any of them.
    const float width = text_size(ui.fonts.note, name).x;
    const float left = std::clamp(x - width / 2.0f, plot.left - ui.px(12), plot.right + ui.px(12) - width);
    if (left + width + ui.px(4) < reading.left || left - ui.px(4) > reading.right)
      text(ui, {std::round(left), plot.top - ui.px(16)}, ui.fonts.note, ui.colours.quiet, name);
  }
  ui.list->AddLine({plot.left, plot.bottom + 0.5f}, {plot.right, plot.bottom + 0.5f}, ui.colours.line);
}

void lift_curves(Frame& frame, const PlotFrame& plot, const State& state, bool present) {
  Ui& ui = frame.ui;
  for (const ValveKind kind : {ValveKind::exhaust, ValveKind::inlet}) {
    const ImU32 colour = with_alpha(kind_colour(ui, kind), present ? pale : 1.0f);
    for (const auto& piece : curve_pieces(plot, state.curves.lift_mm[static_cast<std::size_t>(kind)]))
      draw_curve(*ui.list, piece, colour, (present ? 1.5f : 2.2f) * ui.scale, kind_style(kind), ui.scale);
  }
}

// As far as the plot shows it; of no width where it does not.
PlotFrame part_of(const PlotFrame& plot, double low_deg, double high_deg) {
  PlotFrame part = plot;
  low_deg = std::clamp(low_deg, plot.low_deg, plot.high_deg);
  high_deg = std::clamp(high_deg, low_deg, plot.high_deg);
  part.left = plot.x(low_deg);
  part.right = plot.x(high_deg);
  part.low_deg = low_deg;
  part.high_deg = high_deg;
  return part;
}

// Between a valve's lift and the piston, on one scale: what is shaded is the clearance.
void gap_band(Frame& frame, const PlotFrame& part, const State& state, ValveKind kind,
              const std::vector<float>& reach) {
  if (!(part.high_deg > part.low_deg)) return;
  Ui& ui = frame.ui;
  const std::vector<float>& lift = state.curves.lift_mm[static_cast<std::size_t>(kind)];
  std::vector<ImVec2> upper;
  std::vector<ImVec2> lower;
  for (double deg = part.low_deg; deg <= part.high_deg; deg += 1.0) {
    const auto at = static_cast<std::size_t>(deg);
    if (static_cast<double>(reach[at]) > part.high) continue; // out of sight; there is one such stretch to a side
    upper.push_back({part.x(deg), part.y(static_cast<double>(reach[at]))});
    lower.push_back({part.x(deg), part.y(static_cast<double>(std::min(lift[at], reach[at])))});
  }
  draw_band(*ui.list, upper, lower, with_alpha(kind_colour(ui, kind), 0.14f));
  for (const auto& piece : curve_pieces(part, reach))
    draw_curve(*ui.list, piece, with_alpha(kind_colour(ui, kind), 0.75f), std::max(1.0f, 1.2f * ui.scale),
               kind_style(kind), ui.scale);
}

// The piston as each valve meets it about the overlap; about firing TDC, where both are shut, as the nearer one would.
void piston_and_gaps(Frame& frame, const PlotFrame& plot, const State& state) {
  Ui& ui = frame.ui;
  std::vector<float> nearer;
  for (const ValveKind kind : {ValveKind::exhaust, ValveKind::inlet}) {
    const std::vector<float>& reach = state.curves.piston_reach_mm[static_cast<std::size_t>(kind)];
    if (reach.empty()) continue;
    for (const auto& [low_deg, high_deg] :
         {std::pair{0.0, overlap_reach_deg}, std::pair{720.0 - overlap_reach_deg, 720.0}})
      gap_band(frame, part_of(plot, low_deg, high_deg), state, kind, reach);
    if (nearer.empty())
      nearer = reach;
    else
      std::ranges::transform(nearer, reach, nearer.begin(), [](float a, float b) { return std::min(a, b); });
  }
  const std::vector<float>& between = state.curves.between_mm;
  for (const auto& piece : curve_pieces(part_of(plot, overlap_reach_deg, 720.0 - overlap_reach_deg), nearer))
    draw_curve(*ui.list, piece, ui.colours.quiet, std::max(1.2f, 1.2f * ui.scale), LineStyle::dotted, ui.scale);
  for (const auto& [low_deg, high_deg] :
       {std::pair{0.0, 1.0 * between_reach_deg}, std::pair{720.0 - between_reach_deg, 720.0}})
    for (const auto& piece : curve_pieces(part_of(plot, low_deg, high_deg), between))
      draw_curve(*ui.list, piece, ui.colours.ink, std::max(1.2f, 1.2f * ui.scale), LineStyle::dotted, ui.scale);
}

// Where each gap is least: a line across it, from the valve to the piston.
void least_lines(Frame& frame, const PlotFrame& plot, const State& state) {
  Ui& ui = frame.ui;
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    const auto& least = least_of(state.standing.now, kind);
    if (!least) continue;
    const double lift_mm = state.mechanism.valve_lift_mm(kind, 1, least->at_crank_deg);
    const float x = std::round(plot.x(least->at_crank_deg)) + 0.5f;
    const float low = plot.y(std::clamp(lift_mm, 0.0, plot.high));
    const float high = plot.y(std::clamp(lift_mm + least->least_mm, 0.0, plot.high));
    const float half = ui.px(3);
    const float thick = std::max(1.5f, 1.5f * ui.scale);
    ui.list->AddLine({x, low}, {x, high}, kind_colour(ui, kind), thick);
    for (const float y : {low, high}) ui.list->AddLine({x - half, y}, {x + half, y}, kind_colour(ui, kind), thick);
  }
}

// On a scale of its own, where nothing says how near the valves are to it.
void piston_curve(Frame& frame, const PlotFrame& plot) {
  const double travel_mm = frame.bench.fitted().mechanism.slider_crank().travel_mm();
  std::vector<ImVec2> points;
  for (std::size_t deg = 0; deg < frame.bench.piston_drop_mm().size(); deg += 3) {
    const double up = 1.0 - static_cast<double>(frame.bench.piston_drop_mm()[deg]) / travel_mm;
    points.push_back({plot.x(static_cast<double>(deg)), plot.y(up * piston_share * plot.high)});
  }
  draw_curve(*frame.ui.list, points, frame.ui.colours.quiet, std::max(1.2f, 1.2f * frame.ui.scale), LineStyle::dotted,
             frame.ui.scale);
}

// Names the curves where they stand alone; a name the cursor stands in waits until it has passed.
void curve_names(Frame& frame, const PlotFrame& plot, const State& state, float cursor_x) {
  Ui& ui = frame.ui;
  const auto name = [&](float left, float y, const ImFont* font, ImU32 colour, const char* word) {
    const float width = text_size(font, word).x;
    if (left < plot.left || left + width > plot.right) return;
    if (cursor_x < left - ui.px(3) || cursor_x > left + width + ui.px(3)) text(ui, {left, y}, font, colour, word);
  };
  const auto middle_name = [&](float x, float y, const ImFont* font, ImU32 colour, const char* word) {
    name(x - text_size(font, word).x / 2.0f, y, font, colour, word);
  };
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    const std::vector<float>& lift = state.curves.lift_mm[static_cast<std::size_t>(kind)];
    if (lift.empty()) continue;
    const auto nose = static_cast<double>(std::ranges::max_element(lift) - lift.begin());
    middle_name(plot.x(nose), plot.y(static_cast<double>(std::ranges::max(lift))) + ui.px(7), ui.fonts.bold,
                kind_colour(ui, kind), to_word(kind));
  }
  const float line = ui.fonts.note->FontSize + ui.px(3);
  float lowest = plot.top;
  double leaves_deg = 0.0; // where the last of the curves about firing TDC leaves the strip
  bool scaled = false;
  for (const ValveKind kind : {ValveKind::exhaust, ValveKind::inlet}) {
    const std::vector<float>& reach = state.curves.piston_reach_mm[static_cast<std::size_t>(kind)];
    if (reach.empty()) continue;
    scaled = true;
    lowest = std::max(lowest, plot.y(std::min(static_cast<double>(reach[360]), plot.high)));
    for (std::size_t deg = 360; deg < 540 && static_cast<double>(reach[deg]) <= plot.high; ++deg)
      if (reach[deg] > 0.0f) leaves_deg = std::max(leaves_deg, static_cast<double>(deg));
    // And about the overlap beside its curve, where that leaves the strip.
    const auto leaves = std::ranges::find_if(reach, [&](float mm) { return static_cast<double>(mm) > plot.high; });
    if (kind == ValveKind::inlet && leaves != reach.end() && leaves != reach.begin() && leaves - reach.begin() < 90 &&
        *(leaves - 1) > 0.0f)
      name(plot.x(static_cast<double>(leaves - reach.begin())) + ui.px(5), plot.top, ui.fonts.note, ui.colours.quiet,
           "piston");
  }
  const float below = (scaled ? lowest : plot.y(piston_share * plot.high)) + ui.px(5);
  if (below + ui.fonts.note->FontSize <= plot.bottom)
    middle_name(plot.x(360.0), below, ui.fonts.note, ui.colours.quiet, "piston");
  else if (leaves_deg > 0.0) // no room under it: beside it, where it leaves the strip
    name(plot.x(leaves_deg) + ui.px(5), plot.top, ui.fonts.note, ui.colours.quiet, "piston");
  if (frame.view.turning == Turning::backward)
    middle_name(plot.x(360.0), std::max(below + line, plot.bottom - line), ui.fonts.note, ui.colours.warning,
                "curves as turned forward");
  if (!state.curves.between_mm.empty() && static_cast<double>(state.curves.between_mm[name_at_deg]) < plot.high)
    name(plot.x(name_at_deg), plot.y(static_cast<double>(state.curves.between_mm[name_at_deg])) + ui.px(5),
         ui.fonts.note, ui.colours.ink, "valve to valve"); // below its line, which rises
}

struct Flag {
  double crank_deg;
  ValveKind kind;
  bool present;
  std::string words;
};

void add_flags(std::vector<Flag>& flags, const State& state, int cylinder, double delay_deg, bool present) {
  const std::optional<Events>& found = state.events_of(cylinder);
  if (!found) return;
  for (const CamshaftEvents& camshaft : found->camshafts) {
    const auto add = [&](const std::optional<KindEvents>& events, EventKind opens, EventKind closes) {
      if (!events) return;
      const std::string who = fmt::format("{} {}", to_word(events->kind), present ? "now " : "");
      const double opens_deg = wrap_720(events->at_check.opens_deg - delay_deg);
      const double closes_deg = wrap_720(events->at_check.closes_deg - delay_deg);
      flags.push_back({opens_deg, events->kind, present, who + "opens " + event_words(opens, opens_deg)});
      flags.push_back({closes_deg, events->kind, present, who + "closes " + event_words(closes, closes_deg)});
    };
    add(camshaft.inlet, EventKind::inlet_opens, EventKind::inlet_closes);
    add(camshaft.exhaust, EventKind::exhaust_opens, EventKind::exhaust_closes);
  }
}

void draw_flags(Frame& frame, const PlotFrame& plot, const std::vector<Flag>& flags, const ScreenRect& rect) {
  Ui& ui = frame.ui;
  std::vector<FlagWish> wishes;
  for (const Flag& flag : flags)
    wishes.push_back({plot.x(flag.crank_deg), text_size(ui.fonts.note, flag.words).x + ui.px(6), flag.present ? 1 : 0});
  const auto places = place_flags(wishes, rect.left + ui.px(4), rect.right - ui.px(4), flag_rows, ui.px(8));
  const float first = plot.bottom + ui.px(17);
  const float apart = ui.px(15);
  for (std::size_t i = 0; i < flags.size(); ++i) {
    const ImU32 colour = kind_colour(ui, flags[i].kind);
    const float x = std::round(wishes[i].x) + 0.5f;
    const float top = plot.top + (plot.bottom - plot.top) * (flags[i].present ? 0.45f : 0.12f);
    const float bottom =
        places[i] ? first + apart * static_cast<float>(places[i]->row) + ui.px(12) : plot.bottom + ui.px(4);
    ui.list->AddLine({x, top}, {x, bottom}, with_alpha(colour, flags[i].present ? pale : 0.9f),
                     std::max(1.0f, ui.scale));
  }
  // The words after the lines, and clear of those that go on down to another row.
  for (std::size_t i = 0; i < flags.size(); ++i) {
    if (!places[i]) continue;
    const bool leftward = places[i]->left + wishes[i].width <= wishes[i].x + 1.0f;
    const float left = places[i]->left + (leftward ? 0.0f : ui.px(4));
    const float top = first + apart * static_cast<float>(places[i]->row);
    ui.list->AddRectFilled({left - ui.px(1), top},
                           {left + text_size(ui.fonts.note, flags[i].words).x + ui.px(1), top + apart},
                           ui.colours.panel);
    text(ui, {left, top}, ui.fonts.note, flags[i].present ? ui.colours.quiet : kind_colour(ui, flags[i].kind),
         flags[i].words);
  }
}

std::string cursor_words(const Frame& frame, const State& state) {
  const Mechanism& mechanism = state.mechanism;
  std::string words;
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    if (mechanism.motion(kind) == nullptr) continue;
    const double lift_mm = lift_shown_mm(state, kind, frame.view);
    if (lift_mm > 0.0) words += fmt::format("{} {}   ", to_word(kind), length_text(lift_mm, frame.view.units));
  }
  return words +
         fmt::format("piston {} down", length_text(mechanism.piston_drop_mm(frame.view.cylinder, frame.view.crank_deg),
                                                   frame.view.units));
}

// The cursor and its reading, in the head of the strip.
struct Cursor {
  float x;
  std::string angle;
  std::string words;
  float angle_width;
  ScreenRect reading;
};

Cursor cursor_of(const Frame& frame, const PlotFrame& plot, const State& state) {
  const Ui& ui = frame.ui;
  const double own_deg = wrap_720(own_crank_deg(frame.bench, frame.view));
  Cursor cursor{.x = std::round(plot.x(own_deg)) + 0.5f,
                .angle = of_cylinder(frame.view) + deg_text(own_deg),
                .words = cursor_words(frame, state),
                .angle_width = 0,
                .reading = {}};
  cursor.angle_width = text_size(ui.fonts.bold, cursor.angle).x + ui.px(8);
  const float width = cursor.angle_width + text_size(ui.fonts.text, cursor.words).x;
  const float beside = ui.px(11);
  const bool leftward = cursor.x + beside + width > plot.right + ui.px(16);
  const float left = leftward ? cursor.x - beside - width : cursor.x + beside;
  cursor.reading = {left, plot.top - ui.px(19), left + width, plot.top - ui.px(3)};
  return cursor;
}

void draw_cursor(Ui& ui, const PlotFrame& plot, const Cursor& cursor) {
  ui.list->AddLine({cursor.x, plot.top - ui.px(8)}, {cursor.x, plot.bottom}, ui.colours.ink,
                   std::max(1.0f, 1.2f * ui.scale));
  ui.list->AddTriangleFilled({cursor.x - ui.px(6), plot.top - ui.px(16)}, {cursor.x + ui.px(6), plot.top - ui.px(16)},
                             {cursor.x, plot.top - ui.px(6)}, ui.colours.ink);
  text(ui, top_left(cursor.reading), ui.fonts.bold, ui.colours.ink, cursor.angle);
  text(ui, {cursor.reading.left + cursor.angle_width, cursor.reading.top}, ui.fonts.text, ui.colours.ink, cursor.words);
}

// Pressing and dragging turns the engine to the pointer; the wheel turns it by degrees, and with Ctrl zooms. True while
// the pointer only stands over it.
bool take_pointer(Frame& frame, const PlotFrame& plot, const ScreenRect& rect) {
  const ScreenRect area{plot.left - frame.ui.px(8), rect.top + frame.ui.px(4), plot.right + frame.ui.px(8),
                        rect.bottom - frame.ui.px(4)};
  record_item(frame.ui, "strip", {plot.left, area.top, plot.right, area.bottom});
  ImGui::SetCursorScreenPos(top_left(area));
  ImGui::InvisibleButton("strip", {area.width(), area.height()});
  const ImGuiIO& io = ImGui::GetIO();
  if (ImGui::IsItemActive()) {
    const double wanted = std::clamp(plot.deg(io.MousePos.x), plot.low_deg, plot.high_deg);
    const double delay_deg = own_delay_deg(frame.bench, frame.view);
    const double turns = std::floor((frame.view.crank_deg - delay_deg) / 720.0) * 720.0;
    // 720 is the next turn's beginning: stop just short, so that the strip's right end does not throw the cursor to the
    // left.
    frame.actions.turn_to_deg = turns + delay_deg + std::min(std::round(wanted * 10.0) / 10.0, 719.9);
  }
  if (!ImGui::IsItemActive()) follow_crank(frame.view, own_crank_deg(frame.bench, frame.view));
  const bool hovered = ImGui::IsItemHovered();
  if (!hovered || io.MouseWheel == 0.0f) return hovered && !ImGui::IsItemActive() && !frame.view.playing;
  if (io.KeyCtrl)
    zoom_strip(frame.view, io.MouseWheel > 0.0f ? 1 : -1, plot.deg(io.MousePos.x));
  else
    frame.actions.turn_by_deg += io.MouseWheel > 0.0f ? 1.0 : -1.0;
  return false;
}

double plot_height_mm(const Workbench& bench) {
  double greatest = 1.0;
  for (const State* state : {&bench.fitted(), &bench.planned()})
    for (const std::vector<float>& lift : state->curves.lift_mm)
      if (!lift.empty()) greatest = std::max(greatest, static_cast<double>(std::ranges::max(lift)));
  return greatest * 1.12;
}

} // namespace

void strip(Frame& frame, const ScreenRect& rect, float controls_width) {
  Ui& ui = frame.ui;
  begin_panel(ui, "strip", rect, ui.colours.panel);
  ui.list->AddLine({rect.left, rect.top + 0.5f}, {rect.right, rect.top + 0.5f}, ui.colours.line);
  strip_controls(frame, {rect.left, rect.top, rect.left + controls_width, rect.bottom});
  PlotFrame plot{.left = rect.left + controls_width + ui.px(20),
                 .right = rect.right - ui.px(24),
                 .top = rect.top + ui.px(26),
                 .bottom = rect.bottom - ui.px(22 + 15 * flag_rows),
                 .low_deg = strip_span(frame.view).low_deg,
                 .high_deg = strip_span(frame.view).high_deg,
                 .high = plot_height_mm(frame.bench)};
  const bool hovered = take_pointer(frame, plot, rect);
  const StripSpan span = strip_span(frame.view);
  plot.low_deg = span.low_deg;
  plot.high_deg = span.high_deg;

  const State& solid = shown_state(frame.bench, frame.view.shown);
  const bool both = frame.view.shown == Shown::both && frame.bench.planned_differs();
  std::vector<Flag> flags;
  const double delay_deg = own_delay_deg(frame.bench, frame.view);
  add_flags(flags, solid, frame.view.cylinder, delay_deg, false);
  if (both) add_flags(flags, frame.bench.fitted(), frame.view.cylinder, delay_deg, true);
  std::erase_if(flags, [&span](const Flag& flag) { return !span.holds(flag.crank_deg); });
  std::vector<float> poles;
  for (const Flag& flag : flags) poles.push_back(plot.x(flag.crank_deg));

  const Cursor cursor = cursor_of(frame, plot, solid);
  grid(ui, plot, poles, {cursor.reading.left - ui.px(20), 0, cursor.reading.right, 0});
  // A valve that meets its piston has a clearance below nothing, which must not run into the figures below.
  frame.ui.list->PushClipRect({plot.left - 2.0f, plot.top - 2.0f}, {plot.right + 2.0f, plot.bottom + 1.0f}, true);
  if (solid.curves.clearance_mm[0].empty() && solid.curves.clearance_mm[1].empty()) piston_curve(frame, plot);
  piston_and_gaps(frame, plot, solid);
  if (both) lift_curves(frame, plot, frame.bench.fitted(), true);
  lift_curves(frame, plot, solid, false);
  least_lines(frame, plot, solid);
  frame.ui.list->PopClipRect();
  curve_names(frame, plot, solid, cursor.x);
  draw_flags(frame, plot, flags, {rect.left + controls_width, rect.top, rect.right, rect.bottom});
  draw_cursor(ui, plot, cursor);
  if (hovered) strip_hover(frame, plot);
  end_panel(ui);
}

void covered_strip(Frame& frame, const ScreenRect& rect, float controls_width) {
  Ui& ui = frame.ui;
  begin_panel(ui, "strip", rect, ui.colours.panel);
  ui.list->AddLine({rect.left, rect.top + 0.5f}, {rect.right, rect.top + 0.5f}, ui.colours.line);
  strip_controls(frame, {rect.left, rect.top, rect.left + controls_width, rect.bottom});
  const ScreenRect area{rect.left + controls_width + ui.px(20), rect.top + ui.px(16), rect.right - ui.px(24),
                        rect.bottom - ui.px(16)};
  record_item(ui, "strip", area);
  ImGui::SetCursorScreenPos(top_left(area));
  ImGui::InvisibleButton("strip", {area.width(), area.height()});
  const ImGuiIO& io = ImGui::GetIO();
  // A cycle from edge to edge; by how much, and not to where.
  if (ImGui::IsItemActive() && io.MouseDelta.x != 0.0f)
    frame.actions.turn_by_deg += std::round(static_cast<double>(io.MouseDelta.x / area.width()) * 7200.0) / 10.0;
  if (ImGui::IsItemHovered() && io.MouseWheel != 0.0f) frame.actions.turn_by_deg += io.MouseWheel > 0.0f ? 1.0 : -1.0;
  ui.list->AddRectFilled(top_left(area), bottom_right(area), ui.colours.field, ui.px(4));
  ui.list->AddRect(top_left(area), bottom_right(area), ui.colours.line, ui.px(4));
  const float middle = (area.top + area.bottom) / 2.0f;
  const float across = (area.left + area.right) / 2.0f;
  text_middle(ui, {across, middle - ui.px(18)}, ui.fonts.bold, ui.colours.ink,
              frame.drill != nullptr ? "Covered during a drill" : "Covered until this is answered");
  text_middle(
      ui, {across, middle + ui.px(2)}, ui.fonts.text, ui.colours.quiet,
      "Drag here, roll the wheel or use the arrow keys: the engine turns. Where it stands, the degree wheel says.");
  end_panel(ui);
}

} // namespace phasewright::viewer
