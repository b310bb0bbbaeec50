// The faults that may explain readings: what each changes about the engine, the drive, or the way it was read.
#pragma once

#include "mechanics/mechanism.hpp"
#include "parts/build.hpp"

#include <functional>
#include <memory>
#include <string>
#include <vector>

namespace phasewright {

// An engine as it may really be, and how it was read.
struct Supposed {
  std::shared_ptr<const Engine> engine;
  Fitted fitted;
  Turning turning = Turning::forward; // while the lobes were read
  double wheel_moved_deg = 0;         // what the wheel shows too much since its stop was read; without a stop, at all
  bool kinds_swapped = false;         // inlet readings are the exhaust valve's, and the other way round
};

// Faults of one kind exclude each other, but for those of different camshafts or valves.
enum class FaultKind {
  none,
  lay,
  crank_key,
  cam_key,
  elongation,
  wheel,
  turning,
  lash,
  ratio,
  lobe,
  swapped,
  camshaft
};

struct Fault {
  FaultKind kind = FaultKind::none;
  std::string of;    // the camshaft or valve concerned; empty = all
  std::string name;  // Cause::faults; unlike any other's
  double weight = 0; // before anything is read, against the others
  // Where it has an amount: all within these are as likely as each other.
  std::string unit;
  double from = 0;
  double to = 0;
  double finest = 0; // how far apart foretold figures may stand, in between which they go straight
  std::function<Supposed(const Supposed&, double)> suppose;
  std::function<std::string(double)> words;

  [[nodiscard]] bool has_amount() const { return to > from; }
};

// All that are weighed for this engine with that fitted. The first is that nothing is wrong. Weights and ranges are our
// own guesses at how often each is met on the bench: no source.
[[nodiscard]] std::vector<Fault> possible_faults(const Mechanism& mechanism, bool stop_read);

} // namespace phasewright
