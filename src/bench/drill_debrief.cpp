#include "bench/drill_debrief.hpp"

#include "bench/align.hpp"
#include "bench/degree.hpp"
#include "bench/drill_bench.hpp"
#include "bench/drill_card.hpp"
#include "bench/end_float.hpp"
#include "geometry/angle.hpp"
#include "mechanics/judgement.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

// Looks at the readings one by one.
class Looking {
public:
  Looking(const Drill& drill, const TakenReadings& taken, const DrillTelling& telling)
      : drill_(drill), measured_(taken.measured), lash_(taken.lash), telling_(telling), explainer_(telling.explainer()),
        careful_(DrillTelling::careful(drill)) {
    if (explainer_)
      if (const Result<Measured> right = explainer_->foretell("nothing is wrong")) right_ = *right;
    for (const HiddenFault& fault : drill.truth->faults) present_.push_back({fault.key, fault.amount});
    for (const DrillFault& fault : drill.faults())
      if (find_weighed(*drill.card, fault.key) != nullptr && careful_.tells_apart({fault.key}))
        told_by_careful_.push_back(fault.key);
  }

  std::vector<ReadingTold> all() {
    if (explainer_) {
      for (std::size_t i = 0; i < measured_.lobe.size(); ++i) add_lobe(i);
      for (std::size_t i = 0; i < measured_.clearance.size(); ++i) add_clearance(i);
      for (std::size_t i = 0; i < measured_.pins.size(); ++i) add_pins(i);
    }
    add_gap();
    add_float();
    for (const LashReading& reading : lash_) add_lash(reading);
    return std::move(told_);
  }

private:
  void add_lobe(std::size_t i) {
    const LobeReading& read = measured_.lobe[i];
    const LobeReading& right = right_.lobe[i];
    const double zero_deg = zero_shown_deg();
    ReadingTold told;
    told.reading = lobe_words(drill_.engine(), read);
    told.read = fmt::format("{:.1f}° to {:.1f}°", read.opens_deg, read.closes_deg);
    told.right =
        fmt::format("{:.1f}° to {:.1f}°", wrap_720(right.opens_deg + zero_deg), wrap_720(right.closes_deg + zero_deg));
    weigh(std::move(told), {ReadingOf::lobe, i});
  }

  void add_clearance(std::size_t i) {
    const ClearanceReading& read = measured_.clearance[i];
    ReadingTold told;
    told.reading = fmt::format("{} valve to piston at {:.0f}°", to_word(read.valve), read.crank_deg);
    told.read = fmt::format("{:.2f} mm", read.clearance_mm);
    told.right = fmt::format("{:.2f} mm", right_.clearance[i].clearance_mm);
    weigh(std::move(told), {ReadingOf::clearance, i});
  }

  void add_pins(std::size_t i) {
    ReadingTold told;
    told.reading = measured_.pins[i].camshaft.empty()
                       ? std::string("pins from mark to mark")
                       : fmt::format("pins, mark of \"{}\" to the crank's", measured_.pins[i].camshaft);
    told.read = fmt::format("{}", measured_.pins[i].pins);
    told.right = fmt::format("{}", right_.pins[i].pins);
    weigh(std::move(told), {ReadingOf::pins, i});
  }

  // By that one reading, with the stop.
  void weigh(ReadingTold told, OneReading one) {
    std::vector<OneReading> readings{one};
    if (one.of != ReadingOf::pins)
      for (std::size_t i = 0; i < measured_.stop_deg.size(); ++i) readings.push_back({ReadingOf::stop, i});
    const Explainer alone = explainer_->by_only(readings);
    told.apart = alone.apart(present_, {});
    for (const std::string& key : told_by_careful_)
      (alone.apart(present_, {fault_within(*drill_.card, key)}) >= told_apart_from ? told.rules_out : told.leaves)
          .push_back(key);
    finish(std::move(told));
  }

  void add_gap() {
    if (!measured_.gap) return;
    ReadingTold told;
    told.reading = fmt::format("feeler under straight-edge at \"{}\"", measured_.gap->under);
    told.read = fmt::format("near {:.2f} mm, far {:.2f} mm", measured_.gap->near_mm, measured_.gap->far_mm);
    told.right = fmt::format("up to {:.2f} mm", drill_.engine().loops[0].chain.alignment_mm);
    told.apart = telling_.apart_by_gap({});
    finish(std::move(told));
  }

  void add_float() {
    if (measured_.float_mm.empty()) return;
    const std::string& camshaft =
        measured_.float_of.empty() ? drill_.engine().camshafts.front().name : measured_.float_of;
    const auto seat = drill_.engine().cam_seats.find(camshaft);
    if (seat == drill_.engine().cam_seats.end() || !seat->second.end_float_mm) return;
    const auto [least_mm, most_mm] = *seat->second.end_float_mm;
    ReadingTold told;
    told.reading = fmt::format("end float of \"{}\"", camshaft);
    for (const double mm : measured_.float_mm) told.read += fmt::format("{}{:.2f}", told.read.empty() ? "" : ", ", mm);
    told.read += " mm";
    told.right = fmt::format("{:.2f} to {:.2f} mm", least_mm, most_mm);
    told.apart = telling_.apart_by_float({});
    finish(std::move(told));
  }

  void add_lash(const LashReading& reading) {
    const double drawn_mm = drill_.card->drawn.motion(reading.valve)->gear().lash_mm;
    const double real_mm = drill_.truth->mechanism.motion(reading.valve)->gear().lash_mm;
    ReadingTold told;
    told.reading = fmt::format("{} lash by feeler", to_word(reading.valve));
    told.read = fmt::format("{:.2f} mm", reading.lash_mm);
    told.right = fmt::format("{:.2f} mm", drawn_mm);
    told.apart = std::fabs(real_mm - drawn_mm) / u_feeler_mm(*drill_.card);
    finish(std::move(told));
  }

  void finish(ReadingTold told) {
    told.tells = told.apart >= told_apart_from;
    told.words = told.tells
                     ? fmt::format("shows that something is wrong, {:.0f} standard uncertainties off", told.apart)
                     : std::string("looks as it should");
    if (told.tells && !told.rules_out.empty()) {
      if (told.leaves.empty())
        told.words += "; alone it leaves nothing else";
      else
        told.words += fmt::format("; alone it leaves {} other {}", told.leaves.size(),
                                  told.leaves.size() == 1 ? "cause" : "causes");
    }
    told_.push_back(std::move(told));
  }

  // What the stop that was written says the wheel shows too much.
  [[nodiscard]] double zero_shown_deg() const {
    if (measured_.stop_deg.empty()) return 0.0;
    const Result<DegreeRead> read = read_degree(drill_.card->drawn, measured_, drill_.given.instruments);
    return read ? -read->wheel.tdc_correction_deg : 0.0;
  }

  const Drill& drill_;
  const Measured& measured_;
  const std::vector<LashReading>& lash_;
  const DrillTelling& telling_;
  const std::optional<Explainer>& explainer_;
  DrillTelling careful_;
  Measured right_; // if the card was true, on a true wheel
  std::vector<FaultAmount> present_;
  NamedFaults told_by_careful_;
  std::vector<ReadingTold> told_;
};

std::vector<std::string> beside_words(const Drill& drill, const Measured& measured) {
  Build build = drill.given;
  build.measured = measured;
  build.measured.with = drill.given.fitted;
  std::vector<std::string> words;
  if (measured.gap)
    if (const Result<Alignment> found = align(drill.engine(), build)) words.push_back(found->words);
  if (!measured.float_mm.empty())
    if (const Result<EndFloat> found = end_float(drill.engine(), build)) words.push_back(found->words);
  return words;
}

std::string list_words(const std::vector<NamedFaults>& left, std::size_t most) {
  std::string words;
  for (std::size_t i = 0; i < std::min(left.size(), most); ++i)
    words += fmt::format("{}{}", i == 0 ? "" : "; ", named_words(left[i]));
  if (left.size() > most) words += fmt::format("; and {} more", left.size() - most);
  return words;
}

void add_words(Debrief& told) {
  constexpr std::size_t most_listed = 6;
  const auto telling = std::ranges::count_if(told.readings, &ReadingTold::tells);
  told.words.push_back(fmt::format("{} of {} readings show that something is wrong.", telling, told.readings.size()));
  if (told.left_by_taken.size() > 1)
    told.words.push_back(
        fmt::format("All of them together still leave: {}.", list_words(told.left_by_taken, most_listed)));
  else
    told.words.emplace_back("All of them together leave nothing else.");
  if (told.left_by_taken.size() > told.left_by_careful.size())
    told.words.push_back(told.left_by_careful.size() > 1
                             ? fmt::format("Careful readings leave: {}.", list_words(told.left_by_careful, most_listed))
                             : std::string("Careful readings leave nothing else."));
  if (told.tells_most.tells)
    told.words.push_back(fmt::format("By itself this tells most: {}, by the card {}; it {}.", told.tells_most.reading,
                                     told.tells_most.right, told.tells_most.words));
  if (!told.explained) return;
  const Explanation& explained = *told.explained;
  if (explained.nothing_fits)
    told.words.emplace_back("The program finds nothing that fits these readings: see whether one is written wrongly.");
  else
    told.words.push_back(fmt::format("The program finds: {}, {:.0f} %.", named_words(explained.causes.front().faults),
                                     100.0 * explained.causes.front().probability));
  if (explained.next) told.words.push_back(fmt::format("The best reading next: {}.", explained.next->words));
}

// The one that leaves least; of those that leave alike, the one that shows it most.
ReadingTold told_most(const std::vector<ReadingTold>& readings) {
  const auto less = [](const ReadingTold& a, const ReadingTold& b) {
    if (a.tells != b.tells) return b.tells;
    if (a.leaves.size() != b.leaves.size()) return a.leaves.size() > b.leaves.size();
    return a.apart < b.apart;
  };
  return *std::ranges::max_element(readings, less);
}

// What they tell of what is true is then known already, and dear to work out. Of gap, float and lash it
// hangs on what was read where, not on the figures.
bool are(const TakenReadings& taken, const TakenReadings& careful) {
  const Measured& a = taken.measured;
  const Measured& b = careful.measured;
  const auto lobes = [](const LobeReading& x, const LobeReading& y) {
    return x.valve == y.valve && x.cylinder == y.cylinder && x.at == y.at && x.lift_mm == y.lift_mm &&
           x.opens_deg == y.opens_deg && x.closes_deg == y.closes_deg;
  };
  const auto clearances = [](const ClearanceReading& x, const ClearanceReading& y) {
    return x.valve == y.valve && x.crank_deg == y.crank_deg && x.clearance_mm == y.clearance_mm;
  };
  const auto lash = [](const LashReading& x, const LashReading& y) { return x.valve == y.valve; };
  return a.stop_deg == b.stop_deg && std::ranges::equal(a.lobe, b.lobe, lobes) &&
         std::ranges::equal(a.clearance, b.clearance, clearances) && a.pins == b.pins &&
         a.gap.has_value() == b.gap.has_value() && (!a.gap || a.gap->under == b.gap->under) &&
         a.float_mm.empty() == b.float_mm.empty() && a.float_of == b.float_of &&
         std::ranges::equal(taken.lash, careful.lash, lash);
}

} // namespace

Result<Debrief> debrief(const Drill& drill, const TakenReadings& taken) {
  const Result<DrillTelling> telling = DrillTelling::make(drill, taken);
  if (!telling) return telling.problems();
  Debrief told;
  for (const HiddenFault& fault : drill.truth->faults) told.truth.push_back(fault.words);
  told.readings = Looking(drill, taken, *telling).all();
  told.left_by_taken = telling->left();
  told.left_by_careful = DrillTelling::careful(drill).left();
  const TakenReadings careful = careful_readings(drill);
  if (are(taken, careful)) {
    told.tells_most = told_most(told.readings);
  } else {
    const Result<DrillTelling> all = DrillTelling::make(drill, careful);
    if (!all) return all.problems();
    told.tells_most = told_most(Looking(drill, careful, *all).all());
  }
  if (telling->explainer()) told.explained = telling->explainer()->explain(taken.measured);
  told.beside = beside_words(drill, taken.measured);
  add_words(told);
  return told;
}

} // namespace phasewright
