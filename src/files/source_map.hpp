// Where each key of the files stands, so that a fault found later can be blamed on its line.
#pragma once

#include "parts/problem.hpp"

#include <map>
#include <string>

namespace phasewright {

struct Spot {
  std::string file; // as the user named it; "--set" when the value came from the command line
  int line = 0;     // 1-based, in code points; 0 = not known
  int column = 0;
  std::string found; // the value as it stands there, shortened
};

// Keys are dotted paths with 1-based indices: "block.bore_mm", "sprocket[2].teeth", "camshaft[1].inlet.lash_mm". The
// empty key is the file itself.
struct SourceMap {
  std::map<std::string, Spot> spots;
};

// Fills file, line, column and found of every problem that has a key but no file. A key that is not in the map falls
// back to the nearest key above it, for the place only. "sprocket.cam" and, with one camshaft, "camshaft.inlet" are
// found too.
void locate(Problems& problems, const SourceMap& sources);

} // namespace phasewright
