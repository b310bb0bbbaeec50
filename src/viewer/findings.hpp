// What the bench's readings come to: wheel and camshafts, alignment, end float, keys. Each is figured again only when
// what it rests on has changed.
#pragma once

#include "bench/align.hpp"
#include "bench/degree.hpp"
#include "bench/end_float.hpp"
#include "bench/key_fit.hpp"

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace phasewright::viewer {

// What was found, or why nothing was.
template <class T>
struct Found {
  std::optional<T> value;
  std::string fault;

  explicit operator bool() const { return value.has_value(); }
  const T& operator*() const { return *value; }
  const T* operator->() const { return &*value; }
};

struct Findings {
  std::shared_ptr<const Found<DegreeRead>> degree;
  std::vector<std::shared_ptr<const Found<DegreeRead>>> earlier; // as Build::history
  std::shared_ptr<const Found<Alignment>> alignment;
  std::shared_ptr<const Found<EndFloat>> end_float;
  std::vector<std::shared_ptr<const Found<KeyFit>>> keys; // as shafts_with_keys
  int computed = 0;                                       // how many of them, counted on
};

// "crank", then each camshaft that has a seat.
[[nodiscard]] std::vector<std::string> shafts_with_keys(const Engine& engine);

// `before`: what was found for `build_before`, from which all is kept that still holds; null at first.
[[nodiscard]] Findings find_all(const Engine& engine, const Build& build, const Findings* before,
                                const Build* build_before);

// The words of a problem that stands on a screen beside what it is about.
[[nodiscard]] std::string first_words(const Problems& problems);

} // namespace phasewright::viewer
