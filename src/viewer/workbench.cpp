#include "viewer/workbench.hpp"

#include "bench/follow.hpp"
#include "mechanics/gap_cautions.hpp"

#include <algorithm>
#include <cassert>
#include <filesystem>
#include <system_error>
#include <thread>

namespace phasewright::viewer {

namespace {

constexpr std::size_t undo_depth = 500; // a snapshot is a few hundred bytes, and as much again for each set put by

// `build` as the document has it.
Build with_document(Build build, const Document& document) {
  build.fitted = document.fitted;
  build.measured = document.measured;
  build.history = document.history;
  build.stock.shim_mm = document.shelf_mm;
  return build;
}

} // namespace

bool same_fit(const Fitted& a, const Fitted& b, const Engine& engine) {
  const auto spelt_out = [&engine](Fitted fitted) {
    for (const Camshaft& camshaft : engine.camshafts) {
      fitted.lay_of[camshaft.name] = lay_of(fitted, camshaft.name);
      fitted.cam_key_of[camshaft.name] = cam_key_of(fitted, camshaft.name);
      fitted.holes_of[camshaft.name] = holes_of(fitted, camshaft.name);
      fitted.slot_of[camshaft.name] = slot_of(fitted, camshaft.name);
      fitted.found_of[camshaft.name] = found_of(fitted, camshaft.name);
    }
    std::erase_if(fitted.lay_of, [](const auto& entry) { return entry.second == 0; });
    fitted.lay = 0;
    fitted.cam_key_deg = 0;
    fitted.holes = {};
    fitted.slot_deg = 0;
    fitted.found_deg = 0;
    return fitted;
  };
  return spelt_out(a) == spelt_out(b);
}

int lay_at(const Fitted& fitted, const Engine& engine, std::size_t camshaft) {
  return camshaft < engine.camshafts.size() ? lay_of(fitted, engine.camshafts[camshaft].name) : fitted.lay;
}

double cam_key_at(const Fitted& fitted, const Engine& engine, std::size_t camshaft) {
  return camshaft < engine.camshafts.size() ? cam_key_of(fitted, engine.camshafts[camshaft].name) : fitted.cam_key_deg;
}

void set_lay(Fitted& fitted, const Engine& engine, std::size_t camshaft, int teeth) {
  const std::string name = camshaft < engine.camshafts.size() ? engine.camshafts[camshaft].name : "";
  if (engine.camshafts.size() > 1 || fitted.lay_of.contains(name))
    fitted.lay_of[name] = teeth;
  else
    fitted.lay = teeth;
}

void set_cam_key(Fitted& fitted, const Engine& engine, std::size_t camshaft, double deg) {
  const std::string name = camshaft < engine.camshafts.size() ? engine.camshafts[camshaft].name : "";
  if (engine.camshafts.size() > 1 || fitted.cam_key_of.contains(name))
    fitted.cam_key_of[name] = deg;
  else
    fitted.cam_key_deg = deg;
}

Result<std::shared_ptr<const State>> Workbench::compute(const Build& build, const Fitted& fitted) {
  ++computations_;
  return compute_state(engine_, build, fitted);
}

Problems Workbench::adopt(const Document& document) {
  const bool first = fitted_ == nullptr;
  const Build build = with_document(build_, document);
  const bool reread = !same_clearances(document.measured, document_.measured);
  const bool refit = first || document.fitted != document_.fitted || reread;
  std::shared_ptr<const State> fitted = fitted_;
  if (refit) {
    auto computed = compute(build, document.fitted);
    if (!computed) return computed.problems();
    fitted = *computed;
  }
  std::shared_ptr<const State> planned = planned_;
  if (same_fit(document.planned, document.fitted, *engine_)) {
    planned = fitted;
  } else if (refit || planned_ == nullptr || document.planned != document_.planned) {
    auto computed = compute(build, document.planned);
    if (!computed) return computed.problems();
    planned = *computed;
  }
  // The plan goes by what the wheel showed, too.
  if (refit || !same_wheel_readings(document.measured, document_.measured)) {
    // An engine whose clearance cannot be computed yet has no plan, but its drive can still be shown.
    auto made = plan_corrections(*engine_, build);
    plan_ = made ? *std::move(made) : Plan{};
    plan_fault_ = made ? "" : first_words(made.problems());
  }
  findings_ = find_all(*engine_, build, first ? nullptr : &findings_, first ? nullptr : &build_);
  if (first || !same_readings(document.measured, document_.measured)) explanation_.outdate();
  if (first || document.fitted != document_.fitted) spread_.outdate();
  document_ = document;
  build_ = build;
  fitted_ = std::move(fitted);
  planned_ = std::move(planned);
  ++revision_;
  return {};
}

Opened Workbench::opened() const {
  Opened now = opened_;
  now.build = build_;
  if (!path_.empty()) {
    now.build_path = path_;
    now.compiled_in = false;
  }
  return now;
}

Result<Workbench> Workbench::open(const Opened& opened, std::size_t option) {
  Workbench bench;
  bench.engine_ = opened.engine;
  bench.build_ = opened.build;
  bench.opened_ = {.engine = opened.engine,
                   .build = {},
                   .engine_path = opened.engine_path,
                   .build_path = opened.build_path,
                   .compiled_in = opened.compiled_in,
                   .sources = {},
                   .cautions = opened.cautions};
  if (!opened.compiled_in) bench.path_ = opened.build_path;
  bench.gap_cautions_ = phasewright::gap_cautions(*opened.engine);
  std::error_code fault; // one that is compiled in lies in no folder
  if (std::filesystem::exists(opened.engine_path, fault)) bench.engine_path_ = opened.engine_path;
  Problems problems = bench.adopt(settled({.fitted = opened.build.fitted,
                                           .planned = opened.build.fitted,
                                           .measured = opened.build.measured,
                                           .history = opened.build.history,
                                           .shelf_mm = opened.build.stock.shim_mm}));
  if (!problems.empty()) return problems;
  for (int deg = 0; deg <= 720; ++deg)
    bench.piston_drop_mm_.push_back(static_cast<float>(bench.fitted_->mechanism.piston_drop_mm(1, deg)));
  for (const ValveKind kind : valve_kinds)
    if (const ValveMotion* motion = bench.fitted_->mechanism.motion(kind))
      bench.lobe_curves_[static_cast<std::size_t>(kind)] = viewer::lobe_curve(*motion);
  const std::size_t options = bench.plan_.options.size();
  if (option >= std::max<std::size_t>(options, 1))
    return Problem{.file = {},
                   .line = 0,
                   .column = 0,
                   .key = "--plan",
                   .found = std::to_string(option + 1),
                   .allowed = "1 to " + std::to_string(options),
                   .advice = {}};
  if (options > 0) {
    Document start = bench.document_;
    start.planned = bench.settings_of(bench.plan_.options[option]);
    // The best option may be one that cannot be assembled (a chain too short for it); then nothing is tried at first.
    [[maybe_unused]] const Problems ignored = bench.adopt(start);
  }
  bench.on_file_ = bench.document_;
  return bench;
}

bool Workbench::change(const Document& wanted, std::string what) {
  refusal_.clear();
  Document document = settled(wanted);
  if (document.planned == document_.planned) // what is tried follows what is fitted
    document.planned = follow(document_.planned, document_.fitted, document.fitted);
  if (document == document_) return true;
  const Document before = document_;
  if (const Problems problems = adopt(document); !problems.empty()) {
    refusal_ = first_words(problems);
    return false;
  }
  undo_.push_back({before, std::move(what)});
  if (undo_.size() > undo_depth) undo_.erase(undo_.begin());
  redo_.clear();
  return true;
}

void Workbench::forget_changes() {
  undo_.clear();
  redo_.clear();
}

bool Workbench::change_fitted(const Fitted& fitted, std::string what) {
  Document next = document_;
  next.fitted = fitted;
  return change(next, std::move(what));
}

bool Workbench::change_planned(const Fitted& planned, std::string what) {
  Document next = document_;
  next.planned = planned;
  return change(next, std::move(what));
}

bool Workbench::change_measured(const Measured& measured, std::string what) {
  Document next = document_;
  next.measured = measured;
  return change(next, std::move(what));
}

void Workbench::seek_explanation(const std::function<void()>& wake) {
  explanation_.seek([engine = engine_, build = build_] { return explain(*engine, build); }, wake);
}

void Workbench::seek_spread(const std::function<void()>& wake) {
  SpreadOptions options;
  // One core is the screen's.
  options.threads = static_cast<int>(std::max(2u, std::thread::hardware_concurrency()) - 1);
  spread_.seek([engine = engine_, build = build_, options] { return spread_of(*engine, build, options); }, wake);
}

bool Workbench::take_results() {
  const bool explained = explanation_.take();
  return spread_.take() || explained;
}

void Workbench::finish_work() const {
  explanation_.wait();
  spread_.wait();
}

const LobeCurve* Workbench::lobe_curve(ValveKind kind) const {
  const auto& curve = lobe_curves_[static_cast<std::size_t>(kind)];
  return curve ? &*curve : nullptr;
}

bool Workbench::try_option(std::size_t index) {
  assert(index < plan_.options.size());
  return change_planned(settings_of(plan_.options[index]), option_words(*engine_, plan_, plan_.options[index]));
}

Fitted Workbench::settings_of(const PlanOption& option) const {
  return fitted_with(*engine_, plan_, option);
}

std::optional<std::size_t> Workbench::tried_option() const {
  for (std::size_t i = 0; i < plan_.options.size(); ++i)
    if (same_fit(settings_of(plan_.options[i]), document_.planned, *engine_)) return i;
  return std::nullopt;
}

void Workbench::undo() {
  if (undo_.empty()) return;
  Entry entry = std::move(undo_.back());
  undo_.pop_back();
  redo_.push_back({document_, entry.what});
  refusal_.clear();
  [[maybe_unused]] const Problems problems = adopt(entry.document);
  assert(problems.empty()); // it stood before
}

void Workbench::redo() {
  if (redo_.empty()) return;
  Entry entry = std::move(redo_.back());
  redo_.pop_back();
  undo_.push_back({document_, entry.what});
  refusal_.clear();
  [[maybe_unused]] const Problems problems = adopt(entry.document);
  assert(problems.empty());
}

} // namespace phasewright::viewer
