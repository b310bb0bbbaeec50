// The column beside the scene of what is under way: a lesson or a drill.
#pragma once

#include "viewer/form.hpp"

#include <functional>
#include <string>

namespace phasewright::viewer {

struct LearningColumn {
  const char* panel;      // its name
  std::string small_line; // "Lesson, step 2 of 4"
  const char* leave;      // name of the cross that ends it
  const char* leave_hint;
  std::string title;
};

// `body` fills it; the usual cautions stand below.
void learning_column(Frame& frame, const ScreenRect& rect, const LearningColumn& column,
                     const std::function<void(Form&)>& body);

} // namespace phasewright::viewer
