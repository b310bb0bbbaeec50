// The document and all that follows from it: what is fitted, what is tried beside it, and what both come to. No screen,
// no clock. Results are computed when an input changes and at no other time.
#pragma once

#include "bench/explain.hpp"
#include "bench/plan_words.hpp"
#include "bench/spread.hpp"
#include "files/files.hpp"
#include "viewer/document.hpp"
#include "viewer/findings.hpp"
#include "viewer/lobe_curves.hpp"
#include "viewer/sought.hpp"
#include "viewer/state.hpp"

#include <array>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace phasewright::viewer {

class Workbench {
public:
  // `option` of the plan (from 0) is tried from the start. Problems: what is fitted cannot be assembled; no such
  // option.
  static Result<Workbench> open(const Opened& opened, std::size_t option = 0);

  [[nodiscard]] const Engine& engine() const { return *engine_; }
  [[nodiscard]] std::shared_ptr<const Engine> shared_engine() const { return engine_; }
  [[nodiscard]] const Build& build() const { return build_; } // with what the document says is fitted
  [[nodiscard]] const Document& document() const { return document_; }
  [[nodiscard]] const Findings& findings() const { return findings_; }
  // What may make the engine's clearances come out as nothing to worry about for the wrong reason.
  [[nodiscard]] const std::vector<std::string>& gap_cautions() const { return gap_cautions_; }
  [[nodiscard]] const State& fitted() const { return *fitted_; }
  [[nodiscard]] const State& planned() const { return *planned_; }
  [[nodiscard]] bool planned_differs() const { return planned_ != fitted_; }
  [[nodiscard]] const Plan& plan() const { return plan_; } // empty when there can be none; `plan_fault()` says why
  [[nodiscard]] const std::string& plan_fault() const { return plan_fault_; }
  // The camshaft that the target is about; index into Engine::camshafts.
  [[nodiscard]] std::size_t target_camshaft() const { return planned_camshafts(*engine_, build_.target).front(); }
  // The option of the plan that is tried, if it is one of them.
  [[nodiscard]] std::optional<std::size_t> tried_option() const;
  [[nodiscard]] const std::vector<float>& piston_drop_mm() const { return piston_drop_mm_; } // as Curves
  // How the lobe of that kind moves its follower; nothing when the engine has none.
  [[nodiscard]] const LobeCurve* lobe_curve(ValveKind kind) const;

  // Puts a changed document in place, as one entry of undo. False = it cannot be assembled: nothing is changed and
  // `refusal()` says why. What `planned` had in common with `fitted` follows when only `fitted` is changed.
  bool change(const Document& document, std::string what);
  bool change_fitted(const Fitted& fitted, std::string what);
  bool change_planned(const Fitted& planned, std::string what);
  bool change_measured(const Measured& measured, std::string what);
  bool try_option(std::size_t index);

  [[nodiscard]] bool can_undo() const { return !undo_.empty(); }
  [[nodiscard]] bool can_redo() const { return !redo_.empty(); }
  void undo();
  void redo();
  [[nodiscard]] std::string undo_what() const { return undo_.empty() ? "" : undo_.back().what; }
  [[nodiscard]] std::string redo_what() const { return redo_.empty() ? "" : redo_.back().what; }

  [[nodiscard]] const std::string& refusal() const { return refusal_; } // of the last change, empty when it was done
  // Grows with every change of the document; what is drawn from it is stale when this differs.
  [[nodiscard]] std::uint64_t revision() const { return revision_; }
  // How many times states and plans were computed, for tests of "only when an input changes".
  [[nodiscard]] int computations() const { return computations_; }

  // What takes longer than a frame is worked out on a thread of its own once it is sought, and not again while it
  // holds. `wake` is called on that thread when there is something for take_results(). Nothing until it is there.
  void seek_explanation(const std::function<void()>& wake = {});
  void seek_spread(const std::function<void()>& wake = {});
  [[nodiscard]] const Found<Explanation>* explanation() const { return explanation_.found(); }
  [[nodiscard]] const Found<std::vector<Spread>>* spread() const { return spread_.found(); }
  [[nodiscard]] bool working() const { return explanation_.busy() || spread_.busy(); }
  [[nodiscard]] bool has_results() const { return explanation_.ready() || spread_.ready(); } // to be taken
  bool take_results();      // true when something has come
  void finish_work() const; // waits for what is under way

  // As it would be opened from files that said what is on the bench; its places in them are not known.
  [[nodiscard]] Opened opened() const;

  // The build's file; empty when there is none yet.
  [[nodiscard]] const std::string& path() const { return path_; }
  // The engine's file; empty when it is compiled in.
  [[nodiscard]] const std::string& engine_path() const { return engine_path_; }
  [[nodiscard]] bool unsaved() const { return !practice_ && !same_on_file(document_, on_file_); }
  // Nothing that is done on it is to be saved from now on.
  void practise() { practice_ = true; }
  void forget_changes(); // nothing can be undone or done again
  // Where a build with no file yet might go: beside its engine file, by its title.
  [[nodiscard]] std::string suggested_path() const;
  // Nothing when it was saved, else why not. A file that is there already is written to only when it is `path()`.
  std::optional<std::string> save(const std::string& path);

private:
  struct Entry {
    Document document;
    std::string what;
  };

  Workbench() = default;
  Problems adopt(const Document& document);
  [[nodiscard]] Fitted settings_of(const PlanOption& option) const;
  Result<std::shared_ptr<const State>> compute(const Build& build, const Fitted& fitted);

  std::shared_ptr<const Engine> engine_;
  Build build_;
  Document document_;
  std::shared_ptr<const State> fitted_;
  std::shared_ptr<const State> planned_;
  Plan plan_;
  std::string plan_fault_;
  std::vector<float> piston_drop_mm_;
  std::vector<std::string> gap_cautions_;
  std::array<std::optional<LobeCurve>, 2> lobe_curves_; // inlet, exhaust
  Findings findings_;
  Sought<Explanation> explanation_;
  Sought<std::vector<Spread>> spread_;
  Opened opened_; // but for its build, and what `path_` says
  std::string path_;
  std::string engine_path_; // empty when it is compiled in
  Document on_file_;        // as it was read or saved last
  std::vector<Entry> undo_;
  std::vector<Entry> redo_;
  std::string refusal_;
  bool practice_ = false;
  std::uint64_t revision_ = 0;
  int computations_ = 0;
};

// Whether both fit the same, however their tables say it: a camshaft that is not named has the common figure.
[[nodiscard]] bool same_fit(const Fitted& a, const Fitted& b, const Engine& engine);

// Lay and key of one of the engine's camshafts: by its name where there are others it must not move.
[[nodiscard]] int lay_at(const Fitted& fitted, const Engine& engine, std::size_t camshaft);
[[nodiscard]] double cam_key_at(const Fitted& fitted, const Engine& engine, std::size_t camshaft);
void set_lay(Fitted& fitted, const Engine& engine, std::size_t camshaft, int teeth);
void set_cam_key(Fitted& fitted, const Engine& engine, std::size_t camshaft, double deg);

} // namespace phasewright::viewer
