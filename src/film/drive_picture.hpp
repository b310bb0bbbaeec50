// Pictures of the drive with no display: what the program's pictures and the frames of its films are drawn by.
#pragma once

#include "bench/mark_count.hpp"
#include "mechanics/clearance.hpp"
#include "parts/build.hpp"
#include "render/renderer.hpp"

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace phasewright::film {

// The drive with one set of parts on it, and what its gaps are figured by.
struct DriveState {
  Mechanism mechanism;
  std::optional<ClearanceModel> clearance; // nothing where there are no valves to figure gaps for
  std::optional<MarkCount> pins_between_marks = std::nullopt;
};
// Clearances go by the build's readings. Problems: as Mechanism::assemble.
[[nodiscard]] Result<DriveState> drive_state(std::shared_ptr<const Engine> engine, const Build& build,
                                             const Fitted& fitted);

// The same engine with something else fitted, quickly; its clearances go by the same readings. Problems: as
// Mechanism::assemble.
[[nodiscard]] Result<DriveState> refitted(const DriveState& state, const Fitted& fitted);

// How it is looked at, the same from frame to frame.
struct DriveLook {
  NamedView from = NamedView::end;
  RenderSize size{1280, 800};
  Theme theme = Theme::day;
  double magnify_key_step = 1.0; // 1 to 10
  bool section = false;          // key view only: cut through the keyway
  int cylinder = 1;              // whose valves and piston are shown; one the engine has
  bool labels = false;           // the scene's labels, and what it exaggerates, are written into the picture
  double text_scale = 1.0;       // 1 to 3
};

// When.
struct DriveMoment {
  double crank_deg = 0.0;
  Turning turning = Turning::forward;
  double apart = 0.0;                     // 0 to 1
  bool one_by_one = false;                // on the way, one kind of part after the other
  std::vector<double> teeth_ahead{};      // as SceneOptions has it
  std::string warning{};                  // written into the picture before all else; empty = none
  std::vector<std::string> confessions{}; // further ones; where there are any, they are written into the picture
};

struct DrawnDrive {
  Image image;
  Scene scene;
  std::array<std::optional<GapFigure>, 2> gaps{};         // by ValveKind, where the picture has lines for them
  std::array<std::optional<GapFigure>, 2> present_gaps{}; // of the ghost
};

// Holds an OpenGL context of its own, which each draw makes current.
class DrivePicture {
public:
  // Throws std::runtime_error where there is no OpenGL or a shader does not build.
  DrivePicture(std::shared_ptr<const Engine> engine, const Target& limits, const std::filesystem::path& shader_folder,
               const DriveLook& look);
  ~DrivePicture();
  DrivePicture(const DrivePicture&) = delete;
  DrivePicture& operator=(const DrivePicture&) = delete;

  // Where the drive fills the picture at that moment.
  [[nodiscard]] Camera camera(const DriveState& shown, const DriveMoment& at) const;

  // `shown` solid; `ghost`, when given and different, as a ghost beside it. Labels keep the side of the drive on which
  // they stood in the draw before, if they can.
  [[nodiscard]] DrawnDrive draw(const DriveState& shown, const DriveState* ghost, const DriveMoment& at,
                                const Camera& from);

private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

} // namespace phasewright::film
