// The way a strand's pins take along straight runs and over arcs: guides and the tensioner's shoe.
//
// Pins lie on lines and arcs, each one pitch, measured straight, from the last. All in the running plane (strand.hpp).
#pragma once

#include "geometry/angle.hpp"

#include <glm/vec2.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <span>

namespace phasewright {

// A circle the pins run on where the strand bears on it.
struct PathArc {
  glm::dvec2 centre_mm{};
  double radius_mm = 0; // of the pins' line: the face's radius and half the plate height
  double sense = 1.0;   // 1: the centre lies left of the way, -1: right of it
  double pitch_rad = 0; // what a chain pitch, measured straight, spans of it
};

[[nodiscard]] PathArc path_arc(glm::dvec2 centre_mm, double radius_mm, double sense, double pitch_mm);

// The shortest way from one point to another that passes every arc on its own side.
class PinPath {
public:
  static constexpr std::size_t most_arcs = 4;

  // Lays the way from `from` to `to` past `arcs`, in that order. False, and the path is of no use, when there is none:
  // an end lies inside an arc, or two arcs stand too near.
  [[nodiscard]] bool lay(glm::dvec2 from, glm::dvec2 to, std::span<const PathArc> arcs);

  [[nodiscard]] glm::dvec2 first_way() const { return lines_[0].way; }
  [[nodiscard]] glm::dvec2 last_way() const { return lines_[bearing_].way; }
  [[nodiscard]] double length_mm() const; // along lines and arcs
  // Straight, between an end and the arc next to it that bears: the lesser of the two.
  [[nodiscard]] double least_run_mm() const { return std::min(lines_[0].length, lines_[bearing_].length); }

  // Where arc `arc` of those laid bears.
  struct Contact {
    bool bears = false;
    glm::dvec2 centre_mm{};
    glm::dvec2 first_mm{}; // the nearest point of the arc to the way, twice, when it does not bear
    glm::dvec2 last_mm{};
    glm::dvec2 way_in{}; // direction of the way before and after it; the same when it does not bear
    glm::dvec2 way_out{};
  };
  [[nodiscard]] Contact contact(std::size_t arc) const;
  [[nodiscard]] bool bears() const { return bearing_ > 0; }

  // Pitches from the beginning to the end of the way, counted pin by pin, the last one in part.
  [[nodiscard]] double pitches(double pitch_mm) const;

  // What is left of the way after so many pins.
  struct Left {
    double mm;             // straight; negative when the last pin lies past the end
    std::uint64_t pattern; // how many pins lie on each line and arc: while it stays the same the way changes smoothly
  };
  [[nodiscard]] Left left_after(int pins, double pitch_mm) const;

  // Calls `use(point)` for the pins that follow the first, `pins` of them.
  template <class Use>
  void each(int pins, double pitch_mm, Use use) const {
    Place place{0, 0.0};
    while (pins > 0) {
      const int ahead = std::min(pins, on_same_piece(place, pitch_mm));
      const double step = step_of(place, pitch_mm);
      if (place.piece % 2 == 0) {
        for (int i = 1; i <= ahead; ++i) use(point({place.piece, place.along + i * step}));
      } else if (ahead > 0) {
        const Arc& arc = arcs_[static_cast<std::size_t>(place.piece) / 2];
        const glm::dvec2 turn = unit_vector(arc.sense * step);
        glm::dvec2 arm = point(place) - arc.centre;
        for (int i = 1; i <= ahead; ++i) {
          arm = turned_by(arm, turn);
          use(arc.centre + arm);
        }
      }
      place.along += ahead * step;
      pins -= ahead;
      if (pins == 0) return;
      place = hop(place, pitch_mm);
      use(point(place));
      --pins;
    }
  }

private:
  // Pieces alternate: line 0, arc 0, line 1, ... An even piece is a line, and `along` is mm; on an arc it is radians.
  struct Place {
    int piece;
    double along;
  };
  struct Line {
    glm::dvec2 start;
    glm::dvec2 way;
    double length;
  };
  struct Arc {
    glm::dvec2 centre;
    double radius;
    double sense;
    double pitch_rad;
    glm::dvec2 arm; // unit vector from the centre to where the arc begins
    double wrap_rad;
    std::size_t index; // among the arcs laid
  };

  bool join(glm::dvec2 from, glm::dvec2 to, std::span<const PathArc> arcs);
  [[nodiscard]] int last_piece() const { return 2 * static_cast<int>(bearing_); }
  [[nodiscard]] int on_same_piece(const Place& place, double pitch_mm) const;
  [[nodiscard]] double step_of(const Place& place, double pitch_mm) const;
  [[nodiscard]] Place hop(const Place& place, double pitch_mm) const;
  [[nodiscard]] glm::dvec2 point(const Place& place) const;

  // Filled by lay() as far as they are used: ways are laid thousands of times.
  std::array<Line, most_arcs + 1> lines_;
  std::array<Arc, most_arcs> arcs_; // those that bear, in order
  std::array<PathArc, most_arcs> laid_;
  std::array<bool, most_arcs> in_way_;
  std::size_t bearing_ = 0;
  std::size_t count_ = 0;
  glm::dvec2 end_{};
};

} // namespace phasewright
