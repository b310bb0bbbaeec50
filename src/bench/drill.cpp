#include "bench/drill.hpp"

#include "bench/drill_bench.hpp"
#include "bench/drill_card.hpp"
#include "bench/drill_random.hpp"
#include "bench/drill_readings.hpp"
#include "mechanics/judgement.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>
#include <utility>

namespace phasewright {

namespace {

// Of a single fault; over what tells it from nothing, for chance is not to hide it.
constexpr double shown_by = 5.0;
constexpr double grossly_shown_by = 12.0; // level 1
// Each of two at once; so far that no single fault is a fair explanation of both by chance.
constexpr double each_shown_by = 8.0;
// As near as two must add up: standard uncertainties, all readings together.
constexpr double adds_up_within = 1.0;
// Nothing may touch while the apprentice turns the engine.
constexpr double least_room_mm = 0.3;
constexpr int most_choices = 60; // of kinds of fault ...
constexpr int most_tries = 15;   // ... and of faults of those kinds, so that each kind comes up as often as it can

// The draw of one drill.
class Drawing {
public:
  Drawing(std::shared_ptr<const DrillCard> card, const DrillAsk& ask)
      : card_(std::move(card)), engine_(card_->drawn.engine()), ask_(ask),
        random_({ask.seed, static_cast<std::uint64_t>(ask.level), 2}) {}

  std::optional<Drill> draw() {
    const std::vector<const DrillRow*> possible = possible_rows();
    const auto wanted = static_cast<std::size_t>(faults_of_level(ask_.level));
    if (possible.size() < wanted) return std::nullopt;
    for (int choice = 0; choice < most_choices; ++choice) {
      std::vector<const DrillRow*> rows;
      while (rows.size() < wanted) rows.push_back(&any_of(possible));
      for (int i = 0; i < most_tries; ++i) {
        std::optional<DrillTruth> truth = try_rows(rows);
        if (!truth) continue;
        if (Drill drill = drill_of(*std::move(truth)); adds_up(drill)) return drill;
      }
    }
    return std::nullopt;
  }

private:
  // The level's rows of which this card has any fault.
  [[nodiscard]] std::vector<const DrillRow*> possible_rows() const {
    std::vector<const DrillRow*> rows;
    for (const DrillRow& row : drill_rows)
      if (row.level == ask_.level && std::ranges::count(card_->faults, row.kind, &DrillFault::kind) > 0)
        rows.push_back(&row);
    return rows;
  }

  template <class T>
  const T& any_of(const std::vector<const T*>& all) {
    return *all[static_cast<std::size_t>(random_.below(static_cast<int>(all.size())))];
  }

  std::optional<DrillTruth> try_rows(const std::vector<const DrillRow*>& rows) {
    std::vector<HiddenFault> faults;
    for (const DrillRow* row : rows)
      if (std::optional<HiddenFault> one = draw_fault(*row)) faults.push_back(*std::move(one));
    if (faults.size() != rows.size()) return std::nullopt;
    if (faults.size() > 1 && !are_two(faults[0], faults[1])) return std::nullopt;
    if (!can_be_told(faults)) return std::nullopt;
    return truth_with(std::move(faults));
  }

  // Nothing where it would be more than explain weighs.
  std::optional<HiddenFault> draw_fault(const DrillRow& row) {
    std::vector<const DrillFault*> kind;
    for (const DrillFault& fault : card_->faults)
      if (fault.kind == row.kind) kind.push_back(&fault);
    const DrillFault& fault = any_of(kind);
    HiddenFault hidden{fault.key, fault.kind, fault.of, 0.0, "", ""};
    hidden.amount = amount_of(fault, row);
    if (const Fault* weighed = find_weighed(*card_, fault.key)) {
      if (weighed->has_amount()) hidden.unit = weighed->unit;
      if (weighed->has_amount() && (hidden.amount < weighed->from || hidden.amount > weighed->to)) return std::nullopt;
      hidden.words = weighed->words(hidden.amount);
    } else {
      hidden.unit = "mm";
      hidden.words = own_words(fault, hidden.amount);
    }
    return hidden;
  }

  double amount_of(const DrillFault& fault, const DrillRow& row) {
    const double more = random_.stepped(row.least, row.most, row.step);
    const double way = random_.sign();
    switch (fault.kind) {
    case DrillKind::chain_worn:
      return card_->drawn.fitted().elongation_percent + more;
    case DrillKind::wheel_slipped:
    case DrillKind::separation:
      return way * more;
    case DrillKind::lash: {
      const double drawn_mm =
          card_->drawn.motion(fault.of == to_word(ValveKind::inlet) ? ValveKind::inlet : ValveKind::exhaust)
              ->gear()
              .lash_mm;
      return drawn_mm - more >= 0.05 && way < 0.0 ? drawn_mm - more : drawn_mm + more;
    }
    case DrillKind::sprocket_off:
      return fault.side * (engine_.loops[0].chain.alignment_mm + more);
    case DrillKind::sprocket_tilted:
      return way * (tilt_limit_mm(engine_) + more);
    case DrillKind::end_float: {
      const std::array<double, 2> limits_mm = *engine_.cam_seats.at(fault.of).end_float_mm;
      return fault.side > 0.0 ? limits_mm[1] + more : std::max(0.01, limits_mm[0] - more);
    }
    case DrillKind::lay:
    case DrillKind::key_turned:
    case DrillKind::key_left_out:
    case DrillKind::turned_back:
    case DrillKind::not_hidden:
      break;
    }
    return 0.0;
  }

  static std::string own_words(const DrillFault& fault, double amount_mm) {
    if (fault.kind == DrillKind::sprocket_tilted)
      return fmt::format("the crank's sprocket stands out of square: one edge {:.2f} mm further back than the other",
                         std::fabs(amount_mm));
    if (fault.kind == DrillKind::sprocket_off)
      return fmt::format("the crank's sprocket stands {:.2f} mm {} the others", std::fabs(amount_mm),
                         amount_mm > 0.0 ? "behind" : "proud of");
    return fmt::format("the end float of camshaft \"{}\" is {:.3f} mm, {}", fault.of, amount_mm,
                       fault.side > 0.0 ? "too much" : "too little");
  }

  // Two of one kind are as good as one to learn from.
  [[nodiscard]] bool are_two(const HiddenFault& one, const HiddenFault& other) const {
    return one.kind != other.kind && go_together(*card_, *find_fault(*card_, one.key), *find_fault(*card_, other.key));
  }

  // Whether careful readings show each, and that of two none is a single other one.
  [[nodiscard]] bool can_be_told(const std::vector<HiddenFault>& faults) const {
    std::vector<FaultAmount> weighed;
    for (const HiddenFault& fault : faults) {
      if (find_weighed(*card_, fault.key) != nullptr)
        weighed.push_back({fault.key, fault.amount});
      else if (!own_fault_fits(fault))
        return false;
    }
    const Explainer& explainer = card_->explainer;
    if (weighed.empty()) return true;
    if (weighed.size() == 1) {
      const double wanted = faults.size() > 1 ? each_shown_by : ask_.level == 1 ? grossly_shown_by : shown_by;
      return explainer.apart(weighed, {}) >= wanted;
    }
    for (const Fault& single : card_->weighed) {
      const double apart = explainer.apart(weighed, {fault_within(*card_, single.name)});
      const bool is_one = single.name == weighed[0].fault || single.name == weighed[1].fault;
      if (apart < each_shown_by && (is_one || apart >= told_apart_from)) return false;
    }
    return true;
  }

  [[nodiscard]] bool own_fault_fits(const HiddenFault& fault) const {
    const double mm = std::fabs(fault.amount);
    switch (fault.kind) {
    case DrillKind::sprocket_off: {
      // And shims enough to cure it, on the shelf or behind it.
      const std::vector<double>& shims_mm =
          fault.amount > 0.0 ? card_->given.stock.shim_mm : card_->given.fitted.shim_mm;
      return mm - engine_.loops[0].chain.alignment_mm >= told_apart_from * u_feeler_mm(*card_) &&
             mm <= std::accumulate(shims_mm.begin(), shims_mm.end(), 0.0);
    }
    case DrillKind::sprocket_tilted:
      return mm - tilt_limit_mm(engine_) >= told_apart_from * std::sqrt(2.0) * u_feeler_mm(*card_);
    default: {
      const std::array<double, 2> limits_mm = *engine_.cam_seats.at(fault.of).end_float_mm;
      return std::max(limits_mm[0] - mm, mm - limits_mm[1]) >= told_apart_from * u_indicator_mm(*card_);
    }
    }
  }

  // Nothing where the drive cannot be, or a valve would come too near to its piston.
  std::optional<DrillTruth> truth_with(std::vector<HiddenFault> faults) {
    std::vector<FaultAmount> weighed;
    for (const HiddenFault& fault : faults) weighed.push_back({fault.key, fault.amount});
    const Supposed supposed = supposed_on(*card_, weighed);
    Result<Mechanism> mechanism = supposed.engine == card_->drawn.engine_shared()
                                      ? card_->drawn.refitted(supposed.fitted)
                                      : Mechanism::assemble(supposed.engine, supposed.fitted);
    if (!mechanism) return std::nullopt;
    DrillTruth truth{
        std::move(faults), *std::move(mechanism), supposed.turning, 0.0, supposed.wheel_moved_deg, {}, 0.0, 0.0, {}};
    set_surroundings(truth);
    if (!card_->gaps) return truth;
    const ClearanceModel gaps = card_->gaps->mounted_on(truth.mechanism);
    for (std::size_t i = 0; i < valve_kinds.size(); ++i)
      if (gaps.has(valve_kinds[i]) && gaps.least_axial(valve_kinds[i]).least_mm + truth.gap_mm[i] < least_room_mm)
        return std::nullopt;
    return truth;
  }

  // What is not at fault stands anywhere well within its limits.
  void set_surroundings(DrillTruth& truth) {
    truth.wheel_zero_deg = random_.stepped(-15.0, 15.0, 0.5);
    for (double& mm : truth.gap_mm) mm = random_.within(0.5 * card_->given.instruments.dimension_mm);
    truth.behind_mm = random_.within(0.3 * engine_.loops[0].chain.alignment_mm);
    for (const Camshaft& camshaft : engine_.camshafts) {
      const auto seat = engine_.cam_seats.find(camshaft.name);
      const std::array<double, 2> limits_mm = seat != engine_.cam_seats.end() && seat->second.end_float_mm
                                                  ? *seat->second.end_float_mm
                                                  : std::array{0.08, 0.16};
      const double middle_mm = (limits_mm[0] + limits_mm[1]) / 2.0;
      truth.float_mm[camshaft.name] = middle_mm + random_.within(0.1 * (limits_mm[1] - limits_mm[0]));
    }
    for (const HiddenFault& fault : truth.faults) {
      if (fault.kind == DrillKind::sprocket_off) truth.behind_mm = fault.amount;
      if (fault.kind == DrillKind::end_float) truth.float_mm[fault.of] = fault.amount;
      if (fault.kind != DrillKind::sprocket_tilted) continue;
      // It bears on the near or the far side; the other is pushed back.
      truth.tilt_mm = fault.amount;
      truth.behind_mm = std::fabs(fault.amount) / 2.0;
    }
  }

  // Explain takes it that what two faults change adds up; where it does not, nobody could put them together from
  // readings.
  [[nodiscard]] bool adds_up(const Drill& drill) const {
    if (drill.truth->faults.size() < 2) return true;
    std::vector<FaultAmount> faults;
    for (const HiddenFault& fault : drill.truth->faults) faults.push_back({fault.key, fault.amount});
    return card_->explainer.apart_from(careful_readings(drill, Errors::none).measured, faults) < adds_up_within;
  }

  Drill drill_of(DrillTruth truth) {
    Drill drill;
    drill.ask = ask_;
    drill.card = card_;
    drill.given = card_->given;
    drill.given.title = fmt::format("Drill {}, level {}", ask_.seed, ask_.level);
    drill.float_of = camshaft_to_read(truth);
    const bool read_wrongly = std::ranges::any_of(truth.faults, [](const HiddenFault& fault) {
      return fault.kind == DrillKind::wheel_slipped || fault.kind == DrillKind::turned_back;
    });
    const bool others_too = random_.below(3) == 0 && ask_.level > 1;
    drill.handed_on = read_wrongly || others_too;
    drill.truth = std::make_shared<const DrillTruth>(std::move(truth));
    if (drill.handed_on) hand_on(drill);
    return drill;
  }

  std::string camshaft_to_read(const DrillTruth& truth) {
    std::vector<std::string> judged;
    for (const DrillFault& fault : card_->faults)
      if (fault.kind == DrillKind::end_float && fault.side > 0.0) judged.push_back(fault.of);
    if (judged.empty()) return {};
    const std::string& any = judged[static_cast<std::size_t>(random_.below(static_cast<int>(judged.size())))];
    for (const HiddenFault& fault : truth.faults)
      if (fault.kind == DrillKind::end_float) return fault.of;
    return any;
  }

  std::shared_ptr<const DrillCard> card_;
  const Engine& engine_;
  DrillAsk ask_;
  DrillRandom random_;
};

} // namespace

const Engine& Drill::engine() const {
  return card->drawn.engine();
}

std::shared_ptr<const Engine> Drill::engine_shared() const {
  return card->drawn.engine_shared();
}

const std::vector<DrillFault>& Drill::faults() const {
  return card->faults;
}

Result<DrillCourse> DrillCourse::make(std::shared_ptr<const Engine> engine, const Build& build) {
  std::vector<std::shared_ptr<const DrillCard>> cards;
  for (const Fitted& fitted : fitted_on_cards(*engine, build)) {
    const Result<std::shared_ptr<const DrillCard>> card = make_drill_card(engine, build, fitted);
    if (!card) return card.problems();
    cards.push_back(*card);
  }
  return DrillCourse(std::move(cards));
}

namespace {

std::optional<Problem> level_fault(const DrillAsk& ask) {
  if (ask.level >= 1 && ask.level <= most_drill_level) return std::nullopt;
  return problem_at("level", fmt::format("{}", ask.level), fmt::format("1 to {}", most_drill_level));
}

// The card that the seed takes, and then the others: on the first the level may have nothing, or only what would have a
// valve touch. `card_at` makes them.
template <typename CardAt>
Result<Drill> draw_from(std::size_t cards, const DrillAsk& ask, const CardAt& card_at) {
  DrillRandom random({ask.seed, static_cast<std::uint64_t>(ask.level), 1});
  const auto first = static_cast<std::size_t>(random.below(static_cast<int>(cards)));
  for (std::size_t i = 0; i < cards; ++i) {
    Result<std::shared_ptr<const DrillCard>> card = card_at((first + i) % cards);
    if (!card) return card.problems();
    if (std::optional<Drill> drill = Drawing(*std::move(card), ask).draw()) return *std::move(drill);
  }
  return problem_at("level", fmt::format("{}", ask.level),
                    "one of whose faults readings of this engine would tell, and no valve touch with it: it has none");
}

} // namespace

Result<Drill> DrillCourse::draw(const DrillAsk& ask) const {
  if (const std::optional<Problem> fault = level_fault(ask)) return *fault;
  return draw_from(cards_.size(), ask,
                   [&](std::size_t i) { return Result<std::shared_ptr<const DrillCard>>(cards_[i]); });
}

Result<Drill> draw_drill(std::shared_ptr<const Engine> engine, const Build& build, const DrillAsk& ask) {
  if (const std::optional<Problem> fault = level_fault(ask)) return *fault;
  const std::vector<Fitted> cards = fitted_on_cards(*engine, build);
  return draw_from(cards.size(), ask, [&](std::size_t i) { return make_drill_card(engine, build, cards[i]); });
}

} // namespace phasewright
