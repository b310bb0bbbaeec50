// Sets of readings: [measured], and each [[history]].
#pragma once

#include "files/reader.hpp"
#include "parts/build.hpp"

namespace phasewright {

// [fitted], and the same keys wherever something says what was fitted.
[[nodiscard]] Fitted read_fitted(Reader table);

// `fitted`: what is fitted now, which is what was fitted then unless the readings say otherwise.
[[nodiscard]] Measured read_measured(Reader table, const Fitted& fitted);

// Earlier sets, which must say what was fitted then.
[[nodiscard]] std::vector<Measured> read_history(Reader& root);

// Names and numbers of the engine's parts in a set of readings that stands at `path`.
void check_measured(const Measured& measured, const std::string& path, const Engine& engine, Report& report);

[[nodiscard]] std::vector<std::string> camshaft_names(const Engine& engine);
[[nodiscard]] std::string name_list(const std::vector<std::string>& names); // "inlet, exhaust"

} // namespace phasewright
