// What a film shows from frame to frame, and the loop that makes it.
#pragma once

#include "film/drive_picture.hpp"
#include "film/frame_sink.hpp"

#include <atomic>
#include <functional>

namespace phasewright::film {

// The crank turning, evenly. The last frame stands one step before where the first does, so that the film can be shown
// over and over.
struct Turn {
  double from_deg = 0.0;
  double crank_turns = 2.0; // 2 = one cycle of the engine; turned backward, the crank goes down
  Turning turning = Turning::forward;
};
// `frame`: from 0, below `frames`, which is 1 or more; here and below.
[[nodiscard]] DriveMoment moment_of(const Turn& turn, int frame, int frames);

// Taken apart in the first half, part after part, and put together in the second; the crank still. It rests a little at
// either end. 0 to 1.
[[nodiscard]] double share_apart(int frame, int frames);

// By how many links each chain stands further on at one crank angle than at another, as Engine::loops; nothing where
// its pins do not come to stand where pins stood.
[[nodiscard]] std::vector<std::optional<int>> links_moved_on(const Mechanism& mechanism, const DriveMoment& from,
                                                             const DriveMoment& to);

using DrawFrame = std::function<Result<Image>(int frame)>; // from 0
struct Watch {
  std::function<void(int done)> progress;       // after each frame; may be empty
  const std::atomic<bool>* cancelled = nullptr; // looked at before each
};
// Draws all frames into the sink and finishes it: the names of its files; none when it was cancelled. Problems: those
// of `draw` and of the sink.
[[nodiscard]] Result<std::vector<std::string>> make_film(int frames, const DrawFrame& draw, FrameSink& sink,
                                                         const Watch& watch);

} // namespace phasewright::film
