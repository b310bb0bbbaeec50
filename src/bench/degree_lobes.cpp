// Lobe centres and phase from pairs of lobe readings.
#include "bench/degree_parts.hpp"
#include "geometry/angle.hpp"
#include "mechanics/events.hpp"
#include "mechanics/judgement.hpp"
#include "mechanics/uncertainty.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

double flank_u_deg(const Flank& flank, double duration_deg, const Instruments& instruments) {
  const double by_lift_deg =
      std::fmin(u_of_limit(instruments.indicator_mm) / std::fabs(flank.mm_per_deg), duration_deg / 2.0);
  return std::hypot(u_of_limit(instruments.wheel_deg), by_lift_deg);
}

namespace {

struct Line {
  double slope = 0;
  double u = 0;
};

// Weighted straight line through the pairs of a lobe that were kept: `figure(pair)` against lift.
template <class Figure>
std::optional<Line> line_over_lift(const std::vector<const PairFit*>& kept, const std::vector<LobeReading>& readings,
                                   Figure figure) {
  double weights = 0.0, lift_mm = 0.0, mean = 0.0;
  for (const PairFit* pair : kept) {
    const double weight = 1.0 / (pair->read.u_deg * pair->read.u_deg);
    weights += weight;
    lift_mm += weight * readings[pair->read.reading].lift_mm;
    mean += weight * figure(*pair);
  }
  lift_mm /= weights;
  mean /= weights;
  double spread = 0.0, slope = 0.0;
  for (const PairFit* pair : kept) {
    const double from_mm = readings[pair->read.reading].lift_mm - lift_mm;
    const double weight = 1.0 / (pair->read.u_deg * pair->read.u_deg);
    spread += weight * from_mm * from_mm;
    slope += weight * from_mm * (figure(*pair) - mean);
  }
  slope /= spread;
  double squares = 0.0;
  for (const PairFit* pair : kept) {
    const double on_line = mean + slope * (readings[pair->read.reading].lift_mm - lift_mm);
    squares += std::pow((figure(*pair) - on_line) / pair->read.u_deg, 2);
  }
  const double widened = birge_ratio(squares, static_cast<double>(kept.size()) - 2.0).value_or(1.0);
  return Line{slope, widened / std::sqrt(spread)};
}

void fit_asymmetry(const std::vector<const PairFit*>& kept, const std::vector<LobeReading>& readings, LobeRead& lobe) {
  const auto lift_mm = [&](const PairFit* pair) { return readings[pair->read.reading].lift_mm; };
  const auto [low, high] = std::ranges::minmax_element(kept, {}, lift_mm);
  constexpr double same_lift_mm = 1e-6;
  if (lift_mm(*high) - lift_mm(*low) < same_lift_mm) return;
  // Lifts at the tappet and at the valve do not go on one line.
  if (std::ranges::any_of(kept, [&](const PairFit* pair) { return pair->at != kept[0]->at; })) return;
  const double first_deg = kept[0]->read.foretold_deg;
  const std::optional<Line> drawn = line_over_lift(
      kept, readings, [&](const PairFit& pair) { return wrap_half_cycle(pair.read.foretold_deg - first_deg); });
  const std::optional<Line> more = line_over_lift(kept, readings, [](const PairFit& pair) { return pair.late_deg; });
  lobe.drawn_asymmetry_deg_per_mm = drawn->slope;
  lobe.asymmetry_deg_per_mm = drawn->slope + more->slope;
  lobe.u_asymmetry_deg_per_mm = more->u;
  lobe.leans = std::fabs(more->slope) > coverage * more->u;
}

// What the pairs of one lobe say, before the wheel's zero is added.
struct LobeFit {
  LobeRead read;
  double late_deg = 0;
  double u_own_deg = 0;
  bool counts = false; // some of its pairs were kept
};

Result<LobeFit> fit_lobe(const Mechanism& mechanism, const std::vector<LobeReading>& readings,
                         const std::vector<const PairFit*>& pairs, const WheelZero& wheel) {
  const LobeReading& first = readings[pairs[0]->read.reading];
  LobeFit fit;
  fit.read.valve = first.valve;
  fit.read.cylinder = first.cylinder;
  fit.read.camshaft = pairs[0]->camshaft;
  std::vector<const PairFit*> kept;
  std::ranges::copy_if(pairs, std::back_inserter(kept), [](const PairFit* pair) { return !pair->read.left_out; });
  fit.counts = !kept.empty();
  if (kept.empty()) kept = pairs;
  std::vector<double> late_deg;
  std::vector<double> u_deg;
  for (const PairFit* pair : kept) {
    late_deg.push_back(pair->late_deg);
    u_deg.push_back(pair->read.u_deg);
  }
  const WeightedMean mean = weighted_mean(late_deg, u_deg);
  fit.late_deg = mean.mean;
  fit.u_own_deg = mean.u;
  fit.read.scattered = mean.scattered;
  fit.read.u_deg = std::hypot(mean.u, wheel.u_deg);
  fit_asymmetry(kept, readings, fit.read);
  for (const PairFit* pair : pairs) {
    fit.read.pairs.push_back(pair->read);
    fit.read.pairs.back().left_deg = pair->late_deg - mean.mean;
  }

  const Camshaft& camshaft = mechanism.engine().camshafts[fit.read.camshaft];
  const bool inlet = first.valve == ValveKind::inlet;
  fit.read.card_deg = (inlet ? camshaft.inlet : camshaft.exhaust)->centre_deg;
  LobeReading at_check = first;
  at_check.lift_mm = camshaft.check_lift_mm;
  at_check.at = camshaft.check_at;
  const std::optional<FlankPair> check = foretell_pair(mechanism, at_check);
  if (!check) return valve_events(mechanism).problems();
  const double after_deg = wrap_720(check->middle_deg() - cylinder_delay_deg(mechanism.engine().block, first.cylinder));
  fit.read.drawn_deg = inlet ? after_deg : 720.0 - after_deg;
  fit.read.centre_deg = wrap_720(inlet ? fit.read.drawn_deg + fit.late_deg : fit.read.drawn_deg - fit.late_deg);
  return fit;
}

WeightedMean mean_of(const std::vector<const LobeFit*>& lobes) {
  std::vector<double> late_deg;
  std::vector<double> u_deg;
  for (const LobeFit* lobe : lobes) {
    late_deg.push_back(lobe->late_deg);
    u_deg.push_back(lobe->u_own_deg);
  }
  return weighted_mean(late_deg, u_deg);
}

CamshaftRead fit_camshaft(const Mechanism& mechanism, std::size_t index, const std::vector<const LobeFit*>& lobes,
                          const WheelZero& wheel) {
  CamshaftRead read;
  read.camshaft = index;
  const WeightedMean all = mean_of(lobes);
  read.drawn_phase_deg = mechanism.drive().phase_deg(index);
  read.found_deg = found_of(mechanism.fitted(), mechanism.engine().camshafts[index].name);
  read.extra_deg = -all.mean;
  read.phase_deg = read.drawn_phase_deg + read.extra_deg;
  read.u_own_deg = all.u;
  read.u_deg = std::hypot(all.u, wheel.u_deg);
  read.off_card = std::fabs(read.phase_deg) > coverage * read.u_deg;
  read.off_drawn = std::fabs(read.extra_deg) > coverage * read.u_deg;
  std::vector<const LobeFit*> inlets;
  std::vector<const LobeFit*> exhausts;
  for (const LobeFit* lobe : lobes) (lobe->read.valve == ValveKind::inlet ? inlets : exhausts).push_back(lobe);
  if (inlets.empty() || exhausts.empty()) return read;
  const WeightedMean inlet = mean_of(inlets);
  const WeightedMean exhaust = mean_of(exhausts);
  read.lobes_apart_deg = inlet.mean - exhaust.mean; // late is less phase
  read.lobes_disagree = std::fabs(*read.lobes_apart_deg) > coverage * std::hypot(inlet.u, exhaust.u);
  return read;
}

// Among all pairs read on one camshaft.
void leave_out(std::size_t camshaft, const std::vector<LobeReading>& readings, std::vector<PairFit>& pairs,
               std::vector<std::string>& outliers) {
  std::vector<PairFit*> on_it;
  std::vector<double> late_deg;
  std::vector<double> u_deg;
  for (PairFit& pair : pairs) {
    if (pair.camshaft != camshaft) continue;
    on_it.push_back(&pair);
    late_deg.push_back(pair.late_deg);
    u_deg.push_back(pair.read.u_deg);
  }
  // The only reading of a valve may be right, and the lobes ground unlike.
  const auto may_go = [&](std::size_t index, const std::vector<bool>& kept) {
    for (std::size_t i = 0; i < on_it.size(); ++i)
      if (i != index && kept[i] && readings[on_it[i]->read.reading].valve == readings[on_it[index]->read.reading].valve)
        return true;
    return false;
  };
  for (const Outlier& out : find_outliers(late_deg, u_deg, may_go)) {
    PairRead& pair = on_it[out.index]->read;
    pair.left_out = true;
    const LobeReading& reading = readings[pair.reading];
    outliers.push_back(fmt::format(
        "reading {} ({} of No. {} at {:.2f} mm): its middle comes {:.1f}° {} by what the {} others say; left out, "
        "read it again",
        pair.reading + 1, to_word(reading.valve), reading.cylinder, reading.lift_mm, std::fabs(out.off_deg),
        out.off_deg > 0.0 ? "late" : "early", out.others));
  }
}

} // namespace

std::optional<PairFit> fit_pair(const Mechanism& mechanism, const LobeReading& reading, double correction_deg,
                                const Instruments& instruments) {
  const std::optional<FlankPair> drawn = foretell_pair(mechanism, reading);
  if (!drawn) return std::nullopt;
  PairFit fit;
  fit.camshaft = mechanism.motion(reading.valve)->camshaft_index();
  fit.at = reading_at(mechanism.engine(), reading);
  fit.read.duration_deg = wrap_720(reading.closes_deg - reading.opens_deg);
  fit.read.foretold_deg = drawn->middle_deg();
  fit.read.foretold_duration_deg = drawn->duration_deg();
  fit.read.u_duration_deg = std::hypot(flank_u_deg(drawn->opens, drawn->duration_deg(), instruments),
                                       flank_u_deg(drawn->closes, drawn->duration_deg(), instruments));
  fit.read.u_deg = fit.read.u_duration_deg / 2.0;
  // Close to the nose the sides may be read the wrong way round within what they are known to.
  constexpr double most_u = 6.0;
  if (std::fabs(fit.read.duration_deg - 720.0 - fit.read.foretold_duration_deg) < most_u * fit.read.u_duration_deg)
    fit.read.duration_deg -= 720.0;
  fit.read.middle_deg = wrap_720(reading.opens_deg + fit.read.duration_deg / 2.0 + correction_deg);
  // The chain's ripple stays with the crank while the camshaft moves: foretold again where the reading has it.
  fit.late_deg = wrap_half_cycle(fit.read.middle_deg - fit.read.foretold_deg);
  constexpr int corrections = 2; // each leaves a hundredth of the one before
  for (int i = 0; i < corrections; ++i) {
    const FlankPair moved = *foretell_pair(mechanism, reading, Turning::forward, -fit.late_deg);
    fit.late_deg += wrap_half_cycle(fit.read.middle_deg - moved.middle_deg());
  }
  return fit;
}

Problems fit_lobes(const Mechanism& mechanism, const Measured& measured, std::vector<PairFit> pairs, DegreeRead& read) {
  const std::size_t camshafts = mechanism.engine().camshafts.size();
  for (std::size_t camshaft = 0; camshaft < camshafts; ++camshaft)
    leave_out(camshaft, measured.lobe, pairs, read.outliers);
  std::map<std::pair<int, ValveKind>, std::vector<const PairFit*>> by_lobe;
  for (const PairFit& pair : pairs) {
    const LobeReading& reading = measured.lobe[pair.read.reading];
    by_lobe[{reading.cylinder, reading.valve}].push_back(&pair);
  }
  std::vector<LobeFit> lobes;
  for (const auto& [which, of_lobe] : by_lobe) {
    Result<LobeFit> lobe = fit_lobe(mechanism, measured.lobe, of_lobe, read.wheel);
    if (!lobe) return lobe.problems();
    lobes.push_back(*std::move(lobe));
  }
  for (const LobeFit& lobe : lobes) read.lobes.push_back(lobe.read);
  for (std::size_t camshaft = 0; camshaft < camshafts; ++camshaft) {
    std::vector<const LobeFit*> on_it;
    for (const LobeFit& lobe : lobes)
      if (lobe.counts && lobe.read.camshaft == camshaft) on_it.push_back(&lobe);
    if (!on_it.empty()) read.camshafts.push_back(fit_camshaft(mechanism, camshaft, on_it, read.wheel));
  }
  return {};
}

} // namespace phasewright
