// The page of the `clearance` command. What is not safe comes before anything else, the title included.
#include "bench/degree.hpp"

#include "cli/clearance_case.hpp"
#include "cli/standing_words.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::cli {

namespace {

using Rows = std::vector<std::vector<std::string>>;

constexpr const std::array<ValveKind, 2>& kinds = valve_kinds;

// One line for each figure below its limit.
std::string verdicts(const ClearanceCase& found) {
  std::string page;
  for (const std::string& words : too_close_words(found.now.judgement, found.worn.judgement))
    page += fmt::format("NOT SAFE: {}.\n", words);
  return page;
}

std::string second_line(const ClearanceCase& found) {
  if (!found.safe()) return {};
  const bool wild = std::ranges::any_of(found.fits, [](const std::optional<GapFit>& fit) { return fit && fit->wild; });
  if (wild) return "Over the limits below, but by readings that can hardly be right: check them before trusting it.\n";
  const std::vector<ValveKind> doubtful = too_near_to_tell(found);
  if (doubtful.empty()) return "Safe by the limits below, now and with the chain worn.\n";
  const std::string where =
      doubtful.size() == 2 ? "both valves" : fmt::format("the {} valve", to_word(doubtful.front()));
  return fmt::format("Over the limits below, now and with the chain worn, but at {} too near to tell: measure before "
                     "trusting it.\n",
                     where);
}

const char* trust_words(double figure_mm, double limit_mm, double u_mm) {
  if (!(figure_mm >= limit_mm)) return "below its limit";
  return surely_over(figure_mm, limit_mm, u_mm) ? "safely over" : "too near to tell";
}

// Along the valves' axes, with what each figure may be out by.
std::string axial_table(const ClearanceCase& found) {
  Rows rows{{"Along its axis", "", "least, mm", "±, mm", "limit, mm", "at, crank degrees", ""}};
  for (const ValveKind kind : kinds) {
    if (!least_of(found.now, kind)) continue;
    const double limit_mm = axial_limit_mm(found.build.target, kind);
    const auto add = [&](const char* valve, const char* when, const ClearanceState& state, bool judged) {
      const LeastClearance& least = *least_of(state, kind);
      const double u_mm = state.quality[index_of(kind)]->u_mm;
      rows.push_back({valve, when, fixed(least.least_mm, 2), fixed(coverage * u_mm, 2),
                      judged ? fixed(limit_mm, 2) : "", dead_centre_words(least.at_crank_deg),
                      judged ? trust_words(least.least_mm, limit_mm, u_mm) : "not judged"});
    };
    add(kind == ValveKind::inlet ? "Inlet" : "Exhaust", "now", found.now, true);
    add("", "chain worn", found.worn, true);
    add("", "now, no lash", found.no_lash, false);
  }
  return table({Align::left, Align::left, Align::right, Align::right, Align::right, Align::right, Align::left}, rows);
}

// In any direction, and sideways to a pocket's wall.
std::string any_way_table(const ClearanceCase& found) {
  Rows rows{{"In any direction, mm", "now", "chain worn", "no lash", "limit", "at (now), crank degrees"}};
  const Target& target = found.build.target;
  for (const ValveKind kind : kinds) {
    const std::optional<LeastClearance>& now = least_of(found.now, kind);
    if (!now) continue;
    const LeastClearance& worn = *least_of(found.worn, kind);
    const LeastClearance& no_lash = *least_of(found.no_lash, kind);
    rows.push_back({fmt::format("{} valve to piston", kind == ValveKind::inlet ? "Inlet" : "Exhaust"),
                    fixed(now->distance_mm, 2), fixed(worn.distance_mm, 2), fixed(no_lash.distance_mm, 2),
                    fixed(any_way_limit_mm(target, kind), 2), dead_centre_words(now->distance_at_crank_deg)});
    const auto shown = [](const std::optional<double>& mm) { return mm ? fixed(*mm, 2) : std::string("clear of it"); };
    if (now->radial_mm || worn.radial_mm || no_lash.radial_mm)
      rows.push_back({"  its edge to the pocket's wall", shown(now->radial_mm), shown(worn.radial_mm),
                      shown(no_lash.radial_mm), "",
                      now->radial_at_crank_deg ? dead_centre_words(*now->radial_at_crank_deg) : ""});
  }
  if (const auto& between = found.now.least.between)
    rows.push_back({"Inlet to exhaust valve", fixed(between->least_mm, 2), fixed(found.worn.least.between->least_mm, 2),
                    fixed(found.no_lash.least.between->least_mm, 2), fixed(target.min_valve_to_valve_mm, 2),
                    dead_centre_words(between->at_crank_deg)});
  return table({Align::left, Align::right, Align::right, Align::right, Align::right, Align::right}, rows);
}

std::string wear_words(const ClearanceCase& found) {
  const double now_percent = found.build.fitted.elongation_percent;
  const double worn_percent = found.at_limit.elongation_percent;
  const char* more = worn_percent < wear_limit_percent(found.engine)
                         ? ", where the drive can take up no more; renew the chain before its limit"
                     : now_percent >= worn_percent ? "; it is at its wear limit or beyond already"
                                                   : "";
  return fmt::format("Now: chain {} % longer than new. Worn: {} %{}. ±: what the figure may be out by (k = 2).\n",
                     fixed(now_percent, 2), fixed(worn_percent, 2), more);
}

std::string room_words(const std::optional<double>& deg, const char* way) {
  return deg ? fmt::format("{} {}°", way, fixed(std::fabs(*deg), 1)) : fmt::format("{} 60° and more", way);
}

// How the least clearance goes with phase, and how far the camshaft may be moved.
std::string phase_page(const ClearanceCase& found, ValveKind kind) {
  const ClearanceQuality& now = *found.now.quality[index_of(kind)];
  const ClearanceQuality& worn = *found.worn.quality[index_of(kind)];
  const double limit_mm = axial_limit_mm(found.build.target, kind);
  std::string page = fmt::format("{}: {} mm for each crank degree of advance. ",
                                 kind == ValveKind::inlet ? "Inlet" : "Exhaust", signed_fixed(now.slope_mm_per_deg, 3));
  const bool over = clear_enough(least_of(found.now, kind)->least_mm, limit_mm) &&
                    clear_enough(least_of(found.worn, kind)->least_mm, limit_mm);
  if (over) {
    const PhaseRoom room = nearer(room_of(now), room_of(worn));
    return page + fmt::format(
                      "Its camshaft may be {} or {} (crank) before its limit along the axis is reached, now or worn.\n",
                      room_words(room.advance_deg, "advanced"), room_words(room.retard_deg, "retarded"));
  }
  // The valve that is too near, now or worn or both, is freed by the way in which the limit lies, and by the farther of
  // the two.
  const bool too_near_now = !clear_enough(least_of(found.now, kind)->least_mm, limit_mm);
  const bool too_near_worn = !clear_enough(least_of(found.worn, kind)->least_mm, limit_mm);
  const bool advance = (too_near_now ? now : worn).slope_mm_per_deg > 0.0;
  double farthest_deg = 0.0;
  for (const auto& [too_near, quality] : {std::pair(too_near_now, &now), std::pair(too_near_worn, &worn)}) {
    if (!too_near) continue;
    const std::optional<double>& to_limit = advance ? quality->advance_to_limit_deg : quality->retard_to_limit_deg;
    if (!to_limit) return page + "No change of phase within 60° frees it.\n";
    farthest_deg = std::max(farthest_deg, std::fabs(*to_limit));
  }
  return page + fmt::format("{} its camshaft by {}° (crank) reaches the limit, now and worn.\n",
                            advance ? "Advancing" : "Retarding", fixed(farthest_deg, 1));
}

std::string fit_page(ValveKind kind, const GapFit& fit) {
  const char* name = to_word(kind);
  if (fit.readings == 0)
    return fmt::format("The {} clearance is reckoned from the engine file's dimensions, not yet measured.\n", name);
  const std::string by_mm = fixed(std::fabs(fit.correction_mm), 2);
  std::string page = fmt::format(
      "The {} clearance is reckoned from {} on the bench, {}", name, count_words(fit.readings, "reading", "readings"),
      by_mm == "0.00" ? "just as drawn"
                      : fmt::format("{} mm {} than drawn", by_mm, fit.correction_mm < 0.0 ? "closer" : "wider"));
  std::string left;
  for (const double mm : fit.left_mm) left += (left.empty() ? "" : ", ") + signed_fixed(mm, 2);
  page += fit.readings > 1 ? fmt::format("; left over: {} mm.\n", left) : ".\n";
  if (fit.scattered)
    page +=
        fmt::format("WARNING: the {} readings disagree by more than the instruments explain: measure again.\n", name);
  if (fit.wild)
    page += fmt::format("WARNING: the {} readings put the valve {} mm from where it is drawn, more than a drawing is "
                        "wrong by. Check their crank angles and lengths before trusting it.\n",
                        name, by_mm);
  return page;
}

std::string curve_table(const ClearanceCase& found) {
  const PhaseCurve& curve = *found.curve;
  Rows rows{{"Camshaft moved, crank degrees"}};
  std::vector<Align> columns{Align::right};
  std::vector<ValveKind> shown;
  for (const ValveKind kind : kinds)
    if (!curve.least_mm[index_of(kind)].empty()) {
      shown.push_back(kind);
      rows[0].push_back(kind == ValveKind::inlet ? "inlet, mm" : "exhaust, mm");
      columns.push_back(Align::right);
    }
  rows[0].emplace_back("");
  columns.push_back(Align::left);
  for (std::size_t i = 0; i < curve.extra_deg.size(); ++i) {
    const double extra_deg = curve.extra_deg[i];
    if (std::fabs(extra_deg - std::round(extra_deg)) > 1e-6) continue; // every degree in print
    const int deg = static_cast<int>(std::lround(extra_deg));
    std::vector<std::string> row{deg == 0 ? "as it is"
                                          : fmt::format("{} {}", std::abs(deg), deg > 0 ? "advanced" : "retarded")};
    std::string below;
    for (const ValveKind kind : shown) {
      const double mm = curve.least_mm[index_of(kind)][i];
      row.push_back(fixed(mm, 2));
      if (!clear_enough(mm, axial_limit_mm(found.build.target, kind)))
        below += (below.empty() ? "" : " and ") + std::string(to_word(kind));
    }
    row.push_back(below.empty() ? "" : "below the limit: " + below);
    rows.push_back(std::move(row));
  }
  return "\nLeast clearance along the valves' axes against phase, with the chain as it is now\n" + table(columns, rows);
}

} // namespace

const char* way_word(ClearanceCriterion criterion) {
  switch (criterion) {
  case ClearanceCriterion::axial:
    return "along its axis";
  case ClearanceCriterion::any_way:
    return "sideways";
  case ClearanceCriterion::between:
    return "valve to valve";
  }
  return "";
}

std::vector<ValveKind> too_near_to_tell(const ClearanceCase& found) {
  std::vector<ValveKind> doubtful;
  for (const ValveKind kind : kinds) {
    const auto near = [&](const ClearanceState& state) {
      const std::vector<JudgedClearance> untold = state.judgement.too_near_to_tell();
      return std::ranges::any_of(untold, [kind](const JudgedClearance& one) { return one.kind == kind; });
    };
    if (near(found.now) || near(found.worn)) doubtful.push_back(kind);
  }
  return doubtful;
}

std::string clearance_page(const ClearanceCase& found) {
  std::string page = verdicts(found) + title_words(found.engine, found.build) + "\n" + second_line(found);
  for (const auto& [camshaft, deg] : found.by_readings)
    page +=
        found_words(found.engine, camshaft, deg) + "; the clearances go by the readings. \"degree\" has the figures.\n";
  page += "\n";
  page += axial_table(found) + "\n" + any_way_table(found) + "\n" + wear_words(found);
  for (const ValveKind kind : kinds)
    if (least_of(found.now, kind)) page += phase_page(found, kind);
  for (const ValveKind kind : kinds)
    if (const std::optional<GapFit>& fit = found.fits[index_of(kind)]) page += fit_page(kind, *fit);
  if (found.curve) page += curve_table(found);
  return page + "\n" + cautions();
}

} // namespace phasewright::cli
