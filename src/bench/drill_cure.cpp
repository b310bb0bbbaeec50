#include "bench/drill_cure.hpp"

#include "bench/align.hpp"
#include "bench/drill_bench.hpp"
#include "bench/drill_card.hpp"
#include "bench/plan.hpp"
#include "bench/plan_words.hpp"
#include "bench/standing.hpp"
#include "mechanics/judgement.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

namespace phasewright {

namespace {

double sum_of(const std::vector<double>& pieces_mm) {
  return std::accumulate(pieces_mm.begin(), pieces_mm.end(), 0.0);
}

bool does(const Cure& cure, DrillWork work) {
  return std::ranges::find(cure.works, work) != cure.works.end();
}

bool names(const NamedFaults& named, DrillKind kind, const DrillCard& card) {
  return std::ranges::any_of(named, [&](const std::string& key) { return find_fault(card, key)->kind == kind; });
}

// What stands where the work is done and where it is left.
class Workshop {
public:
  Workshop(const Drill& drill, const NamedFaults& named, const Cure& cure)
      : drill_(drill), card_(*drill.card), named_(named), cure_(cure) {}

  [[nodiscard]] Fitted fitted() const {
    std::vector<FaultAmount> as_named;
    for (const std::string& key : named_)
      if (find_fault(card_, key)->kind != DrillKind::chain_worn) as_named.push_back({key, 0.0});
    // Of a fault with an amount what is fitted does not change, but for the chain.
    const Fitted believed = supposed_on(card_, as_named).fitted;
    Fitted real = drill_.truth->mechanism.fitted();
    const Fitted& wanted = cure_.fitted;
    const auto work = [](auto& at, const auto& was, const auto& becomes) {
      if (!(was == becomes)) at = becomes;
    };
    work(real.crank_key_deg, believed.crank_key_deg, wanted.crank_key_deg);
    for (const Camshaft& camshaft : drill_.engine().camshafts) {
      const std::string& name = camshaft.name;
      int lay = lay_of(real, name);
      double key_deg = cam_key_of(real, name);
      HolePair holes = holes_of(real, name);
      double slot_deg = slot_of(real, name);
      work(lay, lay_of(believed, name), lay_of(wanted, name));
      work(key_deg, cam_key_of(believed, name), cam_key_of(wanted, name));
      work(holes, holes_of(believed, name), holes_of(wanted, name));
      work(slot_deg, slot_of(believed, name), slot_of(wanted, name));
      real.lay_of[name] = lay;
      real.cam_key_of[name] = key_deg;
      real.holes_of[name] = holes;
      real.slot_of[name] = slot_deg;
    }
    // Sprockets that drive a later chain.
    for (const Loop& loop : drill_.engine().loops)
      for (const Sprocket& sprocket : loop.sprockets)
        if (sprocket.camshaft.empty() && lay_at(believed, sprocket) != lay_at(wanted, sprocket))
          real.lay_of[sprocket.name] = lay_at(wanted, sprocket);
    real.vernier = wanted.vernier;
    real.shim_mm = wanted.shim_mm;
    const double on_card = card_.drawn.fitted().elongation_percent;
    const bool renewed = wanted.elongation_percent < on_card ||
                         (wanted.elongation_percent == on_card && names(named_, DrillKind::chain_worn, card_));
    if (renewed) real.elongation_percent = wanted.elongation_percent;
    return real;
  }

  // Lobes and lash as they are then, and the closed gaps as they are.
  [[nodiscard]] std::shared_ptr<const Engine> engine() const {
    std::vector<FaultAmount> left;
    for (const HiddenFault& fault : drill_.truth->faults)
      if (!mended(fault)) left.push_back({fault.key, fault.amount});
    auto engine = std::make_shared<Engine>(*supposed_on(card_, left).engine);
    if (engine->inlet_valve) engine->inlet_valve->closed_height_mm += drill_.truth->gap_mm[0];
    if (engine->exhaust_valve) engine->exhaust_valve->closed_height_mm += drill_.truth->gap_mm[1];
    return engine;
  }

  [[nodiscard]] bool mended(const HiddenFault& fault) const {
    if (fault.kind == DrillKind::lash)
      return does(cure_,
                  fault.of == to_word(ValveKind::inlet) ? DrillWork::set_inlet_lash : DrillWork::set_exhaust_lash);
    return fault.kind == DrillKind::separation && does(cure_, DrillWork::renew_camshaft);
  }

private:
  const Drill& drill_;
  const DrillCard& card_;
  const NamedFaults& named_;
  const Cure& cure_;
};

double centre_of(const Mechanism& mechanism, ValveKind kind) {
  const ValveMotion& motion = *mechanism.motion(kind);
  const double phase_deg = mechanism.drive().phase_deg(motion.camshaft_index());
  return motion.gear().centre_deg + (kind == ValveKind::inlet ? -phase_deg : phase_deg);
}

std::string centre_words(const CentreCured& centre) {
  return fmt::format("the {} lobe centre comes to {:.1f}°, {:.1f}° is wanted and {:.1f}° is what it may be off",
                     to_word(centre.valve), centre.centre_deg, centre.wanted_deg, centre.limit_deg);
}

void judge_centres(const Drill& drill, const Mechanism& after, CureJudged& judged) {
  for (std::size_t i = 0; i < valve_kinds.size(); ++i) {
    const ValveKind kind = valve_kinds[i];
    const ValveMotion* motion = after.motion(kind);
    if (motion == nullptr) continue;
    judged.centres.push_back({kind, after.engine().camshafts[motion->camshaft_index()].name, centre_of(after, kind),
                              centre_of(drill.card->drawn, kind), coverage * drill.card->u_centre_deg[i]});
    if (!judged.centres.back().on_target()) judged.words.push_back(centre_words(judged.centres.back()));
  }
}

void judge_clearance(const Drill& drill, const Mechanism& after, CureJudged& judged) {
  Build build = drill.given;
  build.measured = {};
  const Standing standing = standing_of(after, build);
  judged.safe = standing.safe();
  if (judged.safe == false)
    judged.words.push_back(standing.fault.empty() ? "a clearance comes below its limit, now or with the chain worn"
                                                  : standing.fault);
}

void judge_sprocket(const Drill& drill, const Cure& cure, CureJudged& judged) {
  const DrillTruth& truth = *drill.truth;
  const double limit_mm = drill.engine().loops[0].chain.alignment_mm;
  const bool squared = does(cure, DrillWork::square_sprocket);
  const double u_mm = u_feeler_mm(*drill.card);
  judged.square = squared || std::fabs(truth.tilt_mm) <= tilt_limit_mm(drill.engine());
  // A sprocket that bears all round stands where its back edge did not let it.
  const double was_mm = squared ? truth.behind_mm - std::fabs(truth.tilt_mm) / 2.0 : truth.behind_mm;
  judged.behind_mm = was_mm - (sum_of(cure.fitted.shim_mm) - sum_of(drill.card->drawn.fitted().shim_mm));
  judged.level = std::fabs(judged.behind_mm) <= limit_mm + coverage * u_mm;
  if (!judged.square) judged.words.emplace_back("the crank's sprocket is still out of square");
  if (!judged.level && judged.square)
    judged.words.push_back(fmt::format("the crank's sprocket stands {:.2f} mm {} the others, {:.2f} mm is allowed",
                                       std::fabs(judged.behind_mm), judged.behind_mm > 0.0 ? "behind" : "proud of",
                                       limit_mm));
}

void judge_float(const Drill& drill, const Cure& cure, CureJudged& judged) {
  for (const auto& [camshaft, real_mm] : drill.truth->float_mm) {
    const auto seat = drill.engine().cam_seats.find(camshaft);
    if (seat == drill.engine().cam_seats.end() || !seat->second.end_float_mm) continue;
    const auto change = cure.float_change_mm.find(camshaft);
    const double after_mm = real_mm + (change == cure.float_change_mm.end() ? 0.0 : change->second);
    const auto [least_mm, most_mm] = *seat->second.end_float_mm;
    if (after_mm >= least_mm && after_mm <= most_mm) continue;
    judged.float_right = false;
    judged.words.push_back(
        fmt::format("the end float of camshaft \"{}\" comes to {:.3f} mm, {:.2f} to {:.2f} mm is wanted", camshaft,
                    after_mm, least_mm, most_mm));
  }
}

} // namespace

double centre_on_card_deg(const Drill& drill, ValveKind kind) {
  return centre_of(drill.card->drawn, kind);
}

const char* to_word(DrillWork work) {
  switch (work) {
  case DrillWork::set_inlet_lash:
    return "set the inlet lash";
  case DrillWork::set_exhaust_lash:
    return "set the exhaust lash";
  case DrillWork::renew_camshaft:
    return "fit a camshaft with true lobes";
  case DrillWork::square_sprocket:
    return "set the crank's sprocket square";
  }
  return "";
}

bool CentreCured::on_target() const {
  return std::fabs(centre_deg - wanted_deg) <= limit_deg;
}

Result<CureJudged> judge_cure(const Drill& drill, const NamedFaults& named, const Cure& cure) {
  if (Problems problems = answer_problems(drill, named); !problems.empty()) return problems;
  const Workshop workshop(drill, named, cure);
  const Result<Mechanism> after = Mechanism::assemble(workshop.engine(), workshop.fitted());
  if (!after) return after.problems();
  CureJudged judged;
  judge_centres(drill, *after, judged);
  judge_clearance(drill, *after, judged);
  judge_sprocket(drill, cure, judged);
  judge_float(drill, cure, judged);
  for (const HiddenFault& fault : drill.truth->faults)
    if (fault.kind == DrillKind::lash && !workshop.mended(fault)) {
      judged.lash_right = false;
      judged.words.push_back(fmt::format("the {} valves' lash is left wrong", fault.of));
    }
  judged.right = judged.words.empty();
  if (judged.right)
    judged.words.emplace_back(judged.safe
                                  ? "the engine is then what the card says, and its valves keep clear"
                                  : "the engine is then what the card says; whether its valves keep clear is not "
                                    "worked out, for want of their dimensions");
  return judged;
}

namespace {

void mend(const Drill& drill, const HiddenFault& fault, Cure& cure) {
  switch (fault.kind) {
  case DrillKind::lash:
    cure.works.push_back(fault.of == to_word(ValveKind::inlet) ? DrillWork::set_inlet_lash
                                                               : DrillWork::set_exhaust_lash);
    break;
  case DrillKind::separation:
    cure.works.push_back(DrillWork::renew_camshaft);
    break;
  case DrillKind::sprocket_tilted:
    cure.works.push_back(DrillWork::square_sprocket);
    break;
  case DrillKind::end_float: {
    const std::array<double, 2> limits_mm = *drill.engine().cam_seats.at(fault.of).end_float_mm;
    cure.float_change_mm[fault.of] = (limits_mm[0] + limits_mm[1]) / 2.0 - fault.amount;
    break;
  }
  case DrillKind::chain_worn:
    cure.fitted.elongation_percent = 0.0;
    break;
  case DrillKind::sprocket_off: {
    Build build = drill.given;
    build.measured = careful_readings(drill, Errors::none).measured;
    if (const Result<Alignment> found = align(drill.engine(), build))
      cure.fitted.shim_mm = found->behind_after.pieces_mm;
    break;
  }
  case DrillKind::lay:
  case DrillKind::key_turned:
  case DrillKind::key_left_out:
  case DrillKind::wheel_slipped:
  case DrillKind::turned_back:
  case DrillKind::not_hidden:
    break; // what the card says, and reading anew
  }
}

std::string mending_words(const Drill& drill, const HiddenFault& fault, const Cure& cure) {
  switch (fault.kind) {
  case DrillKind::lay:
    return "Lay the chain by its marks as the card has it, and count the pins.";
  case DrillKind::key_turned:
    return "Take the key out and fit it the other way round, its step as the card says.";
  case DrillKind::key_left_out:
    return "Fit the offset key that the card has in place of the straight one.";
  case DrillKind::wheel_slipped:
    return "Nothing on the engine. Clamp the wheel, read the stop again both ways, then the lobes.";
  case DrillKind::turned_back:
    return "Nothing on the engine. Read the lobes again, always turning forward into the reading.";
  case DrillKind::lash:
    return fmt::format("Set the lash of the {} valves to what the maker gives.", fault.of);
  case DrillKind::separation:
    return "Another camshaft: no key or tooth moves the lobes of one camshaft against each other.";
  case DrillKind::sprocket_tilted:
    return "Take the crank's sprocket off, see why it does not bear all round, and set it square. Shims do not cure "
           "it.";
  case DrillKind::sprocket_off:
    return fmt::format("Shims behind the crank's sprocket: {:.2f} mm in all, where the card has {:.2f} mm.",
                       sum_of(cure.fitted.shim_mm), sum_of(drill.card->drawn.fitted().shim_mm));
  case DrillKind::end_float: {
    const double change_mm = cure.float_change_mm.at(fault.of);
    return fmt::format("A retaining plate {:.3f} mm {}.", std::fabs(change_mm),
                       change_mm > 0.0 ? "thinner" : "thicker, or what is worn renewed");
  }
  case DrillKind::chain_worn:
  case DrillKind::not_hidden:
    break;
  }
  return "A new chain.";
}

// Where the new chain puts the camshafts elsewhere than the worn one that the card speaks of.
std::optional<std::string> plan_for_new_chain(const Drill& drill, Cure& cure) {
  const Result<CureJudged> judged = judge_cure(drill, true_faults(drill), cure);
  if (!judged || std::ranges::all_of(judged->centres, [](const CentreCured& centre) { return centre.on_target(); }))
    return std::nullopt;
  Build build = drill.given;
  build.fitted = cure.fitted;
  build.measured = {};
  const Result<Plan> plan = plan_corrections(drill.engine(), build);
  if (!plan || plan->options.empty() || !plan->options.front().safe) return std::nullopt;
  cure.fitted = fitted_with(drill.engine(), *plan, plan->options.front());
  return fmt::format("With it, as the plan has it: {}.", option_words(drill.engine(), *plan, plan->options.front()));
}

} // namespace

RightCure right_cure(const Drill& drill) {
  RightCure right;
  right.cure.fitted = drill.card->drawn.fitted();
  for (const HiddenFault& fault : drill.truth->faults) {
    mend(drill, fault, right.cure);
    right.words.push_back(mending_words(drill, fault, right.cure));
    if (fault.kind == DrillKind::chain_worn)
      if (const std::optional<std::string> more = plan_for_new_chain(drill, right.cure)) right.words.push_back(*more);
  }
  return right;
}

} // namespace phasewright
