// Valve events: opening, closing, centres, overlap, separation, lift at TDC.
#pragma once

#include "mechanics/mechanism.hpp"

#include <optional>

namespace phasewright {

// Crank degrees 0 to 720, 0 = No. 1 at overlap TDC. Opens may be a larger figure than closes (it runs through 720).
struct OpenSpan {
  double opens_deg = 0;
  double closes_deg = 0;
  double duration_deg = 0;
};

struct KindEvents {
  ValveKind kind = ValveKind::inlet;
  double centre_deg = 0; // as the card names it: inlet ATDC, exhaust BTDC of overlap TDC; by equal lifts at check lift
  double centre_crank_deg = 0; // the same as a crank angle 0 to 720
  OpenSpan at_check;           // at the camshaft's check lift, at the tappet or the valve as the card says
  OpenSpan at_lash;            // where the lash is taken up: the valve leaves and meets its seat
  double lift_at_tdc_mm = 0;   // valve lift at this cylinder's overlap TDC
  double greatest_lift_mm = 0; // at the valve
  double greatest_at_deg = 0;  // crank angle 0 to 720 of the greatest lift
  double nose_deg = 0;         // lobe centre by greatest lift, counted as centre_deg; differs on asymmetric lobes
};

struct CamshaftEvents {
  std::string name;
  std::optional<KindEvents> inlet;
  std::optional<KindEvents> exhaust;
};

struct Events {
  std::vector<CamshaftEvents> camshafts; // of cylinder No. 1
  std::optional<double> overlap_deg;     // crank degrees both are open at check lift; negative = a gap between them
  std::optional<double> overlap_at_lash_deg;
  std::optional<double> overlap_area_mm_deg; // under the lesser of both valves' lifts, mm x crank degrees
  std::optional<double> separation_deg; // lobe separation in cam degrees: half the crank degrees between the centres
};

// Problems: a check lift that a lobe does not reach.
[[nodiscard]] Result<Events> valve_events(const Mechanism& mechanism, int cylinder = 1);

// The span over which a valve (or its tappet) is lifted by more than `lift_mm`. Nothing when it never is. `turning`:
// backward = where the crank stands at these lifts while it is turned back. `extra_phase_deg`: with the camshaft set
// ahead on its sprocket by so many crank degrees more than is fitted.
enum class LiftedAt { tappet, valve };
[[nodiscard]] std::optional<OpenSpan> open_span(const Mechanism& mechanism, ValveKind kind, int cylinder,
                                                double lift_mm, LiftedAt at, Turning turning = Turning::forward,
                                                double extra_phase_deg = 0);

// "12.3 deg BTDC" and the like for an event of that kind at a crank angle; the words of the trade (SAE J604 terms).
[[nodiscard]] std::string event_words(EventKind kind, double crank_deg);
// The same as a signed figure: inlet_opens BTDC, inlet_closes ABDC, exhaust_opens BBDC, exhaust_closes ATDC.
[[nodiscard]] double event_figure_deg(EventKind kind, double crank_deg);

} // namespace phasewright
