// The card that asks about work an earlier viewer left behind unsaved.
#include "viewer/card.hpp"

#include <fmt/format.h>

namespace phasewright::viewer {

void left_card(Frame& frame, float width, float height) {
  const LeftCard& left = frame.view.left;
  constexpr float wide = 480;
  std::vector<std::string> words{left.sentence, left.differs};
  if (!left.caution.empty()) words.push_back(left.caution);
  if (!left.fault.empty()) words.push_back(left.fault);
  Card card(frame, "left_card", width, height, wide, Card::height_of(frame.ui, wide, words));
  card.title("Not saved last time");
  card.paragraph(left.sentence, frame.ui.colours.ink);
  card.paragraph(left.differs, frame.ui.colours.ink);
  if (!left.caution.empty()) card.paragraph(left.caution, frame.ui.colours.warning);
  if (!left.fault.empty()) card.paragraph(left.fault, frame.ui.colours.bad);
  if (card.press("left.take_up", "go on from there")) frame.actions.left = Actions::Left::take_up;
  if (card.press("left.aside", "put it aside")) frame.actions.left = Actions::Left::put_aside;
  if (card.press("left.later", "ask again next time")) frame.actions.left = Actions::Left::later;
  card.end();
}

} // namespace phasewright::viewer
