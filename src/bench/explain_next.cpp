#include "bench/explain_next.hpp"

#include "bench/reading_model.hpp"
#include "geometry/angle.hpp"
#include "mechanics/judgement.hpp"
#include "mechanics/uncertainty.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

Eigen::VectorXd figures_at(const FreshPath& path, double amount) {
  if (path.amounts.size() < 2) return path.figures[0];
  const auto after = std::upper_bound(path.amounts.begin(), path.amounts.end(), amount);
  const auto last = static_cast<std::ptrdiff_t>(path.amounts.size()) - 2;
  const auto i = static_cast<std::size_t>(std::clamp(after - path.amounts.begin() - 1, std::ptrdiff_t{0}, last));
  const double share = (amount - path.amounts[i]) / (path.amounts[i + 1] - path.amounts[i]);
  return path.figures[i] + share * (path.figures[i + 1] - path.figures[i]);
}

void add_lobes(const Mechanism& drawn, Measured& layout) {
  for (const ValveKind kind : valve_kinds) {
    const ValveMotion* motion = drawn.motion(kind);
    if (motion == nullptr) continue;
    for (const CheckAt at : {CheckAt::tappet, CheckAt::valve})
      for (const double share : {0.7, 0.4}) {
        const double greatest_mm =
            at == CheckAt::tappet ? motion->lobe().greatest_lift_mm() : motion->greatest_valve_lift_mm();
        LobeReading reading;
        reading.valve = kind;
        reading.lift_mm = std::max(0.5, std::round(2.0 * share * greatest_mm) / 2.0);
        reading.at = at;
        if (foretell_pair(drawn, reading)) layout.lobe.push_back(reading);
      }
  }
}

std::string reading_words(const Candidates& candidates, const Figure& figure) {
  const Measured& layout = candidates.layout;
  switch (figure.kind) {
  case FigureKind::stop:
    return "set the piston stop and read the wheel again, both ways";
  case FigureKind::opens:
  case FigureKind::closes: {
    const LobeReading& reading = layout.lobe[figure.reading];
    return fmt::format("read the {} {} of No. 1 at {:.2f} mm, turning forward", to_word(reading.valve),
                       *reading.at == CheckAt::tappet ? "tappet" : "valve", reading.lift_mm);
  }
  case FigureKind::clearance: {
    const ClearanceReading& reading = layout.clearance[figure.reading];
    return fmt::format("measure the {} valve's clearance at {:.0f}°", to_word(reading.valve), reading.crank_deg);
  }
  case FigureKind::pins: {
    const PinCount& count = layout.pins[figure.reading];
    return fmt::format("count the pins along the taut strand from the mark of \"{}\" to the crank's", count.camshaft);
  }
  }
  return {};
}

std::string shown(const Figure& figure, double first, double second) {
  switch (figure.kind) {
  case FigureKind::stop:
    return std::fabs(first) < 0.05
               ? std::string("the wheel stands right")
               : fmt::format("the wheel shows {:.1f}° too {}", std::fabs(first), first > 0.0 ? "much" : "little");
  case FigureKind::opens:
    return fmt::format("you read {:.1f}° and {:.1f}°", wrap_720(first), wrap_720(second));
  case FigureKind::clearance:
    return fmt::format("you read {:.2f} mm", first);
  case FigureKind::pins:
    return fmt::format("you count {:.0f}", first);
  case FigureKind::closes:
    break;
  }
  return {};
}

} // namespace

Candidates candidates_for(const Mechanism& drawn, const Measured& layout, const Instruments& instruments) {
  Candidates candidates;
  Measured& wanted = candidates.layout;
  if (const auto stop = foretell_stop(drawn.slider_crank(), stop_shares[0] * drawn.slider_crank().travel_mm()))
    wanted.stop_deg.push_back(*stop);
  add_lobes(drawn, wanted);
  if (Result<ClearanceModel> gaps = ClearanceModel::make(drawn, {}))
    for (const ValveKind kind : valve_kinds)
      if (gaps->has(kind)) wanted.clearance.push_back({kind, kind == ValveKind::inlet ? 10.0 : 710.0, 0.0});
  for (const Sprocket& sprocket : drawn.engine().loops[0].sprockets)
    if (!sprocket.camshaft.empty()) wanted.pins.push_back({sprocket.camshaft, 0});
  candidates.figures = figures_of(wanted);
  // The wheel's zero and the camshaft's small errors are about known by then from what has been read; a closed gap only
  // where a clearance has been.
  FigureErrors errors = errors_of(candidates.figures, drawn, wanted, instruments, {});
  candidates.u = errors.own;
  for (std::size_t i = 0; i < candidates.figures.size(); ++i) {
    double& u = candidates.u[static_cast<Eigen::Index>(i)];
    if (candidates.figures[i].is_angle()) u *= std::sqrt(2.0);
    if (candidates.figures[i].kind != FigureKind::clearance) continue;
    const ValveKind kind = wanted.clearance[candidates.figures[i].reading].valve;
    if (std::ranges::none_of(layout.clearance, [kind](const ClearanceReading& read) { return read.valve == kind; }))
      u = std::hypot(u, u_of_limit(instruments.dimension_mm));
  }
  return candidates;
}

Eigen::VectorXd fresh_figures(const Candidates& candidates, const FreshPath& path, double amount,
                              const FreshPath* other, double other_amount, const FreshPath& nothing_wrong) {
  Eigen::VectorXd figures = figures_at(path, amount);
  if (other != nullptr)
    figures += figures_apart(candidates.figures, figures_at(*other, other_amount), nothing_wrong.figures[0]);
  return figures;
}

std::optional<NextReading> next_reading(const Candidates& candidates, const Eigen::VectorXd& a,
                                        const Eigen::VectorXd& b, std::size_t against) {
  constexpr double worth_reading = 2.0;
  const Eigen::VectorXd apart = figures_apart(candidates.figures, a, b).cwiseAbs().cwiseQuotient(candidates.u);
  std::optional<NextReading> best;
  for (std::size_t i = 0; i < candidates.figures.size(); ++i) {
    const Figure& figure = candidates.figures[i];
    if (figure.kind == FigureKind::closes) continue; // goes with its opening
    const auto at = static_cast<Eigen::Index>(i);
    const bool pair = figure.kind == FigureKind::opens;
    const double all = pair ? std::hypot(apart[at], apart[at + 1]) : apart[at];
    if (!(all >= worth_reading) || (best && all <= best->apart)) continue;
    const double second_a = pair ? a[at + 1] : 0.0;
    const double second_b = pair ? b[at + 1] : 0.0;
    best = {fmt::format("{}. If the first is so, {}; if the {}, {}", reading_words(candidates, figure),
                        shown(figure, a[at], second_a), against == 1 ? "second" : "other",
                        shown(figure, b[at], second_b)),
            against, all};
  }
  return best;
}

} // namespace phasewright
