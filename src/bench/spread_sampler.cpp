#include "bench/spread_sampler.hpp"

#include "bench/in_parallel.hpp"
#include "bench/spread_random.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <mutex>

namespace phasewright {

namespace {

using Block = std::array<double, spread_block>;

// Off nominal, crank degrees.
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

  // The same whenever it is asked: nothing is kept. All of the block, though the last may count for less.
  void draw(std::size_t block, Block& off_deg) {
    Xoshiro256pp random = Xoshiro256pp::of_block(options_.seed, block);
    off_deg.fill(0.0);
    if (!model_.chains.empty()) {
      for (double& s : s_) s = random.either_way();
      for (const SpreadSurface& chain : model_.chains) {
        for (double& t : t_) t = random.either_way();
        add(chain, off_deg);
      }
    }
    for (const SpreadSource& source : model_.sources) {
      const double half_deg = source.half_width * source.deg_per_unit;
      for (double& deg : off_deg) deg += half_deg * random.either_way();
    }
  }

private:
  void add(const SpreadSurface& chain, Block& off_deg) {
    Block sum{};
    for (std::size_t i = chain.order; i-- > 0;) {
      const double* row = &chain.coefficient[i * chain.order];
      Block of_t;
      of_t.fill(row[chain.order - 1]);
      for (std::size_t j = chain.order - 1; j-- > 0;)
        for (std::size_t k = 0; k < spread_block; ++k) of_t[k] = of_t[k] * t_[k] + row[j];
      for (std::size_t k = 0; k < spread_block; ++k) sum[k] = sum[k] * s_[k] + of_t[k];
    }
    for (std::size_t k = 0; k < spread_block; ++k) off_deg[k] += sum[k];
  }

  const SpreadModel& model_;
  const SpreadOptions& options_;
  double greatest_deg_ = 0.0;
  Block s_{};
  Block t_{};
};

// Bins fine enough that few builds share one: they are counted first, and then only those builds are sorted that lie in
// the bin an order statistic falls into. So none need be kept, however many there are.
class FineBins {
public:
  static constexpr std::size_t count = 1 << 14;

  explicit FineBins(double greatest_deg)
      : low_deg_(-greatest_deg),
        per_deg_(greatest_deg > 0.0 ? static_cast<double>(count) / (2.0 * greatest_deg) : 0.0) {}

  // Never falls as `off_deg` rises.
  [[nodiscard]] std::size_t bin(double off_deg) const {
    return static_cast<std::size_t>(std::clamp((off_deg - low_deg_) * per_deg_, 0.0, static_cast<double>(count - 1)));
  }

private:
  double low_deg_;
  double per_deg_;
};

struct BlockSums {
  double deg = 0.0;
  double deg2 = 0.0;
};

struct Counted {
  std::vector<BlockSums> sums; // by block
  std::vector<std::size_t> fine;
  std::size_t within_1_deg = 0;
  double least_deg = std::numeric_limits<double>::infinity();
  double greatest_deg = -std::numeric_limits<double>::infinity();
};

constexpr std::size_t least_blocks = 16; // fewer are not worth a thread

Counted count_builds(const SpreadModel& model, const SpreadOptions& options, const FineBins& bins) {
  Counted all;
  const std::size_t blocks = Builds(model, options).blocks();
  all.sums.resize(blocks);
  all.fine.resize(FineBins::count);
  std::mutex merging; // whole numbers and extremes only, so that the order makes no difference
  const auto work = [&](std::size_t begin, std::size_t end) {
    Builds builds(model, options);
    Block off_deg;
    std::vector<std::uint32_t> fine(FineBins::count);
    std::size_t within = 0;
    double least_deg = all.least_deg;
    double greatest_deg = all.greatest_deg;
    for (std::size_t block = begin; block < end; ++block) {
      builds.draw(block, off_deg);
      BlockSums sums;
      for (std::size_t k = 0; k < builds.in_block(block); ++k) {
        const double deg = off_deg[k];
        sums.deg += deg;
        sums.deg2 += deg * deg;
        within += std::fabs(deg) <= 1.0 ? 1 : 0;
        least_deg = std::min(least_deg, deg);
        greatest_deg = std::max(greatest_deg, deg);
        ++fine[bins.bin(deg)];
      }
      all.sums[block] = sums;
    }
    const std::lock_guard lock(merging);
    for (std::size_t i = 0; i < FineBins::count; ++i) all.fine[i] += fine[i];
    all.within_1_deg += within;
    all.least_deg = std::min(all.least_deg, least_deg);
    all.greatest_deg = std::max(all.greatest_deg, greatest_deg);
  };
  in_parallel(blocks, least_blocks, work, static_cast<std::size_t>(options.threads));
  return all;
}

// The bin that holds the build of a rank, counted from 0, and how many builds lie in the bins before.
struct RankPlace {
  std::size_t rank = 0;
  std::size_t bin = 0;
  std::size_t before = 0;
};

std::array<RankPlace, spread_levels.size()> rank_places(const std::vector<std::size_t>& fine, std::size_t builds) {
  std::array<RankPlace, spread_levels.size()> places;
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

// 1, 2 or 5 of some power of ten: so wide that about 30 cover the extent.
double round_bin_deg(double extent_deg) {
  constexpr double wanted = 30.0;
  if (!(extent_deg > 0.0)) return 1.0;
  const double power = std::pow(10.0, std::floor(std::log10(extent_deg / wanted)));
  for (const double step : {1.0, 2.0, 5.0})
    if (extent_deg <= wanted * step * power) return step * power;
  return 10.0 * power;
}

// The phases in the bins of `places`, and how many lie in each coarse bin.
struct Gathered {
  std::array<std::vector<double>, spread_levels.size()> in_bin;
  std::vector<std::size_t> coarse;
};

Gathered gather_builds(const SpreadModel& model, const SpreadOptions& options, const FineBins& bins,
                       const std::array<RankPlace, spread_levels.size()>& places, const Spread& spread) {
  Gathered all;
  all.coarse.resize(spread.histogram.size());
  std::vector<std::uint8_t> wanted(FineBins::count);
  for (const RankPlace& place : places) wanted[place.bin] = 1;
  std::mutex merging;
  const auto work = [&](std::size_t begin, std::size_t end) {
    Builds builds(model, options);
    Block off_deg;
    std::vector<double> found;
    std::vector<std::size_t> coarse(all.coarse.size());
    const double last = static_cast<double>(coarse.size() - 1);
    for (std::size_t block = begin; block < end; ++block) {
      builds.draw(block, off_deg);
      for (std::size_t k = 0; k < builds.in_block(block); ++k) {
        const double deg = off_deg[k];
        if (wanted[bins.bin(deg)] != 0) found.push_back(deg);
        const double at = (model.nominal_deg + deg - spread.low_deg) / spread.bin_deg;
        ++coarse[static_cast<std::size_t>(std::clamp(at, 0.0, last))];
      }
    }
    const std::lock_guard lock(merging);
    for (std::size_t i = 0; i < coarse.size(); ++i) all.coarse[i] += coarse[i];
    for (const double deg : found)
      for (std::size_t level = 0; level < places.size(); ++level)
        if (places[level].bin == bins.bin(deg)) all.in_bin[level].push_back(deg);
  };
  in_parallel(Builds(model, options).blocks(), least_blocks, work, static_cast<std::size_t>(options.threads));
  return all;
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
  const double greatest_deg = Builds(model, options).greatest_deg();
  if (greatest_deg == 0.0) return with_nothing_out(spread);
  const FineBins bins(greatest_deg);
  const Counted counted = count_builds(model, options, bins);
  const auto builds = static_cast<double>(options.builds);
  BlockSums sums;
  for (const BlockSums& block : counted.sums) sums.deg += block.deg, sums.deg2 += block.deg2;
  spread.mean_deg = model.nominal_deg + sums.deg / builds;
  spread.deviation_deg = std::sqrt(std::fmax(sums.deg2 - sums.deg * sums.deg / builds, 0.0) / (builds - 1.0));
  spread.within_1_deg = static_cast<double>(counted.within_1_deg) / builds;

  spread.bin_deg = round_bin_deg(counted.greatest_deg - counted.least_deg);
  spread.low_deg = spread.bin_deg * std::floor((model.nominal_deg + counted.least_deg) / spread.bin_deg);
  const double high_deg = model.nominal_deg + counted.greatest_deg;
  spread.histogram.resize(static_cast<std::size_t>((high_deg - spread.low_deg) / spread.bin_deg) + 1);

  const auto places = rank_places(counted.fine, options.builds);
  Gathered gathered = gather_builds(model, options, bins, places, spread);
  for (std::size_t i = 0; i < spread.histogram.size(); ++i)
    spread.histogram[i] = static_cast<double>(gathered.coarse[i]) / builds;
  for (std::size_t level = 0; level < places.size(); ++level) {
    std::vector<double>& in_bin = gathered.in_bin[level];
    const auto at = in_bin.begin() + static_cast<std::ptrdiff_t>(places[level].rank - places[level].before);
    std::nth_element(in_bin.begin(), at, in_bin.end());
    spread.percentile_deg[level] = model.nominal_deg + *at;
  }
  return spread;
}

} // namespace phasewright
