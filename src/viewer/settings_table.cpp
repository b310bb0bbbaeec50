// What decides where the camshaft stands, a row for each cause: the field that changes it, and the crank degrees it
// makes, as fitted and as planned.
#include "viewer/frame.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright::viewer {

namespace {

double share_of(const PhaseBreakdown& phase, const char* cause) {
  for (const PhasePart& part : phase.parts)
    if (part.cause == cause) return part.deg;
  return 0.0;
}

// Where the columns stand.
struct Columns {
  float label;
  float field;
  float field_width;
  float now; // right edges
  float plan;
};

Columns columns_of(const Ui& ui, ImVec2 at, float width) {
  Columns columns{};
  columns.label = at.x;
  columns.field = at.x + ui.px(84);
  columns.field_width = ui.px(112);
  columns.plan = at.x + width;
  columns.now = std::round((columns.field + columns.field_width + columns.plan) / 2.0f + ui.px(4));
  return columns;
}

class SettingsTable {
public:
  SettingsTable(Frame& frame, ImVec2 at, float width, bool of_planned)
      : frame_(frame), ui_(frame.ui), columns_(columns_of(frame.ui, at, width)), y_(at.y), of_planned_(of_planned),
        settings_(of_planned ? frame.bench.document().planned : frame.bench.document().fitted) {}

  // Which camshaft the rows are about, where there are several.
  void camshafts() {
    const std::vector<Camshaft>& stated = frame_.bench.engine().camshafts;
    if (stated.size() < 2) return;
    std::vector<const char*> names;
    for (const Camshaft& camshaft : stated) names.push_back(camshaft.name.c_str());
    text(ui_, {columns_.label, y_ + (ui_.px(24) - ui_.fonts.text->FontSize) / 2.0f}, ui_.fonts.text, ui_.colours.ink,
         "camshaft");
    const ScreenRect rect{columns_.field, y_, columns_.plan, y_ + ui_.px(24)};
    if (const auto picked = segments(ui_, "camshaft", rect, names, frame_.view.camshaft))
      frame_.actions.camshaft = *picked;
    y_ += ui_.px(31);
  }

  void head() {
    text(ui_, {columns_.label, y_}, ui_.fonts.note, ui_.colours.quiet, "crank degrees, + = advanced");
    text_right(ui_, {columns_.now, y_}, ui_.fonts.note, ui_.colours.quiet, "fitted");
    text_right(ui_, {columns_.plan, y_}, ui_.fonts.note, ui_.colours.quiet, "plan");
    y_ += ui_.px(17);
  }

  // A row with a field; `put` writes an entered figure into the settings. No `cause`: its share stands elsewhere.
  template <class Put>
  void row(const char* label, const char* cause, NumberField field, const char* what, Put put) {
    const std::string name = fmt::format("{}.{}", of_planned_ ? "plan" : "fitted", field.name);
    field.name = name.c_str();
    label_at(label, ui_.px(24));
    const NumberAnswer answer = number_field(ui_, {columns_.field, y_}, columns_.field_width, field);
    if (answer.entered) {
      Fitted changed = settings_;
      put(changed, *answer.entered);
      (of_planned_ ? frame_.actions.planned : frame_.actions.fitted) = changed;
      frame_.actions.what = what;
      frame_.actions.field = name;
    }
    if (!answer.problem.empty())
      problem(answer.problem);
    else if (cause != nullptr)
      shares(cause, ui_.px(24));
    y_ += ui_.px(27);
  }

  // A row that cannot be changed here, shown when it does something.
  void plain_row(const char* label, const char* cause) {
    if (share_of(phase_of(frame_.bench.fitted()), cause) == 0.0 &&
        share_of(phase_of(frame_.bench.planned()), cause) == 0.0)
      return;
    label_at(label, ui_.px(20));
    shares(cause, ui_.px(20));
    y_ += ui_.px(22);
  }

  void sum() {
    ui_.list->AddLine({columns_.label, y_ + 1}, {columns_.plan, y_ + 1}, ui_.colours.line);
    y_ += ui_.px(5);
    text(ui_, {columns_.label, y_}, ui_.fonts.bold, ui_.colours.ink, "phase");
    text_right(ui_, {columns_.now, y_}, of_planned_ ? ui_.fonts.text : ui_.fonts.bold,
               of_planned_ ? ui_.colours.quiet : ui_.colours.ink,
               signed_deg_text(phase_of(frame_.bench.fitted()).phase_deg));
    text_right(ui_, {columns_.plan, y_}, of_planned_ ? ui_.fonts.bold : ui_.fonts.text,
               of_planned_ ? ui_.colours.ink : ui_.colours.quiet,
               signed_deg_text(phase_of(frame_.bench.planned()).phase_deg));
    const std::optional<double>& target_deg =
        (of_planned_ ? frame_.bench.planned() : frame_.bench.fitted()).target_phase_deg;
    if (target_deg && frame_.view.camshaft == frame_.bench.target_camshaft())
      text(ui_, {columns_.field, y_}, ui_.fonts.text, ui_.colours.quiet, "wanted " + signed_deg_text(*target_deg));
    y_ += ui_.px(22);
  }

  void wear() {
    const std::vector<Loop>& loops = frame_.bench.engine().loops;
    for (std::size_t i = 0; i < loops.size(); ++i) {
      const double limit_percent = loops[i].chain.wear_limit_percent;
      if (settings_.elongation_percent < limit_percent) continue;
      const std::string what = loops.size() == 1 ? "Renew the chain." : fmt::format("Renew chain {}.", i + 1);
      y_ += ui_.px(2);
      y_ += verdict_box(ui_, {columns_.label, y_}, columns_.plan - columns_.label, Verdict::warning, what,
                        {fmt::format("It is at or beyond its wear limit of {}%.", limit_percent)}) +
            ui_.px(4);
    }
  }

  [[nodiscard]] float bottom() const { return y_; }
  [[nodiscard]] const Fitted& settings() const { return settings_; }

private:
  [[nodiscard]] const PhaseBreakdown& phase_of(const State& state) const {
    return frame_.view.camshaft < state.phases.size() ? state.phases[frame_.view.camshaft] : state.phase;
  }

  void label_at(const char* label, float height) {
    text(ui_, {columns_.label, y_ + (height - ui_.fonts.text->FontSize) / 2.0f}, ui_.fonts.text, ui_.colours.ink,
         label);
  }

  void shares(const char* cause, float height) {
    const float y = y_ + (height - ui_.fonts.text->FontSize) / 2.0f;
    text_right(ui_, {columns_.now, y}, ui_.fonts.text, of_planned_ ? ui_.colours.quiet : ui_.colours.ink,
               signed_deg_text(share_of(phase_of(frame_.bench.fitted()), cause)));
    text_right(ui_, {columns_.plan, y}, ui_.fonts.text, of_planned_ ? ui_.colours.ink : ui_.colours.quiet,
               signed_deg_text(share_of(phase_of(frame_.bench.planned()), cause)));
  }

  void problem(const std::string& words) {
    const float left = columns_.field + columns_.field_width + ui_.px(6);
    const float height = paragraph_height(ui_.fonts.note, columns_.plan - left, words);
    paragraph(ui_, {left, y_ + std::round((ui_.px(24) - height) / 2.0f)}, columns_.plan - left, ui_.fonts.note,
              ui_.colours.bad, words);
  }

  Frame& frame_;
  Ui& ui_;
  Columns columns_;
  float y_;
  bool of_planned_;
  Fitted settings_;
};

// Sprockets that are neither the crank's nor a camshaft's, on whose shafts the loops of the camshaft's chain sit: each
// has a lay of its own.
std::vector<std::string> shafts_to(const Engine& engine, std::size_t camshaft) {
  std::vector<std::string> names;
  if (camshaft >= engine.camshafts.size()) return names;
  auto place = find_cam_sprocket(engine, engine.camshafts[camshaft].name);
  while (place && place->loop > 0) {
    place = find_sprocket(engine, engine.loops[place->loop].driven_from);
    if (!place) break;
    const Sprocket& sprocket = sprocket_at(engine, *place);
    if (sprocket.camshaft.empty() && place->sprocket > 0) names.push_back(sprocket.name);
  }
  return names;
}

void shaft_rows(SettingsTable& table, const Engine& engine, std::size_t camshaft) {
  for (const std::string& name : shafts_to(engine, camshaft)) {
    const auto found = table.settings().lay_of.find(name);
    const double lay = found == table.settings().lay_of.end() ? 0.0 : found->second;
    const std::string field = "lay." + name;
    const std::string label = name + " laid";
    table.row(label.c_str(), nullptr, {field.c_str(), lay, 1, -10, 10, 0, " teeth"}, "chain laid",
              [name](Fitted& settings, double value) { settings.lay_of[name] = static_cast<int>(std::lround(value)); });
  }
}

} // namespace

float settings_table(Frame& frame, ImVec2 at, float width, bool of_planned) {
  const Engine& engine = frame.bench.engine();
  const std::size_t camshaft = frame.view.camshaft;
  const Units units = frame.view.units;
  SettingsTable table(frame, at, width, of_planned);
  const Fitted& now = table.settings();
  table.camshafts();
  table.head();
  table.row("chain laid", "lay", {"lay", static_cast<double>(lay_at(now, engine, camshaft)), 1, -10, 10, 0, " teeth"},
            "chain laid", [&](Fitted& settings, double value) {
              set_lay(settings, engine, camshaft, static_cast<int>(std::lround(value)));
            });
  shaft_rows(table, engine, camshaft);
  table.row("cam key", "cam key", {"cam_key", cam_key_at(now, engine, camshaft), 1, -20, 20, 1, "°"}, "cam key",
            [&](Fitted& settings, double value) { set_cam_key(settings, engine, camshaft, value); });
  table.row("crank key", "crank key", {"crank_key", now.crank_key_deg, 1, -20, 20, 1, "°"}, "crank key",
            [](Fitted& settings, double value) { settings.crank_key_deg = value; });
  table.row("elongation", "elongation", {"elongation", now.elongation_percent, 0.1, 0, 5, 2, "%"}, "elongation",
            [](Fitted& settings, double value) { settings.elongation_percent = value; });
  if (of_planned) {
    table.plain_row("centres", "centre change");
  } else {
    const LengthField field{
        .name = "centre_change", .mm = now.centre_change_mm, .low_mm = -5, .high_mm = 5, .units = units};
    table.row("centres", "centre change", number_of(field), "centre change",
              [units](Fitted& settings, double value) { settings.centre_change_mm = entered_mm(value, units); });
  }
  table.plain_row("hole pair", "vernier");
  table.plain_row("slots", "slots");
  table.plain_row("readings", "found by readings");
  table.sum();
  table.wear();
  const std::string& refusal = frame.bench.refusal();
  if (refusal.empty()) return table.bottom() - at.y;
  const float y = table.bottom() + frame.ui.px(2);
  return y + verdict_box(frame.ui, {at.x, y}, width, Verdict::bad, "That cannot be assembled.", {refusal}) +
         frame.ui.px(4) - at.y;
}

} // namespace phasewright::viewer
