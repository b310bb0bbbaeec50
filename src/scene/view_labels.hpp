// Labels as a view has them: what they stand beside, which are left out, and what only one view says.
#pragma once

#include "scene/camera.hpp"
#include "scene/scene.hpp"
#include "scene/screen_rect.hpp"

#include <functional>
#include <optional>

namespace phasewright {

// What the camera of a named view was sent to, and labels stand beside.
[[nodiscard]] Box framed_box(const SceneModel& model, NamedView view, const CloseUp& of = {});

// Where that lies in a picture that fills `picture`; all of the picture where it reaches behind the camera.
[[nodiscard]] ScreenRect box_on_screen(const Box& box, const Camera& camera, const ScreenRect& picture);

// In a close-up, labels of things outside its box would only be in the way.
[[nodiscard]] bool belongs_to(NamedView view, const Box& box, const Label& label);

// In the valve view each valve says how far it is open. Nothing for a valve that the scene does not show.
[[nodiscard]] std::optional<Label> valve_label(const Scene& scene, ValveKind kind, double lift_mm,
                                               const std::function<std::string(double length_mm)>& length_words);

} // namespace phasewright
