// How an option of a plan is fitted, in words and as what to draw.
#pragma once

#include "bench/key_picture.hpp"
#include "bench/plan.hpp"

#include <string>
#include <vector>

namespace phasewright {

// "cam key 2°, shaft half leading; chain 1 tooth back at \"exhaust\"": all that is not as the maker drew it.
[[nodiscard]] std::string option_words(const Engine& engine, const Plan& plan, const PlanOption& option);

// What the target asks of one of the planned camshafts: "inlet lobe centre 104.0° ATDC (crank degrees), which is 2.00°
// of crank advanced".
[[nodiscard]] std::string target_words(const Engine& engine, const Build& build, const PlannedCamshaft& planned);

// The offset keys that the option fits: those of the planned camshafts, and the crank's.
[[nodiscard]] std::vector<KeyPicture> key_pictures(const Engine& engine, const Plan& plan, const PlanOption& option);

// What readings found of a planned camshaft and nothing explains, in whole teeth, + = forward. Where that is not 0 the
// marks may stand otherwise than by the lay that the build says.
[[nodiscard]] int teeth_found(const Engine& engine, const Plan& plan, std::size_t planned);

// What else the option moves or upsets, a sentence each: the marks, the other camshafts, an ignition or pump driven
// from a camshaft.
[[nodiscard]] std::vector<std::string> option_notes(const Engine& engine, const Plan& plan, const PlanOption& option);

// The build after that option has been fitted: `fitted` is changed, and the readings, which were taken before, go into
// the history.
[[nodiscard]] Build fitted_build(const Engine& engine, const Build& build, const Plan& plan, const PlanOption& option);

} // namespace phasewright
