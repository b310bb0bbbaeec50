// A film as it was asked for: what moves in it, and any one of its frames.
#pragma once

#include "cli/drawn_states.hpp"
#include "film/film.hpp"

#include <memory>

namespace phasewright::cli {

class FilmShot {
public:
  // `context` must outlive it. Problems: as drawn_states. Throws as film::DrivePicture.
  static Result<FilmShot> make(const Context& context);
  FilmShot(FilmShot&&) noexcept;
  ~FilmShot();

  [[nodiscard]] const DrawnStates& states() const;
  [[nodiscard]] film::DriveMoment moment(int frame) const; // from 0
  [[nodiscard]] const film::DriveMoment& after() const;    // of the frame that would come after the last
  Result<film::DrawnDrive> draw(int frame);

private:
  FilmShot(const Context& context, DrawnStates drawn);

  struct Impl;
  std::unique_ptr<Impl> impl_;
};

} // namespace phasewright::cli
