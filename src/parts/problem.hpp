// What a user can cause to go wrong, said once and the same way everywhere: place, key, what was found, what is
// allowed.
#pragma once

#include <cassert>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace phasewright {

struct Problem {
  std::string file;    // as the user named it; empty when the trouble is not in a file
  int line = 0;        // 1-based; 0 = not known
  int column = 0;      // 1-based; 0 = not known
  std::string key;     // dotted path, "sprocket[2].teeth"; empty when no key is at fault
  std::string found;   // what stands there
  std::string allowed; // what may stand there
  std::string advice;  // what to do about it, when there is something better to say than `allowed`

  friend bool operator==(const Problem&, const Problem&) = default;
};

using Problems = std::vector<Problem>;

// A problem of a key, its place in a file still unknown.
[[nodiscard]] inline Problem problem_at(std::string key, std::string found, std::string allowed,
                                        std::string advice = {}) {
  Problem problem;
  problem.key = std::move(key);
  problem.found = std::move(found);
  problem.allowed = std::move(allowed);
  problem.advice = std::move(advice);
  return problem;
}

// One line: "marram.toml:12:9: block.bore_mm: found -3, allowed 20 to 500 mm". Parts that are empty are left out.
[[nodiscard]] std::string to_text(const Problem& problem);

// One problem a line, each line ended.
[[nodiscard]] std::string to_text(const Problems& problems);

// A value, or every problem that kept it from being made. Never both, never neither.
template <class T>
class [[nodiscard]] Result {
public:
  Result(T value) : held_(std::move(value)) {}                     // NOLINT: converts on purpose
  Result(Problem problem) : held_(Problems{std::move(problem)}) {} // NOLINT
  Result(Problems problems) : held_(std::move(problems)) { assert(!std::get<1>(held_).empty()); } // NOLINT

  [[nodiscard]] bool ok() const { return held_.index() == 0; }
  explicit operator bool() const { return ok(); }

  // The value. Only when ok().
  [[nodiscard]] const T& value() const& { return std::get<0>(held_); }
  [[nodiscard]] T& value() & { return std::get<0>(held_); }
  [[nodiscard]] T&& value() && { return std::get<0>(std::move(held_)); }
  const T& operator*() const& { return value(); }
  T& operator*() & { return value(); }
  T&& operator*() && { return std::move(*this).value(); }
  const T* operator->() const { return &value(); }
  T* operator->() { return &value(); }

  // The problems. Only when not ok().
  [[nodiscard]] const Problems& problems() const { return std::get<1>(held_); }

private:
  std::variant<T, Problems> held_;
};

} // namespace phasewright
