// A degree wheel to be printed at true size, cut out and fitted to the crank.
#pragma once

#include "paper/page.hpp"
#include "paper/tiles.hpp"
#include "parts/engine.hpp"

#include <optional>
#include <string>
#include <vector>

namespace phasewright::paper {

inline constexpr double least_wheel_mm = 80.0; // diameter
inline constexpr double most_wheel_mm = 500.0;
inline constexpr double least_bore_mm = 2.0;

// Something marked at the wheel's edge.
struct WheelEvent {
  ValveKind kind = ValveKind::inlet;
  std::string camshaft; // its name; empty where its kind says which
  int number = 0;       // of those of its kind, from 1; 0 where there is one only
  std::string what;     // "opens", "closes", "centre"
  double crank_deg = 0; // 0 to 720
  std::string words;    // "1.0° BTDC"
};

struct WheelSpec {
  PaperSize paper = PaperSize::a4;
  double diameter_mm = 200;             // least_wheel_mm to most_wheel_mm
  std::optional<double> bore_mm;        // least_bore_mm to greatest_bore_mm(); nothing = only the centre is marked
  Rotation crank = Rotation::clockwise; // the way the crank turns that the outer figures are for, from the timing end
  bool both_ways = false;               // a second, inner row of figures for a crank that turns the other way
  std::string title;                    // engine and build
  std::vector<WheelEvent> events;
  std::string events_of;             // "by the maker's card"; with events
  std::string warning;               // in a box at the top of every page; empty = none
  std::string check_lift;            // "1.27 mm at the tappet"; with events
  std::vector<std::string> cautions; // printed below, a sentence each
  std::string date;                  // as PrintInfo's
};

// The way the figures run around the wheel, seen from the timing end: against the crank, since the wheel turns with it
// past a pointer that stands still, and what is at the pointer has to rise.
[[nodiscard]] Rotation figures_run(Rotation crank);

// 0.0 to 359.9, as the wheel's figures: a crank angle of the second turn stands where that of the first does.
[[nodiscard]] std::string wheel_figure(double crank_deg);

// The largest bore that leaves room for the scale and what is marked; less than least_bore_mm when a wheel so small has
// no room for what is to be marked on it at all.
[[nodiscard]] double greatest_bore_mm(const WheelSpec& spec);

struct DegreeWheel {
  Print print;
  bool one_sheet = true;   // else a sheet that says how, and then the tiles
  TileGrid tiles;          // of the wheel, when it is not
  glm::dvec2 drawing_mm{}; // what is cut into tiles: the wheel with room for marks around it
};
// The specification must be within its ranges.
[[nodiscard]] DegreeWheel degree_wheel(const WheelSpec& spec);

} // namespace phasewright::paper
