// Valve events, at check lift and with the lash taken up.
#include "mechanics/events.hpp"

#include "cli/commands.hpp"
#include "cli/drive_words.hpp"
#include "cli/words.hpp"
#include "mechanics/volumes.hpp"

#include <fmt/format.h>

namespace phasewright::cli {

namespace {

using Rows = std::vector<std::vector<std::string>>;

void add_rows(Rows& rows, const Camshaft& camshaft, const KindEvents& events) {
  const bool inlet = events.kind == ValveKind::inlet;
  const EventKind opens = inlet ? EventKind::inlet_opens : EventKind::exhaust_opens;
  const EventKind closes = inlet ? EventKind::inlet_closes : EventKind::exhaust_closes;
  const auto add = [&](const char* valve, const std::string& at, const OpenSpan& span) {
    rows.push_back({valve, at, event_words(opens, span.opens_deg), event_words(closes, span.closes_deg),
                    fmt::format("{}°", fixed(span.duration_deg, 1))});
  };
  add(inlet ? "Inlet" : "Exhaust", event_lift_words(camshaft), events.at_check);
  add("", "off its seat, lash taken up", events.at_lash);
}

std::string lobe_line(const KindEvents& events) {
  const bool inlet = events.kind == ValveKind::inlet;
  return fmt::format("{} lobe centre {}° {} (crank degrees); greatest lift {} mm at the valve, {} mm at overlap TDC.\n",
                     inlet ? "Inlet" : "Exhaust", fixed(events.centre_deg, 1), inlet ? "ATDC" : "BTDC",
                     fixed(events.greatest_lift_mm, 2), fixed(events.lift_at_tdc_mm, 2));
}

std::string overlap_words(double overlap_deg) {
  return overlap_deg >= 0.0 ? fmt::format("{}°", fixed(overlap_deg, 1))
                            : fmt::format("none, {}° between them", fixed(-overlap_deg, 1));
}

std::string events_page(const Engine& engine, const Events& events) {
  Rows rows{{"Valve", "lifted", "opens", "closes", "duration"}};
  std::string lobes;
  for (std::size_t i = 0; i < events.camshafts.size(); ++i)
    for (const auto& kind : {events.camshafts[i].inlet, events.camshafts[i].exhaust}) {
      if (!kind) continue;
      add_rows(rows, engine.camshafts[i], *kind);
      lobes += lobe_line(*kind);
    }
  std::string page = table({Align::left, Align::left, Align::right, Align::right, Align::right}, rows) + "\n" + lobes;
  if (events.overlap_deg && events.overlap_at_lash_deg)
    page += fmt::format("Overlap (crank degrees): {} at check lift; {} with the lash taken up.\n",
                        overlap_words(*events.overlap_deg), overlap_words(*events.overlap_at_lash_deg));
  if (events.separation_deg) page += fmt::format("Lobe separation: {}° cam.\n", fixed(*events.separation_deg, 1));
  return page;
}

Json span_json(const OpenSpan& span) {
  return Json::object(
      {{"opens_deg", span.opens_deg}, {"closes_deg", span.closes_deg}, {"duration_deg", span.duration_deg}});
}

Json kind_json(const std::optional<KindEvents>& events) {
  if (!events) return {};
  return Json::object({{"centre_deg", events->centre_deg},
                       {"centre_crank_deg", events->centre_crank_deg},
                       {"at_check", span_json(events->at_check)},
                       {"at_lash", span_json(events->at_lash)},
                       {"lift_at_tdc_mm", events->lift_at_tdc_mm},
                       {"greatest_lift_mm", events->greatest_lift_mm}});
}

Json events_json(const Engine& engine, const Drive& drive, const Events& events) {
  Json camshafts = Json::array();
  for (std::size_t i = 0; i < events.camshafts.size(); ++i)
    camshafts.add(Json::object({{"name", events.camshafts[i].name},
                                {"phase_deg", drive.phase_deg(i)},
                                {"check_lift_mm", engine.camshafts[i].check_lift_mm},
                                {"check_at", engine.camshafts[i].check_at == CheckAt::tappet ? "tappet" : "valve"},
                                {"inlet", kind_json(events.camshafts[i].inlet)},
                                {"exhaust", kind_json(events.camshafts[i].exhaust)}}));
  return Json::object({{"camshafts", camshafts},
                       {"overlap_deg", events.overlap_deg},
                       {"overlap_at_lash_deg", events.overlap_at_lash_deg},
                       {"separation_deg", events.separation_deg}});
}

// From the inlet closing of No. 1; nothing for an engine without inlet lobes.
std::optional<Compression> compression_of(const Engine& engine, const Events& events) {
  for (const CamshaftEvents& camshaft : events.camshafts)
    if (camshaft.inlet) return compression(engine.block, camshaft.inlet->at_lash.closes_deg);
  return std::nullopt;
}

} // namespace

Result<Answer> events_command(const Context& context) {
  Result<Mechanism> mechanism = Mechanism::assemble(context.opened.engine, context.opened.build.fitted);
  if (!mechanism) return mechanism.problems();
  const Engine& engine = mechanism->engine();
  const Result<Events> events = valve_events(*mechanism);
  if (!events) return events.problems();
  const Drive& drive = mechanism->drive();

  Answer answer;
  answer.page = title_words(engine, context.opened.build) + "\nValve events of No. 1, crank degrees.";
  for (std::size_t i = 0; i < engine.camshafts.size(); ++i) {
    answer.page += engine.camshafts.size() == 1 ? " " : "\n";
    answer.page += stands_words(engine, i, drive.phase_deg(i));
  }
  answer.page += "\n\n" + events_page(engine, *events);
  answer.json = events_json(engine, drive, *events);
  answer.json.set("phase_deg", drive.phase_deg());
  if (const std::optional<Compression> ratios = compression_of(engine, *events)) {
    answer.page += fmt::format("Compression: {} : 1 static; {} : 1 effective, from the volume at inlet closing.\n",
                               fixed(ratios->static_ratio, 2), fixed(ratios->effective_ratio, 2));
    answer.json.set("compression",
                    Json::object({{"static", ratios->static_ratio}, {"effective", ratios->effective_ratio}}));
  } else {
    answer.json.set("compression", Json());
  }
  return answer;
}

} // namespace phasewright::cli
