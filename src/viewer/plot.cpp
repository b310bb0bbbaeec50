#include "viewer/plot.hpp"

#include "geometry/angle.hpp"

#include <algorithm>
#include <cmath>

namespace phasewright::viewer {

void draw_curve(ImDrawList& list, const std::vector<ImVec2>& points, ImU32 colour, float thick, LineStyle style,
                float scale) {
  if (points.size() < 2) return;
  if (style == LineStyle::solid) {
    list.AddPolyline(points.data(), static_cast<int>(points.size()), colour, ImDrawFlags_None, thick);
    return;
  }
  const float on = style == LineStyle::dashed ? 7.0f * scale : 1.5f * scale;
  const float off = style == LineStyle::dashed ? 4.0f * scale : 3.5f * scale;
  std::vector<ImVec2> dash{points.front()};
  float left_over = on; // of the present dash or gap
  bool drawing = true;
  const auto finish = [&] {
    if (drawing && dash.size() > 1)
      list.AddPolyline(dash.data(), static_cast<int>(dash.size()), colour, ImDrawFlags_None, thick);
  };
  for (std::size_t i = 1; i < points.size(); ++i) {
    ImVec2 from = points[i - 1];
    const ImVec2 to = points[i];
    float length = std::hypot(to.x - from.x, to.y - from.y);
    while (length > left_over) {
      const float share = left_over / length;
      from = {from.x + (to.x - from.x) * share, from.y + (to.y - from.y) * share};
      length -= left_over;
      dash.push_back(from);
      finish();
      drawing = !drawing;
      dash.assign(1, from);
      left_over = drawing ? on : off;
    }
    left_over -= length;
    dash.push_back(to);
  }
  finish();
}

void draw_band(ImDrawList& list, const std::vector<ImVec2>& upper, const std::vector<ImVec2>& lower, ImU32 colour) {
  const std::size_t count = std::min(upper.size(), lower.size());
  // Soft edges would show as seams where two pieces meet.
  const ImDrawListFlags flags = list.Flags;
  list.Flags &= ~ImDrawListFlags_AntiAliasedFill;
  for (std::size_t i = 1; i < count; ++i) list.AddQuadFilled(upper[i - 1], upper[i], lower[i], lower[i - 1], colour);
  list.Flags = flags;
}

std::vector<double> round_ticks(double low, double high, int most) {
  if (!(high > low) || most < 1) return {};
  const double power = std::pow(10.0, std::floor(std::log10((high - low) / most)));
  double step = power;
  for (const double times : {1.0, 2.0, 5.0, 10.0}) {
    step = times * power;
    if ((high - low) / step <= most) break;
  }
  std::vector<double> ticks;
  for (double at = std::ceil(low / step - 1e-9); at * step <= high + step * 1e-9; at += 1.0)
    ticks.push_back(at * step + 0.0);
  return ticks;
}

double sample_at(const std::vector<float>& per_degree, double deg) {
  if (per_degree.empty()) return 0.0;
  const double place = wrap_720(deg);
  const auto before = std::min(static_cast<std::size_t>(place), per_degree.size() - 2);
  const double share = place - static_cast<double>(before);
  return static_cast<double>(per_degree[before]) * (1.0 - share) + static_cast<double>(per_degree[before + 1]) * share;
}

std::vector<std::vector<ImVec2>> curve_pieces(const PlotFrame& plot, const std::vector<float>& per_degree,
                                              double times) {
  std::vector<std::vector<ImVec2>> pieces(1);
  if (per_degree.empty()) return pieces;
  // Two pixels or more apart, in whole degrees that divide the cycle.
  const double px_per_deg = static_cast<double>(plot.right - plot.left) / (plot.high_deg - plot.low_deg);
  const double step_deg = px_per_deg >= 2.0 ? 1.0 : 2.0;
  for (double deg = plot.low_deg; deg <= plot.high_deg; deg += step_deg) {
    // The last sample is the cycle's end, not its beginning again.
    const double value = (deg == 720.0 ? static_cast<double>(per_degree.back()) : sample_at(per_degree, deg)) * times;
    if (value <= plot.high) {
      pieces.back().push_back({plot.x(deg), plot.y(value)});
    } else if (!pieces.back().empty()) {
      pieces.emplace_back();
    }
  }
  return pieces;
}

} // namespace phasewright::viewer
