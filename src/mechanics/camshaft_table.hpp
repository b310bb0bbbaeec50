// A camshaft's angle against the crank's, read off a table: for sweeps that ask thousands of times.
#pragma once

#include "mechanics/drive.hpp"

#include <cstddef>
#include <vector>

namespace phasewright {

// The polygon effect repeats as often as all the teeth between crank and camshaft come round together: one tooth of the
// crank's sprocket where one chain does it. Over that much the camshaft's angle less half the crank's is kept as
// cubics. Where it has a bend (a seat is left or met), and in drives that repeat too seldom to be worth a table, the
// drive itself is asked. Within 1e-6 degrees of the drive; tests/mechanics measures it.
class CamshaftTable {
public:
  // Holds on to the drive, which must outlive it.
  CamshaftTable(const Drive& drive, const Engine& engine, std::size_t camshaft);

  // As Drive::camshaft_rad, turning forward.
  [[nodiscard]] double camshaft_rad(double crank_rad) const;

  [[nodiscard]] double period_rad() const { return period_rad_; }
  // Share of the table's cells that the drive is asked for; 1 = there is no table.
  [[nodiscard]] double asked_share() const;

private:
  // A cubic of the share of the cell that is passed.
  struct Cell {
    double c0 = 0, c1 = 0, c2 = 0, c3 = 0;
    bool ask = false;

    [[nodiscard]] double at(double share) const { return c0 + share * (c1 + share * (c2 + share * c3)); }
  };

  const Drive* drive_;
  std::size_t camshaft_;
  double period_rad_ = 0;
  double cells_per_rad_ = 0;
  std::vector<Cell> cells_;
};

} // namespace phasewright
