// On the way from what is fitted to something else: the camshaft goes over smoothly, the crank stands still.
#pragma once

#include "parts/build.hpp"
#include "parts/engine.hpp"

#include <string>
#include <vector>

namespace phasewright::film {

// What the mechanics have at a share of the way, and how the picture is to differ from what they take for it.
struct OnTheWay {
  Fitted fitted;
  // By camshaft: so far its sprocket stands turned under the chain, in its teeth, from where it is laid.
  std::vector<double> teeth_ahead;
};

// `share` 0 gives `from`, 1 gives `to`. In between keys and slots grow to size; where the chain is laid elsewhere, or
// goes by another pair of holes, the camshaft's phase goes over evenly, and with it its valves. A camshaft whose
// sprocket's shaft drives a further chain changes half way, at once.
[[nodiscard]] OnTheWay on_the_way(const Engine& engine, const Fitted& from, const Fitted& to, double share);

// What of it does not happen so on the bench, a sentence each.
[[nodiscard]] std::vector<std::string> not_so_on_the_bench(const Engine& engine, const Fitted& from, const Fitted& to);

// Of a film from one state to another: it rests at both ends, and is slow near them.
[[nodiscard]] double share_of_the_way(int frame, int frames);

} // namespace phasewright::film
