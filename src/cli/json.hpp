// The JSON a command prints. A thin cover over nlohmann::json, so that its header is compiled once and that nothing
// which is not a number (NaN, infinity) can slip into an answer.
#pragma once

#include <initializer_list>
#include <memory>
#include <optional>
#include <string>
#include <utility>

namespace phasewright::cli {

class Json {
public:
  Json();                                   // null
  Json(double number);                      // NOLINT: converts on purpose. Not finite: throws std::logic_error
  Json(int number);                         // NOLINT
  Json(long long number);                   // NOLINT
  Json(bool truth);                         // NOLINT
  Json(const char* text);                   // NOLINT
  Json(const std::string& text);            // NOLINT
  Json(const std::optional<double>& value); // NOLINT: null when there is none

  [[nodiscard]] static Json object(std::initializer_list<std::pair<const char*, Json>> entries = {});
  [[nodiscard]] static Json array(std::initializer_list<Json> items = {});

  Json(const Json& other);
  Json(Json&& other) noexcept;
  Json& operator=(Json other) noexcept;
  ~Json();

  Json& set(const char* key, Json value); // entries keep the order in which they were set
  Json& add(Json item);                   // to an array

  // Indented; numbers with as many digits as it takes to read them back to the last bit.
  [[nodiscard]] std::string text() const;

private:
  struct Held;
  std::unique_ptr<Held> held_;
};

} // namespace phasewright::cli
