#include "cli/drive_words.hpp"

#include "cli/words.hpp"
#include "geometry/angle.hpp"

#include <fmt/format.h>

namespace phasewright::cli {

std::string at_camshaft_words(const Engine& engine, std::size_t camshaft) {
  return engine.camshafts.size() == 1 ? "" : fmt::format(" at \"{}\"", engine.camshafts[camshaft].name);
}

std::string camshaft_words(const Engine& engine, std::size_t camshaft) {
  return engine.camshafts.size() == 1 ? "the camshaft"
                                      : fmt::format("camshaft \"{}\"", engine.camshafts[camshaft].name);
}

std::string stands_words(const Engine& engine, std::size_t camshaft, double phase_deg) {
  return fmt::format("{} stands {}.", capital(camshaft_words(engine, camshaft)), phase_words(phase_deg));
}

std::string of_chain_words(const Engine& engine, std::size_t loop) {
  return engine.loops.size() == 1 ? "" : fmt::format(" of chain {}", loop + 1);
}

double travel_left_mm(const Engine& engine, const Drive& drive, std::size_t loop) {
  return engine.loops[loop].tensioner->travel_mm[1] - drive.travel_mm(loop).greatest;
}

std::string tightness_page(const Engine& engine, const Drive& drive, std::size_t loop) {
  const std::string chain = of_chain_words(engine, loop);
  if (engine.loops[loop].tensioner)
    return fmt::format("Tensioner{}: out {} to {} mm as a tooth goes by; {} mm of its travel left.\n", chain,
                       fixed(drive.travel_mm(loop).least, 2), fixed(drive.travel_mm(loop).greatest, 2),
                       fixed(travel_left_mm(engine, drive, loop), 2));
  return fmt::format("Slack strand{}: {} to {} mm of chain to spare as a tooth goes by; it bows {} mm at mid-span.\n",
                     chain, fixed(drive.slack_mm(loop).least, 2), fixed(drive.slack_mm(loop).greatest, 2),
                     fixed(drive.greatest_bow_mm(loop), 1));
}

Json extent_json(Extent extent) {
  return Json::object({{"least", extent.least}, {"greatest", extent.greatest}});
}

Json count_json(const std::optional<MarkCount>& count) {
  if (!count) return {};
  return Json::object({{"pins", count->pins},
                       {"from_crank_deg", count->from_crank_deg},
                       {"to_crank_deg", wrap_720(count->to_crank_deg)}});
}

Json tightness_json(const Engine& engine, const Drive& drive, std::size_t loop) {
  Json tensioner;
  if (engine.loops[loop].tensioner)
    tensioner = Json::object(
        {{"travel_mm", extent_json(drive.travel_mm(loop))}, {"travel_left_mm", travel_left_mm(engine, drive, loop)}});
  return Json::object({{"slack_mm", extent_json(drive.slack_mm(loop))},
                       {"bow_mm", drive.greatest_bow_mm(loop)},
                       {"tensioner", tensioner}});
}

} // namespace phasewright::cli
