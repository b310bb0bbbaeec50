// Plans against fitting every combination of a small stock in turn: no curve, no bound, nothing kept from one to the
// next, combinations listed and put in order by loops of our own.
#include "bench/plan.hpp"
#include "mechanics/clearance.hpp"
#include "mechanics/judgement.hpp"
#include "mechanics/wear.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <random>
#include <tuple>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

struct Setting {
  double crank_key_deg = 0;
  std::array<int, 2> lay{};
  std::array<double, 2> cam_key_deg{};

  auto operator<=>(const Setting&) const = default;
};

struct Fits {
  bool safe = false;
  double error_deg = 0; // the worst
  int changes = 0;
};

class Stocks {
public:
  explicit Stocks(unsigned seed) : random_(seed) {}

  int whole(int from, int to) { return std::uniform_int_distribution(from, to)(random_); }
  double between(double from, double to) { return std::uniform_real_distribution(from, to)(random_); }

  // `camshafts`: how many are planned; two when both centres are aimed for.
  Build build(const Engine& engine, std::size_t camshafts) {
    Build build;
    build.fitted.elongation_percent = between(0.0, 0.15);
    build.fitted.centre_change_mm = between(-0.1, 0.0);
    build.fitted.crank_key_deg = whole(0, 2) == 0 ? 1.5 : 0.0;
    if (camshafts == 2) {
      build.target.inlet_centre_deg = 106.0 + between(-4.0, 4.0);
      build.target.exhaust_centre_deg = 110.0 + between(-4.0, 4.0);
    } else {
      build.target.phase_deg = between(-5.0, 5.0);
      build.target.camshaft = engine.camshafts.back().name;
      build.fitted.lay = whole(-1, 1) * whole(0, 1);
    }
    // Fewer sizes where there are two camshafts to set: every one is fitted with every other.
    for (int i = whole(0, camshafts == 2 ? 1 : 2); i > 0; --i) build.stock.crank_key_deg.push_back(0.25 * whole(0, 16));
    for (int i = whole(0, 1); i > 0; --i) build.stock.cam_key_deg.push_back(0.25 * whole(0, 12));
    // About where the clearances of such engines lie, so that some are safe and some not.
    build.target.min_clearance_inlet_mm = between(1.5, 3.5);
    build.target.min_clearance_exhaust_mm = between(1.5, 3.5);
    build.target.min_clearance_radial_mm = between(0.5, 1.5);
    build.target.min_valve_to_valve_mm = between(0.5, 1.5);
    return build;
  }

private:
  std::mt19937 random_;
};

std::vector<double> ways(const std::vector<double>& sizes, double fitted) {
  std::vector<double> all{fitted};
  for (const double size : sizes)
    for (const double way : {size, size == 0.0 ? 0.0 : -size})
      if (std::ranges::find(all, way) == all.end()) all.push_back(way);
  return all;
}

std::vector<int> lays(int fitted) {
  std::vector<int> all{-1, 0, 1};
  if (std::ranges::find(all, fitted) == all.end()) all.push_back(fitted);
  return all;
}

bool all_kept(const Engine& engine, const Fitted& fitted, const Target& target) {
  for (const Fitted& as : {fitted, worn(engine, fitted)}) {
    const Result<Mechanism> mechanism = Mechanism::assemble(engine, as);
    REQUIRE(mechanism.ok());
    const Result<ClearanceModel> model = ClearanceModel::make(*mechanism, {});
    REQUIRE(model.ok());
    if (!judge(model->least(), target).too_close().empty()) return false;
  }
  return true;
}

Fitted with(const Engine& engine, const Build& build, const std::vector<std::size_t>& camshafts,
            const Setting& setting) {
  Fitted fitted = build.fitted;
  fitted.crank_key_deg = setting.crank_key_deg;
  for (std::size_t i = 0; i < camshafts.size(); ++i) {
    const std::string& name = engine.camshafts[camshafts[i]].name;
    fitted.lay_of[name] = setting.lay[i];
    fitted.cam_key_of[name] = setting.cam_key_deg[i];
  }
  return fitted;
}

// Every combination, each fitted, assembled and judged by itself.
std::map<Setting, Fits> all_fitted(const Engine& engine, const Build& build, const std::vector<std::size_t>& camshafts,
                                   const std::vector<double>& targets_deg) {
  std::map<Setting, Fits> all;
  const std::vector<int> second_lays = camshafts.size() > 1 ? lays(build.fitted.lay) : std::vector{0};
  const std::vector<double> second_keys =
      camshafts.size() > 1 ? ways(build.stock.cam_key_deg, build.fitted.cam_key_deg) : std::vector{0.0};
  for (const double crank : ways(build.stock.crank_key_deg, build.fitted.crank_key_deg))
    for (const int lay : lays(build.fitted.lay))
      for (const double key : ways(build.stock.cam_key_deg, build.fitted.cam_key_deg))
        for (const int second_lay : second_lays)
          for (const double second_key : second_keys) {
            const Setting setting{crank, {lay, second_lay}, {key, second_key}};
            const Fitted fitted = with(engine, build, camshafts, setting);
            Fits fits;
            for (std::size_t i = 0; i < camshafts.size(); ++i) {
              const double error_deg = Drive::phase_deg(engine, fitted, camshafts[i]) - targets_deg[i];
              if (std::fabs(error_deg) > std::fabs(fits.error_deg)) fits.error_deg = error_deg;
              fits.changes +=
                  (setting.lay[i] != build.fitted.lay) + (setting.cam_key_deg[i] != build.fitted.cam_key_deg);
            }
            fits.changes += crank != build.fitted.crank_key_deg;
            fits.safe = all_kept(engine, fitted, build.target);
            all.emplace(setting, fits);
          }
  return all;
}

using OrderKey = std::tuple<bool, long long, int>;

OrderKey order_key(const Fits& fits) {
  return {!fits.safe, std::llround(std::fabs(fits.error_deg) * 1e7), fits.changes};
}

struct Verdicts {
  int safe = 0;
  int unsafe = 0;
};

void compare(const Engine& engine, const Build& build, Verdicts& verdicts) {
  const Result<Plan> plan = plan_corrections(engine, build, 1);
  REQUIRE(plan.ok());
  std::vector<std::size_t> camshafts;
  std::vector<double> targets_deg;
  for (const PlannedCamshaft& planned : plan->camshafts) {
    camshafts.push_back(planned.camshaft);
    targets_deg.push_back(planned.target_phase_deg);
  }
  const std::map<Setting, Fits> all = all_fitted(engine, build, camshafts, targets_deg);
  REQUIRE(plan->options.size() == all.size());
  std::vector<OrderKey> planned;
  std::vector<OrderKey> sorted;
  for (const PlanOption& option : plan->options) {
    Setting setting{option.crank_key_deg, {}, {}};
    for (std::size_t i = 0; i < camshafts.size(); ++i) {
      setting.lay[i] = option.cams[i].lay;
      setting.cam_key_deg[i] = option.cams[i].cam_key_deg;
    }
    const auto found = all.find(setting);
    REQUIRE(found != all.end());
    CHECK(option.safe == found->second.safe);
    CHECK(option.changes == found->second.changes);
    CHECK_THAT(option.worst_error_deg, Catch::Matchers::WithinAbs(found->second.error_deg, 1e-9));
    planned.push_back(order_key(found->second));
    (found->second.safe ? verdicts.safe : verdicts.unsafe) += 1;
  }
  for (const auto& [setting, fits] : all) sorted.push_back(order_key(fits));
  std::ranges::sort(sorted);
  CHECK(planned == sorted);
}

} // namespace

TEST_CASE("fifty small stocks are ranked as fitting every combination in turn ranks them", "[plan]") {
  Stocks stocks(50);
  Verdicts verdicts;
  const std::array<Engine, 3> engines{small_engine(), pocketed_engine(), overhead_engine()};
  // One camshaft, one with distances of every kind, one of two camshafts, and both of them at once.
  constexpr std::array<std::size_t, 8> kinds{0, 0, 1, 0, 2, 0, 0, 3};
  for (std::size_t i = 0; i < 50; ++i) {
    const std::size_t kind = kinds[i % kinds.size()];
    INFO("stock " << i);
    const Engine& engine = engines[std::min<std::size_t>(kind, 2)];
    compare(engine, stocks.build(engine, kind == 3 ? 2 : 1), verdicts);
  }
  CHECK(verdicts.safe > 100);
  CHECK(verdicts.unsafe > 100);
}
