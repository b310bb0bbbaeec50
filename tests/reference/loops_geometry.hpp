// The way of a chain by compass and ruler: straight lines and circles, in the engine file's own plane. A second account
// of a loop's layout that shares nothing with the mechanics.
#pragma once

#include "parts/build.hpp"

#include <glm/vec2.hpp>

#include <cstddef>
#include <optional>
#include <vector>

namespace phasewright::testing {

// A circle the pins run round: a pitch circle, or a guide's arc raised by half a plate.
struct Round {
  glm::dvec2 centre_mm{};
  double radius_mm = 0;
  double side = 1.0;     // 1: within the loop; -1: on the chain's back
  int teeth = 0;         // 0 = a guide
  std::size_t index = 0; // into Loop::sprockets or Loop::guides; the tensioner's shoe is one past the guides
};

struct Leg {
  glm::dvec2 from_mm{};
  glm::dvec2 to_mm{};
};

// A closed way round circles in order: leg i leaves circle i.
struct Way {
  std::vector<Round> rounds;
  std::vector<Leg> legs;
  std::vector<double> wrap_rad; // [0, 2 pi)
};

// 1 when a chain that turns `rotation` travels anticlockwise round its loop, -1 clockwise.
[[nodiscard]] double handed(Rotation rotation);

// Common tangents in order; nothing when two circles leave no room for one.
[[nodiscard]] std::optional<Way> way_round(std::vector<Round> rounds, double handed);

// Circle on which the pins run over a guide.
[[nodiscard]] Round guide_round(const Loop& loop, std::size_t guide, double travel_mm);

// The way of a loop at a pitch and a travel of its tensioner. Guides the chain does not reach are left out.
[[nodiscard]] std::optional<Way> way_of(const Loop& loop, double handed, double pitch_mm, double travel_mm = 0.0);

// Length in pitches: lines as they are, sprockets by whole link angles 2 pi / z, guides by those of chords on their
// arc. Equal to the mean over a tooth of the true length to about 0.01 pitch.
[[nodiscard]] double pitches(const Way& way, double pitch_mm);

// Travel at which the loop takes up `links` pitches, between two travels; nothing when it does not in between.
[[nodiscard]] std::optional<double> closing_travel_mm(const Loop& loop, double handed, double pitch_mm, double low_mm,
                                                      double high_mm);

// Teeth by which a chain at `worn_mm` instead of `new_mm` moves a sprocket on, the way the chain turns it: the change
// of the pitches between it and the driving sprocket, along the strands that are pulled, or held by the tensioner.
[[nodiscard]] std::optional<double> sprocket_shift_teeth(const Loop& loop, double handed, std::size_t sprocket,
                                                         double new_mm, double worn_mm);

// Greatest tip radius by ISO 606: (d + 1.25 p - d1) / 2.
[[nodiscard]] double tip_radius_mm(const Chain& chain, int teeth);

// What a chain could be laid on by anyone's judgement: teeth clear of each other, every sprocket
// wrapped by a tooth and a half or more and every straight piece two pitches or longer, one turn round in all, no
// strand across another or through a sprocket.
[[nodiscard]] bool sound(const Loop& loop, const Way& way);

} // namespace phasewright::testing
