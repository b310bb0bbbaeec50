// The drive over an engine cycle as an animated model for other programs.
#include "cli/cautions.hpp"
#include "cli/export.hpp"
#include "cli/shown.hpp"
#include "cli/words.hpp"
#include "model3d/model3d.hpp"

#include <fmt/format.h>

namespace phasewright::cli {

Result<Answer> export_model(const Context& context) {
  const ExportOptions& asked = context.options.curves;
  const AskedState state = asked_of(context.options.draw);
  const Build& build = context.opened.build;
  const Result<States> states = states_of(context, state);
  if (!states) return states.problems();
  const SceneModel scene_model(context.opened.engine);
  const std::string shown = drive_words(*states);
  Model3dOptions options;
  options.nuts = asked.nuts;
  options.generator = "phasewright " PHASEWRIGHT_VERSION;
  options.words = {{"build", build.title.empty() ? "none, the engine as its maker drew it" : build.title},
                   {"shows", shown},
                   {"verdict", states->verdict.words}};
  options.safe = states->verdict.safe;
  const Model3d model = animated_model(scene_model, states->shown, options);
  if (std::optional<Problem> trouble = write_atomic(asked.output, model.glb)) return *std::move(trouble);

  Answer answer;
  constexpr double bytes_per_mb = 1e6;
  answer.page = fmt::format("{}: {}, {} nodes, {} meshes, {} triangles.\n"
                            "One engine cycle, 720 crank degrees in {:g} s: {} keys in {} channels.\n"
                            "{} MB. Metres, y up, z out of the engine at the timing end.\n",
                            asked.output, shown, model.nodes, model.meshes, model.triangles, model.animation_s,
                            model.keys, model.channels, fixed(static_cast<double>(model.glb.size()) / bytes_per_mb, 2));
  for (const std::string& note : reading_notes(context, state, "the model")) answer.page += note + "\n";
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
  add_standing(*states, answer);
  return answer;
}

} // namespace phasewright::cli
