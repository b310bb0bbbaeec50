// Random figures that are the same on every machine, compiler and number of threads. The generator is xoshiro256++
// (Blackman and Vigna, "Scrambled Linear Pseudorandom Number Generators", ACM Trans. Math. Softw. 47(4), 2021), started
// by SplitMix64 (Steele, Lea and Flood, "Fast Splittable Pseudorandom Number Generators", OOPSLA 2014).
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <cstring>

namespace phasewright {

class SplitMix64 {
public:
  static constexpr std::uint64_t step = 0x9e3779b97f4a7c15;

  explicit constexpr SplitMix64(std::uint64_t state) : state_(state) {}

  constexpr std::uint64_t operator()() {
    state_ += step;
    std::uint64_t mixed = state_;
    mixed = (mixed ^ (mixed >> 30)) * 0xbf58476d1ce4e5b9;
    mixed = (mixed ^ (mixed >> 27)) * 0x94d049bb133111eb;
    return mixed ^ (mixed >> 31);
  }

private:
  std::uint64_t state_;
};

// Two generators side by side, so that a processor's vector unit steps both at once: it takes a third of the time.
class XoshiroPair {
public:
  using State = std::array<std::uint64_t, 4>; // not all of it 0
  using Words [[gnu::vector_size(16)]] = std::uint64_t;

  XoshiroPair(const State& first, const State& second) {
    for (std::size_t i = 0; i < state_.size(); ++i) state_[i] = Words{first[i], second[i]};
  }

  // A pair for each block of each seed. Each of its generators starts on four words of SplitMix64's sequence that no
  // other of that seed has.
  static XoshiroPair of_block(std::uint64_t seed, std::uint64_t block) {
    SplitMix64 words(SplitMix64(seed)() + 8 * block * SplitMix64::step);
    std::array<State, 2> states{};
    for (State& state : states)
      for (std::uint64_t& word : state) word = words();
    return {states[0], states[1]};
  }

  Words operator()() {
    const Words result = turned_left<23>(state_[0] + state_[3]) + state_[0];
    const Words shifted = state_[1] << 17;
    state_[2] ^= state_[0];
    state_[3] ^= state_[1];
    state_[1] ^= state_[2];
    state_[0] ^= state_[3];
    state_[2] ^= shifted;
    state_[3] = turned_left<45>(state_[3]);
    return result;
  }

  // Calls use(k, x) for every k below `count`, a multiple of 4, not in their order: each x from -1 up to 1, 1 not
  // included, every one of 2^32 even steps as likely as another. The upper half of every word goes to the first half of
  // them, the lower to the second.
  template <class Use>
  void either_way(std::size_t count, Use use) {
    XoshiroPair random = *this; // in registers
    const std::size_t half = count / 2;
    for (std::size_t k = 0; k < half; k += 2) {
      const Words words = random();
      put(k, words >> 32, use);
      put(k + half, words & 0xffffffff, use);
    }
    *this = random;
  }

private:
  template <int bits>
  static Words turned_left(Words words) {
    return (words << bits) | (words >> (64 - bits));
  }
  template <class Use>
  static void put(std::size_t k, Words halves, Use use) {
    constexpr std::uint64_t two = 0x4000000000000000; // the bits of 2.0; with a fraction in the 52 below, 2 up to 4
    const Words bits = (halves << 20) | two;
    std::array<double, 2> from_two{};
    std::memcpy(from_two.data(), &bits, sizeof bits);
    use(k, from_two[0] - 3.0);
    use(k + 1, from_two[1] - 3.0);
  }

  std::array<Words, 4> state_;
};

} // namespace phasewright
