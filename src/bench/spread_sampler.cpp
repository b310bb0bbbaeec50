#include "bench/spread_sampler.hpp"

#include "bench/in_parallel.hpp"
#include "bench/spread_random.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <memory>
#include <mutex>

namespace phasewright {

namespace {

using Block = std::array<double, spread_block>;

// Phases off nominal, crank degrees.
class Builds {
public:
  Builds(const SpreadModel& model, const SpreadOptions& options) : model_(model), options_(options) {
    for (const SpreadSource& source : model.sources)
      greatest_deg_ += std::fabs(source.half_width * source.deg_per_unit);
    for (const SpreadSurface& chain : model.chains)
      for (const double coefficient : chain.coefficient) greatest_deg_ += std::fabs(coefficient);
  }

  [[nodiscard]] std::size_t blocks() const { return (options_.builds + spread_block - 1) / spread_block; }
  [[nodiscard]] std::size_t in_block(std::size_t block) const {
    return std::min(spread_block, options_.builds - block * spread_block);
  }
  // No build is further off.
  [[nodiscard]] double greatest_deg() const { return greatest_deg_; }

  // The same whenever it is asked. All of the block, though the last may count for less.
  void draw(std::size_t block, Block& off_deg) {
    XoshiroPair random = XoshiroPair::of_block(options_.seed, block);
    off_deg.fill(0.0);
    if (!model_.chains.empty()) {
      random.either_way(spread_block, [&](std::size_t k, double s) { s_[k] = s; });
      for (const SpreadSurface& chain : model_.chains) {
        random.either_way(spread_block, [&](std::size_t k, double t) { t_[k] = t; });
        add(chain, off_deg);
      }
    }
    for (const SpreadSource& source : model_.sources) {
      const double half_deg = source.half_width * source.deg_per_unit;
      random.either_way(spread_block, [&, half_deg](std::size_t k, double x) { off_deg[k] += half_deg * x; });
    }
  }

private:
  // SpreadSurface::at, a few builds abreast.
  void add(const SpreadSurface& chain, Block& off_deg) {
    constexpr std::size_t abreast = 4;
    for (std::size_t first = 0; first < spread_block; first += abreast) {
      const double* s = &s_[first];
      const double* t = &t_[first];
      std::array<double, abreast> sum{};
      for (std::size_t i = chain.order; i-- > 0;) {
        std::array<double, abreast> row{};
        for (std::size_t j = chain.order; j-- > 0;)
          for (std::size_t k = 0; k < abreast; ++k) row[k] = row[k] * t[k] + chain.coefficient[i * chain.order + j];
        for (std::size_t k = 0; k < abreast; ++k) sum[k] = sum[k] * s[k] + row[k];
      }
      for (std::size_t k = 0; k < abreast; ++k) off_deg[first + k] += sum[k];
    }
  }

  const SpreadModel& model_;
  const SpreadOptions& options_;
  double greatest_deg_ = 0.0;
  Block s_{};
  Block t_{};
};

// 1, 2 or 5 of some power of ten, at least a sixth of the deviation: some 15 to 35 of them hold nearly all builds.
double round_bin_deg(double deviation_deg) {
  const double wanted_deg = deviation_deg / 6.0;
  const double power = std::pow(10.0, std::floor(std::log10(wanted_deg)));
  for (const double step : {1.0, 2.0, 5.0})
    if (wanted_deg <= step * power) return step * power;
  return 10.0 * power;
}

// Each bin of the histogram in many fine ones, from before the least build there can be to beyond the greatest. Builds
// are counted in them first; then only those are sorted that lie in the one an order statistic falls into.
class FineBins {
public:
  static constexpr std::size_t in_each = 128;

  FineBins(double nominal_deg, double greatest_deg, double bin_deg)
      : bin_deg_(bin_deg), first_(std::floor((nominal_deg - greatest_deg) / bin_deg)),
        to_first_deg_(nominal_deg - first_ * bin_deg), per_deg_(static_cast<double>(in_each) / bin_deg),
        bins_(static_cast<std::size_t>((to_first_deg_ + greatest_deg) / bin_deg) + 1) {}

  [[nodiscard]] std::size_t bins() const { return bins_; }
  [[nodiscard]] std::size_t count() const { return bins_ * in_each; }
  [[nodiscard]] double low_deg(std::size_t bin) const { return (first_ + static_cast<double>(bin)) * bin_deg_; }
  // Never falls as `off_deg`, off nominal, rises.
  [[nodiscard]] std::size_t fine(double off_deg) const {
    const double at = (off_deg + to_first_deg_) * per_deg_;
    return static_cast<std::size_t>(std::clamp(at, 0.0, static_cast<double>(count() - 1)));
  }

private:
  double bin_deg_;
  double first_;        // where the first bin begins, in bins
  double to_first_deg_; // from there to nominal
  double per_deg_;
  std::size_t bins_;
};

// Of one block, added up in the order of its builds, four abreast.
struct BlockSums {
  double deg = 0.0;
  double deg2 = 0.0;
};

BlockSums sums_of(const Block& off_deg, std::size_t count) {
  constexpr std::size_t abreast = 4;
  std::array<double, abreast> deg{}, deg2{};
  std::size_t first = 0;
  for (; first + abreast <= count; first += abreast)
    for (std::size_t k = 0; k < abreast; ++k) {
      const double off = off_deg[first + k];
      deg[k] += off;
      deg2[k] += off * off;
    }
  BlockSums sums;
  for (std::size_t k = 0; k < abreast; ++k) sums.deg += deg[k], sums.deg2 += deg2[k];
  for (; first < count; ++first) sums.deg += off_deg[first], sums.deg2 += off_deg[first] * off_deg[first];
  return sums;
}

std::size_t within_1_deg(const Block& off_deg, std::size_t count) {
  std::size_t within = 0;
  for (std::size_t k = 0; k < count; ++k) within += static_cast<std::size_t>(std::fabs(off_deg[k]) <= 1.0);
  return within;
}

constexpr std::size_t least_blocks = 32;                // fewer are not worth a thread
constexpr std::size_t most_kept = std::size_t{1} << 22; // builds; 32 MiB. More are drawn a second time instead

struct Counted {
  std::vector<BlockSums> sums; // by block
  std::vector<std::size_t> fine;
  std::size_t within_1_deg = 0;
  std::unique_ptr<double[]> kept_deg; // off nominal, whole blocks of them; null when they are too many
};

Counted count_builds(const SpreadModel& model, const SpreadOptions& options, const FineBins& bins) {
  Counted all;
  const std::size_t blocks = Builds(model, options).blocks();
  all.sums.resize(blocks);
  all.fine.resize(bins.count());
  if (options.builds <= most_kept) all.kept_deg = std::make_unique_for_overwrite<double[]>(blocks * spread_block);
  std::mutex merging; // whole numbers only, so that the order makes no difference
  const auto work = [&](std::size_t begin, std::size_t end) {
    Builds builds(model, options);
    Block off_deg;
    std::vector<std::uint32_t> fine(bins.count());
    std::size_t within = 0;
    for (std::size_t block = begin; block < end; ++block) {
      builds.draw(block, off_deg);
      const std::size_t count = builds.in_block(block);
      all.sums[block] = sums_of(off_deg, count);
      within += within_1_deg(off_deg, count);
      for (std::size_t k = 0; k < count; ++k) ++fine[bins.fine(off_deg[k])];
      if (all.kept_deg) std::ranges::copy(off_deg, &all.kept_deg[block * spread_block]);
    }
    const std::lock_guard lock(merging);
    for (std::size_t i = 0; i < fine.size(); ++i) all.fine[i] += fine[i];
    all.within_1_deg += within;
  };
  in_parallel(blocks, least_blocks, work, static_cast<std::size_t>(options.threads));
  return all;
}

// The fine bin that holds the build of a rank, counted from 0, and how many builds lie in those before.
struct RankPlace {
  std::size_t rank = 0;
  std::size_t fine = 0;
  std::size_t before = 0;
};
using RankPlaces = std::array<RankPlace, spread_levels.size()>;

RankPlaces rank_places(const std::vector<std::size_t>& fine, std::size_t builds) {
  RankPlaces places;
  std::size_t bin = 0;
  std::size_t before = 0;
  for (std::size_t level = 0; level < places.size(); ++level) {
    // Levels are whole tenths of a percent: no rounding.
    const auto thousandths = static_cast<std::size_t>(std::lround(10.0 * spread_levels[level]));
    const std::size_t rank = (builds * thousandths + 999) / 1000 - 1;
    while (before + fine[bin] <= rank) before += fine[bin++];
    places[level] = {rank, bin, before};
  }
  return places;
}

// By level, all phases off nominal in the fine bin of its place.
std::array<std::vector<double>, spread_levels.size()> in_places(const SpreadModel& model, const SpreadOptions& options,
                                                                const FineBins& bins, const Counted& counted,
                                                                const RankPlaces& places) {
  std::array<std::vector<double>, spread_levels.size()> all;
  std::vector<std::uint8_t> wanted(bins.count());
  for (const RankPlace& place : places) wanted[place.fine] = 1;
  std::mutex merging;
  const auto work = [&](std::size_t begin, std::size_t end) {
    Builds builds(model, options);
    Block drawn;
    std::vector<double> found;
    for (std::size_t block = begin; block < end; ++block) {
      if (!counted.kept_deg) builds.draw(block, drawn);
      const double* off_deg = counted.kept_deg ? &counted.kept_deg[block * spread_block] : drawn.data();
      for (std::size_t k = 0; k < builds.in_block(block); ++k)
        if (wanted[bins.fine(off_deg[k])] != 0) found.push_back(off_deg[k]);
    }
    const std::lock_guard lock(merging);
    for (const double deg : found)
      for (std::size_t level = 0; level < places.size(); ++level)
        if (places[level].fine == bins.fine(deg)) all[level].push_back(deg);
  };
  in_parallel(Builds(model, options).blocks(), least_blocks, work, static_cast<std::size_t>(options.threads));
  return all;
}

// From the first bin that holds a build to the last.
void add_histogram(const FineBins& bins, const std::vector<std::size_t>& fine, Spread& spread) {
  std::vector<std::size_t> counts(bins.bins());
  for (std::size_t i = 0; i < fine.size(); ++i) counts[i / FineBins::in_each] += fine[i];
  std::size_t begin = 0;
  std::size_t end = counts.size();
  while (counts[begin] == 0) ++begin;
  while (counts[end - 1] == 0) --end;
  spread.low_deg = bins.low_deg(begin);
  for (std::size_t bin = begin; bin < end; ++bin)
    spread.histogram.push_back(static_cast<double>(counts[bin]) / static_cast<double>(spread.builds));
}

// All builds in one place.
Spread with_nothing_out(Spread spread) {
  spread.mean_deg = spread.nominal_deg;
  spread.percentile_deg.fill(spread.nominal_deg);
  spread.bin_deg = 1.0;
  spread.low_deg = std::floor(spread.nominal_deg);
  spread.histogram = {1.0};
  spread.within_1_deg = 1.0;
  return spread;
}

} // namespace

Spread sample_spread(const SpreadModel& model, const SpreadOptions& options) {
  Spread spread;
  spread.builds = options.builds;
  spread.seed = options.seed;
  spread.nominal_deg = model.nominal_deg;
  const double total = variances(model).total;
  if (!(total > 0.0)) return with_nothing_out(spread);
  spread.bin_deg = round_bin_deg(std::sqrt(total));
  const FineBins bins(model.nominal_deg, Builds(model, options).greatest_deg(), spread.bin_deg);
  const Counted counted = count_builds(model, options, bins);

  const auto builds = static_cast<double>(options.builds);
  BlockSums sums;
  for (const BlockSums& block : counted.sums) sums.deg += block.deg, sums.deg2 += block.deg2;
  spread.mean_deg = model.nominal_deg + sums.deg / builds;
  spread.deviation_deg = std::sqrt(std::fmax(sums.deg2 - sums.deg * sums.deg / builds, 0.0) / (builds - 1.0));
  spread.within_1_deg = static_cast<double>(counted.within_1_deg) / builds;
  add_histogram(bins, counted.fine, spread);

  const RankPlaces places = rank_places(counted.fine, options.builds);
  auto in_place = in_places(model, options, bins, counted, places);
  for (std::size_t level = 0; level < places.size(); ++level) {
    const auto at = in_place[level].begin() + static_cast<std::ptrdiff_t>(places[level].rank - places[level].before);
    std::nth_element(in_place[level].begin(), at, in_place[level].end());
    spread.percentile_deg[level] = model.nominal_deg + *at;
  }
  return spread;
}

} // namespace phasewright
