#include "viewer/strip_span.hpp"

#include "geometry/angle.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace phasewright::viewer {

namespace {

constexpr std::array spans_deg{720.0, 360.0, 180.0, 90.0, 60.0};

std::size_t step_of(const View& view) {
  const auto* const at = std::ranges::find(spans_deg, view.strip_span_deg);
  return at == spans_deg.end() ? 0 : static_cast<std::size_t>(at - spans_deg.begin());
}

void put_at(View& view, double low_deg) {
  view.strip_low_deg = std::clamp(std::round(low_deg), 0.0, 720.0 - view.strip_span_deg);
}

} // namespace

StripSpan strip_span(const View& view) {
  return {view.strip_low_deg, view.strip_low_deg + view.strip_span_deg};
}

double strip_times(const View& view) {
  return 720.0 / view.strip_span_deg;
}

bool can_zoom_strip(const View& view, int closer) {
  return closer > 0 ? step_of(view) + 1 < spans_deg.size() : step_of(view) > 0;
}

void zoom_strip(View& view, int closer, double about_deg) {
  if (!can_zoom_strip(view, closer)) return;
  const double share = (about_deg - view.strip_low_deg) / view.strip_span_deg;
  view.strip_span_deg = spans_deg[closer > 0 ? step_of(view) + 1 : step_of(view) - 1];
  put_at(view, about_deg - share * view.strip_span_deg);
}

void follow_crank(View& view, double own_deg) {
  const double crank_deg = wrap_720(own_deg);
  if (strip_span(view).holds(crank_deg)) return;
  // A little of what has passed stays in sight.
  constexpr double kept_share = 0.1;
  const bool backward = view.turning == Turning::backward;
  put_at(view, crank_deg - (backward ? 1.0 - kept_share : kept_share) * view.strip_span_deg);
}

} // namespace phasewright::viewer
