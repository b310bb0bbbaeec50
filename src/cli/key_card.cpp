// A card for each key, to be printed.
#include "paper/key_card.hpp"

#include "cli/commands.hpp"
#include "cli/printed.hpp"
#include "cli/shown.hpp"
#include "cli/words.hpp"
#include "paper/check_line.hpp"

#include <fmt/format.h>

namespace phasewright::cli {

namespace {

using paper::CardKey;

CardKey card_key(const Context& context, const KeyPicture& picture) {
  const Engine& engine = *context.opened.engine;
  const Build& build = context.opened.build;
  CardKey key;
  key.picture = picture;
  key.seat = picture.at == KeyAt::crank ? engine.crank_seat : engine.cam_seats.at(picture.shaft);
  key.clock_words = clock_words(picture.keyway_clock_deg);
  const Result<KeyFit> fit = key_fit(engine, build.measured, picture.shaft, build.instruments);
  if (fit)
    key.fit = *fit;
  else
    key.unknown = fmt::format("{}; {}", fit.problems().front().found, fit.problems().front().advice);
  return key;
}

Result<std::vector<CardKey>> asked_keys(const Context& context, const Fitted& fitted) {
  const Engine& engine = *context.opened.engine;
  const KeyOptions& asked = context.options.key;
  if (!asked.camshaft.empty() && find_camshaft(engine, asked.camshaft) == nullptr)
    return problem_at("--camshaft", asked.camshaft, "a camshaft of the engine");
  const Result<std::vector<KeyPicture>> pictures = key_pictures(engine, fitted);
  if (!pictures) return pictures.problems();
  std::vector<CardKey> keys;
  for (const KeyPicture& picture : *pictures) {
    if (asked.at && *asked.at != picture.at) continue;
    if (!asked.camshaft.empty() && asked.camshaft != picture.shaft) continue;
    keys.push_back(card_key(context, picture));
  }
  if (keys.empty()) return problem_at("shaft", "no shaft with a key", "a [shaft.NAME] for each camshaft");
  return keys;
}

std::vector<std::string> cautions_of(const Context& context, std::vector<std::string> notes) {
  std::vector<std::string> cautions = std::move(notes);
  cautions.emplace_back("The maker's limits come first. An offset key moves every valve event: look at the clearances "
                        "with it before it goes in. A key that is filed must still fit, tight on its sides in both "
                        "keyways and with room over it; never file its sides until it is loose, they do the driving.");
  for (const std::string& caution : printed_cautions(context)) cautions.push_back(caution);
  return cautions;
}

Json key_json(const CardKey& key, double scale) {
  const KeyPicture& picture = key.picture;
  const KeySize& size = key.seat.key;
  Json json = Json::object({{"at", picture.at == KeyAt::crank ? "crank" : "cam"},
                            {"shaft", picture.shaft},
                            {"size", to_text(size)},
                            {"width_mm", size.width_mm},
                            {"height_mm", paper::key_height_mm(key)},
                            {"diameter_mm", size.diameter_mm},
                            {"shaft_mm", key.seat.diameter_mm},
                            {"straight", picture.side == 0},
                            {"scale", scale},
                            {"keyway_clock_deg", picture.keyway_clock_deg},
                            {"hub_clock_deg", picture.hub_clock_deg},
                            {"runs", to_word(picture.rotation)}});
  if (picture.side != 0) {
    const WrongWay wrong = key_wrong_way(picture.at, picture.key_deg);
    json.set("deg", picture.key_deg)
        .set("crank_deg", wrong.meant_deg)
        .set("step_mm", picture.step_mm)
        .set("step_faces", picture.side > 0 ? "clockwise" : "anticlockwise")
        .set("wrong_way", wrong.words)
        .set("step_caution", step_caution(size.width_mm, picture.step_mm));
  }
  json.set("key", key_words(picture.at, picture.key_deg)).set("words", picture.words);
  if (key.fit)
    json.set("seat_depth_mm", key.fit->seat_depth_mm)
        .set("hub_depth_mm", key.fit->hub_depth_mm)
        .set("proud_mm", key.fit->proud_mm)
        .set("top_gap_mm", key.fit->top_gap_mm)
        .set("fit", key.fit->words);
  else
    json.set("fit", key.unknown);
  return json;
}

// The card, and what is said of the state whose keys stand on it.
struct AskedCard {
  States states;
  std::vector<std::string> notes;
  std::vector<CardKey> keys;
  paper::KeyCard card;
};

Result<AskedCard> make_card(const Context& context) {
  const AskedState state = asked_of(context.options.print);
  Result<States> states = states_of(context, state);
  if (!states) return states.problems();
  std::vector<std::string> notes = reading_notes(context, state, "the print");
  Result<std::vector<CardKey>> keys = asked_keys(context, states->shown.fitted());
  if (!keys) return keys.problems();
  paper::KeyCard card = paper::key_card({.paper = paper_size(context),
                                         .title = title_words(*context.opened.engine, context.opened.build),
                                         .of = states->words,
                                         .warning = printed_warning(states->verdict),
                                         .keys = *keys,
                                         .cautions = cautions_of(context, with_doubt(notes, states->verdict)),
                                         .date = context.opened.build.measured.date});
  return AskedCard{*std::move(states), std::move(notes), *std::move(keys), std::move(card)};
}

} // namespace

Result<paper::Print> key_card_print(const Context& context) {
  Result<AskedCard> asked = make_card(context);
  if (!asked) return asked.problems();
  return std::move(asked->card.print);
}

Result<Answer> key_card_command(const Context& context) {
  const Result<AskedCard> asked = make_card(context);
  if (!asked) return asked.problems();
  const auto& [states, notes, keys, card] = *asked;
  Result<Answer> answer =
      write_printed(context, card.print,
                    fmt::format("{}, {}", keys.size() == 1 ? "a key card" : "a card for each key", states.words));
  if (!answer) return answer;
  Json all = Json::array();
  for (std::size_t i = 0; i < keys.size(); ++i) {
    const CardKey& key = keys[i];
    const std::string straight = key.picture.side == 0 ? ": no step, no wrong way round" : ": " + key.picture.words;
    const std::string of = key.picture.at == KeyAt::cam ? fmt::format(" (\"{}\")", key.picture.shaft) : std::string();
    answer->page += fmt::format("{}{}{}.\n", capital(key_words(key.picture.at, key.picture.key_deg)), of, straight);
    if (key.picture.side != 0) answer->page += "  " + key_wrong_way(key.picture.at, key.picture.key_deg).words + "\n";
    if (const std::string caution = step_caution(key.seat.key.width_mm, key.picture.step_mm); !caution.empty())
      answer->page += "  Caution on the step: " + caution + ".\n";
    all.add(key_json(key, card.scales[i]));
  }
  for (const std::string& note : notes) answer->page += note + "\n";
  answer->page += fmt::format("Measure its line of {:.0f} mm before laying a key on it.\n", paper::check_line_mm);
  answer->json.set("of", states.words).set("check_line_mm", paper::check_line_mm).set("keys", all);
  add_standing(states, *answer);
  return answer;
}

} // namespace phasewright::cli
