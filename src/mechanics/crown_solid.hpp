// A piston's crown as a solid: what is below its flat out to half the bore, less a dish or with a dome, less its valve
// pockets. Frame as in valve_solid.hpp, moving with the piston. See crown_gap.hpp.
#pragma once

#include "parts/engine.hpp"

#include <glm/vec3.hpp>

#include <array>
#include <optional>
#include <vector>

namespace phasewright {

// A face of the crown, and what of it a line leaves the crown through.
enum class CrownFace {
  none,
  flat,
  bore,
  dish_floor,
  dish_wall,
  dome,
  inlet_floor,
  inlet_wall,
  exhaust_floor,
  exhaust_wall
};

// What of a line lies in the crown: stretches of it, each with the face its upper end is on.
class CrownSpans {
public:
  struct Span {
    double lo_mm, hi_mm;
    CrownFace top;
  };

  [[nodiscard]] const Span* begin() const { return spans_.data(); }
  [[nodiscard]] const Span* end() const { return spans_.data() + count_; }
  [[nodiscard]] bool empty() const { return count_ == 0; }
  // The upper end of the uppermost.
  [[nodiscard]] const Span* top() const;

  void add(double lo_mm, double hi_mm, CrownFace top); // touching nothing that is there, or joined to what it touches
  void keep(double lo_mm, double hi_mm, CrownFace top = CrownFace::none);
  void cut(double lo_mm, double hi_mm, CrownFace left); // what is below the cut then ends on `left`

private:
  std::array<Span, 8> spans_{};
  std::size_t count_ = 0;
};

// A cylinder's wall of the crown: straight lines along its axis.
struct CrownWall {
  CrownFace face = CrownFace::none;
  glm::dvec3 foot_mm{}; // on the axis, at the floor
  glm::dvec3 up{};
  glm::dvec3 across{}; // square to `up`, across the crank
  double radius_mm = 0;
  double depth_mm = 0; // how far below the foot the lines begin; 0 but for the bore's
  glm::dvec3 box_lo_mm{};
  glm::dvec3 box_hi_mm{}; // around what of it can be in the crown

  // A point of its foot circle. `turn`: cosine and sine.
  [[nodiscard]] glm::dvec3 at_mm(glm::dvec2 turn) const {
    return foot_mm + (radius_mm * turn.x) * across + glm::dvec3(0.0, radius_mm * turn.y, 0.0);
  }
};

// A flat of the crown: dot(point, up) = level. All lie square to a direction across the crank.
struct CrownFlat {
  CrownFace face = CrownFace::none;
  glm::dvec3 up{};
  double level_mm = 0;
};

struct CrownBall {
  glm::dvec3 centre_mm{};
  double radius_mm = 0;
};

class CrownSolid {
public:
  explicit CrownSolid(const Engine& engine);

  // Whether a point is in the crown or on its skin. Points of a face are asked about with that face left out.
  [[nodiscard]] bool holds(glm::dvec3 point_mm, CrownFace on = CrownFace::none) const;
  // What of the line lies in the crown. Lines lie in or on the wall or flat `on` (and `also_on`), which is then left
  // out where it would cut.
  [[nodiscard]] CrownSpans along(glm::dvec3 from_mm, glm::dvec3 unit_way, CrownFace on = CrownFace::none,
                                 CrownFace also_on = CrownFace::none) const;

  [[nodiscard]] const std::vector<CrownWall>& walls() const { return walls_; }
  [[nodiscard]] const std::vector<CrownFlat>& flats() const { return flats_; }
  [[nodiscard]] const std::optional<CrownBall>& ball() const { return ball_; }
  // The wall of that kind of valve's pocket, or nothing.
  [[nodiscard]] const CrownWall* pocket(ValveKind kind) const;
  [[nodiscard]] double top_mm() const { return top_mm_; }   // nothing is higher
  [[nodiscard]] double flat_mm() const { return flat_mm_; } // its level; 0, or a dish's as wide as the bore

private:
  void add_pocket(const Valve& valve, double deck_mm, ValveKind kind);

  double half_bore_mm_;
  double top_mm_ = 0;
  double flat_mm_ = 0;
  double dish_radius_mm_ = 0; // 0 without
  double dish_mm_ = 0;
  std::optional<CrownBall> ball_;
  std::vector<CrownWall> walls_; // the bore's first
  std::vector<CrownFlat> flats_; // the crown's flat first
};

} // namespace phasewright
