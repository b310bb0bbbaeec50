// Dotted keys with 1-based indices, as problems and overrides write them: sprocket[2].teeth, fastener."cam
// nut".torque_nm.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace phasewright {

// "block" + "bore_mm" -> "block.bore_mm"; a key that is not a bare word is quoted.
[[nodiscard]] std::string join_key(const std::string& path, std::string_view key);
// "sprocket" + 1 -> "sprocket[2]": counted from 0 inside, from 1 in the text.
[[nodiscard]] std::string join_index(const std::string& path, std::size_t index);

struct KeyPart {
  std::string name;                 // of a table's entry; empty when this part is an index
  std::optional<std::size_t> index; // from 0

  friend bool operator==(const KeyPart&, const KeyPart&) = default;
};

// Nothing when the text is not a key.
[[nodiscard]] std::optional<std::vector<KeyPart>> split_key(std::string_view text);

// The one of `known` that `word` is most likely meant for; empty when none is near. Near = at most a third of the
// letters differ (optimal string alignment distance: Damerau 1964, with Levenshtein's operations).
[[nodiscard]] std::string nearest_word(std::string_view word, const std::vector<std::string>& known);

} // namespace phasewright
