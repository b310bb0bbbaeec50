// What makes files of the build that is on the screen: sheets, wheels, cards, pictures, films, models, tables. It is
// asked in the words of the command line, so that a file made from the screen is the one the command makes, and the
// screen can say which command that is.
#pragma once

#include "files/files.hpp"
#include "film/film.hpp"
#include "paper/page.hpp"

#include <optional>
#include <string>
#include <vector>

namespace phasewright::viewer {

// A command and its options, without the program and the file that is open: {"wheel", "--bore", "28", "-o", "w.pdf"}.
using Order = std::vector<std::string>;

// What will be in the file. One of the three is there: all pages, one leaf as a picture, or how a text begins.
struct Preview {
  int leaves = 1; // pages, or frames of a film
  std::vector<paper::Page> pages{};
  std::optional<Image> image{};
  std::vector<std::string> lines{};
};

struct Made {
  std::string words;       // what was made and what has to be said of it, lines ended
  bool stands_ill = false; // what it shows is not safe or out of limits
  bool cancelled = false;  // nothing was written
};

// Both may be called on any thread, on several at a time. Problems: as the command's, an option's under its name.
class Maker {
public:
  Maker() = default;
  virtual ~Maker() = default;
  Maker(const Maker&) = delete;
  Maker& operator=(const Maker&) = delete;

  // `leaf`: from 0, below Preview::leaves; of pages it does not matter. Nothing is written.
  [[nodiscard]] virtual Result<Preview> preview(const Opened& opened, const Order& order, int leaf) const = 0;
  // `watch`: of a film.
  [[nodiscard]] virtual Result<Made> make(const Opened& opened, const Order& order, const film::Watch& watch) const = 0;
};

} // namespace phasewright::viewer
