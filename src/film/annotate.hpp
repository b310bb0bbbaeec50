// Words in a picture: a scene's labels, and what it exaggerates.
#pragma once

#include "render/renderer.hpp"
#include "scene/camera.hpp"

#include <map>
#include <string>
#include <vector>

namespace phasewright::film {

struct Words {
  bool labels = false;
  double scale = 1.0; // of the text; 1 to 3
  // On which side of the drive each label stood in the picture before, so that it stays there from frame to frame.
  std::map<std::string, bool> side{};
};

// What is looked at, and from where.
struct Annotated {
  const SceneModel& model;
  NamedView view = NamedView::end;
  CloseUp close_up{};
  Camera camera{};
};

// Draws the labels that find room, none over another, when they are wanted; and the scene's confessions, always.
// `further`: labels besides the scene's.
void annotate(const Scene& scene, const std::vector<Label>& further, const Annotated& about, Theme theme, Words& words,
              Image& image);

} // namespace phasewright::film
