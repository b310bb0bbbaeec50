// What a timing drive's parts are called on a page, and the figures several answers have in common. An engine with one
// chain and one camshaft has them without a name.
#pragma once

#include "bench/mark_count.hpp"
#include "cli/json.hpp"
#include "mechanics/drive.hpp"

#include <string>

namespace phasewright::cli {

// "the camshaft"; with more than one, `camshaft "inlet"`.
[[nodiscard]] std::string camshaft_words(const Engine& engine, std::size_t camshaft);
// ` at "inlet"` with more than one camshaft, else nothing.
[[nodiscard]] std::string at_camshaft_words(const Engine& engine, std::size_t camshaft);

// "The camshaft stands 2.03° of crank retarded.", `Camshaft "inlet" stands ...`
[[nodiscard]] std::string stands_words(const Engine& engine, std::size_t camshaft, double phase_deg);

// " of chain 2" with more than one chain, else nothing.
[[nodiscard]] std::string of_chain_words(const Engine& engine, std::size_t loop);

// How the chain of a loop is kept tight: the slack strand, or the tensioner's travel and what is left of it.
[[nodiscard]] std::string tightness_page(const Engine& engine, const Drive& drive, std::size_t loop);

// {least, greatest}.
[[nodiscard]] Json extent_json(Extent extent);
// The same as tightness_page: `slack_mm`, `bow_mm`, and `tensioner` with `travel_mm` and `travel_left_mm`, or null.
[[nodiscard]] Json tightness_json(const Engine& engine, const Drive& drive, std::size_t loop);

// Pins between the marks: `pins`, `from_crank_deg`, `to_crank_deg`; or null.
[[nodiscard]] Json count_json(const std::optional<MarkCount>& count);

// The travel a tensioner has left where it stands out most over a tooth (unit: mm). The loop must have one.
[[nodiscard]] double travel_left_mm(const Engine& engine, const Drive& drive, std::size_t loop);

} // namespace phasewright::cli
