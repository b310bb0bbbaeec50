// A drill under way: the instruments in the apprentice's hand, what they name and plan, and what came of it.
#pragma once

#include "bench/drill_bench.hpp"
#include "bench/drill_cure.hpp"
#include "bench/drill_debrief.hpp"
#include "bench/drill_judge.hpp"

#include <array>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace phasewright::viewer {

// The answer once it has been handed in.
struct DrillHanded {
  FaultsJudged faults;
  CureJudged cure;
  RightCure right;
  Debrief debrief;
};

// What the instruments show where the crank stands.
struct DrillShown {
  double wheel_deg = 0;
  // By kind of valve, of No. 1; nothing where the engine has none, or its file no such dimensions.
  std::array<std::optional<double>, 2> indicator_mm{};
  std::array<std::optional<double>, 2> lash_mm{}; // 0 = the cam lifts it
  std::array<std::optional<double>, 2> to_piston_mm{};
  struct Gap {
    std::string under; // sprocket of the crank's chain
    double near_mm = 0;
    double far_mm = 0;
  };
  std::vector<Gap> gaps;
  std::vector<std::pair<std::string, double>> float_mm;         // by camshaft
  std::vector<std::pair<std::string, std::optional<int>>> pins; // likewise; nothing = not where the crank stands
};

class DrillRun {
public:
  explicit DrillRun(Drill drill);

  [[nodiscard]] const Drill& drill() const { return drill_; }
  [[nodiscard]] const DrillBench& bench() const { return bench_; }
  // To be called when the crank may have been turned; reads only what may have changed.
  void look(double crank_deg, Turning turning);
  [[nodiscard]] const DrillShown& shown() const { return shown_; }

  // A piston stop, its rod at one of two lengths, 0 and 1; none at first.
  [[nodiscard]] std::optional<int> rod() const { return rod_; }
  void put_stop_in(std::optional<int> rod) { rod_ = rod; }
  // The one that is in.
  [[nodiscard]] std::optional<PistonStop> stop() const;

  // Reading anew gives another draw; it is done by hand, or by writing something down.
  [[nodiscard]] int number() const { return number_; }
  void read_anew() { ++number_; }
  CheckAt where = CheckAt::tappet; // the indicator stands

  void write_lash(ValveKind valve, double lash_mm);
  [[nodiscard]] const std::vector<LashReading>& lash() const { return lash_; }

  // Named, or not any more. Where that is more than the level hides, the one that was named first is not any more.
  void name(const std::string& key);
  [[nodiscard]] const NamedFaults& named() const { return named_; }
  void plan_work(DrillWork work);
  [[nodiscard]] const std::vector<DrillWork>& works() const { return works_; }
  std::optional<double> float_change_mm; // planned for Drill::float_of

  [[nodiscard]] Cure cure(const Fitted& planned) const;
  [[nodiscard]] TakenReadings taken(const Measured& measured) const { return {measured, lash_}; }

  std::optional<DrillHanded> handed;
  std::string fault; // why it could not be judged

private:
  Drill drill_;
  DrillBench bench_;
  std::optional<int> rod_;
  int number_ = 0;
  DrillShown shown_;
  struct LookedAt {
    double crank_deg = 0;
    Turning turning = Turning::forward;
    int number = 0;
    CheckAt where = CheckAt::tappet;
    friend bool operator==(const LookedAt&, const LookedAt&) = default;
  };
  std::optional<LookedAt> looked_at_;
  std::vector<std::string> counted_; // camshafts whose marks can be counted from
  std::vector<LashReading> lash_;
  NamedFaults named_;
  std::vector<DrillWork> works_;
};

// Long work, for a thread of its own. Problems: as judge_faults, judge_cure and debrief.
[[nodiscard]] Result<DrillHanded> hand_in(const Drill& drill, const NamedFaults& named, const Cure& cure,
                                          const TakenReadings& taken);

} // namespace phasewright::viewer
