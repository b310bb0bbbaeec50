#include "bench/explain_figures.hpp"

#include "bench/degree_parts.hpp"
#include "bench/mark_count.hpp"
#include "bench/reading_model.hpp"
#include "geometry/angle.hpp"
#include "mechanics/judgement.hpp"
#include "mechanics/uncertainty.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace phasewright {

namespace {

// Counting pins one is right or wrong by whole ones.
constexpr double u_pins = 0.2;
// Standard uncertainty of a wheel's zero of which only a piston stop will tell.
constexpr double u_unset_wheel_deg = 60.0;

Eigen::Index index(std::size_t i) {
  return static_cast<Eigen::Index>(i);
}

LobeReading as_supposed(LobeReading reading, bool swapped) {
  if (swapped) reading.valve = reading.valve == ValveKind::inlet ? ValveKind::exhaust : ValveKind::inlet;
  return reading;
}

std::optional<int> pins_of(const Mechanism& mechanism, const PinCount& count) {
  const Engine& engine = mechanism.engine();
  const MarkPlaces places = mark_places(engine, mechanism.drive());
  const std::vector<Sprocket>& sprockets = engine.loops[0].sprockets;
  for (std::size_t i = 1; i < sprockets.size(); ++i) {
    const bool wanted =
        count.camshaft.empty() ? !sprockets[i].camshaft.empty() : sprockets[i].camshaft == count.camshaft;
    if (!wanted) continue;
    const std::optional<MarkCount> found = pins_between(places, i, 0);
    return found ? std::optional(found->pins) : std::nullopt;
  }
  return std::nullopt;
}

// The wheel's middle of a stop pair, of which the engine's TDC is the true one.
double stop_figure(const SliderCrank& crank, const std::array<double, 2>& read_deg) {
  return -stop_pair(crank, read_deg[0], read_deg[1]).correction_deg;
}

// Foretells figure by figure, keeping what several have in common.
class Foreteller {
public:
  Foreteller(const Mechanism& drawn, const Supposed& supposed, const Measured& layout, bool anew)
      : supposed_(supposed), layout_(layout), anew_(anew),
        mechanism_(supposed.engine == drawn.engine_shared() ? drawn.refitted(supposed.fitted)
                                                            : Mechanism::assemble(supposed.engine, supposed.fitted)) {}

  [[nodiscard]] bool can_be() const { return mechanism_.ok(); }

  std::optional<double> foretell(const Figure& figure) {
    switch (figure.kind) {
    case FigureKind::stop:
      return anew_ ? supposed_.wheel_moved_deg : 0.0;
    case FigureKind::opens: {
      pair_ = foretell_pair(*mechanism_, as_supposed(layout_.lobe[figure.reading], !anew_ && supposed_.kinds_swapped),
                            anew_ ? Turning::forward : supposed_.turning);
      return on_wheel(pair_ ? std::optional(pair_->opens.crank_deg) : std::nullopt);
    }
    case FigureKind::closes:
      return on_wheel(pair_ ? std::optional(pair_->closes.crank_deg) : std::nullopt);
    case FigureKind::clearance:
      return clearance_mm(layout_.clearance[figure.reading]);
    case FigureKind::pins: {
      const std::optional<int> pins = pins_of(*mechanism_, layout_.pins[figure.reading]);
      return pins ? std::optional<double>(*pins) : std::nullopt;
    }
    }
    return std::nullopt;
  }

private:
  [[nodiscard]] std::optional<double> on_wheel(std::optional<double> crank_deg) const {
    return crank_deg ? std::optional(*crank_deg + supposed_.wheel_moved_deg) : std::nullopt;
  }

  std::optional<double> clearance_mm(const ClearanceReading& reading) {
    if (!gaps_) {
      Result<ClearanceModel> made = ClearanceModel::make(*mechanism_, {});
      if (!made) return std::nullopt;
      gaps_ = *std::move(made);
    }
    const LobeReading as_lobe{reading.valve, 1, 0.0, {}, 0.0, 0.0};
    const ValveKind kind = as_supposed(as_lobe, !anew_ && supposed_.kinds_swapped).valve;
    if (!gaps_->has(kind)) return std::nullopt;
    return gaps_->at(kind, reading.crank_deg - supposed_.wheel_moved_deg);
  }

  const Supposed& supposed_;
  const Measured& layout_;
  bool anew_;
  Result<Mechanism> mechanism_;
  std::optional<FlankPair> pair_; // of the opening foretold last
  std::optional<ClearanceModel> gaps_;
};

// How a kind of valve's camshaft and its lobes stand off, standard, crank degrees, by the parts' tolerances.
double u_camshaft_deg(const Engine& engine, const std::string& camshaft, const Tolerances& tolerances) {
  const auto play_deg = [&](double diameter_mm) { return degrees(2.0 * tolerances.keyway_mm / diameter_mm); };
  const auto seat = engine.cam_seats.find(camshaft);
  double squares = std::pow(u_rectangular(tolerances.crank_sprocket_deg), 2) +
                   std::pow(u_rectangular(play_deg(engine.crank_seat.diameter_mm)), 2) +
                   std::pow(u_rectangular(2.0 * tolerances.cam_sprocket_deg), 2);
  if (seat != engine.cam_seats.end()) squares += std::pow(u_rectangular(2.0 * play_deg(seat->second.diameter_mm)), 2);
  return std::sqrt(squares);
}

} // namespace

std::vector<Figure> figures_of(const Measured& layout) {
  std::vector<Figure> figures;
  for (std::size_t i = 0; i < layout.stop_deg.size(); ++i) figures.push_back({FigureKind::stop, i});
  for (std::size_t i = 0; i < layout.lobe.size(); ++i) {
    figures.push_back({FigureKind::opens, i});
    figures.push_back({FigureKind::closes, i});
  }
  for (std::size_t i = 0; i < layout.clearance.size(); ++i) figures.push_back({FigureKind::clearance, i});
  for (std::size_t i = 0; i < layout.pins.size(); ++i) figures.push_back({FigureKind::pins, i});
  return figures;
}

Eigen::VectorXd read_figures(const std::vector<Figure>& figures, const SliderCrank& crank, const Measured& measured) {
  Eigen::VectorXd read(index(figures.size()));
  for (std::size_t i = 0; i < figures.size(); ++i) {
    const std::size_t at = figures[i].reading;
    switch (figures[i].kind) {
    case FigureKind::stop:
      read[index(i)] = stop_figure(crank, measured.stop_deg[at]);
      break;
    case FigureKind::opens:
      read[index(i)] = measured.lobe[at].opens_deg;
      break;
    case FigureKind::closes:
      read[index(i)] = measured.lobe[at].closes_deg;
      break;
    case FigureKind::clearance:
      read[index(i)] = measured.clearance[at].clearance_mm;
      break;
    case FigureKind::pins:
      read[index(i)] = measured.pins[at].pins;
      break;
    }
  }
  return read;
}

std::optional<Eigen::VectorXd> foretold_figures(const std::vector<Figure>& figures, const Mechanism& drawn,
                                                const Supposed& supposed, const Measured& layout, bool anew) {
  Foreteller foreteller(drawn, supposed, layout, anew);
  if (!foreteller.can_be()) return std::nullopt;
  Eigen::VectorXd foretold(index(figures.size()));
  for (std::size_t i = 0; i < figures.size(); ++i)
    foretold[index(i)] = foreteller.foretell(figures[i]).value_or(std::numeric_limits<double>::quiet_NaN());
  return foretold;
}

Measured with_figures(Measured layout, const std::vector<Figure>& figures, const Eigen::VectorXd& foretold,
                      const SliderCrank& crank) {
  for (std::size_t i = 0; i < figures.size(); ++i) {
    const double figure = foretold[index(i)];
    const std::size_t at = figures[i].reading;
    switch (figures[i].kind) {
    case FigureKind::stop: {
      const double drop_mm = stop_pair(crank, layout.stop_deg[at][0], layout.stop_deg[at][1]).drop_mm;
      if (const auto pair = foretell_stop(crank, drop_mm))
        layout.stop_deg[at] = {(*pair)[0] + figure, (*pair)[1] + figure};
      break;
    }
    case FigureKind::opens:
      layout.lobe[at].opens_deg = wrap_720(figure);
      break;
    case FigureKind::closes:
      layout.lobe[at].closes_deg = wrap_720(figure);
      break;
    case FigureKind::clearance:
      layout.clearance[at].clearance_mm = figure;
      break;
    case FigureKind::pins:
      layout.pins[at].pins = static_cast<int>(std::lround(figure));
      break;
    }
  }
  return layout;
}

FigureErrors errors_of(const std::vector<Figure>& figures, const Mechanism& drawn, const Measured& layout,
                       const Instruments& instruments, const Tolerances& tolerances) {
  const Engine& engine = drawn.engine();
  const std::size_t camshafts = engine.camshafts.size();
  // What is shared: the wheel, the camshafts, the lobes of each kind, the closed gaps of each kind, and what is left of
  // the wheel's zero where clearances were read at corrected angles.
  const std::size_t first_lobe = 1 + camshafts;
  const std::size_t first_gap = first_lobe + valve_kinds.size();
  const std::size_t last = first_gap + valve_kinds.size();
  Eigen::MatrixXd moves = Eigen::MatrixXd::Zero(index(figures.size()), index(last + 1));
  Eigen::VectorXd own(index(figures.size()));
  const double u_wheel_deg = u_of_limit(instruments.wheel_deg);
  const double u_lobe_deg = u_rectangular(2.0 * tolerances.lobe_centre_deg);
  const double u_zero_deg = layout.stop_deg.empty() ? u_wheel_deg : u_unset_wheel_deg;
  std::optional<ClearanceModel> gaps;
  if (Result<ClearanceModel> made = ClearanceModel::make(drawn, {})) gaps = *std::move(made);
  for (std::size_t i = 0; i < figures.size(); ++i) {
    const Eigen::Index row = index(i);
    const std::size_t at = figures[i].reading;
    // A camshaft that stands advanced is read early.
    const auto set_train = [&](ValveKind kind, double per_late_deg) {
      const std::size_t camshaft = drawn.motion(kind)->camshaft_index();
      moves(row, index(1 + camshaft)) =
          per_late_deg * u_camshaft_deg(engine, engine.camshafts[camshaft].name, tolerances);
      moves(row, index(first_lobe + (kind == ValveKind::inlet ? 0 : 1))) = per_late_deg * u_lobe_deg;
    };
    switch (figures[i].kind) {
    case FigureKind::stop:
      own[row] = u_wheel_deg / std::sqrt(2.0);
      moves(row, 0) = u_zero_deg;
      break;
    case FigureKind::opens:
    case FigureKind::closes: {
      const LobeReading& reading = layout.lobe[at];
      const std::optional<FlankPair> pair = foretell_pair(drawn, reading);
      const Flank& flank = figures[i].kind == FigureKind::opens ? pair->opens : pair->closes;
      own[row] = flank_u_deg(flank, pair->duration_deg(), instruments);
      moves(row, 0) = u_zero_deg;
      set_train(reading.valve, 1.0);
      break;
    }
    case FigureKind::clearance: {
      const ClearanceReading& reading = layout.clearance[at];
      constexpr double step_deg = 0.05;
      const double per_deg = (gaps->at(reading.valve, reading.crank_deg + step_deg) -
                              gaps->at(reading.valve, reading.crank_deg - step_deg)) /
                             (2.0 * step_deg);
      // By the camshaft alone: what is left of that when piston and camshaft do not turn together.
      const double by_piston = drawn.slider_crank().drop_mm(reading.crank_deg + step_deg) -
                               drawn.slider_crank().drop_mm(reading.crank_deg - step_deg);
      const double by_camshaft = per_deg - by_piston / (2.0 * step_deg);
      own[row] = std::hypot(u_of_limit(instruments.indicator_mm), per_deg * u_wheel_deg);
      moves(row, index(last)) = -per_deg * u_wheel_deg;
      set_train(reading.valve, -by_camshaft);
      moves(row, index(first_gap + (reading.valve == ValveKind::inlet ? 0 : 1))) = u_of_limit(instruments.dimension_mm);
      break;
    }
    case FigureKind::pins:
      own[row] = u_pins;
      break;
    }
  }
  FigureErrors errors;
  errors.own = own;
  errors.covariance = moves * moves.transpose();
  errors.covariance += own.cwiseAbs2().asDiagonal();
  return errors;
}

Eigen::VectorXd figures_apart(const std::vector<Figure>& figures, const Eigen::VectorXd& a, const Eigen::VectorXd& b) {
  Eigen::VectorXd apart = a - b;
  for (std::size_t i = 0; i < figures.size(); ++i)
    if (figures[i].is_angle()) apart[index(i)] = wrap_half_cycle(apart[index(i)]);
  return apart;
}

} // namespace phasewright
