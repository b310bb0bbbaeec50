// The paper itself: what is put on a page arrives in PDF, SVG and PNG, as other people's tools read them.
#include "paper/outside.hpp"
#include "support/paper_checks.hpp"

#include "paper/canvas.hpp"
#include "paper/write.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <sstream>

using namespace phasewright;
using namespace phasewright::paper;
using namespace phasewright::testing;

namespace {

const std::string greek_words = "Κινητήρας Μάρραμ";
const std::string mixed_words = "Двигатель מנוע محرك";

// Red on the left and blue on the right.
Pixels halves() {
  Pixels pixels{40, 20, {}};
  for (int i = 0; i < pixels.width * pixels.height; ++i)
    for (const std::uint8_t share :
         i % pixels.width < 20 ? std::array<std::uint8_t, 3>{255, 0, 0} : std::array<std::uint8_t, 3>{0, 0, 255})
      pixels.rgb.push_back(share);
  return pixels;
}

Print two_pages() {
  Print print{.info = {.title = "Two pages Ω", .subject = "a test", .keywords = "one, two"}, .pages = {}};
  print.pages.push_back({.size_mm = page_size_mm(PaperSize::a4)});
  Canvas first(print.pages.back());
  first.bookmark("First page", 10.0);
  first.bookmark("Under the first", 50.0, 2);
  first.text({30.0, 20.0}, "Upright", {.size_pt = 12, .bold = true});
  first.text({60.0, 60.0}, "Turned", {.size_pt = 10}, 90.0);
  first.paragraph({20.0, 80.0}, 60.0, greek_words + " and words enough for some lines of this width, broken", {});
  first.paragraph({20.0, 110.0}, 100.0, mixed_words, {});
  first.line({20.0, 150.0}, {120.0, 150.0}, {.width_mm = 0.3});
  first.line({20.0, 155.0}, {120.0, 155.0}, exhaust_pen(0.4));
  first.circle({100.0, 220.0}, 30.0, inlet_pen(0.4), inks::wash);
  first.tick_box({20.0, 260.0}, 4.0, true);
  first.picture({150.0, 150.0, 20.0, 10.0}, halves());
  print.pages.push_back({.size_mm = page_size_mm(PaperSize::letter, Orientation::landscape)});
  Canvas second(print.pages.back());
  second.bookmark("Second page", 10.0);
  second.text({100.0, 100.0}, "Over leaf", {});
  return print;
}

} // namespace

TEST_CASE("A PDF holds the text, with its fonts, on pages of their size", "[paper]") {
  const PrintFolder folder;
  const auto names = write_print(two_pages(), folder / "two.pdf");
  REQUIRE(names);
  REQUIRE(names.value() == std::vector<std::string>{folder / "two.pdf"});
  const std::string pdf = "'" + (folder / "two.pdf") + "'";
  const std::string words = said_by("pdftotext " + pdf + " -");
  for (const char* word : {"Upright", "Turned", "Κινητήρας Μάρραμ", "Двигатель", "Over leaf"}) {
    INFO(word);
    CHECK(count_of(words, word) == 1);
  }
  // ISO 216's A4, and 11 x 8.5 inches at 72 points.
  const std::string info = said_by("pdfinfo -f 1 -l 2 " + pdf);
  INFO(info);
  CHECK(count_of(info, "Page    1 size:  595.276 x 841.89 pts (A4)") == 1);
  CHECK(count_of(info, "Page    2 size:  792 x 612 pts (letter)") == 1);
  CHECK(count_of(info, "Title:           Two pages Ω") == 1);
  CHECK(count_of(info, "Author:          Phasewright") == 1);
  CHECK(count_of(info, "Subject:         a test") == 1);
  CHECK(count_of(info, "Keywords:        one, two") == 1);
  CHECK(count_of(info, "CreationDate") == 0);
  // Name, type, encoding, emb, sub, uni: of every font the first two lines are the heading.
  std::istringstream fonts(said_by("pdffonts " + pdf));
  int font_count = 0;
  int number = 0;
  for (std::string line; std::getline(fonts, line); ++number) {
    if (number < 2) continue;
    ++font_count;
    INFO(line);
    CHECK(count_of(line, "DejaVuSans") == 1);
    CHECK(count_of(line, "yes yes yes") == 1);
  }
  CHECK(font_count >= 2);
}

TEST_CASE("A PDF's outline leads to its pages, and is as deep as it was made", "[paper]") {
  const PrintFolder folder;
  REQUIRE(write_print(two_pages(), folder / "two.pdf"));
  const std::string outline =
      said_by(fmt::format("qpdf --json --json-key=outlines '{}' | " PHASEWRIGHT_PYTHON " -c 'import json, sys\n"
                          "def show(entries, depth):\n"
                          "  for e in entries:\n"
                          "    print(depth, e[\"title\"], e[\"destpageposfrom1\"])\n"
                          "    show(e[\"kids\"], depth + 1)\n"
                          "show(json.load(sys.stdin)[\"outlines\"], 1)'",
                          folder / "two.pdf"));
  CHECK(outline == "1 First page 1\n2 Under the first 1\n1 Second page 2\n");
}

TEST_CASE("A PDF says the day it was told, and no other", "[paper]") {
  Print print = two_pages();
  print.info.date = "2026-05-14";
  const PrintFolder folder;
  REQUIRE(write_print(print, folder / "dated.pdf"));
  const std::string info = said_by("TZ=UTC pdfinfo -isodates '" + (folder / "dated.pdf") + "'");
  INFO(info);
  CHECK(count_of(info, "CreationDate:    2026-05-14T00:00:00Z") == 1);
}

TEST_CASE("The same print twice is the same to the byte", "[paper]") {
  const Print once = two_pages();
  const Print again = two_pages();
  // Not compared in the check itself: it would print the whole files.
  const bool same_pdf = to_pdf(once) == to_pdf(again);
  const bool same_svg = to_svg(once.pages[0]) == to_svg(again.pages[0]);
  const bool same_png = to_png(once.pages[0], draft_dpi) == to_png(again.pages[0], draft_dpi);
  CHECK(same_pdf);
  CHECK(same_svg);
  CHECK(same_png);
}

TEST_CASE("Several pages of SVG or PNG are files of their own", "[paper]") {
  Print print = two_pages();
  CHECK(file_names(print, "out/card.pdf") == std::vector<std::string>{"out/card.pdf"});
  CHECK(file_names(print, "out/card.svg") == std::vector<std::string>{"out/card-1.svg", "out/card-2.svg"});
  print.pages.pop_back();
  CHECK(file_names(print, "card.png") == std::vector<std::string>{"card.png"});
  CHECK(file_kind("a.pdf") == FileKind::pdf);
  CHECK(file_kind("a.b.svg") == FileKind::svg);
  CHECK(file_kind("a.png") == FileKind::png);
  for (const char* name : {"a.jpg", "a", "pdf", ".pdf", "a.PDF", "", "a/.png"}) {
    INFO(name);
    CHECK_FALSE(file_kind(name).has_value());
  }
}

TEST_CASE("A PNG has its size and says its resolution", "[paper]") {
  const PrintFolder folder;
  const auto names = write_print(two_pages(), folder / "two.png", draft_dpi);
  REQUIRE(names);
  REQUIRE(names->size() == 2);
  // The chunks of a PNG by ISO/IEC 15948, their sums by zlib: width, height, and pixels to the metre both ways.
  const std::string chunks = said_by(fmt::format(
      PHASEWRIGHT_PYTHON " -c 'import struct, sys, zlib\n"
                         "data = open(sys.argv[1], \"rb\").read()\n"
                         "at = 8\n"
                         "while at < len(data):\n"
                         "  size, = struct.unpack(\">I\", data[at:at+4])\n"
                         "  body = data[at+4:at+8+size]\n"
                         "  assert zlib.crc32(body) == struct.unpack(\">I\", data[at+8+size:at+12+size])[0]\n"
                         "  if body[:4] in (b\"IHDR\", b\"pHYs\"): print(body[:4].decode(), *struct.unpack(\">II\", "
                         "body[4:12]), body[-1])\n"
                         "  at += 12 + size' '{}'",
      (*names)[0]));
  // 210 x 297 mm at 150 pixels an inch; 150 / 0.0254 to the metre, unit 1.
  CHECK(chunks == "IHDR 1240 1754 0\npHYs 5906 5906 1\n");
}

TEST_CASE("PDF, SVG and PNG are the same picture", "[paper]") {
  const PrintFolder folder;
  for (const char* name : {"two.pdf", "two.svg", "two.png"})
    REQUIRE(write_print(two_pages(), folder / name, draft_dpi));
  // The PDF as poppler's rasteriser draws it and the SVG as librsvg does, against our PNG as Pillow reads it, in greys
  // of a millimetre each, as every one smooths edges in its own way: how far they differ on the mean, and how much
  // there is on the page at all.
  const std::string differ = said_by(
      fmt::format("cd '{}' && pdftoppm -r 150 -png -f 1 -l 1 two.pdf pdf && rsvg-convert -d 150 -p 150 -b white -o "
                  "svg.png two-1.svg\n" PHASEWRIGHT_PYTHON " -c 'import glob, numpy\n"
                  "from PIL import Image\n"
                  "def grey(name): return 255.0 - numpy.asarray(Image.open(name).convert(\"L\").resize((210, 297), "
                  "Image.BOX), float)\n"
                  "ours = grey(\"two-1.png\")\n"
                  "for theirs in (grey(glob.glob(\"pdf*.png\")[0]), grey(\"svg.png\")):\n"
                  "  print(abs(ours - theirs).mean(), ours.mean())'",
                  std::filesystem::path(folder / "two.pdf").parent_path().string()));
  std::istringstream figures(differ);
  int compared = 0;
  for (double mean = 0.0, inked = 0.0; figures >> mean >> inked; ++compared) {
    INFO(mean << " of " << inked);
    CHECK(inked > 1.0);
    CHECK(mean < 0.1 * inked);
  }
  CHECK(compared == 2);
}

TEST_CASE("Where text was measured to be is where a PDF has it", "[paper]") {
  const PrintFolder folder;
  Print print = two_pages();
  REQUIRE(write_print(print, folder / "two.pdf"));
  // poppler's boxes of words: sideways as far as letters advance, up and down the font's own height.
  const std::string boxes = said_by("pdftotext -bbox '" + (folder / "two.pdf") + "' -");
  for (const char* word : {"Upright", "Turned"}) {
    INFO(word);
    const std::size_t at = boxes.find(fmt::format(">{}</word>", word));
    REQUIRE(at != std::string::npos);
    const std::string tag = boxes.substr(boxes.rfind("<word", at));
    double left = 0, top = 0, right = 0, bottom = 0;
    REQUIRE(std::sscanf(tag.c_str(), "<word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\"", &left, &top, &right,
                        &bottom) == 4);
    const auto text = std::ranges::find_if(print.pages[0].elements, [&](const Element& element) {
      const auto* held = std::get_if<Text>(&element);
      return held != nullptr && held->words == word;
    });
    REQUIRE(text != print.pages[0].elements.end());
    const bool upright = std::get<Text>(*text).turned_deg == 0.0;
    const auto& corners = std::get<Text>(*text).corners_mm;
    const glm::dvec2 from = corners[0];
    const glm::dvec2 to = corners[2];
    const double mm = 25.4 / 72.0;
    // Along the word the ink ends within half a millimetre of the advance.
    if (upright) {
      CHECK_THAT(from.x, WithinAbs(left * mm, 0.5));
      CHECK_THAT(to.x, WithinAbs(right * mm, 0.5));
      CHECK(from.y > top * mm);
      CHECK(to.y < bottom * mm);
    } else {
      CHECK_THAT(from.y, WithinAbs(top * mm, 0.5));
      CHECK_THAT(to.y, WithinAbs(bottom * mm, 0.5));
      CHECK(to.x > left * mm);
      CHECK(from.x < right * mm);
    }
  }
}

TEST_CASE("Text is made smaller or broken to fit its box, and never cut off", "[paper]") {
  const std::string title =
      "Launch 'Sandling', engine out 14, with a title that has no end " + greek_words + " " + mixed_words;
  for (const double width_mm : {15.0, 30.0, 60.0, 120.0, 400.0})
    for (const double height_mm : {5.0, 10.0, 30.0}) {
      INFO(width_mm << " x " << height_mm);
      const FittedText fitted = fit_text(title, {.size_pt = 14}, {width_mm, height_mm});
      CHECK(fitted.size.width_mm <= width_mm + 1e-6);
      CHECK(fitted.size.height_mm <= height_mm + 1e-6);
      CHECK(fitted.style.size_pt <= 14.0);
      CHECK(fitted.size.unknown_characters == 0);
      Page page{.size_mm = {width_mm + 20.0, height_mm + 20.0}};
      Canvas canvas(page);
      canvas.fitted({10.0, 10.0, width_mm, height_mm}, title, {.size_pt = 14});
      CHECK(page_faults(page, 10.0 - 0.2).empty());
    }
  CHECK(fit_text("short", {.size_pt = 14}, {100.0, 10.0}).style.size_pt == 14.0);
  CHECK(fit_text(title, {.size_pt = 14}, {120.0, 30.0}).one_line == false);
}

TEST_CASE("A line through text, text over text and text off the page are found", "[paper]") {
  const auto faults_with = [](auto draw) {
    Page page{.size_mm = page_size_mm(PaperSize::a4)};
    Canvas canvas(page);
    canvas.text({50.0, 50.0}, "words", {.size_pt = 10});
    draw(canvas);
    return page_faults(page).size();
  };
  CHECK(faults_with([](Canvas&) {}) == 0);
  CHECK(faults_with([](Canvas& canvas) { canvas.text({50.0, 60.0}, "below", {}); }) == 0);
  CHECK(faults_with([](Canvas& canvas) { canvas.text({55.0, 51.0}, "over", {}); }) == 1);
  CHECK(faults_with([](Canvas& canvas) { canvas.text({50.0, 52.0}, "up through it", {}, -60.0); }) == 1);
  CHECK(faults_with([](Canvas& canvas) { canvas.line({40.0, 49.0}, {80.0, 49.0}); }) == 1);
  CHECK(faults_with([](Canvas& canvas) { canvas.line({40.0, 55.0}, {80.0, 55.0}); }) == 0);
  CHECK(faults_with([](Canvas& canvas) { canvas.text({204.0, 100.0}, "long", {}); }) == 1);
  CHECK(faults_with([](Canvas& canvas) { canvas.line({2.0, 100.0}, {50.0, 100.0}); }) == 1);
}

TEST_CASE("What cannot be written is said, with the file's name", "[paper]") {
  const PrintFolder folder;
  const auto names = write_print(two_pages(), folder / "no-such-folder/two.pdf");
  REQUIRE_FALSE(names);
  CHECK(names.problems().front().file == folder / "no-such-folder/two.pdf");
}

TEST_CASE("a page drawn over a picture leaves it as it was where it draws nothing", "[paper]") {
  // Two pixels to the millimetre; all of one colour, and see-through by another amount in each pixel.
  constexpr int width = 40;
  constexpr int height = 20;
  std::vector<std::uint8_t> rgba;
  for (int i = 0; i < width * height; ++i) rgba.insert(rgba.end(), {10, 200, 77, static_cast<std::uint8_t>(i % 256)});
  const std::vector<std::uint8_t> before = rgba;
  Page page{.size_mm = {20.0, 10.0}};
  Canvas(page).rectangle({2.0, 3.0, 5.0, 4.0}, std::nullopt, inks::warning);
  draw_over(page, width, height, rgba);
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) {
      CAPTURE(x, y);
      const auto at = static_cast<std::size_t>(4 * (y * width + x));
      const bool drawn = x >= 4 && x < 14 && y >= 6 && y < 14;
      const std::array<std::uint8_t, 4> wanted =
          drawn ? std::array<std::uint8_t, 4>{184, 50, 26, before[at + 3]} // 0.722, 0.196, 0.102 of 255
                : std::array<std::uint8_t, 4>{before[at], before[at + 1], before[at + 2], before[at + 3]};
      REQUIRE(std::equal(wanted.begin(), wanted.end(), &rgba[at]));
    }
}
