#include "bench/explain.hpp"

#include "bench/degree.hpp"
#include "bench/explain_faults.hpp"
#include "bench/explain_figures.hpp"
#include "bench/explain_next.hpp"
#include "bench/explain_weigh.hpp"

#include <boost/math/distributions/chi_squared.hpp>

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <utility>

namespace phasewright {

namespace {

// Two explanations that foretell the readings within so many standard uncertainties, all figures together, cannot be
// told apart by them.
constexpr double same_within = 1.0;
// Pairs of faults are weighed when the best single one leaves so much that chance would leave it less often than this.
constexpr double pairs_below = 0.01;
constexpr double nothing_fits_below = 0.001;
// Explanations less likely than this are not worth a line.
constexpr double least_probability = 1e-4;
// Nor one less likely than this a further reading, unless it is a tie.
constexpr double worth_telling_apart = 0.002;

double by_chance(double misfit, std::size_t figures, int amounts) {
  const double freedom = std::max(1.0, static_cast<double>(figures) - amounts);
  return boost::math::cdf(boost::math::complement(boost::math::chi_squared(freedom), misfit));
}

std::vector<double> amounts_of(const Fault& fault) {
  if (!fault.has_amount()) return {0.0};
  const auto pieces = static_cast<std::size_t>(std::ceil((fault.to - fault.from) / fault.finest - 1e-9));
  std::vector<double> amounts(pieces + 1);
  for (std::size_t i = 0; i <= pieces; ++i)
    amounts[i] = fault.from + (fault.to - fault.from) * static_cast<double>(i) / static_cast<double>(pieces);
  return amounts;
}

bool is_figure_of(const Figure& figure, const OneReading& reading) {
  if (figure.reading != reading.index) return false;
  switch (reading.of) {
  case ReadingOf::stop:
    return figure.kind == FigureKind::stop;
  case ReadingOf::lobe:
    return figure.kind == FigureKind::opens || figure.kind == FigureKind::closes;
  case ReadingOf::clearance:
    return figure.kind == FigureKind::clearance;
  case ReadingOf::pins:
    return figure.kind == FigureKind::pins;
  }
  return false;
}

// The path as far as it goes within each of the ranges; all of it without any.
std::vector<Path> pieces_within(const Path& path, const std::vector<AmountRange>& ranges) {
  if (ranges.empty() || path.amounts.size() < 2) return {path};
  std::vector<Path> pieces;
  for (const auto& [from, to] : ranges) {
    Path piece;
    piece.weight = path.weight;
    piece.amounts = {from};
    for (const double amount : path.amounts)
      if (amount > from && amount < to) piece.amounts.push_back(amount);
    if (to > from) piece.amounts.push_back(to);
    piece.shifts.resize(path.shifts.rows(), static_cast<Eigen::Index>(piece.amounts.size()));
    for (std::size_t i = 0; i < piece.amounts.size(); ++i)
      piece.shifts.col(static_cast<Eigen::Index>(i)) = shift_at(path, piece.amounts[i]);
    pieces.push_back(std::move(piece));
  }
  return pieces;
}

bool all_finite(const Eigen::VectorXd& figures) {
  return figures.array().isFinite().all();
}

} // namespace

struct Explainer::Held {
  Mechanism drawn;
  Measured layout;
  std::vector<Figure> figures;
  Eigen::VectorXd nothing_wrong; // foretold
  Eigen::LLT<Eigen::MatrixXd> covariance;
  std::vector<Fault> faults;
  std::vector<Path> paths;
  Candidates candidates;
  std::vector<FreshPath> fresh; // what the candidates would show, by fault

  [[nodiscard]] Supposed base() const { return {drawn.engine_shared(), drawn.fitted(), Turning::forward, 0.0, false}; }

  [[nodiscard]] Eigen::MatrixXd independent(const Eigen::MatrixXd& apart) const {
    return covariance.matrixL().solve(apart);
  }

  // Nothing for a fault that is not weighed.
  [[nodiscard]] const Path* path_of(const std::string& name) const {
    const auto fault = std::ranges::find(faults, name, &Fault::name);
    return fault == faults.end() ? nullptr : &paths[static_cast<std::size_t>(fault - faults.begin())];
  }

  // Of several at once, as what they change adds up.
  [[nodiscard]] Eigen::VectorXd shift_of(const std::vector<FaultAmount>& present) const {
    Eigen::VectorXd shift = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(figures.size()));
    for (const FaultAmount& one : present)
      if (const Path* path = path_of(one.fault))
        shift += shift_at(*path, std::clamp(one.amount, path->amounts.front(), path->amounts.back()));
    return shift;
  }

  // Adds a fault where it can be and its readings can be taken, over as much of its amounts as goes together.
  void add(Fault fault) {
    Path path;
    FreshPath later;
    path.weight = fault.weight;
    std::vector<Eigen::VectorXd> shifts;
    for (const double amount : amounts_of(fault)) {
      const Supposed supposed = fault.suppose(base(), amount);
      const std::optional<Eigen::VectorXd> foretold = foretold_figures(figures, drawn, supposed, layout, false);
      const std::optional<Eigen::VectorXd> anew =
          foretold_figures(candidates.figures, drawn, supposed, candidates.layout, true);
      if (!foretold || !anew || !all_finite(*foretold)) {
        if (shifts.empty()) continue;
        break;
      }
      shifts.push_back(independent(figures_apart(figures, *foretold, nothing_wrong)));
      path.amounts.push_back(amount);
      // Angles stay on one side of the cycle's end, so that one may go straight between two amounts.
      const Eigen::VectorXd& from = fresh.empty() ? *anew : fresh[0].figures[0];
      later.figures.push_back(from + figures_apart(candidates.figures, *anew, from));
    }
    const std::size_t fewest = fault.has_amount() ? 2 : 1;
    if (shifts.size() < fewest) return;
    path.shifts.resize(nothing_wrong.size(), static_cast<Eigen::Index>(shifts.size()));
    for (std::size_t i = 0; i < shifts.size(); ++i) path.shifts.col(static_cast<Eigen::Index>(i)) = shifts[i];
    // What these readings cannot show is not weighed.
    constexpr double seen_from = 0.5;
    if (fault.kind != FaultKind::none && path.shifts.colwise().norm().maxCoeff() < seen_from) return;
    later.amounts = path.amounts;
    faults.push_back(std::move(fault));
    paths.push_back(std::move(path));
    fresh.push_back(std::move(later));
  }

  [[nodiscard]] std::vector<Weighed> weigh_all(const Eigen::VectorXd& read) const {
    std::vector<Weighed> weighed;
    for (std::size_t i = 0; i < paths.size(); ++i) {
      weighed.push_back(weigh(paths[i], read));
      weighed.back().paths[0] = i;
    }
    const auto fits = [&](const Weighed& one) {
      return by_chance(one.misfit, figures.size(), faults[*one.paths[0]].has_amount() ? 1 : 0) >= pairs_below;
    };
    if (std::ranges::any_of(weighed, fits)) return weighed;
    for (std::size_t i = 1; i < paths.size(); ++i)
      for (std::size_t k = i + 1; k < paths.size(); ++k) {
        if (exclude_each_other(faults[i], faults[k])) continue;
        Weighed pair = weigh_pair(paths[i], paths[k], read);
        // Both of them, where each is as rare as it is beside nothing being wrong.
        pair.log_evidence -= std::log(paths[0].weight);
        pair.paths = {i, k};
        weighed.push_back(std::move(pair));
      }
    return weighed;
  }

  [[nodiscard]] static bool exclude_each_other(const Fault& a, const Fault& b) {
    return a.kind == b.kind && (a.of == b.of || a.of.empty() || b.of.empty());
  }

  [[nodiscard]] Cause cause_of(const Weighed& weighed, double probability) const {
    Cause cause;
    cause.probability = probability;
    cause.misfit = weighed.misfit;
    for (std::size_t side = 0; side < 2; ++side) {
      if (!weighed.paths[side]) continue;
      const Fault& fault = faults[*weighed.paths[side]];
      if (fault.kind != FaultKind::none) cause.faults.push_back(fault.name);
      cause.words += (side == 0 ? "" : "; and ") + fault.words(weighed.amounts[side]);
      if (fault.has_amount() && !cause.amount) {
        cause.amount = weighed.amounts[side];
        cause.unit = fault.unit;
      }
    }
    return cause;
  }

  [[nodiscard]] bool same(const Weighed& a, const Weighed& b) const { return (a.shift - b.shift).norm() < same_within; }

  [[nodiscard]] bool is_nothing(const Weighed& weighed) const { return *weighed.paths[0] == 0; }

  // A fault so small that the readings cannot tell it from nothing is nothing that they show.
  void count_small_as_nothing(const std::vector<Weighed>& weighed, std::vector<double>& shares) const {
    for (std::size_t i = 1; i < weighed.size(); ++i)
      if (same(weighed[0], weighed[i])) shares[0] += std::exchange(shares[i], 0.0);
  }

  [[nodiscard]] Eigen::VectorXd fresh_of(const Weighed& weighed) const {
    return fresh_figures(candidates, fresh[*weighed.paths[0]], weighed.amounts[0],
                         weighed.paths[1] ? &fresh[*weighed.paths[1]] : nullptr, weighed.amounts[1], fresh[0]);
  }
};

// Likeliest first, but what cannot be told from one goes right under it.
std::vector<std::size_t> Explainer::order(const std::vector<Weighed>& weighed, const std::vector<double>& shares,
                                          std::vector<bool>& tied) const {
  std::vector<std::size_t> by_share(weighed.size());
  std::iota(by_share.begin(), by_share.end(), std::size_t{0});
  std::ranges::stable_sort(by_share, [&](std::size_t a, std::size_t b) { return shares[a] > shares[b]; });
  std::vector<bool> placed(weighed.size(), false);
  std::vector<std::size_t> in_order;
  for (const std::size_t leader : by_share) {
    if (placed[leader] || (shares[leader] < least_probability && !in_order.empty())) continue;
    placed[leader] = true;
    in_order.push_back(leader);
    for (const std::size_t other : by_share) {
      if (placed[other] || held_->is_nothing(weighed[other]) || shares[other] < least_probability) continue;
      if (!held_->same(weighed[leader], weighed[other])) continue;
      placed[other] = tied[other] = true;
      in_order.push_back(other);
    }
  }
  return in_order;
}

Explanation Explainer::explain(const Measured& measured) const {
  const Held& held = *held_;
  const Eigen::VectorXd figures = read_figures(held.figures, held.drawn.slider_crank(), measured);
  const Eigen::VectorXd read = held.independent(figures_apart(held.figures, figures, held.nothing_wrong));
  const std::vector<Weighed> weighed = held.weigh_all(read);
  std::vector<double> shares = probabilities(weighed);
  held.count_small_as_nothing(weighed, shares);
  std::vector<bool> tied(weighed.size(), false);
  const std::vector<std::size_t> in_order = order(weighed, shares, tied);

  Explanation explanation;
  explanation.figures = static_cast<int>(held.figures.size());
  for (const std::size_t i : in_order) {
    explanation.causes.push_back(held.cause_of(weighed[i], shares[i]));
    explanation.causes.back().tied = tied[i];
  }
  double likeliest = 0.0;
  for (const Weighed& one : weighed) {
    int amounts = 0;
    for (const std::optional<std::size_t>& path : one.paths)
      if (path && held.faults[*path].has_amount()) ++amounts;
    likeliest = std::max(likeliest, by_chance(one.misfit, held.figures.size(), amounts));
  }
  explanation.nothing_fits = likeliest < nothing_fits_below;
  // What cannot be told from the likeliest first, then what comes after it.
  for (std::size_t k = 1; k < in_order.size() && !explanation.next && !explanation.nothing_fits; ++k)
    if (tied[in_order[k]] || shares[in_order[k]] >= worth_telling_apart)
      explanation.next =
          next_reading(held.candidates, held.fresh_of(weighed[in_order[0]]), held.fresh_of(weighed[in_order[k]]), k);
  return explanation;
}

Result<Explainer> Explainer::make(const Engine& engine, const Fitted& with, const Measured& layout,
                                  const Instruments& instruments, const Tolerances& tolerances) {
  const Result<Mechanism> drawn = Mechanism::assemble(engine, with);
  if (!drawn) return drawn.problems();
  Held held{*drawn, layout, figures_of(layout), {}, {}, {}, {}, {}, {}};
  if (held.figures.empty())
    return problem_at("measured", "no readings of stop, lobes, clearance or pins", "at least one of them");
  // The readings must be ones that can be taken.
  if (!layout.lobe.empty() || !layout.stop_deg.empty())
    if (const Result<DegreeRead> read = read_degree(*drawn, layout, instruments); !read) return read.problems();
  if (!layout.clearance.empty())
    if (const Result<ClearanceModel> made = ClearanceModel::make(*drawn, layout, instruments); !made)
      return made.problems();
  const std::optional<Eigen::VectorXd> foretold = foretold_figures(held.figures, *drawn, held.base(), layout, false);
  if (!foretold || !all_finite(*foretold))
    return problem_at("measured.pins", "a count between marks that are never in the chain together", "none");
  held.nothing_wrong = *foretold;
  held.covariance.compute(errors_of(held.figures, *drawn, layout, instruments, tolerances).covariance);
  held.candidates = candidates_for(*drawn, layout, instruments);
  for (Fault& fault : possible_faults(*drawn, !layout.stop_deg.empty())) held.add(std::move(fault));
  if (held.faults.size() == 1)
    return problem_at("measured", "nothing but readings that any fault would leave as they are",
                      "a lobe, a clearance or a count of pins as well");
  return Explainer(std::make_shared<const Held>(std::move(held)));
}

std::vector<std::string> Explainer::faults() const {
  std::vector<std::string> names;
  for (const Fault& fault : held_->faults)
    if (fault.kind != FaultKind::none) names.push_back(fault.name);
  return names;
}

Result<Measured> Explainer::foretell(const std::string& name, double amount) const {
  const Held& held = *held_;
  const auto fault = std::ranges::find(held.faults, name, &Fault::name);
  if (fault == held.faults.end()) return problem_at("fault", name, "one of those that are weighed");
  const std::optional<Eigen::VectorXd> foretold =
      foretold_figures(held.figures, held.drawn, fault->suppose(held.base(), amount), held.layout, false);
  if (!foretold || !all_finite(*foretold))
    return problem_at("fault", name, "an amount with which the drive goes together and the readings can be taken");
  return with_figures(held.layout, held.figures, *foretold, held.drawn.slider_crank());
}

double Explainer::apart_from(const Measured& measured, const std::vector<FaultAmount>& faults) const {
  const Held& held = *held_;
  const Eigen::VectorXd figures = read_figures(held.figures, held.drawn.slider_crank(), measured);
  const Eigen::VectorXd read = held.independent(figures_apart(held.figures, figures, held.nothing_wrong));
  return (read - held.shift_of(faults)).norm();
}

double Explainer::apart(const std::vector<FaultAmount>& present, const std::vector<FaultWithin>& named) const {
  const Held& held = *held_;
  const Eigen::VectorXd shift = held.shift_of(present);
  std::vector<std::vector<Path>> paths; // by fault, then by range
  for (const FaultWithin& one : named)
    if (const Path* path = held.path_of(one.fault)) paths.push_back(pieces_within(*path, one.amounts));
  if (paths.empty()) return shift.norm();
  double misfit = std::numeric_limits<double>::infinity();
  for (const Path& first : paths[0]) {
    if (paths.size() == 1)
      misfit = std::min(misfit, weigh(first, shift).misfit);
    else
      for (const Path& second : paths[1]) misfit = std::min(misfit, weigh_pair(first, second, shift).misfit);
  }
  return std::sqrt(misfit);
}

std::vector<AmountRange> Explainer::shown_from(const std::string& fault, double apart) const {
  const Path* path = held_->path_of(fault);
  if (path == nullptr) return {};
  if (path->amounts.size() < 2)
    return path->shifts.col(0).norm() >= apart ? std::vector<AmountRange>{{0.0, 0.0}} : std::vector<AmountRange>{};
  std::vector<AmountRange> ranges;
  constexpr int looks = 16; // along each piece
  bool shown = false;
  for (std::size_t i = 0; i + 1 < path->amounts.size(); ++i)
    for (int k = i == 0 ? 0 : 1; k <= looks; ++k) {
      const double amount = path->amounts[i] + (path->amounts[i + 1] - path->amounts[i]) * k / looks;
      const bool shows = shift_at(*path, amount).norm() >= apart;
      if (shows && !shown) ranges.push_back({amount, amount});
      if (shows) ranges.back()[1] = amount;
      shown = shows;
    }
  return ranges;
}

Explainer Explainer::by_only(const std::vector<OneReading>& readings) const {
  const Held& all = *held_;
  std::vector<Eigen::Index> rows;
  for (std::size_t i = 0; i < all.figures.size(); ++i)
    if (std::ranges::any_of(readings, [&](const OneReading& one) { return is_figure_of(all.figures[i], one); }))
      rows.push_back(static_cast<Eigen::Index>(i));
  Held some = all;
  some.figures.clear();
  for (const Eigen::Index row : rows) some.figures.push_back(all.figures[static_cast<std::size_t>(row)]);
  some.nothing_wrong = all.nothing_wrong(rows);
  const Eigen::MatrixXd lower = all.covariance.matrixL();
  const Eigen::MatrixXd covariance = lower * lower.transpose();
  some.covariance.compute(covariance(rows, rows));
  for (Path& path : some.paths) {
    const Eigen::MatrixXd shifts = lower * path.shifts;
    Eigen::MatrixXd kept(static_cast<Eigen::Index>(rows.size()), shifts.cols());
    for (std::size_t i = 0; i < rows.size(); ++i) kept.row(static_cast<Eigen::Index>(i)) = shifts.row(rows[i]);
    path.shifts = some.independent(kept);
  }
  return Explainer(std::make_shared<const Held>(std::move(some)));
}

Result<Explanation> explain(const Engine& engine, const Build& build) {
  const Engine& as_read = build.measured.engine ? *build.measured.engine : engine;
  const Result<Explainer> explainer =
      Explainer::make(as_read, build.measured.with, build.measured, build.instruments, build.tolerances);
  if (!explainer) return explainer.problems();
  return explainer->explain(build.measured);
}

} // namespace phasewright
