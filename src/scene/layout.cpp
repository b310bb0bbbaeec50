#include "scene/layout.hpp"

namespace phasewright {

SceneLayout lay_out(const Engine& engine) {
  SceneLayout layout;
  layout.running_sign = engine.rotation == Rotation::clockwise ? 1.0 : -1.0;
  lay_out_loops(engine, layout);
  lay_out_behind(engine, layout);
  lay_out_rails(engine, layout);
  lay_out_engine(engine, layout);
  lay_out_instruments(engine, layout);
  lay_out_apart(engine, layout);
  return layout;
}

} // namespace phasewright
