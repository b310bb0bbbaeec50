// The drive over an engine cycle as an animated model for other programs.
#include "bench/degree.hpp"
#include "cli/cautions.hpp"
#include "cli/export.hpp"
#include "cli/shown.hpp"
#include "cli/words.hpp"
#include "model3d/model3d.hpp"

#include <fmt/format.h>

namespace phasewright::cli {

Result<Answer> export_model(const Context& context) {
  const ExportOptions& asked = context.options.curves;
  const DrawOptions& draw = context.options.draw;
  const Build& build = context.opened.build;
  const Result<States> states = states_of(context);
  if (!states) return states.problems();
  const Engine& engine = *context.opened.engine;
  const SceneModel scene_model(context.opened.engine);
  const std::string shown = state_words(draw);
  Model3dOptions options;
  options.nuts = asked.nuts;
  options.generator = "phasewright " PHASEWRIGHT_VERSION;
  options.words = {{"build", build.title.empty() ? "none, the engine as its maker drew it" : build.title},
                   {"shows", shown}};
  const Model3d model = animated_model(scene_model, states->shown, options);
  if (std::optional<Problem> trouble = write_atomic(asked.output, model.glb)) return *std::move(trouble);

  Answer answer;
  constexpr double bytes_per_mb = 1e6;
  answer.page = fmt::format("{}: {}, {} nodes, {} meshes, {} triangles.\n"
                            "One engine cycle, 720 crank degrees in {:g} s: {} keys in {} channels.\n"
                            "{} MB. Metres, y up, z out of the engine at the timing end.\n",
                            asked.output, shown, model.nodes, model.meshes, model.triangles, model.animation_s,
                            model.keys, model.channels, fixed(static_cast<double>(model.glb.size()) / bytes_per_mb, 2));
  if (!draw.reference)
    for (const auto& [camshaft, deg] : left_out_of(engine, build))
      answer.page += found_words(engine, camshaft, deg) + "; the model goes by the readings.\n";
  Json changed = Json::array();
  for (const std::string& words : model.changed) {
    answer.page += capital(words) + ".\n";
    changed.add(words);
  }
  answer.page += "It is a plan, computed and not measured; the file says so too.\n";
  const auto count = [](std::size_t number) { return Json(static_cast<long long>(number)); };
  answer.json = Json::object({{"file", asked.output},
                              {"shows", shown},
                              {"nodes", count(model.nodes)},
                              {"meshes", count(model.meshes)},
                              {"triangles", count(model.triangles)},
                              {"animation_s", model.animation_s},
                              {"channels", count(model.channels)},
                              {"keys", count(model.keys)},
                              {"bytes", count(model.glb.size())},
                              {"not_as_stated", changed}});
  return answer;
}

} // namespace phasewright::cli
