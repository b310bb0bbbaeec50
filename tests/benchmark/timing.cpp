#include "benchmark/timing.hpp"

#include <algorithm>
#include <fstream>

namespace phasewright::benchmark {

Timing summary(std::vector<double> batch_ns) {
  std::ranges::sort(batch_ns);
  return {batch_ns[batch_ns.size() / 2], batch_ns.front(), batch_ns.back()};
}

void keep(double value) {
  volatile double kept = value;
  static_cast<void>(kept);
}

std::string processor() {
  std::ifstream cpuinfo("/proc/cpuinfo");
  for (std::string line; std::getline(cpuinfo, line);)
    if (line.starts_with("model name")) return line.substr(std::min(line.find(':') + 2, line.size()));
  return "unknown processor";
}

} // namespace phasewright::benchmark
