// Which chain fits which centres, and what moving the centres does.
#pragma once

#include "mechanics/drive.hpp"

#include <optional>
#include <vector>

namespace phasewright {

// One number of links on the loop's centres as they are fitted.
struct LinksFit {
  int links = 0;
  bool cranked = false; // an odd number needs a cranked link
  bool fits = false;    // can be laid: reaches, and hangs no slacker than a drive may; tensioner within travel
  Extent slack_mm;      // over a tooth; negative = how much it is short. 0 in a loop with a tensioner;
                        // to about 0.1 mm when a guide bears on the slack strand and it does not fit
  std::optional<Extent> travel_mm; // tensioner over a tooth, when there is one and it closes the loop
  double mark_error_teeth = 0;     // how far from facing the worst of the loop's camshaft marks stands; it is the
                                   // layout's, and the same for every number of links. 0 when none fits
  Problems problems;               // why not, when it does not fit
};

// Every number of links from one that is two too few to the first that is far too slack, in order; when none fits,
// those about the least that would reach without guides and tensioner. Nothing for a layout that no number of links
// would help.
[[nodiscard]] std::vector<LinksFit> links_that_fit(const Engine& engine, const Fitted& fitted, std::size_t loop = 0);

// Centre distance of a two-sprocket loop for a number of links.
struct CentreFit {
  int links = 0;
  double tight_mm = 0;    // the slack strand is straight where it is tightest in a tooth
  double polygon_mm = 0;  // tangent polygon: mean over the tooth, to 5e-5 of a pitch
  double handbook_mm = 0; // the handbook's inverse formula; 0 when its root has no value (beyond about 1 to 5)
};
// Pitch more than 0, teeth 6 to 200 in any ratio. A problem of chain.links when they are so few that the pitch circles
// would meet.
[[nodiscard]] Result<CentreFit> centres_for(double pitch_mm, int crank_teeth, int cam_teeth, int links);

// Chain length in pitches on given centres, which must be farther apart than the pitch circles' radii together: the
// handbook's X = 2 a/p + (z1 + z2)/2 + ((z2 - z1)/(2 pi))^2 p/a (printed in Bhandari, Design of Machine Elements, ch.
// 14, author's name from memory), and the tangent polygon's X = 2 (a/p) cos b + (z1 + z2)/2 + b (z2 - z1)/pi with sin b
// = (d2 - d1)/(2a): tangents to the pitch circles, the wraps counted in whole link angles.
[[nodiscard]] double handbook_links(double pitch_mm, int small_teeth, int large_teeth, double centres_mm);
[[nodiscard]] double tangent_polygon_links(double pitch_mm, int small_teeth, int large_teeth, double centres_mm);

// What line boring or block facing does, or warmth: the drive before and after.
struct CentreEffect {
  Extent slack_before_mm, slack_after_mm;                  // of the loop, over a tooth; 0 with a tensioner
  std::optional<Extent> travel_before_mm, travel_after_mm; // of its tensioner
  std::vector<double> phase_before_deg, phase_after_deg;   // by camshaft, crank degrees
  Problems problems; // when the drive cannot be so afterwards: the figures after are 0 or nothing
};

// The fitted drive with `change_mm` more between crank and camshafts (see Fitted::centre_change_mm). Problems as
// Drive::assemble before the change.
[[nodiscard]] Result<CentreEffect> centre_effect(const Engine& engine, const Fitted& fitted, double change_mm,
                                                 std::size_t loop = 0);

// Linear expansion: coefficients per kelvin and the rise over the temperature the drawing holds for.
struct Warmth {
  double block_per_k = 0;
  double chain_per_k = 0;
  double rise_k = 0;
};
[[nodiscard]] Growth growth(const Warmth& warmth);
[[nodiscard]] Result<CentreEffect> warmth_effect(const Engine& engine, const Fitted& fitted, const Warmth& warmth,
                                                 std::size_t loop = 0);

} // namespace phasewright
