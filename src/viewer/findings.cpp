#include "viewer/findings.hpp"

#include "viewer/document.hpp"

namespace phasewright::viewer {

namespace {

template <class T>
std::shared_ptr<const Found<T>> found(Result<T> result) {
  auto made = std::make_shared<Found<T>>();
  if (result)
    made->value = *std::move(result);
  else
    made->fault = first_words(result.problems());
  return made;
}

// As `one` was found for `before`; nothing when it has to be found anew.
std::shared_ptr<const Found<DegreeRead>> kept_set(const Measured& one, const Findings& before,
                                                  const std::vector<Measured>& history_before) {
  for (std::size_t i = 0; i < history_before.size() && i < before.earlier.size(); ++i)
    if (same_wheel_readings(one, history_before[i])) return before.earlier[i];
  return nullptr;
}

void find_earlier(Findings& next, const Engine& engine, const Build& build, const Findings* before,
                  const Build* build_before) {
  for (const Measured& set : build.history) {
    std::shared_ptr<const Found<DegreeRead>> kept;
    if (before != nullptr) {
      kept = kept_set(set, *before, build_before->history);
      if (kept == nullptr && same_wheel_readings(set, build_before->measured)) kept = before->degree; // just put by
    }
    if (kept == nullptr) {
      kept = found(read_degree(engine, set, build.instruments));
      ++next.computed;
    }
    next.earlier.push_back(std::move(kept));
  }
}

} // namespace

std::string first_words(const Problems& problems) {
  const Problem& problem = problems.front();
  std::string words = problem.key.empty() ? problem.found : problem.key + ": " + problem.found;
  const auto add = [&words](const std::string& more) {
    if (!more.empty()) words += (words.empty() ? "" : "; ") + more;
  };
  if (!problem.allowed.empty()) add("allowed: " + problem.allowed);
  add(problem.advice);
  return words;
}

std::vector<std::string> shafts_with_keys(const Engine& engine) {
  std::vector<std::string> shafts{"crank"};
  for (const Camshaft& camshaft : engine.camshafts)
    if (engine.cam_seats.contains(camshaft.name)) shafts.push_back(camshaft.name);
  return shafts;
}

Findings find_all(const Engine& engine, const Build& build, const Findings* before, const Build* build_before) {
  Findings next;
  const bool first = before == nullptr;
  const Measured& measured = build.measured;
  if (!first) next = *before;
  next.earlier.clear();
  if (first || !same_wheel_readings(measured, build_before->measured)) {
    next.degree = found(read_degree(engine, measured, build.instruments));
    ++next.computed;
  }
  find_earlier(next, engine, build, before, build_before);
  if (first || !same_gap(measured, build_before->measured) || build.fitted.shim_mm != build_before->fitted.shim_mm ||
      build.stock.shim_mm != build_before->stock.shim_mm) {
    next.alignment = found(align(engine, build));
    ++next.computed;
  }
  if (first || !same_floats(measured, build_before->measured) || !same(build.history, build_before->history)) {
    next.end_float = found(end_float(engine, build));
    ++next.computed;
  }
  if (first || !same_keys(measured, build_before->measured)) {
    next.keys.clear();
    for (const std::string& shaft : shafts_with_keys(engine)) {
      next.keys.push_back(found(key_fit(engine, measured, shaft, build.instruments)));
      ++next.computed;
    }
  }
  return next;
}

} // namespace phasewright::viewer
