#include "bench/spread_model.hpp"

#include "geometry/angle.hpp"
#include "mechanics/drive.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace phasewright {

namespace {

// Nodes each way. Three do for everyday tolerances: with 0.05 mm and 0.15 % they are good to 2e-7 degrees on every
// engine tried; the rest are for wide ones.
constexpr std::array<std::size_t, 5> orders{3, 4, 6, 8, 12};
constexpr double surface_good_to_deg = 1e-5; // at the places it is checked; a tenth of what is promised

using Leads = std::array<double, most_sprockets>;

// The drive with chain and centres anywhere within their tolerances; s and t as SpreadSurface.
struct Span {
  const Engine& engine;
  const Fitted& fitted;
  double centre_mm;
  double chain_percent;

  [[nodiscard]] Fitted at(double s, double t) const {
    Fitted there = fitted;
    there.centre_change_mm += centre_mm * s;
    there.elongation_percent += chain_percent * (t + 1.0) / 2.0;
    return there;
  }
  // Of a loop's sprockets ahead of where chain and centres as fitted have them (unit: rad).
  [[nodiscard]] Leads leads_rad(std::size_t loop, double s, double t) const {
    return ChainLoop(draw_loop(engine, at(s, t), Growth{}, loop).drawing).mean_leads_rad();
  }
};

// Polynomials that are 1 at one of Chebyshev's nodes and 0 at the others, lowest power first.
struct Nodes {
  std::vector<double> at;
  std::vector<std::vector<double>> basis;
};

Nodes chebyshev_nodes(std::size_t order) {
  Nodes nodes;
  for (std::size_t i = 0; i < order; ++i)
    nodes.at.push_back(-std::cos(std::numbers::pi * (static_cast<double>(i) + 0.5) / static_cast<double>(order)));
  for (std::size_t i = 0; i < order; ++i) {
    std::vector<double> basis{1.0};
    for (std::size_t k = 0; k < order; ++k) {
      if (k == i) continue;
      const double scale = 1.0 / (nodes.at[i] - nodes.at[k]);
      std::vector<double> next(basis.size() + 1, 0.0);
      for (std::size_t power = 0; power < basis.size(); ++power) {
        next[power] -= basis[power] * nodes.at[k] * scale;
        next[power + 1] += basis[power] * scale;
      }
      basis = std::move(next);
    }
    nodes.basis.push_back(std::move(basis));
  }
  return nodes;
}

// By sprocket of the loop, as SpreadSurface::coefficient, in radians of that sprocket.
using LoopSurfaces = std::vector<SpreadSurface>;

LoopSurfaces through_nodes(const Span& span, std::size_t loop, const Leads& nominal_rad, std::size_t order) {
  const Nodes nodes = chebyshev_nodes(order);
  const std::size_t sprockets = span.engine.loops[loop].sprockets.size();
  LoopSurfaces surfaces(sprockets, {.cause = {}, .order = order, .coefficient = std::vector(order * order, 0.0)});
  for (std::size_t i = 0; i < order; ++i)
    for (std::size_t j = 0; j < order; ++j) {
      const Leads leads_rad = span.leads_rad(loop, nodes.at[i], nodes.at[j]);
      for (std::size_t sprocket = 0; sprocket < sprockets; ++sprocket) {
        const double change_rad = leads_rad[sprocket] - nominal_rad[sprocket];
        for (std::size_t row = 0; row < order; ++row)
          for (std::size_t column = 0; column < order; ++column)
            surfaces[sprocket].coefficient[row * order + column] +=
                change_rad * nodes.basis[i][row] * nodes.basis[j][column];
      }
    }
  return surfaces;
}

// The greatest difference from the drive solved anew, at the ends, in the middle and between.
double worst_off_rad(const Span& span, std::size_t loop, const Leads& nominal_rad, const LoopSurfaces& surfaces) {
  static constexpr std::array<std::array<double, 2>, 9> looks{{{-1.0, -1.0},
                                                               {-1.0, 1.0},
                                                               {1.0, -1.0},
                                                               {1.0, 1.0},
                                                               {0.03, 0.02},
                                                               {-0.53, 0.47},
                                                               {0.48, -0.55},
                                                               {0.81, 0.77},
                                                               {-0.79, -0.83}}};
  double worst_rad = 0.0;
  for (const auto& [s, t] : looks) {
    const Leads leads_rad = span.leads_rad(loop, s, t);
    for (std::size_t i = 0; i < surfaces.size(); ++i)
      worst_rad = std::fmax(worst_rad, std::fabs(surfaces[i].at(s, t) - (leads_rad[i] - nominal_rad[i])));
  }
  return worst_rad;
}

Result<LoopSurfaces> loop_surfaces(const Span& span, std::size_t loop) {
  const auto fault = [](const char* found) {
    return problem_at("tolerance.centre_mm", found, "narrower tolerances",
                      "centre_mm or chain_percent: lay out the drive, or measure, before asking for its spread");
  };
  try {
    const Leads nominal_rad = span.leads_rad(loop, 0.0, -1.0);
    for (const std::size_t order : orders) {
      LoopSurfaces surfaces = through_nodes(span, loop, nominal_rad, order);
      if (degrees(worst_off_rad(span, loop, nominal_rad, surfaces)) < surface_good_to_deg) return surfaces;
    }
  } catch (const NoWay&) {
    return fault("a guide or the tensioner leaves the chain no way within the tolerances");
  }
  return fault("a phase that bends too sharply within the tolerances to be read off a surface");
}

std::string of_chain(const Engine& engine, std::size_t loop) {
  return engine.loops.size() == 1 ? "chain length" : fmt::format("length of chain {}", loop + 1);
}

// The sprocket by which a shaft is driven: another on the same shaft drives from it.
SprocketPlace shaft_of(const Engine& engine, SprocketPlace place) {
  while (place.sprocket == 0 && place.loop > 0) place = driver_of(engine, place.loop);
  return place;
}

class Gatherer {
public:
  Gatherer(const Engine& engine, const Fitted& fitted, const Tolerances& tolerances)
      : engine_(engine), fitted_(fitted), tolerances_(tolerances) {}

  // From the camshaft down to the crank. `loops`: surfaces of every loop; empty for one that nothing changes.
  SpreadModel gather(std::size_t camshaft, const std::vector<LoopSurfaces>& loops) {
    model_ = {};
    const std::string& name = engine_.camshafts[camshaft].name;
    double turns = 1.0; // of the camshaft for one of the shaft in hand
    add("lobe centre", tolerances_.lobe_centre_deg, "deg", 2.0);
    add("cam sprocket", tolerances_.cam_sprocket_deg, "deg", 2.0);
    add_cam_key("cam keyway", "cam key step", name, 2.0);
    SprocketPlace at = *find_cam_sprocket(engine_, name);
    for (;;) {
      if (at.sprocket > 0 && !loops[at.loop].empty())
        add_chain(at.loop, loops[at.loop][at.sprocket], 2.0 * degrees(turns));
      const std::vector<Sprocket>& sprockets = engine_.loops[at.loop].sprockets;
      turns *= static_cast<double>(sprockets[0].teeth) / sprockets[at.sprocket].teeth;
      const SprocketPlace driver = shaft_of(engine_, {at.loop, 0});
      if (driver.sprocket == 0) break; // the crank
      add_shaft_between(sprockets[0], sprocket_at(engine_, driver), 2.0 * turns);
      at = driver;
    }
    add("crank sprocket", tolerances_.crank_sprocket_deg, "deg", 2.0 * turns);
    add_play("crank keyway", engine_.crank_seat.diameter_mm, 2.0 * turns);
    if (fitted_.crank_key_deg != 0.0) add("crank key step", tolerances_.key_deg, "deg", 2.0 * turns);
    model_.centre_half_width_mm = tolerances_.centre_mm;
    model_.chain_half_width_percent = tolerances_.chain_percent / 2.0;
    return std::move(model_);
  }

private:
  void add(std::string cause, double half_width, const char* unit, double deg_per_unit) {
    if (half_width > 0.0) model_.sources.push_back({std::move(cause), half_width, unit, deg_per_unit});
  }

  void add_play(std::string cause, double shaft_mm, double deg_per_deg) {
    if (shaft_mm > 0.0) add(std::move(cause), tolerances_.keyway_mm, "mm", deg_per_deg * degrees(2.0 / shaft_mm));
  }

  void add_cam_key(const std::string& play, const std::string& step, const std::string& camshaft, double deg_per_deg) {
    const auto seat = engine_.cam_seats.find(camshaft);
    if (seat != engine_.cam_seats.end()) add_play(play, seat->second.diameter_mm, deg_per_deg);
    if (cam_key_of(fitted_, camshaft) != 0.0) add(step, tolerances_.key_deg, "deg", deg_per_deg);
  }

  // Both its sprockets stand on it with a keyway each. Where it is a camshaft, its key counts as well; of any other
  // shaft the file says nothing of a key.
  void add_shaft_between(const Sprocket& driving, const Sprocket& driven, double deg_per_deg) {
    for (const Sprocket* sprocket : {&driven, &driving})
      add(fmt::format("sprocket \"{}\"", sprocket->name), tolerances_.cam_sprocket_deg, "deg", deg_per_deg);
    if (!driven.camshaft.empty())
      add_cam_key(fmt::format("keyway of \"{}\"", driven.camshaft), fmt::format("key step of \"{}\"", driven.camshaft),
                  driven.camshaft, deg_per_deg);
  }

  void add_chain(std::size_t loop, SpreadSurface surface, double deg_per_rad) {
    surface.cause = of_chain(engine_, loop);
    for (double& coefficient : surface.coefficient) coefficient *= deg_per_rad;
    model_.chains.push_back(std::move(surface));
  }

  const Engine& engine_;
  const Fitted& fitted_;
  const Tolerances& tolerances_;
  SpreadModel model_;
};

// The drive where its tolerances end. What is wrong there is said of the tolerance that leads there.
Problems end_faults(const Span& span) {
  Problems problems;
  for (const double t : {-1.0, 1.0})
    for (const double s : {-1.0, 1.0}) {
      const Result<Drive> drive = Drive::assemble(span.engine, span.at(s, t));
      if (drive) continue;
      const Problem& fault = drive.problems().front();
      problems.push_back(
          problem_at(t < 0.0 ? "tolerance.centre_mm" : "tolerance.chain_percent",
                     fmt::format("with the centres {:+.4g} mm and the chain {:.4g} % longer: {}: {}",
                                 span.centre_mm * s, span.chain_percent * (t + 1.0) / 2.0, fault.key, fault.found),
                     "tolerances within which the drive goes together", fault.advice));
      return problems;
    }
  return problems;
}

// Mean of x^power for x anywhere from -1 to 1.
double moment(std::size_t power) {
  return power % 2 == 0 ? 1.0 / static_cast<double>(power + 1) : 0.0;
}

double mean(const std::vector<double>& polynomial) {
  double sum = 0.0;
  for (std::size_t i = 0; i < polynomial.size(); ++i) sum += polynomial[i] * moment(i);
  return sum;
}

double variance(std::vector<double> polynomial) {
  if (polynomial.empty()) return 0.0;
  polynomial[0] -= mean(polynomial);
  double sum = 0.0;
  for (std::size_t i = 0; i < polynomial.size(); ++i)
    for (std::size_t k = 0; k < polynomial.size(); ++k) sum += polynomial[i] * polynomial[k] * moment(i + k);
  return std::fmax(sum, 0.0);
}

} // namespace

double SpreadSurface::at(double s, double t) const {
  double sum = 0.0;
  for (std::size_t i = order; i-- > 0;) {
    double row = 0.0;
    for (std::size_t j = order; j-- > 0;) row = row * t + coefficient[i * order + j];
    sum = sum * s + row;
  }
  return sum;
}

SpreadVariances variances(const SpreadModel& model) {
  SpreadVariances found;
  found.mean_deg = model.nominal_deg;
  for (const SpreadSource& source : model.sources) {
    const double half_deg = source.half_width * source.deg_per_unit;
    found.sources.push_back(half_deg * half_deg / 3.0);
    found.total += found.sources.back();
  }
  // Given the centre distance the chains are independent of each other, so that the variance within it adds up.
  std::vector<double> over_chains; // mean over all chains, a polynomial in s
  for (const SpreadSurface& chain : model.chains) {
    const std::size_t order = chain.order;
    std::vector<double> over_t(order, 0.0);
    std::vector<double> over_s(order, 0.0);
    double squares = 0.0;
    for (std::size_t i = 0; i < order; ++i)
      for (std::size_t j = 0; j < order; ++j) {
        const double coefficient = chain.coefficient[i * order + j];
        over_t[i] += coefficient * moment(j);
        over_s[j] += coefficient * moment(i);
      }
    // Of what is left of the surface when its mean over t is taken off, at every s.
    std::vector<double> rest = chain.coefficient;
    for (std::size_t i = 0; i < order; ++i) rest[i * order] -= over_t[i];
    for (std::size_t a = 0; a < rest.size(); ++a)
      for (std::size_t b = 0; b < rest.size(); ++b)
        squares += rest[a] * rest[b] * moment(a / order + b / order) * moment(a % order + b % order);
    found.total += std::fmax(squares, 0.0);
    found.chains.push_back(variance(over_s));
    found.mean_deg += mean(over_t);
    over_chains.resize(std::max(over_chains.size(), order), 0.0);
    for (std::size_t i = 0; i < order; ++i) over_chains[i] += over_t[i];
  }
  found.centre = variance(over_chains);
  found.total += found.centre;
  return found;
}

Result<std::vector<SpreadModel>> spread_models(const Engine& engine, const Fitted& fitted,
                                               const Tolerances& tolerances) {
  const Result<Drive> drive = Drive::assemble(engine, fitted);
  if (!drive) return drive.problems();
  const Span span{engine, fitted, tolerances.centre_mm, tolerances.chain_percent};
  if (Problems problems = end_faults(span); !problems.empty()) return problems;
  std::vector<LoopSurfaces> loops(engine.loops.size());
  if (tolerances.centre_mm > 0.0 || tolerances.chain_percent > 0.0)
    for (std::size_t i = 0; i < loops.size(); ++i) {
      Result<LoopSurfaces> surfaces = loop_surfaces(span, i);
      if (!surfaces) return surfaces.problems();
      loops[i] = *std::move(surfaces);
    }
  std::vector<SpreadModel> models;
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
    models.push_back(Gatherer(engine, fitted, tolerances).gather(i, loops));
    models.back().nominal_deg = drive->phase_deg(i);
  }
  return models;
}

} // namespace phasewright
