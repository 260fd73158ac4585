#include "gateswing/network/refusals.h"

#include <array>
#include <charconv>
#include <cmath>
#include <stdexcept>

namespace gateswing::network {

std::string text(double value) {
  std::array<char, 32> buffer{};
  const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value).ptr;
  return {buffer.data(), end};
}

void refuse(double value, std::string_view element, std::string_view quantity, std::string_view demand) {
  const std::string of = element.empty() ? "" : "element '" + std::string(element) + "': ";
  throw std::invalid_argument(of + std::string(quantity) + " must be " + std::string(demand) + ", got " + text(value));
}

void require_finite(double value, std::string_view element, std::string_view quantity) {
  if (!std::isfinite(value)) refuse(value, element, quantity, "a finite number");
}

void require_positive(double value, std::string_view element, std::string_view quantity) {
  if (!std::isfinite(value) || value <= 0.0) refuse(value, element, quantity, "a finite number above zero");
}

void require_not_negative(double value, std::string_view element, std::string_view quantity) {
  if (!std::isfinite(value) || value < 0.0) refuse(value, element, quantity, "a finite number, zero or positive");
}

}  // namespace gateswing::network
