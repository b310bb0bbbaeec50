// The Monte Carlo over tolerances against what others say: JCGM 101:2008's worked examples, exact distributions of
// sums, the drive solved anew for every build, and indices by brute force. Random figures here are the standard
// library's.
#include "bench/spread.hpp"
#include "bench/spread_model.hpp"
#include "bench/spread_sampler.hpp"
#include "files/folder.hpp"
#include "geometry/angle.hpp"
#include "mechanics/drive.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"
#include "support/small_engine.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <random>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

constexpr double million = 1e6;

// A sum of rectangular variables with these half widths, and nothing else.
SpreadModel sum_of(const std::vector<double>& half_widths) {
  SpreadModel model;
  for (const double half_width : half_widths)
    model.sources.push_back({.cause = "x", .half_width = half_width, .unit = "deg", .deg_per_unit = 1.0});
  return model;
}

Spread sampled(const SpreadModel& model, std::uint64_t seed = 1) {
  return sample_spread(model, {.builds = 1'000'000, .seed = seed, .threads = 0});
}

// Exact distribution of a sum of rectangular variables, each from -a to a: one n-th of n! prod 2a of the alternating
// sum of (y + sum of +-a)^n where that is positive (Olds 1952; for equal widths the Irwin-Hall distribution).
double sum_below(double y, const std::vector<double>& half_widths) {
  const std::size_t n = half_widths.size();
  double scale = 1.0;
  for (std::size_t i = 0; i < n; ++i) scale *= 2.0 * half_widths[i] * static_cast<double>(i + 1);
  double sum = 0.0;
  for (std::size_t signs = 0; signs < std::size_t{1} << n; ++signs) {
    double at = y;
    double sign = 1.0;
    for (std::size_t i = 0; i < n; ++i) {
      const bool minus = (signs >> i & 1) != 0;
      at += minus ? -half_widths[i] : half_widths[i];
      if (minus) sign = -sign;
    }
    if (at > 0.0) sum += sign * std::pow(at, static_cast<double>(n));
  }
  return sum / scale;
}

double exact_percentile(double percent, const std::vector<double>& half_widths) {
  double low = 0.0;
  for (const double half_width : half_widths) low -= half_width;
  double high = -low;
  for (int i = 0; i < 100; ++i) {
    const double middle = 0.5 * (low + high);
    (sum_below(middle, half_widths) < percent / 100.0 ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

// Half the 95 % interval. spread_levels has 2.5 % and 97.5 % in the second place from either end.
double half_95(const Spread& spread) {
  return 0.5 * (spread.percentile_deg[5] - spread.percentile_deg[1]);
}

std::map<std::string, Opened> all_models() {
  std::map<std::string, Opened> all;
  for (const auto& entry : std::filesystem::directory_iterator(models_folder())) {
    if (entry.path().extension() != ".toml") continue;
    Result<Opened> opened = open_any(entry.path());
    INFO(entry.path());
    REQUIRE(opened);
    all.emplace(entry.path().filename().string(), *std::move(opened));
  }
  return all;
}

std::vector<SpreadModel> models_of(const Engine& engine, const Build& build) {
  Result<std::vector<SpreadModel>> models = spread_models(engine, build.fitted, build.tolerances);
  INFO((models ? "" : to_text(models.problems())));
  REQUIRE(models);
  return *std::move(models);
}

// The fitted drive with s and t as in SpreadSurface.
Fitted fitted_at(const Build& build, double s, double t) {
  Fitted fitted = build.fitted;
  fitted.centre_change_mm += build.tolerances.centre_mm * s;
  fitted.elongation_percent += build.tolerances.chain_percent * (t + 1.0) / 2.0;
  return fitted;
}

struct Moments {
  double mean = 0;
  double variance = 0;
};
Moments moments(const std::vector<double>& values) {
  Moments found;
  for (const double value : values) found.mean += value / static_cast<double>(values.size());
  for (const double value : values)
    found.variance += (value - found.mean) * (value - found.mean) / static_cast<double>(values.size() - 1);
  return found;
}

} // namespace

TEST_CASE("JCGM 101:2008 clause 9.2: the additive model", "[reference][spread]") {
  // Published figures, from memory; two digits count, so that 0.05 (0.5 where u is 10) is the standard's own numerical
  // tolerance (7.9.2). Our percentiles of a million scatter by less than 0.01.
  SECTION("9.2.3: four rectangular variables of unit deviation") {
    const std::vector<double> widths(4, std::sqrt(3.0));
    const Spread spread = sampled(sum_of(widths));
    CHECK_THAT(spread.mean_deg, WithinAbs(0.0, 0.05));
    CHECK_THAT(spread.deviation_deg, WithinAbs(2.00, 0.005));
    CHECK_THAT(spread.percentile_deg[1], WithinAbs(-3.88, 0.015));
    CHECK_THAT(spread.percentile_deg[5], WithinAbs(3.88, 0.015));
    // By hand: in the outermost part the distribution is x^4 / 24 of the distance from its end.
    const double by_hand = 2.0 * std::sqrt(3.0) * (2.0 - std::pow(0.6, 0.25));
    CHECK_THAT(exact_percentile(97.5, widths), WithinAbs(by_hand, 1e-9));
    CHECK_THAT(half_95(spread), WithinAbs(by_hand, 0.01));
  }
  SECTION("9.2.4: one of them ten times as wide") {
    const std::vector<double> widths{std::sqrt(3.0), std::sqrt(3.0), std::sqrt(3.0), 10.0 * std::sqrt(3.0)};
    const Spread spread = sampled(sum_of(widths));
    CHECK_THAT(spread.deviation_deg, WithinAbs(10.1, 0.1)); // three digits of the root of 103, 10.149
    CHECK_THAT(spread.deviation_deg, WithinAbs(std::sqrt(103.0), 0.02));
    CHECK_THAT(spread.percentile_deg[1], WithinAbs(-17.0, 0.05));
    CHECK_THAT(spread.percentile_deg[5], WithinAbs(17.0, 0.05));
    CHECK_THAT(half_95(spread), WithinAbs(exact_percentile(97.5, widths), 0.02));
  }
  SECTION("9.2.2: four normal variables, each made of 25 rectangular ones") {
    // The sampler knows rectangular variables only; a hundred of them are normal as far as this goes: their excess
    // kurtosis, -1.2 / 100, moves the interval's ends by 0.0004 of a deviation (Cornish and Fisher's expansion).
    const Spread spread = sampled(sum_of(std::vector<double>(100, std::sqrt(3.0) / 5.0)));
    CHECK_THAT(spread.deviation_deg, WithinAbs(2.00, 0.006));
    CHECK_THAT(spread.percentile_deg[1], WithinAbs(-3.92, 0.02));
    CHECK_THAT(spread.percentile_deg[5], WithinAbs(3.92, 0.02));
  }
}

TEST_CASE("sums of rectangular variables lie as their exact distributions say", "[reference][spread]") {
  const std::vector<std::vector<double>> cases{{1.0},      {1.0, 1.0},           {1.0, 1.0, 1.0},
                                               {1.0, 0.2}, {2.0, 0.3, 0.5, 0.1}, {1.0, 1.0, 1.0, 1.0, 1.0, 1.0}};
  // Four standard deviations in each of 42 percentiles, and the histograms with them: four different seeds must hold.
  for (const std::uint64_t seed : {1U, 2U, 3U, 4U})
    for (const std::vector<double>& widths : cases) {
      INFO("seed " << seed << ", " << widths.size() << " variables, the second " << widths.back());
      const Spread spread = sampled(sum_of(widths), seed);
      for (std::size_t level = 0; level < spread_levels.size(); ++level) {
        // The share of builds below the exact percentile, which scatters by the binomial law.
        const double share = spread_levels[level] / 100.0;
        const double found = sum_below(spread.percentile_deg[level], widths);
        CHECK_THAT(found, WithinAbs(share, 4.5 * std::sqrt(share * (1.0 - share) / million)));
      }
      for (std::size_t bin = 0; bin < spread.histogram.size(); ++bin) {
        const double from = spread.low_deg + spread.bin_deg * static_cast<double>(bin);
        const double share = sum_below(from + spread.bin_deg, widths) - sum_below(from, widths);
        CHECK_THAT(spread.histogram[bin], WithinAbs(share, 4.5 * std::sqrt(std::max(share, 1.0 / million) / million)));
      }
      double total = 0.0;
      for (const double half_width : widths) total += half_width * half_width / 3.0;
      CHECK_THAT(variances(sum_of(widths)).total, WithinAbs(total, 1e-12));
      CHECK_THAT(spread.within_1_deg, WithinAbs(sum_below(1.0, widths) - sum_below(-1.0, widths), 4.5 * 0.5 / 1e3));
    }
}

TEST_CASE("the surface stands on the drive, for every engine and build there is", "[reference][spread]") {
  std::mt19937_64 random(101);
  std::uniform_real_distribution<double> either_way(-1.0, 1.0);
  const auto check = [&](const std::string& name, const Engine& engine, const Build& build, double within_deg) {
    const std::vector<SpreadModel> models = models_of(engine, build);
    double worst_deg = 0.0;
    for (int i = 0; i < 60; ++i) {
      const double s = either_way(random);
      const double t = either_way(random);
      for (std::size_t camshaft = 0; camshaft < models.size(); ++camshaft) {
        double deg = models[camshaft].nominal_deg;
        for (const SpreadSurface& chain : models[camshaft].chains) deg += chain.at(s, t);
        worst_deg = std::fmax(worst_deg, std::fabs(deg - Drive::phase_deg(engine, fitted_at(build, s, t), camshaft)));
      }
    }
    INFO(name << ": " << worst_deg << " degrees off the drive");
    CHECK(worst_deg < within_deg);
  };
  for (const auto& [name, opened] : all_models()) {
    check(name, *opened.engine, opened.build, 1e-5);
    // As wide as the drive still goes together with the chain at its longest.
    Build wide = opened.build;
    wide.tolerances.centre_mm = 0.3;
    wide.tolerances.chain_percent = 1.0;
    while (!spread_models(*opened.engine, wide.fitted, wide.tolerances)) {
      wide.tolerances.centre_mm *= 0.7;
      wide.tolerances.chain_percent *= 0.7;
      REQUIRE(wide.tolerances.centre_mm > 0.02);
    }
    check(name + ", wide", *opened.engine, wide, 1e-4);
  }
}

TEST_CASE("a chain's effect is that of its taut strand", "[reference][spread]") {
  // On circles: the strand from a sprocket of z2 to one of z1 teeth, d apart, holds sqrt((d/p)^2 - k^2) pitches, and
  // the arcs k asin(k p / d) more on the one than on the other, k = (z2 - z1) / 2 pi (the handbooks' chain length, one
  // side of it). So many pitches fewer hold the sprocket back. The polygons change the effect by a few parts in a
  // thousand.
  const Engine engine = jackshaft_engine();
  const SpreadModel model = models_of(engine, {}).front();
  REQUIRE(model.chains.size() == 2);
  const auto effect_deg = [&](std::size_t loop, double elongation) {
    const Sprocket& driving = engine.loops[loop].sprockets[0];
    const Sprocket& driven = engine.loops[loop].sprockets[1];
    const double d_mm = std::hypot(driven.centre_mm.x - driving.centre_mm.x, driven.centre_mm.y - driving.centre_mm.y);
    const double k = (driven.teeth - driving.teeth) / (2.0 * std::numbers::pi);
    const auto pitches = [&](double pitch_mm) {
      const double apart = d_mm / pitch_mm;
      return std::sqrt(apart * apart - k * k) + k * std::asin(k / apart);
    };
    const double pitch_mm = engine.loops[loop].chain.pitch_mm;
    return 360.0 / driven.teeth * (pitches(pitch_mm * (1.0 + elongation)) - pitches(pitch_mm));
  };
  const double camshaft_turns = 21.0 / 28.0; // for one of the jackshaft
  // From the camshaft down.
  CHECK(model.chains[0].cause == "length of chain 2");
  CHECK(model.chains[1].cause == "length of chain 1");
  CHECK_THAT(model.chains[0].at(0.0, 1.0), WithinRel(2.0 * effect_deg(1, 0.0015), 0.01));
  CHECK_THAT(model.chains[1].at(0.0, 1.0), WithinRel(2.0 * camshaft_turns * effect_deg(0, 0.0015), 0.01));
}

TEST_CASE("builds drawn by another generator and solved one by one lie the same", "[reference][spread]") {
  // Nothing of the sampler or the surface in it: the drive itself, with every cause put into what is fitted.
  const Engine engine = small_engine();
  Build build;
  build.fitted.crank_key_deg = 2.0;
  build.fitted.cam_key_deg = -1.0;
  build.fitted.elongation_percent = 0.3;
  build.tolerances.centre_mm = 0.15;
  build.tolerances.chain_percent = 0.8; // as much as the rest together
  std::mt19937_64 random(9);
  const auto within = [&](double half_width) {
    return std::uniform_real_distribution<double>(-half_width, half_width)(random);
  };
  const Tolerances& limits = build.tolerances;
  const auto turned_deg = [](double play_mm, const ShaftSeat& seat) {
    return degrees(play_mm / (seat.diameter_mm / 2.0));
  };
  constexpr std::size_t builds = 20'000;
  std::vector<double> phases;
  for (std::size_t i = 0; i < builds; ++i) {
    Fitted fitted = fitted_at(build, within(1.0), within(1.0));
    fitted.crank_key_deg += within(limits.crank_sprocket_deg) + within(limits.key_deg) +
                            turned_deg(within(limits.keyway_mm), engine.crank_seat);
    fitted.cam_key_deg += within(limits.cam_sprocket_deg) + within(limits.key_deg) + within(limits.lobe_centre_deg) +
                          turned_deg(within(limits.keyway_mm), engine.cam_seats.at("cam"));
    phases.push_back(Drive::phase_deg(engine, fitted));
  }
  const Spread spread = spread_of(engine, build, {.builds = 1'000'000, .seed = 5, .threads = 0}).value().front();
  const Moments found = moments(phases);
  const double u_mean_deg = spread.deviation_deg / std::sqrt(static_cast<double>(builds));
  CHECK_THAT(spread.mean_deg, WithinAbs(found.mean, 4.0 * u_mean_deg));
  // The variance of a variance with no excess kurtosis, which the sum has less of.
  CHECK_THAT(spread.deviation_deg, WithinRel(std::sqrt(found.variance), 4.0 / std::sqrt(2.0 * builds)));
  const auto below = [&](double deg) {
    return static_cast<double>(std::ranges::count_if(phases, [deg](double phase) { return phase < deg; })) / builds;
  };
  for (std::size_t level = 0; level < spread_levels.size(); ++level) {
    const double share = spread_levels[level] / 100.0;
    CHECK_THAT(below(spread.percentile_deg[level]), WithinAbs(share, 4.5 * std::sqrt(share * (1.0 - share) / builds)));
  }
  const auto near = std::ranges::count_if(phases, [&](double d) { return std::fabs(d - spread.nominal_deg) <= 1.0; });
  CHECK_THAT(spread.within_1_deg, WithinAbs(static_cast<double>(near) / builds, 4.5 * 0.5 / std::sqrt(builds)));
  const SpreadVariances exact = variances(models_of(engine, build).front());
  CHECK_THAT(spread.mean_deg, WithinAbs(exact.mean_deg, 4.5 * spread.deviation_deg / 1e3));
  CHECK_THAT(spread.deviation_deg, WithinRel(std::sqrt(exact.total), 4.5 / std::sqrt(2.0 * million)));
}

TEST_CASE("first-order indices agree with a double loop over the drive", "[reference][spread]") {
  // Wide enough that centre distance and chain lengths do something only together.
  const Engine engine = small_engine();
  Build build;
  build.fitted.centre_change_mm = -1.0;
  build.fitted.elongation_percent = 0.5;
  build.tolerances = {0.9, 1.5, 0, 0, 0, 0, 0};
  const SpreadVariances found = variances(models_of(engine, build).front());
  // Midpoints of even steps: their error falls with the square of the step, and the functions bend little.
  constexpr int steps = 40;
  std::vector<double> all, over_t(steps, 0.0), over_s(steps, 0.0);
  for (int i = 0; i < steps; ++i)
    for (int j = 0; j < steps; ++j) {
      const auto at = [](int k) { return (2.0 * k + 1.0) / steps - 1.0; };
      const double deg = Drive::phase_deg(engine, fitted_at(build, at(i), at(j)));
      all.push_back(deg);
      over_t[static_cast<std::size_t>(i)] += deg / steps;
      over_s[static_cast<std::size_t>(j)] += deg / steps;
    }
  const auto variance_of = [](const std::vector<double>& values) {
    const double n = static_cast<double>(values.size());
    return moments(values).variance * (n - 1.0) / n;
  };
  // A rectangle of n steps has 1 - 1/n^2 of the variance.
  const double grid = 1.0 - 1.0 / (steps * steps);
  CHECK_THAT(found.mean_deg, WithinAbs(moments(all).mean, 1e-3));
  CHECK_THAT(found.centre, WithinRel(variance_of(over_t) / grid, 1e-3));
  CHECK_THAT(found.chains.at(0), WithinRel(variance_of(over_s) / grid, 1e-3));
  CHECK_THAT(found.total, WithinRel(variance_of(all) / grid, 1e-3));
  CHECK(found.centre + found.chains[0] < found.total);
  const double together = variance_of(all) - variance_of(over_t) - variance_of(over_s);
  CHECK(together > 1e-6 * found.total); // little, but there is something to be found
  CHECK_THAT(found.total - found.centre - found.chains[0], WithinRel(together, 0.01));
}

TEST_CASE("with several chains the indices agree with drawing twice and swapping one", "[reference][spread]") {
  // Saltelli's estimator (Computer Physics Communications 145, 2002): two sets of draws, one variable taken from the
  // other. Of the model as it is sampled, surfaces and all.
  Build build;
  build.fitted.centre_change_mm = -0.4;
  build.fitted.elongation_percent = 0.3;
  build.tolerances = {0.3, 0.8, 0.02, 0.25, 0.25, 0.1, 0.5};
  const SpreadModel model = models_of(jackshaft_engine(), build).front();
  const SpreadVariances exact = variances(model);
  REQUIRE(model.chains.size() == 2);
  const std::size_t variables = 1 + model.chains.size() + model.sources.size();
  const auto phase = [&](const std::vector<double>& x) {
    double deg = 0.0;
    for (std::size_t i = 0; i < model.chains.size(); ++i) deg += model.chains[i].at(x[0], x[1 + i]);
    for (std::size_t i = 0; i < model.sources.size(); ++i)
      deg += model.sources[i].half_width * model.sources[i].deg_per_unit * x[1 + model.chains.size() + i];
    return deg;
  };
  std::mt19937_64 random(2002);
  std::uniform_real_distribution<double> either_way(-1.0, 1.0);
  constexpr int draws = 200'000;
  std::vector<double> sums(variables, 0.0);
  double squares = 0.0;
  const double mean_deg = exact.mean_deg - model.nominal_deg;
  std::vector<double> a(variables), b(variables);
  for (int draw = 0; draw < draws; ++draw) {
    for (double& x : a) x = either_way(random);
    for (double& x : b) x = either_way(random);
    const double of_a = phase(a) - mean_deg;
    const double of_b = phase(b) - mean_deg;
    squares += of_a * of_a;
    for (std::size_t i = 0; i < variables; ++i) {
      const double kept = b[i];
      b[i] = a[i];
      sums[i] += of_a * (phase(b) - mean_deg - of_b); // less of_b: the same in the mean, and scatters less
      b[i] = kept;
    }
  }
  std::vector<double> all{exact.centre};
  all.insert(all.end(), exact.chains.begin(), exact.chains.end());
  all.insert(all.end(), exact.sources.begin(), exact.sources.end());
  CHECK_THAT(squares / draws, WithinRel(exact.total, 0.015));
  double sum = 0.0;
  for (std::size_t i = 0; i < variables; ++i) {
    INFO("variable " << i);
    CHECK_THAT(sums[i] / draws / exact.total, WithinAbs(all[i] / exact.total, 0.012));
    sum += all[i];
  }
  CHECK(sum <= exact.total * (1.0 + 1e-12));
}
