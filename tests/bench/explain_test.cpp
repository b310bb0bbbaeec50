#include "bench/explain.hpp"

#include "bench/explain_weigh.hpp"
#include "support/catch.hpp"
#include "support/overhead_engine.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>

using namespace phasewright;
using namespace phasewright::testing;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

Path still(std::vector<double> shift, double weight) {
  Path path;
  path.shifts = Eigen::Map<Eigen::VectorXd>(shift.data(), static_cast<Eigen::Index>(shift.size()));
  path.amounts = {0.0};
  path.weight = weight;
  return path;
}

// Shifts by `slope` for each unit of an amount between `from` and `to`, in so many pieces.
Path moving(const Eigen::VectorXd& slope, double from, double to, int pieces, double weight) {
  Path path;
  path.weight = weight;
  path.shifts.resize(slope.size(), pieces + 1);
  for (int i = 0; i <= pieces; ++i) {
    path.amounts.push_back(from + (to - from) * i / pieces);
    path.shifts.col(i) = path.amounts.back() * slope;
  }
  return path;
}

Measured layout_of(int lobes) {
  Measured measured;
  measured.stop_deg = {{-50.0, 50.0}, {-49.0, 49.0}};
  for (int i = 0; i < lobes; ++i)
    for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust})
      measured.lobe.push_back({kind, 1, 2.0 + 1.5 * i, {}, 0.0, 0.0});
  return measured;
}

Explainer explainer_for(const Engine& engine, const Fitted& with, const Measured& layout) {
  const Result<Explainer> made = Explainer::make(engine, with, layout, {});
  INFO((made ? std::string() : to_text(made.problems())));
  REQUIRE(made.ok());
  return *made;
}

double total(const Explanation& explanation) {
  return std::accumulate(explanation.causes.begin(), explanation.causes.end(), 0.0,
                         [](double sum, const Cause& cause) { return sum + cause.probability; });
}

} // namespace

TEST_CASE("two explanations of one reading are weighed as Bayes has it", "[explain]") {
  // Foretold 0 and 2, read 0.7, unit variance, weights 3 to 1: by hand.
  const Eigen::VectorXd read = Eigen::VectorXd::Constant(1, 0.7);
  const std::vector<double> shares = probabilities({weigh(still({0.0}, 3.0), read), weigh(still({2.0}, 1.0), read)});
  const double first = 3.0 * std::exp(-0.5 * 0.7 * 0.7);
  const double second = std::exp(-0.5 * 1.3 * 1.3);
  CHECK_THAT(shares[0], WithinAbs(first / (first + second), 1e-14));
  CHECK_THAT(shares[0] + shares[1], WithinAbs(1.0, 1e-15));
}

TEST_CASE("an amount is weighed over all it may be", "[explain]") {
  // Slopes 2 and 1, read 3 and 1, amounts 0 to 4: the integral by Simpson's rule with 20,000 steps.
  Eigen::VectorXd slope(2), read(2);
  slope << 2.0, 1.0;
  read << 3.0, 1.0;
  const auto likelihood = [&](double amount) { return std::exp(-0.5 * (read - amount * slope).squaredNorm()); };
  const auto integral = [&](double from, double to) {
    constexpr int steps = 20000;
    const double step = (to - from) / steps;
    double sum = likelihood(from) + likelihood(to);
    for (int i = 1; i < steps; ++i) sum += (i % 2 == 1 ? 4.0 : 2.0) * likelihood(from + i * step);
    return sum * step / 3.0;
  };
  for (const int pieces : {1, 3, 16}) {
    const Weighed weighed = weigh(moving(slope, 0.0, 4.0, pieces, 1.0), read);
    CHECK_THAT(std::exp(weighed.log_evidence), WithinRel(integral(0.0, 4.0) / 4.0, 1e-9));
    CHECK_THAT(weighed.amounts[0], WithinAbs(7.0 / 5.0, 1e-12)); // least squares
    CHECK_THAT(weighed.misfit, WithinAbs(10.0 - 49.0 / 5.0, 1e-12));
  }
  // Where the best amount is outside, its end counts.
  const Weighed outside = weigh(moving(slope, 2.0, 4.0, 8, 1.0), read);
  CHECK(outside.amounts[0] == 2.0);
  CHECK_THAT(std::exp(outside.log_evidence), WithinRel(integral(2.0, 4.0) / 2.0, 1e-9));
}

TEST_CASE("of a pair each finds its own amount", "[explain]") {
  Eigen::VectorXd a(3), b(3);
  a << 4.0, 0.0, 1.0;
  b << 0.0, 5.0, 1.0;
  const Eigen::VectorXd read = 1.5 * a - 0.5 * b;
  const Weighed both = weigh_pair(moving(a, -5.0, 5.0, 10, 1.0), moving(b, -5.0, 5.0, 10, 1.0), read);
  CHECK_THAT(both.amounts[0], WithinAbs(1.5, 1e-4));
  CHECK_THAT(both.amounts[1], WithinAbs(-0.5, 1e-4));
  // The normal law's integral over both, of which the ranges hold all: 2 pi / sqrt(det) / (10 * 10).
  const double determinant = 17.0 * 26.0 - 1.0;
  CHECK_THAT(both.log_evidence, WithinAbs(std::log(2.0 * std::acos(-1.0) / std::sqrt(determinant) / 100.0), 1e-6));
  const Weighed one_still = weigh_pair(still({6.0, 0.0, 1.5}, 1.0), moving(b, -5.0, 5.0, 10, 1.0), read);
  CHECK_THAT(one_still.amounts[1], WithinAbs(-0.5, 1e-12));
  CHECK_THAT(one_still.misfit, WithinAbs(0.0, 1e-12));
}

TEST_CASE("what is foretold for a fault is explained by it or by what cannot be told from it", "[explain]") {
  const Engine engine = overhead_engine();
  Fitted with;
  with.crank_key_deg = 3.0;
  with.cam_key_of["inlet"] = 2.0;
  const Explainer explainer = explainer_for(engine, with, layout_of(2));
  const std::vector<std::string> faults = explainer.faults();
  CHECK(faults.size() > 15); // the keys turned round come to 6 and 8 degrees, the amounts below to none of these
  for (const std::string& fault : faults) {
    INFO(fault);
    const bool two_sided =
        fault.starts_with("camshaft off") || fault.starts_with("wheel") || fault.find("lobe") != std::string::npos;
    const Result<Measured> read = explainer.foretell(fault, two_sided ? 11.0 : 1.5);
    if (!read) continue; // a chain that would not go on with so much wear
    const Explanation found = explainer.explain(*read);
    CHECK_THAT(total(found), WithinAbs(1.0, 0.01));
    CHECK_FALSE(found.nothing_fits);
    // First, or in the tie that the first leads.
    bool listed = false;
    std::string all;
    for (const Cause& cause : found.causes)
      all += std::to_string(cause.probability) + (cause.tied ? " = " : " ") + cause.words + "\n";
    INFO(all);
    for (std::size_t i = 0; i < found.causes.size() && (i == 0 || found.causes[i].tied); ++i)
      listed = listed || found.causes[i].faults == std::vector{fault};
    CHECK(listed);
  }
}

TEST_CASE("a fault that is not weighed is not foretold", "[explain]") {
  const Explainer explainer = explainer_for(small_engine(), {}, layout_of(1));
  CHECK_FALSE(explainer.foretell("tappets made of cheese").ok());
}

TEST_CASE("readings that are as they should be have nothing wrong", "[explain]") {
  const Explainer explainer = explainer_for(small_engine(), {}, layout_of(2));
  const Result<Measured> read = explainer.foretell("nothing is wrong");
  REQUIRE(read.ok());
  const Explanation found = explainer.explain(*read);
  CHECK(found.figures == 10);
  CHECK(found.causes[0].faults.empty());
  CHECK(found.causes[0].misfit < 1e-6);
  CHECK_FALSE(found.nothing_fits);
}

TEST_CASE("readings of no engine are explained by nothing", "[explain]") {
  const Explainer explainer = explainer_for(small_engine(), {}, layout_of(2));
  Result<Measured> read = explainer.foretell("nothing is wrong");
  REQUIRE(read.ok());
  read->lobe[0].opens_deg += 25.0;
  read->lobe[1].closes_deg -= 31.0;
  read->lobe[2].closes_deg += 17.0;
  const Explanation found = explainer.explain(*read);
  CHECK(found.nothing_fits);
  CHECK_FALSE(found.next.has_value());
}

TEST_CASE("two faults at once are found as a pair", "[explain]") {
  const Engine engine = small_engine();
  // With a count of pins, so that the tooth is sure, and one lobe ground off, which nothing else looks like.
  Measured layout = layout_of(2);
  layout.pins = {{"cam", 0}};
  Fitted laid;
  laid.lay = -1;
  Engine ground = engine;
  ground.camshafts[0].exhaust->centre_deg -= 6.0;
  const Result<Explainer> as_it_is = Explainer::make(ground, laid, layout, {});
  REQUIRE(as_it_is.ok());
  const Result<Measured> read = as_it_is->foretell("nothing is wrong");
  REQUIRE(read.ok());
  const Explanation found = explainer_for(engine, {}, layout).explain(*read);
  REQUIRE(found.causes[0].faults.size() == 2);
  CHECK(std::ranges::count(found.causes[0].faults, std::string("chain one tooth back")) == 1);
  CHECK(std::ranges::count(found.causes[0].faults, std::string("exhaust lobe ground off")) == 1);
  CHECK_FALSE(found.nothing_fits);
}

TEST_CASE("what the next reading would show is worked out across the cycle's end", "[explain]") {
  // An exhaust lobe that closes near 720 degrees, and a wheel that may have moved: read later, it closes after 0.
  Measured layout;
  layout.stop_deg = {{-50.0, 50.0}, {-50.0, 50.0}};
  layout.lobe = {{ValveKind::inlet, 1, 2.0, {}, 0.0, 0.0}};
  const Explainer explainer = explainer_for(small_engine(), {}, layout);
  for (const double moved_deg : {-19.0, -11.3, 11.3, 19.0}) {
    const Result<Measured> read = explainer.foretell("wheel moved", moved_deg);
    REQUIRE(read.ok());
    const Explanation found = explainer.explain(*read);
    REQUIRE(found.next.has_value());
    // No reading sets two faults of twenty degrees at most further apart than some hundred uncertainties.
    CHECK(found.next->apart < 150.0);
  }
}

TEST_CASE("without readings there is nothing to explain", "[explain]") {
  const Result<Explainer> made = Explainer::make(small_engine(), {}, {}, {});
  REQUIRE_FALSE(made.ok());
  CHECK(to_text(made.problems()) ==
        "measured: found no readings of stop, lobes, clearance or pins, allowed at least one "
        "of them\n");
}

TEST_CASE("readings that no fault would change explain nothing", "[explain]") {
  Measured layout;
  layout.stop_deg = {{-50.0, 50.0}};
  const Result<Explainer> made = Explainer::make(small_engine(), {}, layout, {});
  REQUIRE_FALSE(made.ok());
  CHECK(to_text(made.problems()) == "measured: found nothing but readings that any fault would leave as they are, "
                                    "allowed a lobe, a clearance or a count of pins as well\n");
}

TEST_CASE("the next reading says which cause it tells the first from", "[explain]") {
  // Either key turned round retards the camshaft by the same: no reading tells one from the other.
  Fitted with;
  with.crank_key_deg = 2.0;
  with.cam_key_deg = 1.0;
  const Explainer explainer = explainer_for(small_engine(), with, layout_of(2));
  const Result<Measured> read = explainer.foretell("cam key turned round");
  REQUIRE(read.ok());
  const Explanation found = explainer.explain(*read);
  CHECK(found.causes[0].faults == std::vector<std::string>{"cam key turned round"});
  CHECK(found.causes[1].faults == std::vector<std::string>{"crank key turned round"});
  REQUIRE(found.next.has_value());
  REQUIRE(found.next->against > 1);
  CHECK(found.causes[found.next->against].faults == std::vector<std::string>{"wheel moved"});
  CHECK(found.next->words.find("if the other, ") != std::string::npos);
}

TEST_CASE("a chain as worn as a build may say is not weighed as worn more", "[explain]") {
  Fitted with;
  const auto weighed = [&] {
    const std::vector<std::string> faults = explainer_for(small_engine(), with, layout_of(2)).faults();
    return std::ranges::count(faults, std::string("chain worn more than stated"));
  };
  with.elongation_percent = 4.0;
  CHECK(weighed() == 1);
  with.elongation_percent = 5.0;
  CHECK(weighed() == 0);
}
