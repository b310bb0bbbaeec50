// Random figures that are the same on every machine, compiler and number of threads. The generator is xoshiro256++
// (Blackman and Vigna, "Scrambled Linear Pseudorandom Number Generators", ACM Trans. Math. Softw. 47(4), 2021), started
// by SplitMix64 (Steele, Lea and Flood, "Fast Splittable Pseudorandom Number Generators", OOPSLA 2014).
#pragma once

#include <array>
#include <bit>
#include <cstdint>

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

class Xoshiro256pp {
public:
  // Not all of it 0.
  using State = std::array<std::uint64_t, 4>;

  explicit constexpr Xoshiro256pp(const State& state) : state_(state) {}

  // One generator for each block of each seed: four words of SplitMix64's sequence that no other block of the seed has.
  static constexpr Xoshiro256pp of_block(std::uint64_t seed, std::uint64_t block) {
    SplitMix64 words(SplitMix64(seed)() + 4 * block * SplitMix64::step);
    State state{};
    for (std::uint64_t& word : state) word = words();
    return Xoshiro256pp(state);
  }

  constexpr std::uint64_t operator()() {
    const std::uint64_t result = std::rotl(state_[0] + state_[3], 23) + state_[0];
    const std::uint64_t shifted = state_[1] << 17;
    state_[2] ^= state_[0];
    state_[3] ^= state_[1];
    state_[1] ^= state_[2];
    state_[0] ^= state_[3];
    state_[2] ^= shifted;
    state_[3] = std::rotl(state_[3], 45);
    return result;
  }

  // From -1 up to 1, 1 not included, every one of 2^52 even steps as likely as another.
  constexpr double either_way() {
    constexpr std::uint64_t exponent_of_two = 0x4000000000000000; // the bits of 2.0; with a fraction, 2 up to 4
    return std::bit_cast<double>(((*this)() >> 12) | exponent_of_two) - 3.0;
  }

private:
  State state_;
};

} // namespace phasewright
