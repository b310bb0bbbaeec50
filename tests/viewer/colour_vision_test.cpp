// The screen as people see it whose eyes lack one kind of cone: pictures to be looked at, and what must stay apart
// does. Simulated by the matrices of Machado, Oliveira and Fernandes (IEEE Trans. Vis. Comput. Graph. 15 (6), 2009),
// severity 1, for linear RGB; the figures are those of the paper's table as Debian's python3-colorspacious 1.1.2 has
// it.
#include "viewer/driver.hpp"
#include "viewer/palette.hpp"

#include "render/renderer.hpp"
#include "support/catch.hpp"

#include <array>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <string>

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

using Rgb = std::array<double, 3>;
using Matrix = std::array<Rgb, 3>;

struct Vision {
  const char* name;
  Matrix seen;
};

constexpr std::array<Vision, 3> visions{{
    {"protanopia",
     {{{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}}}},
    {"deuteranopia",
     {{{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}}}},
    {"tritanopia",
     {{{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}}}},
}};

double linear(double share) {
  return share <= 0.04045 ? share / 12.92 : std::pow((share + 0.055) / 1.055, 2.4);
}
double coded(double value) {
  value = std::fmin(1.0, std::fmax(0.0, value));
  return value <= 0.0031308 ? 12.92 * value : 1.055 * std::pow(value, 1.0 / 2.4) - 0.055;
}

Rgb seen_by(const Vision& vision, Rgb colour) {
  Rgb seen{};
  for (std::size_t row = 0; row < 3; ++row) {
    double sum = 0.0;
    for (std::size_t part = 0; part < 3; ++part) sum += vision.seen[row][part] * linear(colour[part]);
    seen[row] = coded(sum);
  }
  return seen;
}

Rgb colour_of(ImU32 colour) {
  return {static_cast<double>(colour & 0xFFU) / 255.0, static_cast<double>(colour >> 8U & 0xFFU) / 255.0,
          static_cast<double>(colour >> 16U & 0xFFU) / 255.0};
}

// CIE 1976 L*a*b* of sRGB, white D65 (CIE 15; IEC 61966-2-1).
std::array<double, 3> lab(Rgb colour) {
  const double r = linear(colour[0]), g = linear(colour[1]), b = linear(colour[2]);
  const auto f = [](double t) { return t > 216.0 / 24389.0 ? std::cbrt(t) : (24389.0 / 27.0 * t + 16.0) / 116.0; };
  const double x = f((0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.95047);
  const double y = f(0.2126 * r + 0.7152 * g + 0.0722 * b);
  const double z = f((0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.08883);
  return {116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)};
}

double difference(Rgb a, Rgb b) {
  const auto p = lab(a), q = lab(b);
  return std::hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
}

} // namespace

TEST_CASE("inlet and exhaust stay apart for every kind of colour vision") {
  for (const Vision& vision : visions) {
    for (const Rgb& row : vision.seen) CHECK_THAT(row[0] + row[1] + row[2], WithinAbs(1.0, 2e-6));
    for (const Theme theme : {Theme::day, Theme::night}) {
      const Palette& colours = palette(theme);
      INFO(vision.name << (theme == Theme::day ? ", day" : ", night"));
      // A difference of 10 is seen at a glance (common practice, no source).
      CHECK(difference(seen_by(vision, colour_of(colours.inlet)), seen_by(vision, colour_of(colours.exhaust))) > 20.0);
    }
  }
}

// Verdicts' green and red do look alike to some: a sign and a sentence carry them as well.
TEST_CASE("verdicts and valves are told by words as well as by colour") {
  Driver driver;
  driver.click("step.clearance");
  CHECK(driver.shows_in("side", "Clear of the pistons"));
  CHECK(driver.shows_in("strip", "inlet"));
  CHECK(driver.shows_in("strip", "exhaust"));
  int named = 0;
  for (const DrawnText& text : driver.recorder().texts) {
    if (text.panel != "strip") continue;
    const bool of_event = text.text.find("opens") != std::string::npos || text.text.find("closes") != std::string::npos;
    if (!of_event) continue;
    ++named;
    INFO(text.text);
    CHECK((text.text.starts_with("inlet ") || text.text.starts_with("exhaust ")));
  }
  CHECK(named >= 4);
}

TEST_CASE("pictures as the colour-blind see them") {
  const char* folder = std::getenv("PHASEWRIGHT_TEST_PICTURES");
  const std::filesystem::path into = folder != nullptr ? folder : PHASEWRIGHT_TEST_OUTPUT;
  std::filesystem::create_directories(into);
  for (const Theme theme : {Theme::day, Theme::night}) {
    Driver driver(1280, 800, theme);
    driver.click("step.clearance");
    const Image image = driver.read();
    for (const Vision& vision : visions) {
      Image seen = image;
      for (std::size_t i = 0; i + 3 < seen.rgba.size(); i += 4) {
        const Rgb colour =
            seen_by(vision, {image.rgba[i] / 255.0, image.rgba[i + 1] / 255.0, image.rgba[i + 2] / 255.0});
        for (std::size_t part = 0; part < 3; ++part)
          seen.rgba[i + part] = static_cast<std::uint8_t>(std::lround(255.0 * colour[part]));
      }
      const std::filesystem::path file =
          into / (std::string("seen-with-") + vision.name + (theme == Theme::day ? "-day.png" : "-night.png"));
      write_png(seen, file);
      CHECK(std::filesystem::file_size(file) > 10000);
      CHECK(seen.rgba != image.rgba);
    }
  }
}
