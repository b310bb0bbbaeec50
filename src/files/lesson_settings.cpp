// Settings of a lesson, put into a build as --set does it.
#include "files/build_reader.hpp"
#include "files/key_path.hpp"
#include "files/lesson_reader.hpp"
#include "files/override.hpp"

#include <algorithm>

namespace phasewright {

namespace {

bool is_settable(const std::string& setting) {
  const std::string first = setting.substr(0, setting.find_first_of(".[= "));
  return first == "fitted" || first == "measured" || setting.substr(0, setting.find_first_of("[= ")) == "stock.shim_mm";
}

} // namespace

Result<Build> set_in_build(const Build& build, const Engine& engine, const std::vector<std::string>& settings) {
  for (const std::string& setting : settings)
    if (!is_settable(setting))
      return problem_at(setting, "",
                        "a setting of fitted, planned or measured, such as fitted.lay=1, or stock.shim_mm");
  Result<Node> root = parse_document(build_text(build), "--set");
  if (!root) return root.problems();
  Problems problems;
  apply_overrides(settings, &*root, nullptr, problems);
  Report report;
  Build changed = read_build(*root, true, report);
  check_build(changed, engine, report);
  SourceMap sources;
  map_sources(*root, "--set", sources);
  locate(report.problems(), sources);
  problems.insert(problems.end(), report.problems().begin(), report.problems().end());
  if (!problems.empty()) return problems;
  const bool were_readings = has_readings(build.measured) && has_readings(changed.measured);
  changed.measured.with = were_readings ? build.measured.with : changed.fitted;
  changed.measured.engine = were_readings ? build.measured.engine : nullptr;
  changed.history = build.history;
  return changed;
}

} // namespace phasewright
