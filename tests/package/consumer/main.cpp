// A program of somebody else's: it knows Phasewright only by its installed headers, library and CMake package.

#include "files/files.hpp"
#include "mechanics/mechanism.hpp"

#include <cstdio>

int main() {
  auto demo = phasewright::open_demo();
  if (!demo) {
    std::fputs(phasewright::to_text(demo.problems()).c_str(), stderr);
    return 1;
  }
  auto mechanism = phasewright::Mechanism::assemble(demo->engine, demo->build.fitted);
  if (!mechanism) {
    std::fputs(phasewright::to_text(mechanism.problems()).c_str(), stderr);
    return 1;
  }
  const phasewright::Pose pose = mechanism->pose(0.0);
  std::printf("%zu pins, %zu pistons\n", pose.drive.loops[0].pins_mm.size(), pose.pistons.size());
  return pose.drive.loops[0].pins_mm.empty() || pose.pistons.empty() ? 1 : 0;
}
