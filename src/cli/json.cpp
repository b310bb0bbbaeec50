#include "cli/json.hpp"

#include <nlohmann/json.hpp>

#include <cmath>
#include <stdexcept>

namespace phasewright::cli {

struct Json::Held {
  nlohmann::ordered_json value;
};

Json::Json() : held_(std::make_unique<Held>()) {}

Json::Json(double number) : Json() {
  if (!std::isfinite(number)) throw std::logic_error("an answer holds a figure that is not finite");
  held_->value = number + 0.0; // -0 reads oddly
}

Json::Json(int number) : Json() {
  held_->value = number;
}
Json::Json(long long number) : Json() {
  held_->value = number;
}
Json::Json(bool truth) : Json() {
  held_->value = truth;
}
Json::Json(const char* text) : Json() {
  held_->value = text;
}
Json::Json(const std::string& text) : Json() {
  held_->value = text;
}
Json::Json(const std::optional<double>& value) : Json(value ? Json(*value) : Json()) {}

Json Json::object(std::initializer_list<std::pair<const char*, Json>> entries) {
  Json made;
  made.held_->value = nlohmann::ordered_json::object();
  for (const auto& [key, value] : entries) made.set(key, value);
  return made;
}

Json Json::array(std::initializer_list<Json> items) {
  Json made;
  made.held_->value = nlohmann::ordered_json::array();
  for (const Json& item : items) made.add(item);
  return made;
}

Json::Json(const Json& other) : held_(std::make_unique<Held>(*other.held_)) {}
Json::Json(Json&& other) noexcept = default;
Json& Json::operator=(Json other) noexcept {
  held_ = std::move(other.held_);
  return *this;
}
Json::~Json() = default;

Json& Json::set(const char* key, Json value) {
  held_->value[key] = std::move(value.held_->value);
  return *this;
}

Json& Json::add(Json item) {
  held_->value.push_back(std::move(item.held_->value));
  return *this;
}

std::string Json::text() const {
  // A name in a file may hold bytes that are no UTF-8; they are replaced rather than refused.
  return held_->value.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

} // namespace phasewright::cli
