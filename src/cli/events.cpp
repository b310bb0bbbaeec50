// Valve events: at check lift, with the lash taken up, at any lift; of any cylinder; and what follows for compression.
#include "mechanics/events.hpp"

#include "cli/commands.hpp"
#include "cli/drive_words.hpp"
#include "cli/words.hpp"
#include "geometry/angle.hpp"
#include "mechanics/volumes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace phasewright::cli {

namespace {

using Rows = std::vector<std::vector<std::string>>;

// The events of one cylinder; its crank angles run `delay_deg` behind those of No. 1.
struct OfCylinder {
  int number;
  double delay_deg;
  Events events;
};

// Which of an engine's events are asked for.
struct Asked {
  const Mechanism& mechanism;
  const EventsOptions& options;

  [[nodiscard]] LiftedAt lifted_at(std::size_t camshaft) const {
    if (options.at) return *options.at;
    return mechanism.engine().camshafts[camshaft].check_at == CheckAt::tappet ? LiftedAt::tappet : LiftedAt::valve;
  }
};

const char* to_word(LiftedAt at) {
  return at == LiftedAt::tappet ? "tappet" : "valve";
}

const char* kind_words(ValveKind kind) {
  return kind == ValveKind::inlet ? "Inlet" : "Exhaust";
}

EventKind opening(ValveKind kind) {
  return kind == ValveKind::inlet ? EventKind::inlet_opens : EventKind::exhaust_opens;
}

EventKind closing(ValveKind kind) {
  return kind == ValveKind::inlet ? EventKind::inlet_closes : EventKind::exhaust_closes;
}

// All the events there are, camshaft by camshaft.
template <class Do>
void for_each_kind(const Events& events, const Do& act) {
  for (std::size_t i = 0; i < events.camshafts.size(); ++i)
    for (const auto& kind : {events.camshafts[i].inlet, events.camshafts[i].exhaust})
      if (kind) act(i, *kind);
}

std::string span_words(ValveKind kind, const OpenSpan& span, double delay_deg, bool opens) {
  return opens ? event_words(opening(kind), wrap_720(span.opens_deg - delay_deg))
               : event_words(closing(kind), wrap_720(span.closes_deg - delay_deg));
}

std::string events_table(const Asked& asked, const OfCylinder& cylinder) {
  Rows rows{{"Valve", "lifted", "opens", "closes", "duration"}};
  for_each_kind(cylinder.events, [&](std::size_t camshaft, const KindEvents& events) {
    const auto add = [&](const char* valve, const std::string& lifted, const std::optional<OpenSpan>& span) {
      if (span)
        rows.push_back({valve, lifted, span_words(events.kind, *span, cylinder.delay_deg, true),
                        span_words(events.kind, *span, cylinder.delay_deg, false),
                        fmt::format("{}°", fixed(span->duration_deg, 1))});
      else
        rows.push_back({valve, lifted, "never", "", ""});
    };
    add(kind_words(events.kind), event_lift_words(asked.mechanism.engine().camshafts[camshaft]), events.at_check);
    add("", "off its seat, lash taken up", events.at_lash);
    for (const double lift_mm : asked.options.lifts_mm) {
      const LiftedAt at = asked.lifted_at(camshaft);
      add("", fmt::format("{} mm at the {}", lift_mm, to_word(at)),
          open_span(asked.mechanism, events.kind, cylinder.number, lift_mm, at));
    }
  });
  return table({Align::left, Align::left, Align::right, Align::right, Align::right}, rows);
}

std::string centre_words(ValveKind kind, double centre_deg) {
  return fmt::format("{}° {}", fixed(centre_deg, 1), kind == ValveKind::inlet ? "ATDC" : "BTDC");
}

// Lobe centres, by equal lifts and, where the nose lies elsewhere, by the greatest lift.
std::string lobes_page(const Events& events) {
  constexpr double symmetric_deg = 0.2; // the chain's ripple alone parts the two by hundredths
  bool skewed = false;
  for_each_kind(events, [&](std::size_t, const KindEvents& kind) {
    skewed = skewed || std::fabs(kind.centre_deg - kind.nose_deg) > symmetric_deg;
  });
  Rows rows{{"Lobe", skewed ? "centre by equal lifts" : "centre"}};
  std::vector<Align> columns{Align::left, Align::right};
  if (skewed) rows[0].emplace_back("by greatest lift");
  for (const char* heading : {"greatest lift, mm", "lift at overlap TDC, mm"}) rows[0].emplace_back(heading);
  columns.resize(rows[0].size(), Align::right);
  for_each_kind(events, [&](std::size_t, const KindEvents& kind) {
    std::vector<std::string> row{kind_words(kind.kind), centre_words(kind.kind, kind.centre_deg)};
    if (skewed) row.push_back(centre_words(kind.kind, kind.nose_deg));
    row.push_back(fixed(kind.greatest_lift_mm, 2));
    row.push_back(fixed(kind.lift_at_tdc_mm, 2));
    rows.push_back(std::move(row));
  });
  return table(columns, rows) + "Lobe centres in crank degrees" + (skewed ? ", equal lifts at check lift" : "") +
         ". Lifts at the valve.\n";
}

std::string overlap_words(double overlap_deg) {
  return overlap_deg >= 0.0 ? fmt::format("{}°", fixed(overlap_deg, 1))
                            : fmt::format("none, {}° between them", fixed(-overlap_deg, 1));
}

std::string overlap_page(const Events& events) {
  std::string page;
  if (events.overlap_deg && events.overlap_at_lash_deg)
    page += fmt::format("Overlap (crank degrees): {} at check lift; {} with the lash taken up.\n",
                        overlap_words(*events.overlap_deg), overlap_words(*events.overlap_at_lash_deg));
  if (events.overlap_area_mm_deg && *events.overlap_area_mm_deg > 0.0)
    page += fmt::format("Overlap area, under the lesser of the two valve lifts: {} mm x crank degrees.\n",
                        fixed(*events.overlap_area_mm_deg, 2));
  if (events.separation_deg) page += fmt::format("Lobe separation: {}° cam.\n", fixed(*events.separation_deg, 1));
  return page;
}

// All cylinders in firing order, at check lift.
std::string cylinders_table(const std::vector<OfCylinder>& cylinders) {
  Rows rows{{"Cylinder", "valve", "opens", "closes", "open, No. 1's crank", "lobe centre", "at TDC, mm"}};
  for (const OfCylinder& cylinder : cylinders) {
    std::string number = fmt::format("No. {}", cylinder.number);
    for_each_kind(cylinder.events, [&](std::size_t, const KindEvents& kind) {
      rows.push_back({number, kind_words(kind.kind), span_words(kind.kind, kind.at_check, cylinder.delay_deg, true),
                      span_words(kind.kind, kind.at_check, cylinder.delay_deg, false),
                      fmt::format("{}° to {}°", fixed(kind.at_check.opens_deg, 1), fixed(kind.at_check.closes_deg, 1)),
                      centre_words(kind.kind, kind.centre_deg), fixed(kind.lift_at_tdc_mm, 2)});
      number.clear();
    });
  }
  return table({Align::left, Align::left, Align::right, Align::right, Align::right, Align::right, Align::right}, rows);
}

// Nothing without a pin offset: then they are where everyone takes them to be.
std::string dead_centres_page(const Mechanism& mechanism) {
  const Block& block = mechanism.engine().block;
  if (block.pin_offset_mm == 0.0) return {};
  const SliderCrank& crank = mechanism.slider_crank();
  return fmt::format("Gudgeon pin {} mm off the cylinder's axis, {} the side the throw is on just after TDC: the "
                     "down-stroke takes {}° of crank and the up-stroke {}°. BBDC and ABDC are counted from 180°, as on "
                     "a degree wheel; the piston is lowest at {}°.\n",
                     fixed(std::fabs(block.pin_offset_mm), 2), block.pin_offset_mm > 0.0 ? "toward" : "away from",
                     fixed(crank.down_stroke_deg(), 2), fixed(crank.up_stroke_deg(), 2), fixed(crank.bdc_deg(), 2));
}

// Compression of the cylinder asked about.
struct Squeeze {
  Compression ratios;
  CrankingAssumptions assumed;
  CrankingPressure pressure;
};

// Nothing for an engine without inlet lobes.
std::optional<Squeeze> squeeze_of(const Asked& asked, const OfCylinder& cylinder) {
  std::optional<Squeeze> squeeze;
  for_each_kind(cylinder.events, [&](std::size_t, const KindEvents& kind) {
    if (kind.kind != ValveKind::inlet) return;
    const Compression ratios =
        compression(asked.mechanism.engine().block, wrap_720(kind.at_lash.closes_deg - cylinder.delay_deg));
    squeeze =
        Squeeze{ratios, asked.options.cranking, cranking_pressure(ratios.effective_ratio, asked.options.cranking)};
  });
  return squeeze;
}

std::string squeeze_page(const Squeeze& squeeze) {
  constexpr double kpa_per_bar = 100.0;
  constexpr double kpa_per_psi = 6.894757;
  const CrankingPressure& pressure = squeeze.pressure;
  return fmt::format(
      "Compression: {} : 1 static; {} : 1 effective, from the volume at inlet closing, lash taken up.\n"
      "Cranking pressure, a rough estimate: {} bar ({} psi) on the gauge. It takes air alone at {} kPa (ISO 2533, {} m "
      "up), at rest when the inlet valve closes, compressed as p V^{} and with no leak; the exponent is a rule of "
      "thumb. "
      "Use it to compare one setting with another, never to judge rings or valves.\n",
      fixed(squeeze.ratios.static_ratio, 2), fixed(squeeze.ratios.effective_ratio, 2),
      fixed(pressure.gauge_kpa / kpa_per_bar, 1), fixed(pressure.gauge_kpa / kpa_per_psi, 0),
      fixed(pressure.atmosphere_kpa, 1), fixed(squeeze.assumed.altitude_m, 0), squeeze.assumed.exponent);
}

Json span_json(const OpenSpan& span) {
  return Json::object(
      {{"opens_deg", span.opens_deg}, {"closes_deg", span.closes_deg}, {"duration_deg", span.duration_deg}});
}

// A lift that is never reached has nulls in place of its events.
Json at_lift_json(const Asked& asked, std::size_t camshaft, ValveKind kind, int cylinder) {
  Json all = Json::array();
  for (const double lift_mm : asked.options.lifts_mm) {
    const LiftedAt at = asked.lifted_at(camshaft);
    Json one = Json::object({{"lift_mm", lift_mm}, {"at", to_word(at)}});
    const std::optional<OpenSpan> span = open_span(asked.mechanism, kind, cylinder, lift_mm, at);
    one.set("opens_deg", span ? Json(span->opens_deg) : Json());
    one.set("closes_deg", span ? Json(span->closes_deg) : Json());
    one.set("duration_deg", span ? Json(span->duration_deg) : Json());
    all.add(one);
  }
  return all;
}

Json kind_json(const Asked& asked, std::size_t camshaft, const std::optional<KindEvents>& events, int cylinder) {
  if (!events) return {};
  return Json::object({{"centre_deg", events->centre_deg},
                       {"centre_crank_deg", events->centre_crank_deg},
                       {"nose_deg", events->nose_deg},
                       {"greatest_at_deg", events->greatest_at_deg},
                       {"at_check", span_json(events->at_check)},
                       {"at_lash", span_json(events->at_lash)},
                       {"at_lift", at_lift_json(asked, camshaft, events->kind, cylinder)},
                       {"lift_at_tdc_mm", events->lift_at_tdc_mm},
                       {"greatest_lift_mm", events->greatest_lift_mm}});
}

Json cylinder_json(const Asked& asked, const OfCylinder& cylinder) {
  const Engine& engine = asked.mechanism.engine();
  const Events& events = cylinder.events;
  Json camshafts = Json::array();
  for (std::size_t i = 0; i < events.camshafts.size(); ++i)
    camshafts.add(Json::object({{"name", events.camshafts[i].name},
                                {"phase_deg", asked.mechanism.drive().phase_deg(i)},
                                {"check_lift_mm", engine.camshafts[i].check_lift_mm},
                                {"check_at", engine.camshafts[i].check_at == CheckAt::tappet ? "tappet" : "valve"},
                                {"inlet", kind_json(asked, i, events.camshafts[i].inlet, cylinder.number)},
                                {"exhaust", kind_json(asked, i, events.camshafts[i].exhaust, cylinder.number)}}));
  return Json::object({{"cylinder", cylinder.number},
                       {"overlap_tdc_deg", cylinder.delay_deg},
                       {"camshafts", camshafts},
                       {"overlap_deg", events.overlap_deg},
                       {"overlap_at_lash_deg", events.overlap_at_lash_deg},
                       {"overlap_area_mm_deg", events.overlap_area_mm_deg},
                       {"separation_deg", events.separation_deg}});
}

Json squeeze_json(const std::optional<Squeeze>& squeeze) {
  if (!squeeze) return {};
  return Json::object({{"static", squeeze->ratios.static_ratio},
                       {"effective", squeeze->ratios.effective_ratio},
                       {"cranking_kpa", Json::object({{"gauge", squeeze->pressure.gauge_kpa},
                                                      {"absolute", squeeze->pressure.absolute_kpa},
                                                      {"atmosphere", squeeze->pressure.atmosphere_kpa},
                                                      {"exponent", squeeze->assumed.exponent},
                                                      {"altitude_m", squeeze->assumed.altitude_m}})}});
}

Json dead_centres_json(const SliderCrank& crank) {
  return Json::object({{"tdc_deg", 0.0},
                       {"bdc_deg", crank.bdc_deg()},
                       {"down_stroke_deg", crank.down_stroke_deg()},
                       {"up_stroke_deg", crank.up_stroke_deg()},
                       {"throw_at_tdc_deg", crank.throw_at_tdc_deg()}});
}

// Those asked for; all of them in firing order.
Result<std::vector<OfCylinder>> cylinders_of(const Asked& asked) {
  const Block& block = asked.mechanism.engine().block;
  std::vector<int> numbers = block.firing_order;
  if (asked.options.cylinder) numbers = {*asked.options.cylinder};
  if (numbers[0] > block.cylinders)
    return problem_at("--cylinder", fmt::format("{}", numbers[0]),
                      block.cylinders == 1 ? "1: the engine has one cylinder"
                                           : fmt::format("1 to {}, or all", block.cylinders));
  std::vector<OfCylinder> cylinders;
  for (const int number : numbers) {
    Result<Events> events = valve_events(asked.mechanism, number);
    if (!events) return events.problems();
    cylinders.push_back({number, cylinder_delay_deg(block, number), *std::move(events)});
  }
  return cylinders;
}

std::string heading(const Engine& engine, const Build& build, const Drive& drive, const OfCylinder& first) {
  std::string words =
      fmt::format("{}\nValve events of No. {}, crank degrees", title_words(engine, build), first.number);
  if (first.number != 1)
    words += fmt::format(", counted from its own dead centres; its overlap TDC is {}° after No. 1's",
                         fixed(first.delay_deg, 1));
  words += ".";
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
    words += engine.camshafts.size() == 1 ? " " : "\n";
    words += stands_words(engine, i, drive.phase_deg(i));
  }
  return words;
}

} // namespace

Result<Answer> events_command(const Context& context) {
  Result<Mechanism> mechanism = Mechanism::assemble(context.opened.engine, context.opened.build.fitted);
  if (!mechanism) return mechanism.problems();
  const Engine& engine = mechanism->engine();
  const Drive& drive = mechanism->drive();
  const Asked asked{*mechanism, context.options.events};
  const Result<std::vector<OfCylinder>> cylinders = cylinders_of(asked);
  if (!cylinders) return cylinders.problems();
  const OfCylinder& first = cylinders->front();
  const std::optional<Squeeze> squeeze = squeeze_of(asked, first);

  Answer answer;
  answer.page = heading(engine, context.opened.build, drive, first) + "\n\n" + events_table(asked, first) + "\n" +
                lobes_page(first.events) + "\n" + overlap_page(first.events);
  answer.page += dead_centres_page(*mechanism);
  if (squeeze) answer.page += squeeze_page(*squeeze);
  answer.json = cylinder_json(asked, first);
  answer.json.set("phase_deg", drive.phase_deg())
      .set("compression", squeeze_json(squeeze))
      .set("dead_centres", dead_centres_json(mechanism->slider_crank()));
  if (!context.options.events.cylinder) {
    answer.page += "\nEvery cylinder in firing order, at check lift, crank degrees from its own dead centres;\n"
                   "with the valve's lift at its overlap TDC\n" +
                   cylinders_table(*cylinders);
    Json all = Json::array();
    for (const OfCylinder& cylinder : *cylinders) all.add(cylinder_json(asked, cylinder));
    answer.json.set("cylinders", all);
  }
  return answer;
}

} // namespace phasewright::cli
