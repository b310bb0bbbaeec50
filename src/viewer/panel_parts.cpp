// Parts: what the engine file says this drive is made of.
#include "viewer/frame.hpp"

#include <fmt/format.h>

namespace phasewright::viewer {

namespace {

class Facts {
public:
  Facts(Frame& frame, ImVec2 at, float width) : ui_(frame.ui), at_(at), width_(width) {}

  void head(const char* title) {
    at_.y += ui_.px(4);
    text(ui_, at_, ui_.fonts.bold, ui_.colours.ink, title);
    at_.y += ui_.px(21);
  }

  void row(const std::string& what, const std::string& figure) {
    const float room = width_ - text_size(ui_.fonts.text, figure).x - ui_.px(10);
    text(ui_, at_, ui_.fonts.text, ui_.colours.quiet, shortened(ui_.fonts.text, what, room));
    text_right(ui_, {at_.x + width_, at_.y}, ui_.fonts.text, ui_.colours.ink, figure);
    at_.y += ui_.px(20);
  }

  void space() { at_.y += ui_.px(8); }
  [[nodiscard]] float bottom() const { return at_.y; }

private:
  Ui& ui_;
  ImVec2 at_;
  float width_;
};

std::string two_lengths(double first_mm, double second_mm, Units units) {
  return length_figure(first_mm, units) + " × " + length_text(second_mm, units);
}

// 12 o'clock is 0 degrees, 30 degrees an hour; the bench says where a keyway points that way.
std::string clock_words(double clock_deg) {
  const int minutes = static_cast<int>(clock_deg * 2.0 + 0.5) % 720;
  const int hour = minutes / 60 == 0 ? 12 : minutes / 60;
  return minutes % 60 == 0 ? fmt::format("{} o’clock", hour) : fmt::format("{}:{:02} o’clock", hour, minutes % 60);
}

std::string sprocket_words(const Sprocket& sprocket, bool marked) {
  std::string words = fmt::format("{} teeth", sprocket.teeth);
  if (marked) words += fmt::format(", mark on a {}", sprocket.mark == MarkOn::tooth ? "tooth" : "gap");
  if (sprocket.wrap == Wrap::outside) words += ", on the chain’s back";
  return words;
}

void loop_facts(Facts& facts, const Engine& engine, std::size_t index, Units units) {
  const Loop& loop = engine.loops[index];
  const Chain& chain = loop.chain;
  if (index > 0) facts.row("next chain, driven from", loop.driven_from + " sprocket");
  facts.row("chain", fmt::format("{}{} links", chain.iso606.empty() ? "" : chain.iso606 + ", ", chain.links));
  facts.row("pitch × roller", two_lengths(chain.pitch_mm, chain.roller_mm, units));
  facts.row("renewed when longer by", fmt::format("{:.1f} %", chain.wear_limit_percent));
  for (std::size_t i = 0; i < loop.sprockets.size(); ++i) {
    const Sprocket& sprocket = loop.sprockets[i];
    facts.row(sprocket.name + " sprocket", sprocket_words(sprocket, is_marked(engine, {index, i})));
  }
  const auto between = [](const Guide& guide) { return guide.strand[0] + " – " + guide.strand[1]; };
  for (const Guide& guide : loop.guides)
    facts.row("guide, " + between(guide), "radius " + length_text(guide.radius_mm, units));
  if (loop.tensioner)
    facts.row("tensioner, " + between(loop.tensioner->shoe),
              fmt::format("travel {} to {}", length_figure(loop.tensioner->travel_mm[0], units),
                          length_text(loop.tensioner->travel_mm[1], units)));
}

void drive_facts(Facts& facts, const Engine& engine, Units units) {
  facts.head("Drive");
  facts.row("running direction, from the timing end", to_word(engine.rotation));
  for (std::size_t i = 0; i < engine.loops.size(); ++i) loop_facts(facts, engine, i, units);
  facts.row("crank keyway at No. 1 TDC", clock_words(engine.crank_seat.key_clock_deg));
  for (const auto& [name, seat] : engine.cam_seats)
    facts.row(name + " keyway at No. 1 TDC", clock_words(seat.key_clock_deg));
}

void block_facts(Facts& facts, const Engine& engine, Units units) {
  const Block& block = engine.block;
  facts.head("Cylinders");
  std::string order;
  for (const int number : block.firing_order) order += (order.empty() ? "" : "–") + std::to_string(number);
  facts.row("firing order", order);
  facts.row("bore × stroke", two_lengths(block.bore_mm, block.stroke_mm, units));
  facts.row("rod, centre to centre", length_text(block.rod_mm, units));
}

void lobe_facts(Facts& facts, const Workbench& bench, Units units) {
  for (const ValveKind kind : {ValveKind::inlet, ValveKind::exhaust}) {
    const ValveMotion* motion = bench.fitted().mechanism.motion(kind);
    if (motion == nullptr) continue;
    const bool inlet = kind == ValveKind::inlet;
    facts.head(inlet ? "Inlet" : "Exhaust");
    facts.row("lobe centre on the card", fmt::format("{}° {}", motion->gear().centre_deg, inlet ? "ATDC" : "BTDC"));
    facts.row("lift at the tappet", length_text(motion->lobe().greatest_lift_mm(), units));
    const ValveGear& gear = motion->gear();
    facts.row("follower", to_word(gear.follower));
    const std::string lash = length_text(gear.lash_mm, units);
    if (motion->linkage().varies())
      facts.row("levers’ ratio, shut and full open; lash",
                fmt::format("{:.2f}, {:.2f}; {}", motion->linkage().at(0.0).ratio,
                            motion->linkage().at(motion->lobe().greatest_lift_mm()).ratio, lash));
    else
      facts.row("rocker ratio and lash", fmt::format("{:.2f}, {}", gear.rocker_ratio, lash));
  }
}

void fastener_facts(Facts& facts, const Engine& engine) {
  if (engine.fasteners.empty()) return;
  facts.head("Fasteners, the maker's figures");
  for (const auto& [name, fastener] : engine.fasteners) {
    std::string words = fastener.torque_nm > 0.0 ? fmt::format("{} Nm", fastener.torque_nm) : "no torque given";
    if (!fastener.locks.empty()) words += ", " + fastener.locks;
    facts.row(name, words);
  }
}

} // namespace

float parts_panel(Frame& frame, ImVec2 at, float width) {
  const Engine& engine = frame.bench.engine();
  float y = at.y + panel_head(frame, at, width, "Parts", "What the drive is made of. Point at a part to name it.",
                              "All that follows rests on these: teeth, pitch and centres fix where the camshaft can "
                              "stand, keys and keyways how well it stays there.");
  const ScreenRect pages{at.x, y, at.x + width, y + frame.ui.px(26)};
  if (const auto picked = segments(frame.ui, "parts.page", pages, {"figures", "keys", "to expect"},
                                   static_cast<std::size_t>(frame.view.parts_page)))
    frame.view.parts_page = static_cast<PartsPage>(*picked);
  y = pages.bottom + frame.ui.px(8);
  if (frame.view.parts_page == PartsPage::keys) return keys_page(frame, {at.x, y}, width);
  if (frame.view.parts_page == PartsPage::spread) return spread_page(frame, {at.x, y}, width);
  Facts facts(frame, {at.x, y}, width);
  drive_facts(facts, engine, frame.view.units);
  facts.space();
  block_facts(facts, engine, frame.view.units);
  facts.space();
  lobe_facts(facts, frame.bench, frame.view.units);
  facts.space();
  fastener_facts(facts, engine);
  return facts.bottom();
}

} // namespace phasewright::viewer
