// The offset keys of a sheet: what is drawn of them and what is said.
#include "bench/key_fit.hpp"
#include "paper/sheet_parts.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace phasewright::paper {

namespace {

std::string key_name(const Engine& engine, const CardKey& key) {
  std::string name = key_words(key.picture.at, key.picture.key_deg);
  if (key.picture.at == KeyAt::cam && engine.camshafts.size() > 1) name += fmt::format(" at \"{}\"", key.picture.shaft);
  return name;
}

} // namespace

std::vector<SheetKey> offset_keys(const SheetFacts& facts) {
  std::vector<SheetKey> keys;
  const Engine& engine = facts.engine;
  const Result<std::vector<KeyPicture>> pictures = key_pictures(engine, facts.after.mechanism.fitted());
  if (!pictures) return keys;
  for (const KeyPicture& picture : *pictures) {
    if (picture.side == 0) continue;
    CardKey key{.picture = picture,
                .seat = picture.at == KeyAt::crank ? engine.crank_seat : engine.cam_seats.at(picture.shaft),
                .fit = {},
                .unknown = {},
                .clock_words = {}};
    if (Result<KeyFit> fit = key_fit(engine, facts.build.measured, picture.shaft, facts.build.instruments))
      key.fit = *std::move(fit);
    std::string name = key_name(engine, key);
    keys.push_back({std::move(key), std::move(name)});
  }
  std::ranges::stable_partition(keys, [](const SheetKey& one) { return one.key.picture.at == KeyAt::cam; });
  return keys;
}

} // namespace phasewright::paper
