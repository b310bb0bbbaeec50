// The face of a degree wheel: its graduations, figures and marks.
#pragma once

#include "paper/canvas.hpp"
#include "paper/degree_wheel.hpp"

namespace phasewright::paper {

// Radii from the rim inward, and sizes of type, by the wheel's diameter.
struct WheelScale {
  double outer_mm = 0; // where its graduations begin
  double one_mm = 0;   // how long they are: of each degree, each five, each ten
  double five_mm = 0;
  double ten_mm = 0;
  double figures_mm = 0; // middle line of the figures 0 to 350
  double figures_pt = 0;
  double counted_mm = 0; // middle line of those counted from the nearest dead centre
  double counted_pt = 0;
  double words_mm = 0; // of TDC, ATDC, ...
  double words_pt = 0;
  double inner_mm = 0; // where it ends
};

struct WheelFace {
  double rim_mm = 0;
  double band_mm = 0;             // depth of the outermost ring, where events are marked; 0 without events
  std::vector<WheelScale> scales; // one, or two
  double inner_mm = 0;            // of the last
  double label_mm = 0;            // where the events' words end, from the centre
  double label_pt = 0;
  double label_length_mm = 0; // how far in they reach
  double label_height_mm = 0; // across, with what keeps them apart
};
[[nodiscard]] WheelFace wheel_face(const WheelSpec& spec);

// Where the events' words stand, clock degrees, in the order of the events: each as near to its own place as the others
// allow. Empty when there is no room for all.
[[nodiscard]] std::vector<double> label_places_deg(const WheelSpec& spec, const WheelFace& face);

// Where a figure of the outer scale stands.
[[nodiscard]] double clock_of_figure(Rotation crank, double wheel_deg);

void draw_wheel_face(Canvas& canvas, glm::dvec2 centre_mm, const WheelSpec& spec);

} // namespace phasewright::paper
