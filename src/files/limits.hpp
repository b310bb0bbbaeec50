// What a file may hold, so that one from a stranger can neither exhaust the memory nor hang the program. Far above what
// an engine or a build needs.
#pragma once

#include <cstddef>

namespace phasewright::limits {

inline constexpr std::size_t document_bytes = 1u << 20; // engine and build files
inline constexpr std::size_t table_bytes = 4u << 20;    // lobe tables
inline constexpr std::size_t values = 40'000;           // values in a document
inline constexpr int nesting = 8;                       // brackets in brackets, and dots in a key
inline constexpr std::size_t path_bytes = 300;          // a key with all that stands above it
inline constexpr std::size_t text_bytes = 200;          // a name or title
inline constexpr std::size_t prose_bytes = 1200;        // sentences of a lesson
inline constexpr std::size_t override_bytes = 4096;
inline constexpr std::size_t problems = 200; // of one file
inline constexpr std::size_t stages = 3;     // chain loops after the crank's
inline constexpr std::size_t sprockets = 8;  // of one loop
inline constexpr std::size_t guides = 16;    // of one loop
inline constexpr std::size_t guides_of_strand = 3;
inline constexpr std::size_t camshafts = 4;
inline constexpr std::size_t fasteners = 64;
inline constexpr std::size_t readings = 1000; // of one kind
inline constexpr std::size_t history = 200;   // sets of readings put by
inline constexpr std::size_t stock = 200;     // pieces or sizes of one kind
inline constexpr std::size_t table_rows_least = 9;
inline constexpr std::size_t table_rows_most = 20'000;

} // namespace phasewright::limits
