// The degree wheel, measured in the files themselves.
#include "paper/geometry.hpp"
#include "paper/outside.hpp"
#include "support/paper_checks.hpp"

#include "geometry/angle.hpp"
#include "paper/degree_wheel.hpp"
#include "paper/wheel_face.hpp"
#include "paper/write.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

using namespace phasewright;
using namespace phasewright::paper;
using namespace phasewright::testing;

namespace {

// Longer than any a file may hold (200 bytes), and in several scripts.
const std::string long_title =
    "Κινητήρας Μάρραμ, Двигатель, מנוע, محرك, Launch 'Sandling' with a title that goes on and on "
    "until it reaches as far as a file may have it and then a little further than that for good";

std::vector<WheelEvent> six_events() {
  return {{ValveKind::inlet, "", 0, "opens", 719.0, "1.0° BTDC"},
          {ValveKind::inlet, "", 0, "closes", 217.0, "37.0° ABDC"},
          {ValveKind::inlet, "", 0, "centre", 108.0, "108.0° ATDC"},
          {ValveKind::exhaust, "", 0, "opens", 504.0, "36.0° BBDC"},
          {ValveKind::exhaust, "", 0, "closes", 0.0, "0.0° ATDC"},
          {ValveKind::exhaust, "", 0, "centre", 612.0, "108.0° BTDC"}};
}

WheelSpec spec_of(double diameter_mm, PaperSize paper = PaperSize::a4) {
  WheelSpec spec;
  spec.diameter_mm = diameter_mm;
  spec.paper = paper;
  spec.title = "Marram 1420, Launch 'Sandling', engine out 14";
  spec.cautions = {"Turn the engine by hand only."};
  return spec;
}

WheelSpec with_events(WheelSpec spec) {
  spec.events = six_events();
  spec.events_of = "as fitted";
  spec.check_lift = "1.27 mm at the tappet";
  return spec;
}

glm::dvec2 middle_of(const DrawnLine& line) {
  return (line.from_mm + line.to_mm) / 2.0;
}

// Lines of one length, the lengths alike within what cairo's grid of 1/256 pt lets two ends be out by.
std::vector<DrawnLine> of_length(const std::vector<DrawnLine>& lines, double length_mm) {
  std::vector<DrawnLine> found;
  std::ranges::copy_if(lines, std::back_inserter(found),
                       [=](const DrawnLine& line) { return std::fabs(line.length_mm() - length_mm) < 0.004; });
  return found;
}

// Graduations, found by there being so many of one length: 288 of each degree, 36 each of five and of ten.
std::vector<DrawnLine> graduations(const std::vector<DrawnLine>& lines, std::size_t count, bool longest) {
  std::vector<DrawnLine> found;
  double length_mm = 0.0;
  for (const DrawnLine& line : lines) {
    const std::vector<DrawnLine> alike = of_length(lines, line.length_mm());
    if (alike.size() != count || (longest && line.length_mm() < length_mm)) continue;
    found = alike;
    length_mm = line.length_mm();
  }
  return found;
}

glm::dvec2 mean_of(const std::vector<DrawnLine>& lines) {
  glm::dvec2 sum{};
  for (const DrawnLine& line : lines) sum += middle_of(line);
  return sum / static_cast<double>(lines.size());
}

double clock_deg(glm::dvec2 centre, glm::dvec2 at) {
  return wrap_360(std::atan2(at.x - centre.x, centre.y - at.y) * 180.0 / std::acos(-1.0));
}

void check_graduations(const std::vector<DrawnLine>& lines) {
  const std::vector<DrawnLine> tens = graduations(lines, 36, true);
  REQUIRE(tens.size() == 36);
  const glm::dvec2 centre = mean_of(tens);
  std::set<int> seen;
  for (const DrawnLine& line : tens)
    for (const glm::dvec2 end : {line.from_mm, line.to_mm}) {
      const double deg = clock_deg(centre, end);
      const int nearest = static_cast<int>(std::lround(deg / 10.0)) % 36;
      seen.insert(nearest);
      CHECK(std::fabs(wrap_180(deg - 10.0 * nearest)) < 0.01);
    }
  CHECK(seen.size() == 36);
  const std::vector<DrawnLine> ones = graduations(lines, 288, false);
  REQUIRE(ones.size() == 288);
  for (const DrawnLine& line : ones) {
    const double deg = clock_deg(centre, line.from_mm);
    CHECK(std::fabs(deg - std::round(deg)) < 0.01);
  }
}

bool long_as_said(const DrawnLine& line) {
  return std::fabs(line.length_mm() - 100.0) < 5.0 && std::fabs(line.from_mm.y - line.to_mm.y) < 0.01;
}

// Less that line and the strokes across its ends, which may be as long as a graduation.
std::vector<DrawnLine> without_check_line(std::vector<DrawnLine> lines) {
  const auto check_line = std::ranges::find_if(lines, long_as_said);
  REQUIRE(check_line != lines.end());
  const double level_mm = check_line->from_mm.y;
  std::erase_if(lines, [level_mm](const DrawnLine& line) { return std::fabs(middle_of(line).y - level_mm) < 0.01; });
  return lines;
}

void check_check_line(const std::vector<DrawnLine>& lines) {
  REQUIRE(std::ranges::count_if(lines, long_as_said) == 1);
  const DrawnLine line = *std::ranges::find_if(lines, long_as_said);
  CHECK_THAT(line.length_mm(), WithinAbs(100.0, 0.1)); // what was asked
  CHECK_THAT(line.length_mm(), WithinAbs(100.0, 0.01));
  // The strokes across its ends stand where it ends.
  for (const glm::dvec2 end : {line.from_mm, line.to_mm})
    CHECK(std::ranges::any_of(lines, [end](const DrawnLine& across) {
      return std::fabs(across.from_mm.x - end.x) < 0.005 && std::fabs(across.to_mm.x - end.x) < 0.005 &&
             std::fabs(across.length_mm() - 4.0) < 0.01;
    }));
}

// Texts with how they are turned, which tells two that read alike apart.
std::set<std::pair<std::string, long>> turned_texts(const Page& page) {
  std::set<std::pair<std::string, long>> texts;
  for (const Element& element : page.elements)
    if (const Text* text = std::get_if<Text>(&element))
      texts.emplace(text->words, std::lround(100.0 * wrap_360(text->turned_deg)));
  return texts;
}

} // namespace

TEST_CASE("Graduations and the line of 100 mm are right in the PDF and the SVG themselves", "[paper][wheel]") {
  for (const double diameter_mm : {80.0, 100.0, 180.0, 200.0})
    for (const PaperSize paper : {PaperSize::a4, PaperSize::letter}) {
      INFO(diameter_mm << " mm on " << to_word(paper));
      const PrintFolder folder;
      const DegreeWheel wheel = degree_wheel(spec_of(diameter_mm, paper));
      REQUIRE(wheel.one_sheet);
      REQUIRE(write_print(wheel.print, folder / "wheel.pdf"));
      REQUIRE(write_print(wheel.print, folder / "wheel.svg"));
      for (const std::vector<DrawnLine>& lines :
           {lines_of_pdf(folder / "wheel.pdf"), lines_of_svg(folder / "wheel.svg")}) {
        check_graduations(lines);
        check_check_line(lines);
        // The rim is a circle, so its size shows in the graduations' outer ends.
        const std::vector<DrawnLine> tens = graduations(lines, 36, true);
        const glm::dvec2 centre = mean_of(tens);
        for (const DrawnLine& line : tens)
          CHECK_THAT(2.0 * std::hypot(line.from_mm.x - centre.x, line.from_mm.y - centre.y),
                     WithinAbs(diameter_mm, 0.01));
      }
    }
}

TEST_CASE("Figures run against the crank, so that they rise at a pointer that stands still", "[paper][wheel]") {
  for (const Rotation crank : {Rotation::clockwise, Rotation::anticlockwise}) {
    WheelSpec spec = spec_of(200.0);
    spec.crank = crank;
    const DegreeWheel wheel = degree_wheel(spec);
    // Turn the wheel by 10 degrees the way the crank turns: which figure has come to 12 o'clock?
    const double turned_deg = crank == Rotation::clockwise ? 10.0 : -10.0;
    int found = 0;
    for (const Element& element : wheel.print.pages[0].elements)
      if (const Text* text = std::get_if<Text>(&element);
          text != nullptr && text->words == "10" && text->style.ink == inks::black) {
        ++found;
        CHECK_THAT(wrap_180(text->turned_deg + turned_deg), WithinAbs(0.0, 1e-9));
      }
    CHECK(found == 1);
    const std::vector<std::string> texts = texts_of(wheel.print.pages[0]);
    const auto says = [&](const std::string& part) {
      return std::ranges::any_of(texts, [&](const std::string& text) { return text.find(part) != std::string::npos; });
    };
    CHECK(says(fmt::format("For a crank that turns {}, seen from the timing end.", to_word(crank))));
    CHECK(says(fmt::format("run the other way, {}", to_word(figures_run(crank)))));
    for (const char* word : {"TDC", "BDC", "ATDC", "BTDC", "ABDC", "BBDC"}) CHECK(std::ranges::count(texts, word) == 1);
  }
}

TEST_CASE("Both ways there is a second row of figures, mirrored", "[paper][wheel]") {
  WheelSpec spec = spec_of(200.0);
  spec.both_ways = true;
  const DegreeWheel wheel = degree_wheel(spec);
  const auto texts = texts_of(wheel.print.pages[0]);
  for (const char* word : {"TDC", "BDC", "ATDC", "350", "10"}) {
    INFO(word);
    // The small figures count to 10 four times in each row.
    CHECK(std::ranges::count(texts, word) == (std::string(word) == "10" ? 10 : 2));
  }
}

TEST_CASE("Events stand where their angle is, told by line and word", "[paper][wheel]") {
  const WheelSpec spec = with_events(spec_of(200.0));
  const DegreeWheel wheel = degree_wheel(spec);
  const PrintFolder folder;
  REQUIRE(write_print(wheel.print, folder / "wheel.pdf"));
  const std::vector<DrawnLine> lines = lines_of_pdf(folder / "wheel.pdf");
  const glm::dvec2 centre = mean_of(graduations(lines, 36, true));
  for (const WheelEvent& event : spec.events) {
    INFO(event.what << " " << event.words);
    // Figures run anticlockwise: clock angle is 360 less the wheel's figure. The mark begins on the rim.
    const double at_deg = wrap_360(-event.crank_deg);
    CHECK(std::ranges::any_of(lines, [&](const DrawnLine& line) {
      return std::fabs(std::hypot(line.from_mm.x - centre.x, line.from_mm.y - centre.y) - 100.0) < 0.01 &&
             std::fabs(wrap_180(clock_deg(centre, line.from_mm) - at_deg)) < 0.01 &&
             std::fabs(wrap_180(clock_deg(centre, line.to_mm) - at_deg)) < 0.01;
    }));
  }
  const std::vector<std::string> texts = texts_of(wheel.print.pages[0]);
  for (const char* words : {"inlet opens", "inlet closes", "inlet centre", "exhaust opens", "exhaust closes",
                            "exhaust centre", "Inlet (solid)", "Exhaust (dashed)"})
    CHECK(std::ranges::count(texts, words) == 1);
  CHECK(wheel_figure(719.96) == "0.0");
  CHECK(wheel_figure(504.04) == "144.0");
}

TEST_CASE("Nothing on a wheel's pages overlaps, is cut off or leaves the page", "[paper][wheel]") {
  for (const double diameter_mm : {80.0, 100.0, 150.0, 180.0, 200.0, 205.0, 250.0, 300.0, 400.0, 500.0})
    for (const PaperSize paper : {PaperSize::a4, PaperSize::letter})
      for (const bool both : {false, true})
        for (const bool events : {false, true}) {
          WheelSpec spec = spec_of(diameter_mm, paper);
          if (events) spec = with_events(spec);
          spec.both_ways = both;
          spec.title = events ? long_title : spec.title;
          const double most_mm = greatest_bore_mm(spec);
          INFO(diameter_mm << " mm on " << to_word(paper) << (both ? ", both ways" : "") << (events ? ", events" : "")
                           << ", bore to " << most_mm);
          if (most_mm < least_bore_mm) {
            CHECK(diameter_mm < 100.0);
            continue;
          }
          spec.bore_mm = most_mm;
          const DegreeWheel wheel = degree_wheel(spec);
          for (std::size_t page = 0; page < wheel.print.pages.size(); ++page) {
            INFO("page " << page + 1);
            CHECK(page_faults(wheel.print.pages[page], 4.99) == std::vector<std::string>{});
          }
        }
}

TEST_CASE("A warning stands first on every page of a wheel", "[paper][wheel]") {
  for (const double diameter_mm : {100.0, 200.0, 300.0, 500.0})
    for (const PaperSize paper : {PaperSize::a4, PaperSize::letter})
      for (const std::string& more :
           {std::string(), std::string(" and a good deal more is to be said of it") + std::string(300, 'n')}) {
        WheelSpec spec = with_events(spec_of(diameter_mm, paper));
        spec.warning = "NOT SAFE: as fitted" + more;
        const DegreeWheel wheel = degree_wheel(spec);
        for (std::size_t page = 0; page < wheel.print.pages.size(); ++page) {
          INFO(diameter_mm << " mm on " << to_word(paper) << ", page " << page + 1);
          CHECK(texts_of(wheel.print.pages[page]).front() == spec.warning);
          CHECK(page_faults(wheel.print.pages[page], 4.99) == std::vector<std::string>{});
        }
      }
}

TEST_CASE("Events crowded together find room, each as near its place as may be", "[paper][wheel]") {
  for (const double apart_deg : {0.0, 0.3, 5.0}) {
    WheelSpec spec = with_events(spec_of(200.0));
    for (std::size_t i = 0; i < spec.events.size(); ++i)
      spec.events[i].crank_deg = 355.0 + static_cast<double>(i) * apart_deg;
    INFO(apart_deg);
    REQUIRE(greatest_bore_mm(spec) > 20.0);
    CHECK(page_faults(degree_wheel(spec).print.pages[0], 4.99) == std::vector<std::string>{});
  }
  // Eight of them, as four camshafts may have.
  WheelSpec spec = with_events(spec_of(180.0));
  for (int number = 1; number <= 2; ++number)
    for (WheelEvent event : six_events()) {
      event.number = number + 1;
      event.camshaft = long_title;
      event.crank_deg += 3.0 * number;
      spec.events.push_back(event);
    }
  REQUIRE(greatest_bore_mm(spec) > 20.0);
  const DegreeWheel wheel = degree_wheel(spec);
  for (const Page& page : wheel.print.pages) CHECK(page_faults(page, 4.99) == std::vector<std::string>{});
}

TEST_CASE("Tiles together are the wheel: joined by their marks, all graduations stand and meet", "[paper][wheel]") {
  for (const double diameter_mm : {250.0, 300.0, 400.0, 500.0})
    for (const PaperSize paper : {PaperSize::a4, PaperSize::letter}) {
      INFO(diameter_mm << " mm on " << to_word(paper));
      const PrintFolder folder;
      const DegreeWheel wheel = degree_wheel(spec_of(diameter_mm, paper));
      REQUIRE_FALSE(wheel.one_sheet);
      const TileGrid& grid = wheel.tiles;
      REQUIRE(wheel.print.pages.size() == static_cast<std::size_t>(grid.count()) + 1);
      REQUIRE(write_print(wheel.print, folder / "wheel.pdf"));
      // Joining marks: upright arms of 6 mm. Sheets are laid together by one mark of each joint.
      const auto marks_of = [](const std::vector<DrawnLine>& lines) {
        std::vector<glm::dvec2> marks;
        for (const DrawnLine& line : of_length(lines, 6.0))
          if (std::fabs(line.from_mm.x - line.to_mm.x) < 0.004) marks.push_back(middle_of(line));
        return marks;
      };
      std::vector<std::vector<DrawnLine>> sheets;
      std::vector<glm::dvec2> lies_mm(static_cast<std::size_t>(grid.count()));
      for (int i = 0; i < grid.count(); ++i) {
        sheets.push_back(lines_of_pdf(folder / "wheel.pdf", i + 2));
        check_check_line(sheets.back());
        const int column = i % grid.columns;
        const int row = i / grid.columns;
        if (i == 0) continue;
        const std::size_t neighbour = static_cast<std::size_t>(column > 0 ? i - 1 : i - grid.columns);
        const auto along = [across = column > 0](glm::dvec2 mark) { return across ? mark.x : mark.y; };
        // The outermost mark of the joint: on the neighbour its last column or row of marks, here its first.
        const auto theirs = marks_of(sheets[neighbour]);
        const auto ours = marks_of(sheets.back());
        REQUIRE_FALSE(theirs.empty());
        REQUIRE_FALSE(ours.empty());
        const double last = along(*std::ranges::max_element(theirs, {}, along));
        const double first = along(*std::ranges::min_element(ours, {}, along));
        std::vector<glm::dvec2> of_last;
        std::vector<glm::dvec2> of_first;
        std::ranges::copy_if(theirs, std::back_inserter(of_last),
                             [&](auto mark) { return std::fabs(along(mark) - last) < 0.01; });
        std::ranges::copy_if(ours, std::back_inserter(of_first),
                             [&](auto mark) { return std::fabs(along(mark) - first) < 0.01; });
        REQUIRE(of_last.size() == of_first.size());
        const glm::dvec2 shift = of_last[0] - of_first[0];
        for (std::size_t k = 0; k < of_last.size(); ++k) {
          CHECK_THAT(of_first[k].x + shift.x, WithinAbs(of_last[k].x, 0.01));
          CHECK_THAT(of_first[k].y + shift.y, WithinAbs(of_last[k].y, 0.01));
        }
        lies_mm[static_cast<std::size_t>(i)] = lies_mm[neighbour] + shift;
        static_cast<void>(row);
      }
      // All on one table, what stands on two sheets counted once.
      std::vector<DrawnLine> together;
      for (std::size_t i = 0; i < sheets.size(); ++i)
        for (DrawnLine line : without_check_line(sheets[i])) {
          line.from_mm += lies_mm[i];
          line.to_mm += lies_mm[i];
          const bool there = std::ranges::any_of(together, [&line](const DrawnLine& other) {
            return std::hypot(line.from_mm.x - other.from_mm.x, line.from_mm.y - other.from_mm.y) < 0.02 &&
                   std::hypot(line.to_mm.x - other.to_mm.x, line.to_mm.y - other.to_mm.y) < 0.02;
          });
          if (!there) together.push_back(line);
        }
      check_graduations(together);
      const glm::dvec2 centre = mean_of(graduations(together, 36, true));
      for (const DrawnLine& line : graduations(together, 36, true))
        CHECK_THAT(2.0 * std::hypot(line.from_mm.x - centre.x, line.from_mm.y - centre.y),
                   WithinAbs(diameter_mm, 0.03));
    }
}

TEST_CASE("Every word of a wheel stands whole on one of its tiles", "[paper][wheel]") {
  for (const double diameter_mm : {215.0, 250.0, 300.0, 400.0, 500.0})
    for (const PaperSize paper : {PaperSize::a4, PaperSize::letter}) {
      INFO(diameter_mm << " mm on " << to_word(paper));
      WheelSpec spec = with_events(spec_of(diameter_mm, paper));
      spec.both_ways = true;
      Page whole{.size_mm = {diameter_mm, diameter_mm}};
      Canvas canvas(whole);
      draw_wheel_face(canvas, whole.size_mm / 2.0, spec);
      const DegreeWheel wheel = degree_wheel(spec);
      std::set<std::pair<std::string, long>> on_tiles;
      for (std::size_t page = 1; page < wheel.print.pages.size(); ++page)
        on_tiles.merge(turned_texts(wheel.print.pages[page]));
      const auto wanted = turned_texts(whole);
      CHECK(wanted.size() > 100);
      for (const auto& text : wanted) {
        INFO(text.first << " turned by " << text.second);
        CHECK(on_tiles.contains(text));
      }
      for (int row = 0; row < wheel.tiles.rows; ++row)
        for (int column = 0; column < wheel.tiles.columns; ++column)
          CHECK(std::ranges::count(texts_of(wheel.print.pages[0]), tile_name(column, row)) == 1);
    }
}

TEST_CASE("A wheel's PDF has its fonts and its words, and is the same twice", "[paper][wheel]") {
  const WheelSpec spec = with_events(spec_of(300.0));
  const PrintFolder folder;
  REQUIRE(write_print(degree_wheel(spec).print, folder / "a.pdf"));
  REQUIRE(write_print(degree_wheel(spec).print, folder / "b.pdf"));
  const bool same = bytes_of(folder / "a.pdf") == bytes_of(folder / "b.pdf");
  CHECK(same);
  const std::string words = said_by("pdftotext '" + (folder / "a.pdf") + "' -");
  for (const char* part :
       {"Degree wheel, 300.0 mm", "A1: top, left, sheet 2", "100.0 mm", "1.0° BTDC", "wheel 252.0°, crank 612.0°"}) {
    INFO(part);
    CHECK(count_of(words, part) >= 1);
  }
}
