// From wheel and indicator readings to where the camshafts stand, and how well that is known.
#pragma once

#include "bench/reading_model.hpp"
#include "mechanics/mechanism.hpp"
#include "parts/build.hpp"
#include "parts/problem.hpp"

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace phasewright {

// True crank angle = wheel reading + `tdc_correction_deg`, which is [-180, 180): a piston stop cannot tell one turn
// from the next.
struct WheelZero {
  double tdc_correction_deg = 0;
  double u_deg = 0;       // standard; wheel limit and scatter
  bool read = false;      // from stop readings; else the wheel is taken to stand right within its limit
  bool scattered = false; // the pairs differ by more than their uncertainties explain
  struct Pair {
    std::size_t reading = 0;   // index into Measured::stop_deg
    double correction_deg = 0; // what it alone says
    double left_deg = 0;       // it less the wheel correction
    double drop_mm = 0;        // how far below its highest point the piston met the stop
    bool left_out = false;
  };
  std::vector<Pair> pairs;
};

// One pair of lobe readings, corrected for the wheel.
struct PairRead {
  std::size_t reading = 0; // index into Measured::lobe
  double middle_deg = 0;   // true crank degrees, 0 to 720
  double foretold_deg = 0; // where it would be with the camshaft where the drive has it
  double u_deg = 0;        // of the middle, its own: without the wheel's zero
  double left_deg = 0;     // what the fit leaves of (middle - foretold), crank degrees
  double duration_deg = 0; // crank degrees; may be a little below 0 close to the nose
  double foretold_duration_deg = 0;
  double u_duration_deg = 0;
  bool left_out = false; // an outlier; not in the fit
};

// All pairs of one valve.
struct LobeRead {
  ValveKind valve = ValveKind::inlet;
  int cylinder = 1;
  std::size_t camshaft = 0; // index into Engine::camshafts
  double centre_deg = 0;    // as the card names it: inlet ATDC, exhaust BTDC; at the check lift
  double u_deg = 0;         // standard, the wheel's zero with it
  double card_deg = 0;      // of the maker's card
  double drawn_deg = 0;     // of the drive as it was fitted
  // How the middle moves with lift (+ = later), crank degrees for each mm on the indicator; nothing from one lift.
  std::optional<double> asymmetry_deg_per_mm;
  std::optional<double> u_asymmetry_deg_per_mm;
  double drawn_asymmetry_deg_per_mm = 0; // of the lobe as drawn over the same lifts
  bool leans = false;                    // they differ by more than twice u: a worn flank, or an indicator out of line
  bool scattered = false;
  std::vector<PairRead> pairs;
};

// Where a camshaft stands, by all lobes read on it.
struct CamshaftRead {
  std::size_t camshaft = 0;
  double phase_deg = 0;       // crank degrees, + = advanced
  double u_deg = 0;           // standard, the wheel's zero with it
  double u_own_deg = 0;       // without it
  double drawn_phase_deg = 0; // of the drive as it was fitted
  double extra_deg = 0;       // phase less that
  double found_deg = 0;       // of drawn_phase_deg, what earlier readings had found (Fitted::found_of)
  bool off_card = false;      // |phase| is more than 2 u: the difference from the card is real
  bool off_drawn = false;     // likewise of `extra_deg`
  // Inlet and exhaust lobes on it say different phases: exhaust's less inlet's, crank degrees, and whether that is
  // real.
  std::optional<double> lobes_apart_deg;
  bool lobes_disagree = false;
};

// A slip of the pencil that the figures give away: as written they stand further out than two teeth, or their duration
// is none of this lobe at this lift, and put right they fit. Readings of a drive that is a tooth or two out, or has the
// wrong key, are no slip. Readings that are all early by the slack look like an advanced camshaft; they are called a
// slip only when that is 10 degrees or more and neither whole teeth nor the fitted keys say the same.
enum class Slip {
  cam_degrees,    // degrees of the camshaft put down for crank degrees
  sides_swapped,  // before and after TDC, or opens and closes, the wrong way round
  wheel_reversed, // the wheel's numbers run against the engine
  other_cylinder, // it is another cylinder's
  other_valve,    // inlet and exhaust taken for each other
  full_turn,      // 360 out: firing TDC taken for overlap TDC
  other_lift,     // the duration belongs to another lift: tappet for valve, or a misread indicator
  turned_backward // taken turning back: early by the slack
};
struct SlipFound {
  Slip slip = Slip::cam_degrees;
  std::vector<std::size_t> lobe; // indices of the readings concerned
  std::vector<std::size_t> stop;
  std::string words; // "readings 1 and 2: opens and closes stand the wrong way round"
};

struct DegreeRead {
  WheelZero wheel;
  std::vector<LobeRead> lobes;         // by cylinder, inlet before exhaust
  std::vector<CamshaftRead> camshafts; // those with a lobe read on them, in the engine's order
  std::vector<SlipFound> slips;
  std::vector<std::string> outliers; // in words, one for each reading left out
};

// Pairs weigh by what they are known to (wheel limit, indicator limit over the flank's slope), so that mid-flank
// readings count for more than those near the nose. The wheel's zero is one error that all share and does not average
// out (JCGM 100 5.2.2). A reading further from what the others say than six standard uncertainties of the difference is
// left out of the fit, and said to be, when at least three others stand against it, one of them of the same valve: the
// wheel's limit alone leads to 2 sqrt 6, 4.9 of them, at most. Readings belong to `measured.engine` when it is there,
// else to `engine`, with `measured.with` fitted. Problems: a lift a lobe never reaches, a valve or cylinder the engine
// has not, figures that are not finite or have no width, no lobe readings and no stop readings either; as
// Mechanism::assemble.
[[nodiscard]] Result<DegreeRead> read_degree(const Engine& engine, const Measured& measured,
                                             const Instruments& instruments);
// The same with the drive assembled already: `as_read` is the engine the readings were taken on, with what was fitted.
[[nodiscard]] Result<DegreeRead> read_degree(const Mechanism& as_read, const Measured& measured,
                                             const Instruments& instruments);

// What the readings show above what the drive explains, by camshaft, where it is real (k = 2) and no slip was found:
// put it into Fitted::found_of. What earlier readings had found is in it. Empty when there is none, and where it is
// beyond the 60 crank degrees that Fitted::found_of may hold. Of readings taken with something else fitted, too: an
// unknown cause stays.
[[nodiscard]] std::map<std::string, double> found_by_readings(const Engine& engine, const DegreeRead& read);

// Of those the ones that `fitted` says otherwise: what is worked out with `fitted` leaves them out.
[[nodiscard]] std::map<std::string, double> left_out_of(const Fitted& fitted, const Engine& engine,
                                                        const DegreeRead& read);
// The same of a build's own readings; nothing where they cannot be read.
[[nodiscard]] std::map<std::string, double> left_out_of(const Engine& engine, const Build& build);
// What stands on the engine: what the build says is fitted, with what its readings found besides.
[[nodiscard]] Fitted fitted_as_read(const Engine& engine, const Build& build);
// "The readings show the camshaft 0.85° of crank short of what the drive explains".
[[nodiscard]] std::string found_words(const Engine& engine, const std::string& camshaft, double found_deg);

// What changed between two sets of readings; their wheels were set up anew, so that both zeros count.
struct PhaseChange {
  std::size_t camshaft = 0;
  double deg = 0;          // later set's phase less the earlier's
  double u_deg = 0;        // standard
  bool real = false;       // more than twice that
  double foretold_deg = 0; // by what was fitted in each, without what readings found
};
[[nodiscard]] std::vector<PhaseChange> phase_changes(const DegreeRead& before, const DegreeRead& after);

} // namespace phasewright
