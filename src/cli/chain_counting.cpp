// What can be counted on a chain: pins between the marks, and when links and teeth meet again.
#include "bench/chain_count.hpp"
#include "cli/chain_sections.hpp"
#include "cli/drive_words.hpp"
#include "cli/words.hpp"
#include "geometry/angle.hpp"

#include <fmt/format.h>

#include <cmath>

namespace phasewright::cli {

namespace {

std::string count_page(const char* side, const std::string& at, const std::optional<MarkCount>& count) {
  if (!count) return fmt::format("Pins between the marks{}, along the {}: cannot be counted.\n", at, side);
  return fmt::format("Pins between the marks{}, along the {}: {}, with the crank at {}° to {}°.\n", at, side,
                     count->pins, fixed(wrap_720(std::ceil(count->from_crank_deg)), 0),
                     fixed(wrap_720(std::floor(count->to_crank_deg)), 0));
}

Section marks_section(const ChainCase& chain, const Drive& drive) {
  Section section{{}, Json::array()};
  for (const MarksOfCamshaft& marks : count_marks(chain.engine, drive)) {
    const std::string at = chain.engine.camshafts.size() == 1 ? "" : fmt::format(" at \"{}\"", marks.camshaft);
    section.page += count_page("taut side", at, marks.taut_side) + count_page("back", at, marks.back);
    section.json.add(Json::object(
        {{"camshaft", marks.camshaft}, {"taut_side", count_json(marks.taut_side)}, {"back", count_json(marks.back)}}));
  }
  return section;
}

std::string fraction_words(long long num, long long den) {
  if (num % den == 0) return fmt::format("{}", num / den);
  return num < den ? fmt::format("{}/{}", num, den) : fmt::format("{} {}/{}", num / den, num % den, den);
}

std::string turns_words(long long num, long long den) {
  return fraction_words(num, den) + (num == den ? " turn" : " turns");
}

std::string hunting_page(const CountTable& table_of) {
  std::vector<std::vector<std::string>> rows{
      {"Sprocket", "teeth", "shared with the links", "same link on same tooth after", ""}};
  for (const Hunting& sprocket : table_of.hunting)
    rows.push_back({sprocket.sprocket, fmt::format("{}", sprocket.teeth),
                    sprocket.shared == 1 ? "none" : fmt::format("{}", sprocket.shared),
                    turns_words(sprocket.turns, 1) + " of its own",
                    turns_words(sprocket.crank_turns_num, sprocket.crank_turns_den) + " of the crank"});
  std::string page = table({Align::left, Align::right, Align::right, Align::right, Align::right}, rows);
  return page + fmt::format("The chain goes round once in {} of the crank.\n",
                            turns_words(table_of.chain_rounds_crank_num, table_of.chain_rounds_crank_den));
}

std::string cycles_page(const ChainCase& chain, const CountTable& table_of) {
  std::string page;
  for (const MarkCycle& marks : table_of.marks) {
    const std::string at = chain.engine.camshafts.size() == 1 ? "" : fmt::format(" at \"{}\"", marks.camshaft);
    page +=
        fmt::format("The marks{} stand as they do now every {} of the crank; with bright links on them, every {}.\n",
                    at, turns_words(marks.crank_turns, 1), marks.bright_crank_turns);
  }
  return page;
}

Json table_json(const CountTable& table_of) {
  Json hunting = Json::array();
  for (const Hunting& sprocket : table_of.hunting)
    hunting.add(Json::object({{"sprocket", sprocket.sprocket},
                              {"teeth", sprocket.teeth},
                              {"shared", sprocket.shared},
                              {"turns", sprocket.turns},
                              {"crank_turns", Json::array({sprocket.crank_turns_num, sprocket.crank_turns_den})}}));
  Json marks = Json::array();
  for (const MarkCycle& cycle : table_of.marks)
    marks.add(Json::object({{"camshaft", cycle.camshaft},
                            {"crank_turns", cycle.crank_turns},
                            {"bright_crank_turns", cycle.bright_crank_turns}}));
  return Json::object(
      {{"hunting", hunting},
       {"chain_round_crank_turns", Json::array({table_of.chain_rounds_crank_num, table_of.chain_rounds_crank_den})},
       {"mark_cycles", marks}});
}

// The camshaft a count belongs to: the named one, else the only one.
Result<std::string> counted_camshaft(const ChainCase& chain) {
  std::string names;
  for (const Camshaft& camshaft : chain.engine.camshafts) names += (names.empty() ? "" : ", ") + camshaft.name;
  if (chain.asked.camshaft.empty()) {
    if (chain.engine.camshafts.size() == 1) return chain.engine.camshafts.front().name;
    return problem_at("--camshaft", "none", names, "say which mark the pins were counted from");
  }
  if (find_camshaft(chain.engine, chain.asked.camshaft) == nullptr)
    return problem_at("--camshaft", chain.asked.camshaft, names);
  return chain.asked.camshaft;
}

Result<Section> lay_section(const ChainCase& chain, int pins) {
  const Result<std::string> camshaft = counted_camshaft(chain);
  if (!camshaft) return camshaft.problems();
  if (chain.loop != 0 || find_cam_sprocket(chain.engine, *camshaft)->loop != 0)
    return problem_at("--count", fmt::format("{} pins", pins), "a camshaft on the crank's chain, and --loop 1",
                      "marks are counted from the crank's");
  const std::optional<LayFromCount> lay = lay_from_count(chain.engine, chain.fitted, *camshaft, pins);
  if (!lay) return problem_at("--count", fmt::format("{} pins", pins), "a count the marks can have", "count again");
  return Section{fmt::format("{}. As marked there would be {}.\n", lay->words, lay->as_marked),
                 Json::object({{"camshaft", *camshaft},
                               {"pins", pins},
                               {"lay", lay->lay},
                               {"as_marked", lay->as_marked},
                               {"words", lay->words}})};
}

} // namespace

Result<Section> counting_section(const ChainCase& chain, const Drive* drive) {
  const CountTable counted = count_table(chain.engine, chain.loop);
  Section section{"Counting\n", table_json(counted)};
  section.json.set("marks", Json()).set("lay_from_count", Json());
  if (chain.loop == 0 && drive != nullptr) {
    const Section marks = marks_section(chain, *drive);
    section.page += marks.page;
    section.json.set("marks", marks.json);
  }
  if (chain.asked.count) {
    const Result<Section> lay = lay_section(chain, *chain.asked.count);
    if (!lay) return lay.problems();
    section.page += lay->page;
    section.json.set("lay_from_count", lay->json);
  }
  section.page += hunting_page(counted) + cycles_page(chain, counted);
  return section;
}

} // namespace phasewright::cli
