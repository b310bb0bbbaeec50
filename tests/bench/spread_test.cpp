#include "bench/spread.hpp"

#include "bench/spread_model.hpp"
#include "bench/spread_random.hpp"
#include "bench/spread_sampler.hpp"
#include "geometry/angle.hpp"
#include "mechanics/drive.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"
#include "support/small_engine.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>

using namespace phasewright;
using phasewright::testing::jackshaft_engine;
using phasewright::testing::overhead_engine;
using phasewright::testing::small_engine;

namespace {

SpreadOptions few(std::size_t builds, std::uint64_t seed = 1, int threads = 1) {
  return {.builds = builds, .seed = seed, .threads = threads};
}

std::vector<SpreadModel> models_of(const Engine& engine, const Build& build) {
  Result<std::vector<SpreadModel>> models = spread_models(engine, build.fitted, build.tolerances);
  INFO((models ? "" : to_text(models.problems())));
  REQUIRE(models);
  return *std::move(models);
}

std::vector<Spread> spreads_of(const Engine& engine, const Build& build, const SpreadOptions& options) {
  Result<std::vector<Spread>> spreads = spread_of(engine, build, options);
  INFO((spreads ? "" : to_text(spreads.problems())));
  REQUIRE(spreads);
  return *std::move(spreads);
}

double weight_of(const SpreadModel& model, const std::string& cause) {
  const auto found = std::ranges::find(model.sources, cause, &SpreadSource::cause);
  INFO(cause);
  REQUIRE(found != model.sources.end());
  return found->deg_per_unit;
}

bool has_source(const SpreadModel& model, const std::string& cause) {
  return std::ranges::find(model.sources, cause, &SpreadSource::cause) != model.sources.end();
}

// As XoshiroPair::either_way, into an array.
std::vector<double> drawn(XoshiroPair& random, std::size_t count) {
  std::vector<double> all(count);
  random.either_way(count, [&](std::size_t k, double x) { all[k] = x; });
  return all;
}

// Every phase the sampler draws, one build at a time: per block a generator, which serves the centre distance of all
// its builds, then each chain's length and each source.
std::vector<double> all_phases(const SpreadModel& model, std::size_t builds, std::uint64_t seed) {
  std::vector<double> phases;
  for (std::size_t block = 0; phases.size() < builds; ++block) {
    XoshiroPair random = XoshiroPair::of_block(seed, block);
    std::vector<std::vector<double>> variables;
    const std::size_t count = model.sources.size() + (model.chains.empty() ? 0 : model.chains.size() + 1);
    for (std::size_t i = 0; i < count; ++i) variables.push_back(drawn(random, spread_block));
    const std::size_t first_source = count - model.sources.size();
    for (std::size_t k = 0; k < spread_block && phases.size() < builds; ++k) {
      double deg = model.nominal_deg;
      for (std::size_t i = 0; i < model.chains.size(); ++i)
        deg += model.chains[i].at(variables[0][k], variables[i + 1][k]);
      for (std::size_t i = 0; i < model.sources.size(); ++i)
        deg += model.sources[i].half_width * model.sources[i].deg_per_unit * variables[first_source + i][k];
      phases.push_back(deg);
    }
  }
  return phases;
}

void check_same(const Spread& left, const Spread& right) {
  CHECK(left.mean_deg == right.mean_deg);
  CHECK(left.deviation_deg == right.deviation_deg);
  CHECK(left.percentile_deg == right.percentile_deg);
  CHECK(left.histogram == right.histogram);
  CHECK(left.low_deg == right.low_deg);
  CHECK(left.bin_deg == right.bin_deg);
  CHECK(left.within_1_deg == right.within_1_deg);
}

} // namespace

TEST_CASE("the generators give their authors' figures", "[bench][spread]") {
  // First words for these states, from the authors' C programs; from memory.
  SplitMix64 split(1234567);
  for (const std::uint64_t word :
       {6457827717110365317U, 3203168211198807973U, 9817491932198370423U, 4593380528125082431U, 16408922859458223821U})
    CHECK(split() == word);
  // The second of the pair starts where the first stands one step later.
  XoshiroPair random({1, 2, 3, 4}, {7, 0, 262146, 211106232532992});
  const std::array<std::uint64_t, 7> words{41943041U,
                                           58720359U,
                                           3588806011781223U,
                                           3591011842654386U,
                                           9228616714210784205U,
                                           9973669472204895162U,
                                           14011001112246962877U};
  for (std::size_t i = 0; i + 1 < words.size(); ++i) {
    const XoshiroPair::Words pair = random();
    CHECK(pair[0] == words[i]);
    CHECK(pair[1] == words[i + 1]);
  }
}

TEST_CASE("draws are even over their range and never pass its ends", "[bench][spread]") {
  constexpr std::size_t draws = 1'000'000;
  constexpr double count = static_cast<double>(draws);
  XoshiroPair random = XoshiroPair::of_block(1, 0);
  const std::vector<double> all = drawn(random, draws);
  double sum = 0.0, squares = 0.0, beside = 0.0, across = 0.0;
  std::array<int, 100> bins{};
  for (std::size_t i = 0; i < draws; ++i) {
    sum += all[i], squares += all[i] * all[i];
    if (i + 1 < draws) beside += all[i] * all[i + 1];
    if (i < draws / 2) across += all[i] * all[i + draws / 2]; // of the same word
    ++bins[static_cast<std::size_t>((all[i] + 1.0) * 50.0)];
  }
  // Four and a half standard deviations of each.
  CHECK_THAT(sum / count, WithinAbs(0.0, 4.5 * std::sqrt(1.0 / 3.0 / count)));
  CHECK_THAT(squares / count, WithinAbs(1.0 / 3.0, 4.5 * std::sqrt(4.0 / 45.0 / count)));
  CHECK_THAT(beside / count, WithinAbs(0.0, 4.5 / 3.0 / std::sqrt(count)));
  CHECK_THAT(across / (count / 2.0), WithinAbs(0.0, 4.5 / 3.0 / std::sqrt(count / 2.0)));
  for (const int in_bin : bins) CHECK_THAT(in_bin, WithinAbs(count / 100.0, 4.5 * std::sqrt(count / 100.0)));
  const auto [least, greatest] = std::ranges::minmax(all);
  CHECK((least >= -1.0 && least < -0.99999));
  CHECK((greatest < 1.0 && greatest > 0.99999));
}

TEST_CASE("blocks and seeds draw from generators of their own", "[bench][spread]") {
  std::vector<std::uint64_t> first;
  for (std::uint64_t seed = 0; seed < 50; ++seed)
    for (std::uint64_t block = 0; block < 50; ++block) {
      const XoshiroPair::Words pair = XoshiroPair::of_block(seed, block)();
      first.insert(first.end(), {pair[0], pair[1]});
    }
  std::ranges::sort(first);
  CHECK(std::ranges::adjacent_find(first) == first.end());
}

TEST_CASE("each cause moves the phase as the drive itself does", "[bench][spread]") {
  Build build;
  build.fitted.crank_key_deg = 2.0;
  build.fitted.cam_key_deg = -1.0;
  const Engine engine = small_engine();
  const SpreadModel model = models_of(engine, build).front();
  const auto moved_deg = [&](auto change) {
    Fitted fitted = build.fitted;
    change(fitted);
    return Drive::phase_deg(engine, fitted) - Drive::phase_deg(engine, build.fitted);
  };
  CHECK(model.nominal_deg == Drive::assemble(engine, build.fitted)->phase_deg());
  const double crank_deg = moved_deg([](Fitted& fitted) { fitted.crank_key_deg += 0.25; }) / 0.25;
  const double cam_deg = moved_deg([](Fitted& fitted) { fitted.cam_key_deg += 0.25; }) / 0.25;
  CHECK_THAT(weight_of(model, "crank sprocket"), WithinAbs(crank_deg, 1e-9));
  CHECK_THAT(weight_of(model, "crank key step"), WithinAbs(crank_deg, 1e-9));
  CHECK_THAT(weight_of(model, "cam sprocket"), WithinAbs(cam_deg, 1e-9));
  CHECK_THAT(weight_of(model, "cam key step"), WithinAbs(cam_deg, 1e-9));
  CHECK_THAT(weight_of(model, "lobe centre"), WithinAbs(cam_deg, 1e-9));
  // A play of one millimetre at the shaft's surface, as an angle of that shaft.
  CHECK_THAT(weight_of(model, "crank keyway"),
             WithinAbs(crank_deg * degrees(1.0 / (engine.crank_seat.diameter_mm / 2.0)), 1e-9));
  CHECK_THAT(weight_of(model, "cam keyway"),
             WithinAbs(cam_deg * degrees(1.0 / (engine.cam_seats.at("cam").diameter_mm / 2.0)), 1e-9));
}

TEST_CASE("a straight key has no step to be off, nor a shaft without a seat any play", "[bench][spread]") {
  Engine engine = small_engine();
  engine.cam_seats.clear();
  const SpreadModel model = models_of(engine, {}).front();
  CHECK_FALSE(has_source(model, "crank key step"));
  CHECK_FALSE(has_source(model, "cam key step"));
  CHECK_FALSE(has_source(model, "cam keyway"));
  CHECK(has_source(model, "crank keyway"));
}

TEST_CASE("a shaft between is off by its sprockets as a tooth of it would say", "[bench][spread]") {
  const Engine engine = jackshaft_engine();
  const SpreadModel model = models_of(engine, {}).front();
  CHECK(model.chains.size() == 2);
  int shafts = 0;
  for (const Sprocket& sprocket : engine.loops[0].sprockets) {
    if (!has_source(model, "sprocket \"" + sprocket.name + "\"")) continue;
    ++shafts;
    Fitted one_tooth;
    one_tooth.lay_of[sprocket.name] = 1;
    const double tooth_deg = 360.0 / sprocket.teeth;
    const double weight = Drive::phase_deg(engine, one_tooth) / tooth_deg;
    CHECK_THAT(weight_of(model, "sprocket \"" + sprocket.name + "\""), WithinAbs(weight, 1e-9));
    CHECK_THAT(weight_of(model, "sprocket \"" + engine.loops[1].sprockets[0].name + "\""), WithinAbs(weight, 1e-9));
  }
  CHECK(shafts == 1);
}

TEST_CASE("figures are those of the very builds that were drawn", "[bench][spread]") {
  Build build;
  build.fitted.cam_key_deg = 1.0;
  for (const Engine& engine : {small_engine(), jackshaft_engine()}) {
    const SpreadModel model = models_of(engine, build).front();
    for (const std::size_t builds : {1000U, 1024U, 1025U, 1539U, 20007U}) {
      INFO(builds << " builds");
      const Spread spread = sample_spread(model, few(builds, 7));
      std::vector<double> phases = all_phases(model, builds, 7);
      const double count = static_cast<double>(builds);
      const double mean_deg = std::accumulate(phases.begin(), phases.end(), 0.0) / count;
      double squares = 0.0;
      for (const double deg : phases) squares += (deg - mean_deg) * (deg - mean_deg);
      CHECK_THAT(spread.mean_deg, WithinAbs(mean_deg, 1e-12));
      CHECK_THAT(spread.deviation_deg, WithinAbs(std::sqrt(squares / (count - 1.0)), 1e-12));
      const auto within =
          std::ranges::count_if(phases, [&](double deg) { return std::fabs(deg - model.nominal_deg) <= 1.0; });
      CHECK_THAT(spread.within_1_deg, WithinAbs(static_cast<double>(within) / count, 1.5 / count));

      std::ranges::sort(phases);
      for (std::size_t level = 0; level < spread_levels.size(); ++level) {
        // Off by a hair, so that 2.5 % of 1000 is the 25th whatever the rounding.
        const auto rank = static_cast<std::size_t>(std::ceil(count * spread_levels[level] / 100.0 - 1e-9));
        CHECK_THAT(spread.percentile_deg[level], WithinAbs(phases[rank - 1], 1e-12));
      }
      double sum = 0.0;
      for (std::size_t bin = 0; bin < spread.histogram.size(); ++bin) {
        const double from_deg = spread.low_deg + spread.bin_deg * static_cast<double>(bin);
        const auto in_bin = std::ranges::count_if(
            phases, [&](double deg) { return deg >= from_deg && deg < from_deg + spread.bin_deg; });
        CHECK_THAT(spread.histogram[bin], WithinAbs(static_cast<double>(in_bin) / count, 1.5 / count));
        sum += spread.histogram[bin];
      }
      CHECK_THAT(sum, WithinAbs(1.0, 1e-12));
      CHECK(spread.histogram.front() > 0.0);
      CHECK(spread.histogram.back() > 0.0);
    }
  }
}

TEST_CASE("builds too many to be kept are drawn again, the same", "[bench][spread]") {
  const SpreadModel model = models_of(small_engine(), {}).front();
  constexpr std::size_t builds = (std::size_t{1} << 22) + 1;
  const Spread spread = sample_spread(model, few(builds, 2, 0));
  std::vector<double> phases = all_phases(model, builds, 2);
  for (std::size_t level = 0; level < spread_levels.size(); ++level) {
    const auto rank =
        static_cast<std::ptrdiff_t>(std::ceil(static_cast<double>(builds) * spread_levels[level] / 100.0));
    std::ranges::nth_element(phases, phases.begin() + rank - 1);
    CHECK_THAT(spread.percentile_deg[level], WithinAbs(phases[static_cast<std::size_t>(rank - 1)], 1e-12));
  }
}

TEST_CASE("a seed gives the same to the last bit whatever the threads", "[bench][spread]") {
  Build build;
  for (const Engine& engine : {small_engine(), overhead_engine()}) {
    const std::vector<Spread> alone = spreads_of(engine, build, few(100'001, 3, 1));
    REQUIRE(alone.size() == engine.camshafts.size());
    for (const int threads : {0, 2, 3, 7}) {
      INFO(threads << " threads");
      const std::vector<Spread> shared = spreads_of(engine, build, few(100'001, 3, threads));
      for (std::size_t i = 0; i < alone.size(); ++i) check_same(alone[i], shared[i]);
    }
    CHECK(spreads_of(engine, build, few(100'001, 4)).front().mean_deg != alone.front().mean_deg);
  }
}

TEST_CASE("with nothing out every build stands at nominal", "[bench][spread]") {
  Build build;
  build.fitted.elongation_percent = 0.4;
  build.tolerances = {0, 0, 0, 0, 0, 0, 0};
  const Spread spread = spreads_of(small_engine(), build, few(2000)).front();
  CHECK(spread.parts.empty());
  CHECK(spread.mean_deg == spread.nominal_deg);
  CHECK(spread.deviation_deg == 0.0);
  CHECK(spread.percentile_deg.front() == spread.nominal_deg);
  CHECK(spread.percentile_deg.back() == spread.nominal_deg);
  CHECK(spread.within_1_deg == 1.0);
  REQUIRE(spread.histogram.size() == 1);
  CHECK((spread.low_deg <= spread.nominal_deg && spread.nominal_deg < spread.low_deg + spread.bin_deg));
}

TEST_CASE("one cause alone has all the share, and its own width", "[bench][spread]") {
  Build build;
  build.tolerances = {0, 0, 0, 0, 0, 0, 0};
  build.tolerances.crank_sprocket_deg = 0.6;
  const Spread spread = spreads_of(small_engine(), build, few(1'000'000)).front();
  REQUIRE(spread.parts.size() == 1);
  CHECK(spread.parts[0].cause == "crank sprocket");
  CHECK_THAT(spread.parts[0].share, WithinAbs(1.0, 1e-12));
  CHECK_THAT(spread.parts[0].deviation_deg, WithinAbs(0.6 / std::sqrt(3.0), 1e-12));
  // A rectangular distribution; four standard deviations of each figure over a million.
  CHECK_THAT(spread.deviation_deg, WithinAbs(0.6 / std::sqrt(3.0), 4.0 * 0.6 * std::sqrt(1.0 / 15.0 / 1e6)));
  for (std::size_t level = 0; level < spread_levels.size(); ++level) {
    const double share = spread_levels[level] / 100.0;
    CHECK_THAT(spread.percentile_deg[level] - spread.nominal_deg,
               WithinAbs(0.6 * (2.0 * share - 1.0), 4.0 * 1.2 * std::sqrt(share * (1.0 - share) / 1e6)));
  }
}

TEST_CASE("a new chain is never short: it only retards", "[bench][spread]") {
  Build build;
  build.tolerances = {0, 0.15, 0, 0, 0, 0, 0};
  const Engine engine = small_engine();
  const Spread spread = spreads_of(engine, build, few(100'000)).front();
  Fitted longest;
  longest.elongation_percent = 0.15;
  CHECK(spread.parts.at(0).one_sided);
  CHECK_THAT(spread.parts.at(0).half_width, WithinAbs(0.075, 1e-15));
  CHECK(spread.percentile_deg.back() < spread.nominal_deg);
  CHECK(spread.percentile_deg.front() > Drive::phase_deg(engine, longest));
  CHECK_THAT(spread.percentile_deg.front(), WithinAbs(Drive::phase_deg(engine, longest), 0.01));
  CHECK_THAT(spread.percentile_deg.back(), WithinAbs(spread.nominal_deg, 0.01));
}

TEST_CASE("shares come in order and never to more than the whole", "[bench][spread]") {
  Build build;
  build.fitted.crank_key_deg = 1.0;
  for (const Engine& engine : {small_engine(), overhead_engine(), jackshaft_engine()})
    for (const Spread& spread : spreads_of(engine, build, few(20'000))) {
      double sum = 0.0;
      double before = 1.0;
      for (const SpreadPart& part : spread.parts) {
        CHECK(part.share <= before);
        CHECK(part.share >= 0.0);
        CHECK(part.half_width > 0.0);
        before = part.share;
        sum += part.share;
      }
      CHECK(sum <= 1.0 + 1e-12);
      CHECK(sum > 0.999); // next to nothing that only two causes together do
    }
}

TEST_CASE("what cannot be drawn is said", "[bench][spread]") {
  Build build;
  const auto key_of = [&](const SpreadOptions& options) {
    const Result<std::vector<Spread>> spread = spread_of(small_engine(), build, options);
    REQUIRE_FALSE(spread);
    return spread.problems().front().key;
  };
  CHECK(key_of(few(999)) == "builds");
  CHECK(key_of(few(100'000'001)) == "builds");
  CHECK(key_of(few(1000, 1, -1)) == "threads");
  CHECK(key_of(few(1000, 1, 257)) == "threads");
  build.tolerances.centre_mm = 2.0; // a chain that would have to reach two millimetres further
  CHECK(key_of(few(1000)) == "tolerance.centre_mm");
  build.tolerances = {};
  build.fitted.centre_change_mm = 5.0; // does not even go on as it is
  CHECK(key_of(few(1000)) != "tolerance.centre_mm");
}
