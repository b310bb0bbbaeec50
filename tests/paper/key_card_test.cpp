// The key card, measured in the files themselves.
#include "paper/geometry.hpp"
#include "paper/outside.hpp"
#include "support/paper_checks.hpp"

#include "paper/key_card.hpp"
#include "paper/write.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

using namespace phasewright;
using namespace phasewright::paper;
using namespace phasewright::testing;

namespace {

CardKey card_key(KeyAt at, double deg, double clock_deg, Rotation rotation = Rotation::clockwise,
                 KeySize size = {4.0, 6.5, 16.0}, double shaft_mm = 28.0) {
  CardKey key;
  key.picture.at = at;
  key.picture.shaft = at == KeyAt::crank ? "crank" : "cam";
  key.picture.rotation = rotation;
  key.picture.key_deg = deg;
  key.picture.step_mm = std::fabs(key_step_mm(shaft_mm, deg));
  key.picture.side = step_side(at, deg, rotation);
  key.picture.keyway_clock_deg = clock_deg;
  key.picture.hub_clock_deg = clock_deg + key.picture.side * std::fabs(deg);
  key.picture.words = step_words(at, deg, rotation, shaft_mm);
  key.seat.diameter_mm = shaft_mm;
  key.seat.key = size;
  key.clock_words = "somewhere";
  Engine engine;
  engine.crank_seat = key.seat;
  const Result<KeyFit> fit = key_fit(engine, {}, "crank");
  if (fit)
    key.fit = *fit;
  else
    key.unknown = fit.problems().front().found;
  return key;
}

KeyCardSpec spec_of(std::vector<CardKey> keys, PaperSize paper = PaperSize::a4) {
  KeyCardSpec spec;
  spec.paper = paper;
  spec.title = "Marram 1420, Launch 'Sandling', engine out 14";
  spec.of = "as planned, option 1";
  spec.keys = std::move(keys);
  spec.cautions = {"The maker's limits come first.", "A key that is filed must still fit."};
  return spec;
}

std::vector<DrawnLine> level_lines(const std::vector<DrawnLine>& lines, double length_mm) {
  std::vector<DrawnLine> found;
  std::ranges::copy_if(lines, std::back_inserter(found), [=](const DrawnLine& line) {
    return std::fabs(line.length_mm() - length_mm) < 0.005 && std::fabs(line.from_mm.y - line.to_mm.y) < 0.003;
  });
  std::ranges::sort(found, {}, [](const DrawnLine& line) { return line.from_mm.y; });
  return found;
}

std::size_t upright_count(const std::vector<DrawnLine>& lines, double length_mm) {
  return static_cast<std::size_t>(std::ranges::count_if(lines, [=](const DrawnLine& line) {
    return std::fabs(line.length_mm() - length_mm) < 0.005 && std::fabs(line.from_mm.x - line.to_mm.x) < 0.003;
  }));
}

double middle_x(const DrawnLine& line) {
  return (line.from_mm.x + line.to_mm.x) / 2.0;
}

} // namespace

TEST_CASE("A key's section is ten times as large, stepped the way it has to face", "[paper][keycard]") {
  // The crank's advances the cam when the sprocket half leads: in a clockwise engine that half stands to the right.
  struct Case {
    KeyAt at;
    double deg;
    Rotation rotation;
    double to_the_right;
  };
  const Case cases[]{{KeyAt::crank, 2.0, Rotation::clockwise, 1.0},
                     {KeyAt::crank, -2.0, Rotation::clockwise, -1.0},
                     {KeyAt::crank, 2.0, Rotation::anticlockwise, -1.0},
                     {KeyAt::cam, 2.0, Rotation::clockwise, -1.0},
                     {KeyAt::cam, -2.0, Rotation::anticlockwise, -1.0}};
  for (const Case& of : cases) {
    INFO((of.at == KeyAt::crank ? "crank " : "cam ") << of.deg << " " << to_word(of.rotation));
    const PrintFolder folder;
    const KeyCard card = key_card(spec_of({card_key(of.at, of.deg, 45.0, of.rotation)}));
    REQUIRE(card.scales == std::vector<double>{10.0});
    REQUIRE(write_print(card.print, folder / "card.pdf"));
    REQUIRE(write_print(card.print, folder / "card.svg"));
    for (const std::vector<DrawnLine>& lines : {lines_of_pdf(folder / "card.pdf"), lines_of_svg(folder / "card.svg")}) {
      // DIN 6888: 4 x 6.5 x 16 lies 5.0 mm deep in its shaft. The step is 14 mm x sin 2 degrees.
      const double step_mm = 10.0 * 14.0 * std::sin(2.0 * std::acos(-1.0) / 180.0);
      CHECK(upright_count(lines, 50.0) == 2);
      CHECK(upright_count(lines, 15.0) == 2);
      CHECK(level_lines(lines, step_mm).size() == 2);
      // From above: the line of its width, its top, its foot.
      const std::vector<DrawnLine> wide = level_lines(lines, 40.0);
      REQUIRE(wide.size() == 3);
      CHECK_THAT(wide[2].from_mm.y - wide[1].from_mm.y, WithinAbs(65.0, 0.01));
      CHECK_THAT(middle_x(wide[1]) - middle_x(wide[2]), WithinAbs(of.to_the_right * step_mm, 0.01));
      // True size: the flat of a round of 16 mm that is 6.5 mm high, and the key's own width.
      CHECK(level_lines(lines, 2.0 * std::sqrt(8.0 * 8.0 - 1.5 * 1.5)).size() == 1);
      CHECK(level_lines(lines, 4.0).size() >= 2);
      const auto check_line = level_lines(lines, 100.0);
      REQUIRE(check_line.size() == 1);
    }
    const std::vector<std::string> texts = texts_of(card.print.pages[0]);
    const auto says = [&](const std::string& part) {
      return std::ranges::any_of(texts, [&](const std::string& text) { return text.find(part) != std::string::npos; });
    };
    CHECK(says(of.to_the_right > 0.0 ? "stepped 0.49 mm (19 thou) clockwise"
                                     : "stepped 0.49 mm (19 thou) anticlockwise"));
    CHECK(says(fmt::format("runs {}", to_word(of.rotation))));
    CHECK(says("step 0.49 mm (19 thou)"));
    CHECK(says("diameter 16.00 mm"));
    CHECK(says("The maker's limits come first."));
  }
}

TEST_CASE("The shaft's end has the keyway at its clock angle", "[paper][keycard]") {
  for (const double clock_deg : {0.0, 45.0, 135.0, 250.0}) {
    INFO(clock_deg);
    const PrintFolder folder;
    const KeyCard card = key_card(spec_of({card_key(KeyAt::crank, 0.0, clock_deg)}));
    REQUIRE(write_print(card.print, folder / "card.pdf"));
    const std::vector<DrawnLine> lines = lines_of_pdf(folder / "card.pdf");
    // At 1.5:1 the key's sides are 9.75 mm, in two pieces, 7.5 and 2.25 mm long, and lie along the radius.
    int along = 0;
    for (const DrawnLine& line : lines) {
      if (std::fabs(line.length_mm() - 7.5) > 0.005) continue;
      const glm::dvec2 way = line.to_mm - line.from_mm;
      const double deg = std::atan2(way.x, -way.y) * 180.0 / std::acos(-1.0);
      const double off_deg = std::remainder(deg - clock_deg, 180.0);
      CHECK_THAT(off_deg, WithinAbs(0.0, 0.05));
      ++along;
    }
    CHECK(along == 2);
  }
}

TEST_CASE("A step that leaves too little of a key is cautioned against", "[paper][keycard]") {
  for (const double deg : {8.0, 9.0}) {
    // 14 mm x sin 8 degrees is 1.95 mm, of 9 degrees 2.19 mm; the key is 4 mm wide.
    const KeyCard card = key_card(spec_of({card_key(KeyAt::crank, deg, 0.0)}));
    const bool cautioned = std::ranges::any_of(texts_of(card.print.pages[0]), [](const std::string& text) {
      return text.find("more than half the key's width of 4 mm") != std::string::npos;
    });
    CHECK(cautioned == (deg > 8.5));
  }
}

TEST_CASE("A straight key says so, and has no step", "[paper][keycard]") {
  const KeyCard card = key_card(spec_of({card_key(KeyAt::cam, 0.0, 45.0)}));
  const std::vector<std::string> texts = texts_of(card.print.pages[0]);
  const auto says = [&](const std::string& part) {
    return std::ranges::any_of(texts, [&](const std::string& text) { return text.find(part) != std::string::npos; });
  };
  CHECK(says("straight, with no step and no wrong way round"));
  CHECK_FALSE(says("step 0"));
  CHECK_FALSE(says("Fitted the other way round"));
}

TEST_CASE("The keys of crank and camshaft stand on one page, those of three shafts on two", "[paper][keycard]") {
  const CardKey crank = card_key(KeyAt::crank, 4.0, 0.0);
  const CardKey cam = card_key(KeyAt::cam, 2.0, 45.0, Rotation::clockwise, {4.0, 6.5, 16.0}, 25.0);
  for (const PaperSize paper : {PaperSize::a4, PaperSize::letter}) {
    INFO(to_word(paper));
    CHECK(key_card(spec_of({crank, cam}, paper)).print.pages.size() == 1);
    CHECK(key_card(spec_of({crank, cam, cam}, paper)).print.pages.size() == 2);
  }
}

TEST_CASE("A warning stands first on every page of a card, and nothing where there is none", "[paper][keycard]") {
  const CardKey key = card_key(KeyAt::crank, 4.0, 0.0);
  KeyCardSpec spec = spec_of({key, key, key});
  for (const Page& page : key_card(spec).print.pages)
    CHECK(texts_of(page).front().starts_with("Key cards, as planned, option 1"));
  for (const std::string& warning :
       {std::string("NOT SAFE: as fitted."), std::string(40, 'm') + " and on, " + std::string(300, 'n')}) {
    spec.warning = warning;
    spec.of = "as planned, option 150 (chain 1 tooth back; cam key 1°, shaft half trailing; crank key 3°, sprocket "
              "half leading)";
    const KeyCard card = key_card(spec);
    CHECK(card.print.pages.size() >= 2);
    for (const Page& page : card.print.pages) {
      CHECK(texts_of(page).front() == warning);
      const auto first = std::ranges::find_if(
          page.elements, [](const Element& element) { return std::holds_alternative<Text>(element); });
      CHECK(std::get<Text>(*first).style.ink == inks::warning);
      CHECK(page_faults(page, 4.99) == std::vector<std::string>{});
    }
  }
}

TEST_CASE("Nothing on a key card overlaps, is cut off or leaves the page", "[paper][keycard]") {
  std::vector<KeySize> sizes{{5.0, 7.5, 19.0}, {6.0, 9.0, 22.0}, {10.0, 16.0, 45.0}, {3.2, 30.0, 20.0}};
  for (const Keyway& keyway : keyways()) sizes.push_back(keyway.key);
  for (const KeySize& size : sizes)
    for (const double deg : {-20.0, -9.0, -2.0, -0.5, 0.0, 0.5, 2.0, 9.0, 20.0})
      for (const double shaft_mm : {8.0, 25.0, 60.0, 200.0})
        for (const PaperSize paper : {PaperSize::a4, PaperSize::letter}) {
          INFO(to_text(size) << ", " << deg << " degrees, shaft " << shaft_mm << " on " << to_word(paper));
          CardKey key = card_key(KeyAt::crank, deg, 123.0, Rotation::clockwise, size, shaft_mm);
          KeyCardSpec spec = spec_of({key, key}, paper);
          spec.title =
              "Κινητήρας Μάρραμ, Двигатель, מנוע, محرك, and a title that goes on and on until it reaches as far as "
              "a file may have it, and then a little further than that for good measure, as titles do";
          const KeyCard card = key_card(spec);
          for (const Page& page : card.print.pages) CHECK(page_faults(page, 4.99) == std::vector<std::string>{});
        }
}
