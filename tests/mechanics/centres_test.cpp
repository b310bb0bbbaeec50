#include "mechanics/centres.hpp"

#include "support/catch.hpp"
#include "support/overhead_engine.hpp"

#include <algorithm>
#include <cmath>

using namespace phasewright;
using namespace phasewright::testing;

namespace {

Engine on_centres(double centres_mm, int links) {
  Engine engine = small_engine();
  engine.loops[0].sprockets[1].centre_mm = {0.0, centres_mm};
  engine.loops[0].chain.links = links;
  return engine;
}

double phase_deg(const Engine& engine, double centre_change_mm) {
  Fitted fitted;
  fitted.centre_change_mm = centre_change_mm;
  const Result<Drive> drive = Drive::assemble(engine, fitted);
  REQUIRE(drive.ok());
  return drive->phase_deg();
}

} // namespace

TEST_CASE("the numbers of links run from two too few to the first too slack", "[centres]") {
  const Engine engine = small_engine();
  const double pitch_mm = engine.loops[0].chain.pitch_mm;
  const std::vector<LinksFit> fits = links_that_fit(engine, {});
  REQUIRE(fits.size() >= 4);
  CHECK(fits.front().links == 50);
  for (std::size_t i = 0; i < fits.size(); ++i) {
    const LinksFit& fit = fits[i];
    INFO(fit.links << " links");
    CHECK(fit.links == 50 + static_cast<int>(i));
    CHECK(fit.cranked == (fit.links % 2 == 1));
    CHECK(fit.fits == (i >= 2 && i + 1 < fits.size()));
    CHECK(fit.fits == fit.problems.empty());
    CHECK_FALSE(fit.travel_mm.has_value());
    // A link more is a pitch more of slack.
    CHECK_THAT(fit.slack_mm.least, WithinAbs(fits[2].slack_mm.least + (fit.links - 52) * pitch_mm, 1e-9));
    CHECK_THAT(fit.slack_mm.greatest, WithinAbs(fits[2].slack_mm.greatest + (fit.links - 52) * pitch_mm, 1e-9));
    CHECK_THAT(fit.mark_error_teeth, WithinAbs(fits[2].mark_error_teeth, 1e-9));
    CHECK(fit.fits == Drive::assemble(on_centres(107.9, fit.links), {}).ok());
  }
  // What the drive itself says a link too few is short by.
  CHECK(fits[1].slack_mm.least < 0.0);
  CHECK(fits[1].problems.at(0).advice.find("9.23 mm too short") != std::string::npos);
  CHECK_THAT(fits[1].slack_mm.least, WithinAbs(-9.23, 0.005));
}

TEST_CASE("a tensioner lets one number of links through, or few", "[centres]") {
  const Engine engine = overhead_engine();
  const std::vector<LinksFit> fits = links_that_fit(engine, {});
  const auto first = std::ranges::find_if(fits, &LinksFit::fits);
  REQUIRE(first != fits.end());
  CHECK(first - fits.begin() == 2);
  CHECK(first->links == 106);
  REQUIRE(first->travel_mm.has_value());
  CHECK(first->travel_mm->least > 0.0);
  CHECK(first->travel_mm->least < first->travel_mm->greatest);
  CHECK_FALSE(fits.back().fits);
  CHECK(fits.back().problems.at(0).key == "tensioner.travel_mm");
  CHECK_FALSE(fits.back().travel_mm.has_value());
  CHECK(first->mark_error_teeth != 0.0);
  CHECK(fits.front().mark_error_teeth == first->mark_error_teeth);
}

TEST_CASE("when no number of links fits, those that nearly do are shown with what is wrong", "[centres]") {
  Engine engine = overhead_engine();
  engine.loops[0].tensioner->travel_mm = {0.0, 0.01};
  const std::vector<LinksFit> fits = links_that_fit(engine, {});
  REQUIRE(fits.size() >= 5);
  CHECK(fits.size() < 20);
  CHECK(std::ranges::none_of(fits, &LinksFit::fits));
  CHECK(std::ranges::none_of(fits, [](const LinksFit& fit) { return fit.problems.empty(); }));
  CHECK(std::ranges::count(fits, 106, &LinksFit::links) == 1);
}

TEST_CASE("sprockets whose teeth meet are helped by no number of links", "[centres]") {
  CHECK(links_that_fit(on_centres(80.0, 46), {}).empty());
}

TEST_CASE("on tight centres the slack strand is just straight", "[centres]") {
  for (const int links : {50, 52, 53, 60, 74}) {
    const Result<CentreFit> fit = centres_for(9.525, 19, 38, links);
    REQUIRE(fit.ok());
    INFO(links << " links, " << fit->tight_mm << " mm");
    const Result<Drive> tight = Drive::assemble(on_centres(fit->tight_mm - 1e-7, links), {});
    REQUIRE(tight.ok());
    CHECK(tight->slack_mm().least < 1e-6);
    CHECK_FALSE(Drive::assemble(on_centres(fit->tight_mm + 1e-7, links), {}).ok());
    CHECK_THAT(tangent_polygon_links(9.525, 19, 38, fit->polygon_mm), WithinAbs(links, 1e-10));
    CHECK_THAT(handbook_links(9.525, 19, 38, fit->handbook_mm), WithinAbs(links, 0.01)); // it is no true inverse
    // The mean is never tighter than the tightest.
    CHECK(fit->tight_mm <= fit->polygon_mm + 5e-5 * 9.525);
    CHECK_THAT(fit->tight_mm, WithinAbs(fit->polygon_mm, 0.004 * 9.525));
  }
}

TEST_CASE("which of two sprockets drives does not change the centres", "[centres]") {
  for (const auto& [a, b, links] : {std::array{19, 38, 52}, std::array{17, 31, 60}, std::array{24, 24, 54}}) {
    const Result<CentreFit> one = centres_for(8.0, a, b, links);
    const Result<CentreFit> other = centres_for(8.0, b, a, links);
    REQUIRE(one.ok());
    REQUIRE(other.ok());
    CHECK_THAT(one->tight_mm, WithinAbs(other->tight_mm, 1e-9));
    CHECK(one->polygon_mm == other->polygon_mm);
  }
}

TEST_CASE("too few links for the sprockets are refused, with the least that go", "[centres]") {
  const Result<CentreFit> refused = centres_for(9.525, 19, 38, 46);
  REQUIRE_FALSE(refused.ok());
  CHECK(refused.problems()[0].key == "chain.links");
  CHECK(refused.problems()[0].found == "46");
  const int least = std::stoi(refused.problems()[0].allowed);
  CHECK_FALSE(centres_for(9.525, 19, 38, least - 1).ok());
  const Result<CentreFit> fit = centres_for(9.525, 19, 38, least);
  REQUIRE(fit.ok());
  CHECK(fit->tight_mm > 9.525 * (19 + 38) / (2.0 * 3.14160)); // pitch circles, taken for belts
  CHECK_FALSE(centres_for(9.525, 19, 38, -3).ok());
}

TEST_CASE("closer centres give slack and retard the camshaft", "[centres]") {
  const Engine engine = small_engine();
  const double change_mm = -0.1;
  const Result<CentreEffect> effect = centre_effect(engine, {}, change_mm);
  REQUIRE(effect.ok());
  CHECK(effect->problems.empty());
  CHECK_FALSE(effect->travel_before_mm.has_value());
  // Both strands shorten by cos b, sin b = (d2 - d1) / 2a, and the tangent polygon by 2 cos b / p a millimetre.
  const double links_mm =
      9.525 * (tangent_polygon_links(9.525, 19, 38, 107.9) - tangent_polygon_links(9.525, 19, 38, 107.8));
  CHECK_THAT(effect->slack_after_mm.least - effect->slack_before_mm.least, WithinAbs(links_mm, 0.004 * 9.525));
  CHECK(effect->phase_before_deg.at(0) == 0.0);
  CHECK_THAT(effect->phase_after_deg.at(0), WithinAbs(phase_deg(engine, change_mm), 1e-12));
  CHECK_THAT(effect->phase_after_deg.at(0), WithinAbs(-0.5 * links_mm / 9.525 * 720.0 / 38, 5e-5 * 720.0 / 38));
}

TEST_CASE("centres opened too far are told, and the drive before them all the same", "[centres]") {
  const Result<CentreEffect> effect = centre_effect(small_engine(), {}, 0.5);
  REQUIRE(effect.ok());
  REQUIRE(effect->problems.size() == 1);
  CHECK(effect->problems[0].key == "chain.links");
  CHECK(effect->slack_before_mm.least > 0.0);
  CHECK(effect->slack_after_mm.greatest == 0.0);
  CHECK(effect->phase_after_deg == std::vector<double>{0.0});
  CHECK_FALSE(centre_effect(on_centres(107.9, 50), {}, 0.0).ok());
}

TEST_CASE("a tensioner gives way to centres opened up, and follows closer ones", "[centres]") {
  const Engine engine = overhead_engine();
  const Result<CentreEffect> effect = centre_effect(engine, {}, 0.3);
  REQUIRE(effect.ok());
  REQUIRE(effect->travel_before_mm.has_value());
  REQUIRE(effect->travel_after_mm.has_value());
  CHECK(effect->travel_after_mm->greatest < effect->travel_before_mm->greatest);
  REQUIRE(effect->phase_after_deg.size() == 2);
  CHECK(effect->phase_after_deg[0] > 0.0); // more chain on the taut side's way: pulled ahead
}

// Coefficients of linear expansion: aluminium alloys 23e-6 per kelvin, steel 11.5e-6 (handbooks; from memory).
TEST_CASE("an engine that grows with its chain alone changes no angle; a warm block takes the slack", "[centres]") {
  const Warmth light_block{.block_per_k = 23e-6, .chain_per_k = 11.5e-6, .rise_k = 70.0};
  CHECK(growth(light_block).block == 23e-6 * 70.0);
  CHECK(growth(light_block).chain == 11.5e-6 * 70.0);

  const Engine engine = small_engine();
  const Result<CentreEffect> alike =
      warmth_effect(engine, {}, {.block_per_k = 11.5e-6, .chain_per_k = 11.5e-6, .rise_k = 70.0});
  REQUIRE(alike.ok());
  CHECK_THAT(alike->phase_after_deg.at(0), WithinAbs(0.0, 1e-9));
  CHECK_THAT(alike->slack_after_mm.least, WithinAbs(alike->slack_before_mm.least * (1.0 + 11.5e-6 * 70.0), 1e-9));

  // Seen from a chain that keeps its length the centres have moved by the difference alone.
  const Result<CentreEffect> warm = warmth_effect(engine, {}, light_block);
  REQUIRE(warm.ok());
  const double chain_share = 1.0 + growth(light_block).chain;
  const double centres_mm = 107.9 * (1.0 + growth(light_block).block) / chain_share;
  const Result<CentreEffect> moved = centre_effect(engine, {}, centres_mm - 107.9);
  REQUIRE(moved.ok());
  CHECK_THAT(warm->phase_after_deg.at(0), WithinAbs(moved->phase_after_deg.at(0), 1e-9));
  CHECK_THAT(warm->slack_after_mm.least, WithinAbs(moved->slack_after_mm.least * chain_share, 1e-9));
  CHECK(warm->slack_after_mm.least < warm->slack_before_mm.least);

  // Hot enough, and the chain does not reach.
  const Result<CentreEffect> hot =
      warmth_effect(engine, {}, {.block_per_k = 23e-6, .chain_per_k = 11.5e-6, .rise_k = 200.0});
  REQUIRE(hot.ok());
  CHECK_FALSE(hot->problems.empty());
}
