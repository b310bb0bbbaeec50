#include "model3d/keys.hpp"

#include "bench/in_parallel.hpp"

#include <glm/common.hpp>
#include <glm/geometric.hpp>

#include <algorithm>
#include <cmath>

namespace phasewright {

namespace {

double share_of(const Cycle& cycle, std::size_t from, std::size_t to, std::size_t look) {
  const auto since_s = [&](std::size_t at) { return double{cycle.times_s[at]} - double{cycle.times_s[from]}; };
  return since_s(look) / since_s(to);
}

// The fewest keys, each as far on as `joins(from, to)` allows; neighbours may always be joined.
template <class Joins>
std::vector<std::size_t> chosen(std::size_t looks, Joins joins) {
  std::vector<std::size_t> keys{0};
  while (keys.back() + 1 < looks) {
    const std::size_t from = keys.back();
    std::size_t good = from + 1;
    std::size_t stride = 1;
    // Twice as far while it goes, then back by halves.
    while (good + stride < looks && joins(from, good + stride)) {
      good += stride;
      stride *= 2;
    }
    for (; stride > 0; stride /= 2)
      while (good + stride < looks && joins(from, good + stride)) good += stride;
    keys.push_back(good);
  }
  return keys;
}

class Track { // one body
public:
  Track(const Cycle& cycle, std::size_t body)
      : cycle_(cycle), body_(body), reach_mm_(cycle.bodies[body].reach_mm), count_(cycle.looks.size()) {
    for (std::size_t i = 1; i < count_; ++i) {
      moves_ = moves_ || !(glm::length(at_mm(i) - at_mm(0)) < same_place_mm);
      turns_ = turns_ || !(apart_mm(turn(i), turn(0), reach_mm_) < same_place_mm);
    }
    within_mm_ = moves_ && turns_ ? keys_within_mm / 2.0 : keys_within_mm;
  }

  [[nodiscard]] Keys keys() const {
    Keys found;
    if (moves_) found.moves = chosen(count_, [&](std::size_t from, std::size_t to) { return moves_evenly(from, to); });
    if (turns_) found.turns = chosen(count_, [&](std::size_t from, std::size_t to) { return turns_evenly(from, to); });
    return found;
  }

private:
  [[nodiscard]] glm::dvec3 at_mm(std::size_t look) const { return cycle_.looks[look][body_].at_mm; }
  [[nodiscard]] glm::dquat turn(std::size_t look) const { return cycle_.looks[look][body_].turn; }

  [[nodiscard]] bool moves_evenly(std::size_t from, std::size_t to) const {
    for (std::size_t i = from + 1; i < to; ++i) {
      const glm::dvec3 line = glm::mix(at_mm(from), at_mm(to), share_of(cycle_, from, to, i));
      if (!(glm::length(line - at_mm(i)) < within_mm_)) return false;
    }
    return true;
  }

  [[nodiscard]] bool turns_evenly(std::size_t from, std::size_t to) const {
    constexpr double least_dot = 0.924; // of half of 45 degrees
    if (std::fabs(glm::dot(turn(from), turn(to))) < least_dot) return false;
    for (std::size_t i = from + 1; i < to; ++i) {
      const glm::dquat even = glm::slerp(turn(from), turn(to), share_of(cycle_, from, to, i));
      if (!(apart_mm(even, turn(i), reach_mm_) < within_mm_)) return false;
    }
    return true;
  }

  const Cycle& cycle_;
  std::size_t body_;
  double reach_mm_;
  std::size_t count_; // of looks
  bool moves_ = false;
  bool turns_ = false;
  double within_mm_ = 0;
};

} // namespace

std::vector<Keys> keys_of(const Cycle& cycle) {
  std::vector<Keys> keys(cycle.bodies.size());
  constexpr std::size_t worth_a_thread = 8;
  in_parallel(keys.size(), worth_a_thread, [&](std::size_t begin, std::size_t end) {
    for (std::size_t body = begin; body < end; ++body) keys[body] = Track(cycle, body).keys();
  });
  return keys;
}

} // namespace phasewright
