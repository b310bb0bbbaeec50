#include "scene/view_labels.hpp"

#include <algorithm>

namespace phasewright {

Box framed_box(const SceneModel& model, NamedView view, const CloseUp& of) {
  if (view == NamedView::key) return model.key_box(of.camshaft, of.apart);
  if (view == NamedView::valve) return model.valve_box(of.cylinder);
  return model.drive_box(of.apart);
}

ScreenRect box_on_screen(const Box& box, const Camera& camera, const ScreenRect& picture) {
  const glm::dvec2 size{static_cast<double>(picture.width()), static_cast<double>(picture.height())};
  ScreenRect found{picture.right, picture.bottom, picture.left, picture.top};
  for (int corner = 0; corner < 8; ++corner) {
    const glm::dvec3 at{(corner & 1) != 0 ? box.high_mm.x : box.low_mm.x,
                        (corner & 2) != 0 ? box.high_mm.y : box.low_mm.y,
                        (corner & 4) != 0 ? box.high_mm.z : box.low_mm.z};
    const auto pixel = camera.project(at, size);
    if (!pixel) return picture;
    const float x = picture.left + static_cast<float>(pixel->x);
    const float y = picture.top + static_cast<float>(pixel->y);
    found = {std::min(found.left, x), std::min(found.top, y), std::max(found.right, x), std::max(found.bottom, y)};
  }
  return {std::max(found.left, picture.left), std::max(found.top, picture.top), std::min(found.right, picture.right),
          std::min(found.bottom, picture.bottom)};
}

bool belongs_to(NamedView view, const Box& box, const Label& label) {
  if (view != NamedView::key && view != NamedView::valve) return true;
  const glm::dvec3 about = (box.high_mm - box.low_mm) * 0.1;
  for (int axis = 0; axis < 3; ++axis)
    if (label.anchor_mm[axis] < box.low_mm[axis] - about[axis] ||
        label.anchor_mm[axis] > box.high_mm[axis] + about[axis])
      return false;
  return true;
}

std::optional<Label> valve_label(const Scene& scene, ValveKind kind, double lift_mm,
                                 const std::function<std::string(double length_mm)>& length_words) {
  const std::string name = std::string(to_word(kind)) + " valve";
  // "inlet valve No. 1", not its spring.
  const auto at = std::ranges::find_if(scene.instances, [&](const Instance& instance) {
    return !instance.ghost && scene.parts[instance.part].name.starts_with(name + " No.");
  });
  if (at == scene.instances.end()) return std::nullopt;
  // No. 1 needs no number: it is the one that is shown unless another is asked for.
  const std::string& part = scene.parts[at->part].name;
  // How near its piston is is figured where the gap is drawn.
  const std::string open = length_words(lift_mm);
  return Label{.anchor_mm = glm::dvec3(at->placement[3]),
               .title = part == name + " No. 1" ? name : part,
               .figure = open == length_words(0.0) ? "shut" : "open " + open,
               .tone = kind == ValveKind::inlet ? Tone::inlet : Tone::exhaust,
               .rank = 0,
               .key = name};
}

} // namespace phasewright
