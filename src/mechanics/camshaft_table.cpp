#include "mechanics/camshaft_table.hpp"

#include "geometry/angle.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

namespace phasewright {

namespace {

// A share of a turn, in lowest terms.
struct Share {
  long long over = 1;
  long long under = 1;

  void reduce() {
    const long long common = std::gcd(over, under);
    over /= common;
    under /= common;
  }
};

// The least turn that is a whole number of both.
Share common_multiple(Share a, Share b) {
  Share both{std::lcm(a.over, b.over), std::gcd(a.under, b.under)};
  both.reduce();
  return both;
}

// Turns of the crank after which every tooth between it and the camshaft stands as before.
Share period_turns(const Engine& engine, std::size_t camshaft) {
  const std::optional<SprocketPlace> end = find_cam_sprocket(engine, engine.camshafts[camshaft].name);
  // From the camshaft's chain down to the crank's.
  std::vector<std::size_t> loops{end->loop};
  while (loops.back() != 0) loops.push_back(find_sprocket(engine, engine.loops[loops.back()].driven_from)->loop);
  Share turns_of_crank{1, 1}; // for one turn of the shaft that drives the loop
  Share period{1, 1};
  for (auto loop = loops.rbegin(); loop != loops.rend(); ++loop) {
    const int driving = engine.loops[*loop].sprockets[0].teeth;
    if (*loop != 0) {
      const SprocketPlace driver = *find_sprocket(engine, engine.loops[*loop].driven_from);
      turns_of_crank.over *= sprocket_at(engine, driver).teeth;
      turns_of_crank.under *= engine.loops[driver.loop].sprockets[0].teeth;
      turns_of_crank.reduce();
    }
    Share tooth{turns_of_crank.over, turns_of_crank.under * driving};
    tooth.reduce();
    period = loop == loops.rbegin() ? tooth : common_multiple(period, tooth);
  }
  return period;
}

} // namespace

CamshaftTable::CamshaftTable(const Drive& drive, const Engine& engine, std::size_t camshaft)
    : drive_(&drive), camshaft_(camshaft) {
  const Share turns = period_turns(engine, camshaft);
  period_rad_ = turn_rad * static_cast<double>(turns.over) / static_cast<double>(turns.under);
  const double teeth = std::round(period_rad_ * engine.loops[0].sprockets[0].teeth / turn_rad);
  const double count = teeth * (teeth > 1.0 ? 32.0 : 64.0);
  constexpr double most_cells = 1024.0;
  if (!(count <= most_cells)) return;
  cells_per_rad_ = count / period_rad_;
  cells_.resize(static_cast<std::size_t>(count));
  const auto off_half_rad = [&](double cell) {
    const double crank_rad = cell / cells_per_rad_;
    return drive.camshaft_rad(crank_rad, camshaft) - crank_rad / 2.0;
  };
  double start_rad = off_half_rad(0.0);
  for (std::size_t i = 0; i < cells_.size(); ++i) {
    const double at = static_cast<double>(i);
    const double third_rad = off_half_rad(at + 1.0 / 3.0);
    const double two_thirds_rad = off_half_rad(at + 2.0 / 3.0);
    const double end_rad = off_half_rad(at + 1.0);
    // Newton's form through four even places, multiplied out.
    const double d1 = third_rad - start_rad;
    const double d2 = two_thirds_rad - 2.0 * third_rad + start_rad;
    const double d3 = end_rad - 3.0 * two_thirds_rad + 3.0 * third_rad - start_rad;
    Cell& cell = cells_[i];
    cell = {start_rad, 3.0 * d1 - 1.5 * d2 + d3, 4.5 * (d2 - d3), 4.5 * d3, false};
    // A bend anywhere in the cell shows at one of these, and most of what it does is seen.
    constexpr double bent_rad = 5e-10;
    for (const double share : {1.0 / 6.0, 0.5, 5.0 / 6.0})
      cell.ask = cell.ask || std::fabs(cell.at(share) - off_half_rad(at + share)) > bent_rad;
    start_rad = end_rad;
  }
}

double CamshaftTable::camshaft_rad(double crank_rad) const {
  if (cells_.empty()) return drive_->camshaft_rad(crank_rad, camshaft_);
  const double place = crank_rad * cells_per_rad_;
  const double count = static_cast<double>(cells_.size());
  const double within = place - count * std::floor(place / count);
  const auto index = std::min(static_cast<std::size_t>(within), cells_.size() - 1);
  const Cell& cell = cells_[index];
  if (cell.ask) return drive_->camshaft_rad(crank_rad, camshaft_);
  const double share = within - static_cast<double>(index);
  return crank_rad / 2.0 + cell.at(share);
}

double CamshaftTable::asked_share() const {
  if (cells_.empty()) return 1.0;
  return static_cast<double>(std::ranges::count_if(cells_, &Cell::ask)) / static_cast<double>(cells_.size());
}

} // namespace phasewright
