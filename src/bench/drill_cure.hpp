// What is to be done about a drill's faults, judged by the mechanics: the engine as it really is with that work done.
#pragma once

#include "bench/drill.hpp"
#include "bench/drill_judge.hpp"
#include "parts/build.hpp"
#include "parts/problem.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace phasewright {

// Work that what is fitted does not say.
enum class DrillWork { set_inlet_lash, set_exhaust_lash, renew_camshaft, square_sprocket };
[[nodiscard]] const char* to_word(DrillWork work); // "set the inlet lash", which also names it in answers

struct Cure {
  // What is to be fitted when it is done: an ordinary one, of an option of a plan (fitted_with) or put together by
  // hand. Shims behind the crank's sprocket are in it.
  Fitted fitted;
  std::vector<DrillWork> works;
  std::map<std::string, double> float_change_mm; // by camshaft, + = more float: a plate so much thinner
};

// A lobe centre as the card's own state has it, and so as it is wanted: inlet ATDC, exhaust BTDC (unit: crank deg). The
// engine must have that kind of valve.
[[nodiscard]] double centre_on_card_deg(const Drill& drill, ValveKind kind);

struct CentreCured {
  ValveKind valve = ValveKind::inlet;
  std::string camshaft;
  double centre_deg = 0; // inlet ATDC, exhaust BTDC, as it then stands
  double wanted_deg = 0; // as the card has it
  double limit_deg = 0;  // that far it may be off: what instruments and parts may be out by (k = 2)

  [[nodiscard]] bool on_target() const;
};

struct CureJudged {
  bool right = false; // all that follows
  std::vector<CentreCured> centres;
  std::optional<bool> safe; // all clearances over their limits, now and with the chain worn; nothing = not worked out
  bool lash_right = true;
  bool level = true;  // the crank's sprocket, in one plane with the others
  bool square = true; // and not tilted
  bool float_right = true;
  double behind_mm = 0;           // what is then left, + behind
  std::vector<std::string> words; // a sentence for each thing that is wrong, or one that all is right
};

// The work is what differs from the card with the named faults on it: there the engine gets what `cure` says; all else
// stays as it really is. Somebody who takes a wheel that moved for a tooth does lay the chain anew, by its marks, and
// does no harm; somebody who takes a tooth for a wheel that moved leaves the chain where it is. A chain is renewed when
// `cure` says less elongation than the card does, or as much and it was named worn. Problems: as judge_faults of the
// named; a drive that does not go together so.
[[nodiscard]] Result<CureJudged> judge_cure(const Drill& drill, const NamedFaults& named, const Cure& cure);

// What puts right what is true: what the card says is fitted; with a new chain where it was worn, and then the best
// that the shelf allows where that moves the camshafts too far; shims by align.
struct RightCure {
  Cure cure;
  std::vector<std::string> words; // of the bench, a sentence each
};
[[nodiscard]] RightCure right_cure(const Drill& drill);

} // namespace phasewright
