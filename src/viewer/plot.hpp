// Lines of curves: solid, dashed and dotted, so that hue is never the only difference.
#pragma once

#include <imgui.h>

#include <functional>
#include <vector>

namespace phasewright::viewer {

enum class LineStyle { solid, dashed, dotted };

void draw_curve(ImDrawList& list, const std::vector<ImVec2>& points, ImU32 colour, float thick, LineStyle style,
                float scale);

// Fills between two curves of as many points, from left to right.
void draw_band(ImDrawList& list, const std::vector<ImVec2>& upper, const std::vector<ImVec2>& lower, ImU32 colour);

// Round figures from `low` to `high`, 1, 2 or 5 times a power of ten apart, not more than about `most` of them.
[[nodiscard]] std::vector<double> round_ticks(double low, double high, int most);

// Maps a crank angle and a height to the screen.
struct PlotFrame {
  float left = 0;
  float right = 0;
  float top = 0;
  float bottom = 0;
  double low_deg = 0;
  double high_deg = 720;
  double high = 1; // the height at `top`
  double low = 0;  // and at `bottom`

  [[nodiscard]] float x(double deg) const {
    return left + (right - left) * static_cast<float>((deg - low_deg) / (high_deg - low_deg));
  }
  [[nodiscard]] float y(double value) const {
    return bottom - (bottom - top) * static_cast<float>((value - low) / (high - low));
  }
  [[nodiscard]] double deg(float at_x) const {
    return low_deg + (high_deg - low_deg) * static_cast<double>((at_x - left) / (right - left));
  }
};

// A curve sampled at every whole degree 0 to 720, read at any degree between; wraps round the cycle.
[[nodiscard]] double sample_at(const std::vector<float>& per_degree, double deg);

// The points of such a curve over the plot's degrees; pieces above the top are left out, so there may be several.
[[nodiscard]] std::vector<std::vector<ImVec2>> curve_pieces(const PlotFrame& plot, const std::vector<float>& per_degree,
                                                            double times = 1.0);

} // namespace phasewright::viewer
