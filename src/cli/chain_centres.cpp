// Which chain fits the centres, which centres a chain asks for, and what moving them does.
#include "cli/chain_sections.hpp"
#include "cli/drive_words.hpp"
#include "cli/words.hpp"
#include "geometry/angle.hpp"
#include "mechanics/centres.hpp"
#include "mechanics/drive_layout.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::cli {

namespace {

std::string extent_words(Extent extent) {
  return fmt::format("{} to {}", fixed(extent.least, 2), fixed(extent.greatest, 2));
}

std::string fit_words(const LinksFit& fit) {
  if (fit.fits) return fit.cranked ? "goes on, with a cranked link" : "goes on";
  if (fit.problems.empty()) return "does not go on";
  const Problem& why = fit.problems.front();
  return why.key.ends_with("links") || why.key.ends_with("travel_mm") ? why.advice : why.found;
}

Section links_section(const ChainCase& chain) {
  std::vector<std::vector<std::string>> rows{
      {"Links", chain.drawn().tensioner ? "tensioner out, mm" : "slack, mm", "marks off, teeth", ""}};
  Section section{{}, Json::array()};
  for (const LinksFit& fit : links_that_fit(chain.engine, chain.fitted, chain.loop)) {
    rows.push_back({fmt::format("{}", fit.links),
                    !fit.fits       ? ""
                    : fit.travel_mm ? extent_words(*fit.travel_mm)
                                    : extent_words(fit.slack_mm),
                    fit.fits ? fixed(std::fabs(fit.mark_error_teeth), 2) : "", fit_words(fit)});
    section.json.add(Json::object({{"links", fit.links},
                                   {"cranked", fit.cranked},
                                   {"fits", fit.fits},
                                   {"slack_mm", extent_json(fit.slack_mm)},
                                   {"travel_mm", fit.travel_mm ? extent_json(*fit.travel_mm) : Json()},
                                   {"mark_error_teeth", fit.mark_error_teeth},
                                   {"why_not", fit.problems.empty() ? Json() : Json(to_text(fit.problems.front()))}}));
  }
  section.page = "Centres: the links that fit them as they are, with the chain as worn as it is\n" +
                 table({Align::right, Align::right, Align::right, Align::left}, rows);
  return section;
}

bool has_two(const ChainCase& chain) {
  return chain.drawn().sprockets.size() == 2;
}

// The centre distance as it is fitted; of two sprockets only.
double centres_mm(const ChainCase& chain) {
  return length2(fitted_centre_mm(chain.engine, chain.fitted, {chain.loop, 1}) -
                 fitted_centre_mm(chain.engine, chain.fitted, {chain.loop, 0}));
}

Section formulas_section(const ChainCase& chain) {
  const double pitch_mm = chain.drawn().chain.pitch_mm;
  const auto [small, large] = std::minmax(chain.drawn().sprockets[0].teeth, chain.drawn().sprockets[1].teeth);
  const double handbook = handbook_links(pitch_mm, small, large, centres_mm(chain));
  const double polygon = tangent_polygon_links(pitch_mm, small, large, centres_mm(chain));
  return {fmt::format("{} mm centres and a new chain: {} links by the handbook, {} by the tangent polygon.\n",
                      fixed(centres_mm(chain), 3), fixed(handbook, 3), fixed(polygon, 3)),
          Json::object({{"centres_mm", centres_mm(chain)}, {"handbook", handbook}, {"tangent_polygon", polygon}})};
}

Result<Section> for_links_section(const ChainCase& chain, int links) {
  if (!has_two(chain))
    return problem_at("--links", fmt::format("{} sprockets in this chain", chain.drawn().sprockets.size()), "2",
                      "only two sprockets have one centre distance");
  const Result<CentreFit> fit = centres_for(chain.drawn().chain.pitch_mm, chain.drawn().sprockets[0].teeth,
                                            chain.drawn().sprockets[1].teeth, links);
  if (!fit) {
    Problem problem = fit.problems().front();
    problem.key = "--links";
    return problem;
  }
  Section section;
  section.page =
      fmt::format("{} new links are just straight at {} mm between centres, {} mm {} than now{}.\n"
                  "The handbook's formula gives {} mm, the tangent polygon {} mm.\n",
                  links, fixed(fit->tight_mm, 3), fixed(std::fabs(fit->tight_mm - centres_mm(chain)), 3),
                  fit->tight_mm > centres_mm(chain) ? "more" : "less", links % 2 == 1 ? "; one of them cranked" : "",
                  fixed(fit->handbook_mm, 3), fixed(fit->polygon_mm, 3));
  section.json = Json::object({{"links", links},
                               {"tight_mm", fit->tight_mm},
                               {"handbook_mm", fit->handbook_mm},
                               {"tangent_polygon_mm", fit->polygon_mm}});
  return section;
}

Json phases_json(const std::vector<double>& phases_deg) {
  Json json = Json::array();
  for (const double deg : phases_deg) json.add(deg);
  return json;
}

Section effect_section(const ChainCase& chain, const std::string& what, const CentreEffect& effect) {
  Section section;
  const bool can_be = effect.problems.empty();
  section.json = Json::object(
      {{"can_be", can_be},
       {"slack_before_mm", extent_json(effect.slack_before_mm)},
       {"slack_after_mm", can_be ? extent_json(effect.slack_after_mm) : Json()},
       {"travel_before_mm", effect.travel_before_mm ? extent_json(*effect.travel_before_mm) : Json()},
       {"travel_after_mm", can_be && effect.travel_after_mm ? extent_json(*effect.travel_after_mm) : Json()},
       {"phase_before_deg", phases_json(effect.phase_before_deg)},
       {"phase_after_deg", can_be ? phases_json(effect.phase_after_deg) : Json()},
       {"why_not", can_be ? Json() : Json(to_text(effect.problems.front()))}});
  if (!can_be) {
    section.page = fmt::format("{}: the drive cannot be so. {}", what, to_text(effect.problems));
    return section;
  }
  section.page = what + ":\n";
  if (effect.travel_before_mm && effect.travel_after_mm)
    section.page += fmt::format("  tensioner out {} mm, now {} mm\n", extent_words(*effect.travel_after_mm),
                                extent_words(*effect.travel_before_mm));
  else
    section.page += fmt::format("  slack {} mm, now {} mm\n", extent_words(effect.slack_after_mm),
                                extent_words(effect.slack_before_mm));
  for (std::size_t i = 0; i < effect.phase_after_deg.size(); ++i)
    section.page += fmt::format("  phase{} {}° crank, now {}°: {}°\n", at_camshaft_words(chain.engine, i),
                                signed_fixed(effect.phase_after_deg[i], 2), signed_fixed(effect.phase_before_deg[i], 2),
                                signed_fixed(effect.phase_after_deg[i] - effect.phase_before_deg[i], 2));
  return section;
}

Result<Section> centre_change_section(const ChainCase& chain, double change_mm) {
  const Result<CentreEffect> effect = centre_effect(chain.engine, chain.fitted, change_mm, chain.loop);
  if (!effect) return effect.problems();
  Section section = effect_section(chain,
                                   fmt::format("With the centres a further {} mm {}", fixed(std::fabs(change_mm), 2),
                                               change_mm < 0.0 ? "closer" : "apart"),
                                   *effect);
  section.json.set("change_mm", change_mm);
  return section;
}

Result<Section> warmth_section(const ChainCase& chain, const Warmth& warmth) {
  const Result<CentreEffect> effect = warmth_effect(chain.engine, chain.fitted, warmth, chain.loop);
  if (!effect) return effect.problems();
  Section section = effect_section(
      chain, fmt::format("{} K {}", std::fabs(warmth.rise_k), warmth.rise_k < 0.0 ? "colder" : "warmer"), *effect);
  section.json.set("block_per_k", warmth.block_per_k);
  section.json.set("chain_per_k", warmth.chain_per_k);
  section.json.set("rise_k", warmth.rise_k);
  return section;
}

} // namespace

Result<Section> centres_section(const ChainCase& chain) {
  const Section links = links_section(chain);
  Section section{links.page, Json::object({{"links_that_fit", links.json}})};
  section.json.set("formulas", Json()).set("for_links", Json()).set("centre_change", Json()).set("warmth", Json());
  Problems problems;
  const auto add = [&](const char* key, const Result<Section>& part) {
    if (!part) {
      problems.insert(problems.end(), part.problems().begin(), part.problems().end());
      return;
    }
    section.page += part->page;
    section.json.set(key, part->json);
  };
  const ChainOptions& asked = chain.asked;
  if (has_two(chain)) add("formulas", formulas_section(chain));
  if (asked.links) add("for_links", for_links_section(chain, *asked.links));
  if (asked.centre_change_mm) add("centre_change", centre_change_section(chain, *asked.centre_change_mm));
  if (asked.rise_k) add("warmth", warmth_section(chain, {*asked.block_per_k, *asked.chain_per_k, *asked.rise_k}));
  if (!problems.empty()) return problems;
  return section;
}

} // namespace phasewright::cli
