// The lobe's true outline and where it touches its follower.
//
// Lobe's frame: camshaft axis at the origin, nose along +y, the running direction anticlockwise. The nose is where the
// lobe touches its follower at 0 from the nose.
// Follower's frame: camshaft axis at the origin, running anticlockwise. Of a tappet or bucket, +y is the way it is
// lifted. Of a finger, +y is along the valve's axis toward the piston and x is FingerArms' x.
#pragma once

#include "mechanics/finger.hpp"
#include "mechanics/lobe.hpp"

#include <glm/vec2.hpp>

#include <optional>
#include <string>
#include <vector>

namespace phasewright {

// Where lobe and follower touch at one cam angle (unit: mm).
struct LobeContact {
  glm::dvec2 in_follower_mm{};
  glm::dvec2 in_lobe_mm{};
  glm::dvec2 pad_mm{}; // centre of the roller or pad, follower's frame; of a flat face the contact point again
  // The contour's radius of curvature there; negative = hollow, without end where it is straight.
  double curvature_mm = 0;
  double tappet_mm = 0; // tappet lift
};

// The face that rides on the lobe, and how it is led.
class FollowerFace {
public:
  // `pad_mm`: radius of roller or pad; nothing for what the gear states. A finger without arms is led straight, on a
  // pad of an assumed radius.
  FollowerFace(const ValveGear& gear, double greatest_lift_mm, std::optional<double> pad_mm = {});

  // The pad's centre (or the flat face's middle) and its derivatives by cam angle, follower's frame (unit: mm, rad).
  struct Motion {
    glm::dvec2 at_mm{};
    glm::dvec2 per_rad_mm{};
    glm::dvec2 per_rad2_mm{};
  };
  [[nodiscard]] Motion motion(const LiftState& tappet) const;
  // Radius of curvature of the lobe where it touches (unit: mm), as LobeContact::curvature_mm.
  [[nodiscard]] double curvature_mm(const LiftState& tappet) const;

  [[nodiscard]] bool flat() const { return pad_mm_ == 0.0; }
  [[nodiscard]] double pad_mm() const { return pad_mm_; } // radius; 0 of a flat face
  [[nodiscard]] double base_mm() const { return base_mm_; }
  [[nodiscard]] const std::optional<FingerTriangle>& finger() const { return finger_; }
  // Where the nose points at 0 from the nose, anticlockwise from the follower's +x: straight up but for a finger.
  [[nodiscard]] double nose_rad() const { return nose_rad_; }

private:
  double base_mm_;
  double pad_mm_ = 0;
  double nose_rad_;
  std::optional<FingerTriangle> finger_;
};

class LobeContour {
public:
  // `lobe`: tappet lift of the same gear. Problems, under `key`, with the cam angle in the words: an undercut lobe (a
  // flat face: radius of curvature not positive; a roller or pad: a nose its path comes to a point over, or a lobe it
  // would touch in two places), a flat face whose contact runs off its edge, a finger that does not reach.
  static Result<LobeContour> make(const ValveGear& gear, const LobeProfile& lobe, const std::string& key);

  // `from_nose_rad` as LobeProfile::at.
  [[nodiscard]] LobeContact contact(double from_nose_rad) const;

  // The angle by which the lobe's frame is then turned against the follower's, anticlockwise.
  [[nodiscard]] double turned_rad(double from_nose_rad) const;

  // Closed, anticlockwise, the last point not the first again; count >= 16. Points stand evenly in cam angle.
  [[nodiscard]] std::vector<glm::dvec2> outline_mm(int count) const;

  // The sharpest place of the contour and its cam angle: a nose of less than about a millimetre would not last.
  [[nodiscard]] double least_convex_radius_mm() const { return least_convex_mm_; }
  [[nodiscard]] double least_convex_at_rad() const { return least_convex_at_rad_; }
  // Greatest distance of the contour from the camshaft's axis: the nose's, where the follower stands square on it.
  [[nodiscard]] double reach_mm() const { return face_.base_mm() + lobe_.greatest_lift_mm(); }

  [[nodiscard]] const FollowerFace& face() const { return face_; }

private:
  LobeContour(const FollowerFace& face, LobeProfile lobe) : face_(face), lobe_(std::move(lobe)) {}
  void measure();

  FollowerFace face_;
  LobeProfile lobe_;
  double least_convex_mm_ = 0;
  double least_convex_at_rad_ = 0;
};

// A table of the lobe's own radius (LiftOf::lobe) as the follower's motion (LiftOf::tappet): the contour rolled under
// this gear's follower. Problems, under `key`: a contour its follower would bridge (a hollow flank under a flat face).
[[nodiscard]] Result<LobeTable> tappet_table(const LobeTable& lobe_radius, const ValveGear& gear,
                                             const std::string& key);

} // namespace phasewright
