// A card for each key: its step drawn ten times as large, which way it faces in its place, and the same in words.
#pragma once

#include "bench/key_fit.hpp"
#include "bench/key_picture.hpp"
#include "paper/page.hpp"

#include <optional>
#include <string>
#include <vector>

namespace phasewright::paper {

struct CardKey {
  KeyPicture picture;
  ShaftSeat seat;
  std::optional<KeyFit> fit; // how deep it lies; nothing = not known
  std::string unknown;       // why there is none
  std::string clock_words;   // of the shaft's keyway: "just after 1 o'clock"
};

struct KeyCardSpec {
  PaperSize paper = PaperSize::a4;
  std::string title;         // engine and build
  std::string of;            // "as fitted", "as planned, option 1 (cam key 2°, shaft half leading)"
  std::string warning;       // in a box at the top of every page; empty = none
  std::vector<CardKey> keys; // one or more
  std::vector<std::string> cautions;
  std::string date; // as PrintInfo's
};

struct KeyCard {
  Print print; // as many pages as it takes: two cards of keys of common sizes go on one
  std::vector<double>
      scales; // by key: how many times as large its section is drawn; 10, or less where there is no room
};
[[nodiscard]] KeyCard key_card(const KeyCardSpec& spec);

// As it was measured, else as its size says.
[[nodiscard]] double key_height_mm(const CardKey& key);

// The figures of a key as the card prints them, a line each: sizes, angles, depths.
[[nodiscard]] std::vector<std::string> key_figures(const CardKey& key);

} // namespace phasewright::paper
