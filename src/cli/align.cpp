// Shims from the straight-edge.
#include "bench/align.hpp"

#include "cli/commands.hpp"
#include "cli/fit_page.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright::cli {

namespace {

constexpr double cover = 2.0; // k

std::string stands(double behind_mm) {
  if (fixed(std::fabs(behind_mm), 2) == "0.00") return "level";
  return fmt::format("{} {}", fixed(std::fabs(behind_mm), 2), behind_mm > 0.0 ? "behind" : "proud");
}

std::string figures_page(const Alignment& found) {
  const std::string limit = fixed(found.limit_mm, 2);
  std::vector<std::vector<std::string>> rows{{"", "read or figured", "±", "limit"}};
  rows.push_back({"Crank sprocket now, mm", stands(found.behind_mm), fixed(cover * found.u_gap_mm, 2), limit});
  if (found.shims != ShimsTo::leave)
    rows.push_back({"... with the shims changed", stands(found.left_mm), fixed(cover * found.u_left_mm, 2), limit});
  rows.push_back({"Tilt, far less near, degrees", signed_fixed(found.tilt_deg, 2), fixed(cover * found.u_tilt_deg, 2),
                  fixed(found.tilt_limit_deg, 2)});
  return table({Align::left, Align::right, Align::right, Align::right}, rows) +
         "±: what the figure may be out by (k = 2).\n";
}

std::string chain_page(const Alignment& found) {
  std::string page = fmt::format("Left out of plane, the chain leaves the crank sprocket {}° askew over its shortest "
                                 "strand of {} mm. ",
                                 fixed(found.chain_deg, 2), fixed(found.strand_mm, 1));
  const bool has_room = std::fabs(found.left_mm) <= found.side_play_mm;
  page += fmt::format("New, it can move {} mm sideways on its sprockets from stop to stop{}.\n",
                      fixed(found.side_play_mm, 2),
                      has_room ? "" : ", which is less: its inner plates bear on the teeth and wear both");
  return page;
}

std::string since_page(const Alignment& found) {
  if (found.since_mm == 0.0) return {};
  return fmt::format("Since the gap was read {} of shims have {}: that is counted.\n",
                     mm_thou(std::fabs(found.since_mm)), found.since_mm > 0.0 ? "gone in" : "come out");
}

std::vector<std::string> faults_of(const Alignment& found) {
  std::vector<std::string> faults;
  if (std::fabs(found.left_mm) > found.limit_mm)
    faults.push_back(fmt::format("the crank sprocket {} {} mm {}, {} mm is allowed",
                                 found.shims == ShimsTo::leave ? "stands" : "would still stand",
                                 fixed(std::fabs(found.left_mm), 2), found.left_mm > 0.0 ? "behind" : "proud",
                                 fixed(found.limit_mm, 2)));
  if (std::fabs(found.tilt_deg) > found.tilt_limit_deg)
    faults.push_back(fmt::format("the sprockets {} {}° out of square, {}° is allowed",
                                 found.tilted ? "stand" : "may stand", fixed(std::fabs(found.tilt_deg), 2),
                                 fixed(found.tilt_limit_deg, 2)));
  return faults;
}

Json align_json(const Alignment& found) {
  return Json::object({{"under", found.under},
                       {"gap_mm", found.gap_mm},
                       {"u_gap_mm", found.u_gap_mm},
                       {"behind_mm", found.behind_mm},
                       {"since_mm", found.since_mm},
                       {"shims", to_word(found.shims)},
                       {"shim_mm", found.shim_mm},
                       {"pack", figures_json(found.pack.pieces_mm)},
                       {"pack_mm", found.pack.thickness_mm},
                       {"behind_after", figures_json(found.behind_after.pieces_mm)},
                       {"left_mm", found.left_mm},
                       {"u_left_mm", found.u_left_mm},
                       {"limit_mm", found.limit_mm},
                       {"tilt_deg", found.tilt_deg},
                       {"u_tilt_deg", found.u_tilt_deg},
                       {"tilt_limit_deg", found.tilt_limit_deg},
                       {"tilted", found.tilted},
                       {"side_play_mm", found.side_play_mm},
                       {"strand_mm", found.strand_mm},
                       {"chain_deg", found.chain_deg},
                       {"within_now", found.within_now},
                       {"within", found.within},
                       {"surely", found.surely},
                       {"words", found.words},
                       {"recheck", found.recheck}});
}

} // namespace

Result<Answer> align_command(const Context& context) {
  const Engine& engine = *context.opened.engine;
  const Build& build = context.opened.build;
  const Result<Alignment> found = align(engine, build);
  if (!found) return found.problems();
  std::string page = title_words(engine, build) + "\n" + found->words + "\n" + since_page(*found) + "\n";
  page += figures_page(*found) + "\n" + chain_page(*found);
  page += fmt::format("Read again{}: {}.\n", found->shims == ShimsTo::leave ? "" : " after fitting", found->recheck);
  return fit_answer(faults_of(*found), page, found->advice, align_json(*found));
}

} // namespace phasewright::cli
