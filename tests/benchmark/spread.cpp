#include "benchmark/spread.hpp"

#include "bench/spread.hpp"
#include "bench/spread_model.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <vector>

namespace phasewright::benchmark {

namespace {

// A file for the script, gone again afterwards.
class ModelFile {
public:
  explicit ModelFile(const SpreadModel& model) {
    std::string name = (std::filesystem::temp_directory_path() / "phasewright-spread-XXXXXX").string();
    const int opened = ::mkstemp(name.data());
    if (opened < 0) return;
    path_ = name;
    if (std::FILE* file = ::fdopen(opened, "w")) {
      fmt::print(file, "{}", json(model));
      std::fclose(file);
    }
  }
  ~ModelFile() {
    std::error_code ignored;
    if (!path_.empty()) std::filesystem::remove(path_, ignored);
  }
  ModelFile(const ModelFile&) = delete;
  ModelFile& operator=(const ModelFile&) = delete;

  [[nodiscard]] const std::string& path() const { return path_; }

private:
  static std::string json(const SpreadModel& model) {
    std::vector<double> half_deg;
    for (const SpreadSource& source : model.sources) half_deg.push_back(source.half_width * source.deg_per_unit);
    std::vector<std::string> chains;
    for (const SpreadSurface& chain : model.chains)
      chains.push_back(
          fmt::format(R"({{"order": {}, "coefficient": [{}]}})", chain.order, fmt::join(chain.coefficient, ", ")));
    return fmt::format(R"({{"nominal_deg": {}, "half_deg": [{}], "chains": [{}], "levels": [{}]}})"
                       "\n",
                       model.nominal_deg, fmt::join(half_deg, ", "), fmt::join(chains, ", "),
                       fmt::join(spread_levels, ", "));
  }

  std::string path_;
};

// What the command wrote, and whether it ended well.
struct Ran {
  std::string out;
  bool well = false;
};
Ran run(const std::string& command) {
  std::FILE* pipe = ::popen(command.c_str(), "r");
  if (pipe == nullptr) return {};
  Ran ran;
  std::array<char, 4096> part{};
  for (std::size_t got = 0; (got = std::fread(part.data(), 1, part.size(), pipe)) > 0;)
    ran.out.append(part.data(), got);
  ran.well = ::pclose(pipe) == 0;
  return ran;
}

// The first python3 that has NumPy: the one on the path may be another than the system's, for which its package is.
std::optional<std::string> python_with_numpy() {
  for (const char* python : {"python3", "/usr/bin/python3"})
    if (run(fmt::format("{} -c 'import numpy' 2>/dev/null", python)).well) return python;
  return std::nullopt;
}

Timing time_wall(const Engine& engine, const Build& build, const SpreadOptions& options, int repeats) {
  return measure_wall(repeats, [&] { return spread_of(engine, build, options)->front().mean_deg; });
}

void run_numpy(const SpreadModel& model, const Spread& ours, int repeats, SpreadTimes& times) {
  const std::optional<std::string> python = python_with_numpy();
  if (!python) {
    times.remark = "left out: there is no python3 with NumPy (python3-numpy)";
    return;
  }
  const ModelFile file(model);
  const Ran ran =
      run(fmt::format("{} '{}' '{}' {} {}", *python, PHASEWRIGHT_SPREAD_SCRIPT, file.path(), times.builds, repeats));
  double median_s = 0.0, least_s = 0.0, greatest_s = 0.0, mean_deg = 0.0, deviation_deg = 0.0, low_deg = 0.0,
         high_deg = 0.0;
  if (!ran.well || std::sscanf(ran.out.c_str(), "%lf %lf %lf %lf %lf %lf %lf", &median_s, &least_s, &greatest_s,
                               &mean_deg, &deviation_deg, &low_deg, &high_deg) != 7) {
    times.remark = "its script failed";
    times.agree = false;
    return;
  }
  times.numpy = Timing{median_s * 1e9, least_s * 1e9, greatest_s * 1e9};
  const double mean_off_deg = std::fabs(mean_deg - ours.mean_deg);
  const double deviation_off_deg = std::fabs(deviation_deg - ours.deviation_deg);
  times.remark = fmt::format("means {:.4f} apart, deviations {:.4f}, 95 % {:.4f} and {:.4f} degrees", mean_off_deg,
                             deviation_off_deg, std::fabs(low_deg - ours.percentile_deg[1]),
                             std::fabs(high_deg - ours.percentile_deg[5]));
  // Two such means differ by sqrt(2) of their standard uncertainty, deviations by less: five times that.
  const double chance_deg = 5.0 * std::sqrt(2.0) * ours.deviation_deg / std::sqrt(static_cast<double>(times.builds));
  times.agree = mean_off_deg < chance_deg && deviation_off_deg < chance_deg;
}

} // namespace

std::optional<SpreadTimes> time_spread(const Engine& engine, const Build& build, std::size_t builds, int repeats) {
  SpreadOptions options{.builds = builds, .seed = 1, .threads = 0};
  const Result<std::vector<Spread>> ours = spread_of(engine, build, options);
  if (!ours) {
    fmt::print(stderr, "{}", to_text(ours.problems()));
    return std::nullopt;
  }
  SpreadTimes times;
  times.builds = builds;
  times.all_cores = time_wall(engine, build, options, repeats);
  options.threads = 1;
  times.one_thread = time_wall(engine, build, options, repeats);
  const Result<std::vector<SpreadModel>> models = spread_models(engine, build.fitted, build.tolerances);
  run_numpy(models->front(), ours->front(), repeats, times);
  return times;
}

} // namespace phasewright::benchmark
