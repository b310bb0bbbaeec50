#include "bench/standing.hpp"

#include "bench/clearance_read.hpp"

#include <algorithm>
#include <utility>

namespace phasewright {

std::optional<bool> Standing::safe() const {
  if (!model) return std::nullopt;
  return fault.empty() && judged.safe() && judged_worn.safe();
}

bool Standing::by_wild_readings() const {
  return safe() == true &&
         std::ranges::any_of(valve_kinds, [this](ValveKind kind) { return model->has(kind) && model->fit(kind).wild; });
}

bool Standing::doubtful() const {
  if (safe() != true) return false;
  return by_wild_readings() || !judged.too_near_to_tell().empty() || !judged_worn.too_near_to_tell().empty();
}

Standing standing_of(const Mechanism& mechanism, const Build& build) {
  Standing standing;
  const Engine& engine = mechanism.engine();
  if (!engine.inlet_valve && !engine.exhaust_valve) {
    standing.fault = "the engine file has no valve dimensions";
    return standing;
  }
  Result<ClearanceModel> model = clearance_as_read(mechanism, build);
  if (!model) {
    standing.fault = to_text(model.problems().front());
    return standing;
  }
  standing.model = *std::move(model);
  standing.now = standing.model->least();
  standing.judged = judge(*standing.model, standing.now, build.target);
  const Result<Mechanism> later = Mechanism::assemble(mechanism.engine_shared(), worn(engine, mechanism.fitted()));
  if (!later) {
    standing.fault = "with the chain at its wear limit: " + to_text(later.problems().front());
    return standing;
  }
  standing.model_worn = standing.model->mounted_on(*later);
  standing.worn = standing.model_worn->least();
  standing.judged_worn = judge(*standing.model_worn, standing.worn, build.target);
  return standing;
}

} // namespace phasewright
