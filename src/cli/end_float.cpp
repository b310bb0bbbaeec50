// The camshaft's end float.
#include "bench/end_float.hpp"

#include "cli/commands.hpp"
#include "cli/fit_page.hpp"
#include "cli/words.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright::cli {

namespace {

std::string figures_page(const EndFloat& found, const Measured& measured) {
  const auto [least, most] = std::ranges::minmax(measured.float_mm);
  std::string page =
      fmt::format("{}{}; the mean may be out by {} mm (95 %, with the indicator's limit).\n",
                  count_words(found.readings, "reading", "readings"),
                  found.readings == 1 ? "" : fmt::format(", {} to {} mm", fixed(least, 3), fixed(most, 3)),
                  fixed(found.out_by_mm, 3));
  if (found.limits_mm)
    page += fmt::format("Limits {} to {} mm ({} to {} thou).\n", fixed((*found.limits_mm)[0], 3),
                        fixed((*found.limits_mm)[1], 3), fixed((*found.limits_mm)[0] / 0.0254, 1),
                        fixed((*found.limits_mm)[1] / 0.0254, 1));
  return page;
}

std::vector<std::string> faults_of(const EndFloat& found) {
  if (!is_outside(found.verdict)) return {};
  const bool below = found.verdict == FloatVerdict::below || found.verdict == FloatVerdict::maybe_below;
  const bool surely = found.verdict == FloatVerdict::below || found.verdict == FloatVerdict::above;
  return {fmt::format("the end float is {} its limit{}", below ? "below" : "above",
                      surely ? "" : ", by less than it may be out by")};
}

Json float_json(const EndFloat& found) {
  return Json::object(
      {{"camshaft", found.camshaft},
       {"float_mm", found.float_mm},
       {"u_mm", found.u_mm},
       {"out_by_mm", found.out_by_mm},
       {"readings", found.readings},
       {"limits_mm", found.limits_mm ? Json::array({(*found.limits_mm)[0], (*found.limits_mm)[1]}) : Json()},
       {"verdict", to_word(found.verdict)},
       {"change_mm", found.change_mm},
       {"plate_mm", found.plate_mm},
       {"wanted_plate_mm", found.wanted_plate_mm},
       {"plate_wear_mm", found.plate_wear_mm},
       {"boss_wear_mm", found.boss_wear_mm},
       {"by_parts_mm", found.by_parts_mm},
       {"parts_agree", found.parts_agree},
       {"grown_mm", found.grown_mm},
       {"words", found.words}});
}

} // namespace

Result<Answer> end_float_command(const Context& context) {
  const Engine& engine = *context.opened.engine;
  const Build& build = context.opened.build;
  const Result<EndFloat> found = end_float(engine, build);
  if (!found) return found.problems();
  const std::string page =
      title_words(engine, build) + "\n" + found->words + "\n\n" + figures_page(*found, build.measured);
  return fit_answer(faults_of(*found), page, found->advice, float_json(*found));
}

} // namespace phasewright::cli
