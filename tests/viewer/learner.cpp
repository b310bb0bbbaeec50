#include "viewer/learner.hpp"

#include "support/catch.hpp"

#include <algorithm>
#include <cmath>
#include <regex>

namespace phasewright::viewer {

ViewerOptions learning_options(const std::filesystem::path& state) {
  ViewerOptions options = test_options();
  options.models = PHASEWRIGHT_MODELS;
  options.lessons = PHASEWRIGHT_LESSONS;
  options.state_folder = state;
  options.page = ViewerPage::lessons;
  return options;
}

void turn(Driver& driver, double by_deg) {
  const Key way = by_deg < 0.0 ? Key::left : Key::right;
  double rest = std::fabs(by_deg);
  const double tooth_deg = 360.0 / driver.bench().engine().loops[0].sprockets.front().teeth;
  for (; rest >= tooth_deg; rest -= tooth_deg) driver.key(way, false, true);
  for (; rest >= 1.0 - 1e-9; rest -= 1.0) driver.key(way);
  for (int tenths = static_cast<int>(std::lround(rest * 10.0)); tenths > 0; --tenths) driver.key(way, true);
}

std::vector<double> figures_in(const std::string& text) {
  std::vector<double> figures;
  const std::regex figure(R"([-+]?[0-9]+(\.[0-9]+)?)");
  for (std::sregex_iterator at(text.begin(), text.end(), figure); at != std::sregex_iterator(); ++at)
    figures.push_back(std::stod(at->str()));
  return figures;
}

std::string beside(Driver& driver, const std::string& panel, const std::string& words) {
  const std::vector<DrawnText>& texts = driver.recorder().texts;
  const auto label =
      std::ranges::find_if(texts, [&](const DrawnText& text) { return text.panel == panel && text.text == words; });
  REQUIRE(label != texts.end());
  const float middle = (label->where.top + label->where.bottom) / 2.0f;
  const auto figure = std::ranges::find_if(texts, [&](const DrawnText& text) {
    return text.panel == panel && text.where.left > label->where.left && text.where.top < middle &&
           text.where.bottom > middle;
  });
  REQUIRE(figure != texts.end());
  return figure->text;
}

double figure_beside(Driver& driver, const std::string& panel, const std::string& words) {
  const std::vector<double> figures = figures_in(beside(driver, panel, words));
  REQUIRE(figures.size() == 1);
  return figures.front();
}

} // namespace phasewright::viewer
