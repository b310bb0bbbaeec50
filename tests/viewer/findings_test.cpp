// What the readings come to is figured when they change and at no other time; what takes long, beside the screen.
#include "viewer/workbench.hpp"

#include "support/catch.hpp"

using namespace phasewright;
using namespace phasewright::viewer;

namespace {

Workbench demo() {
  const Result<Opened> opened = open_demo();
  REQUIRE(opened.ok());
  Result<Workbench> bench = Workbench::open(*opened);
  REQUIRE(bench.ok());
  return *std::move(bench);
}

} // namespace

TEST_CASE("each finding is figured again only when what it rests on has changed") {
  Workbench bench = demo();
  const int first = bench.findings().computed;
  Fitted planned = bench.document().planned;
  planned.crank_key_deg += 1.0;
  REQUIRE(bench.change_planned(planned, "crank key"));
  CHECK(bench.findings().computed == first);

  const auto degree = bench.findings().degree;
  const auto alignment = bench.findings().alignment;
  Measured next = bench.document().measured;
  next.float_mm.push_back(0.12);
  REQUIRE(bench.change_measured(next, "end float"));
  CHECK(bench.findings().computed == first + 1);
  CHECK(bench.findings().degree == degree);
  CHECK(bench.findings().alignment == alignment);

  next.lobe.pop_back();
  const int states = bench.computations();
  REQUIRE(bench.change_measured(next, "lobe"));
  CHECK(bench.findings().computed == first + 2);
  CHECK(bench.findings().degree != degree);
  CHECK(bench.computations() == states); // where things stand does not rest on it
}

TEST_CASE("date and note change no finding") {
  Workbench bench = demo();
  const int first = bench.findings().computed;
  Measured next = bench.document().measured;
  next.date = "2026-05-14";
  next.note = "cold";
  REQUIRE(bench.change_measured(next, "date"));
  CHECK(bench.findings().computed == first);
  CHECK(bench.unsaved());
  bench.undo();
  CHECK_FALSE(bench.unsaved());
}

TEST_CASE("readings not taken yet go with what is fitted") {
  Workbench bench = demo();
  Document next = bench.document();
  next.measured = Measured{};
  REQUIRE(bench.change(next, "cleared"));
  Fitted fitted = bench.document().fitted;
  fitted.cam_key_deg = 1.0;
  REQUIRE(bench.change_fitted(fitted, "cam key"));
  CHECK(bench.document().measured.with == fitted);
}

TEST_CASE("work beside the screen is done once, and dropped when it no longer holds") {
  Workbench bench = demo();
  int woken = 0;
  CHECK(bench.explanation() == nullptr);
  bench.seek_explanation([&woken] { ++woken; });
  CHECK(bench.working());
  bench.finish_work();
  CHECK(bench.take_results());
  CHECK(bench.explanation() != nullptr);
  CHECK_FALSE(bench.working());
  bench.seek_explanation([&woken] { ++woken; });
  CHECK_FALSE(bench.working()); // it is there

  Measured next = bench.document().measured;
  next.lobe.pop_back();
  REQUIRE(bench.change_measured(next, "lobe"));
  CHECK(bench.explanation() == nullptr);
  bench.seek_explanation([&woken] { ++woken; });
  next.lobe.pop_back();
  REQUIRE(bench.change_measured(next, "lobe"));
  bench.finish_work();
  CHECK(bench.take_results());
  CHECK(bench.explanation() == nullptr); // that was of other readings
}
