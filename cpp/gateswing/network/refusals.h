// Refusals of numbers that make no sense, naming quantity with unit, demand and value, and the element it belongs to.
#pragma once

#include <string>
#include <string_view>

namespace gateswing::network {

/// The fewest digits that read back to the number.
std::string text(double value);

/// Throws std::invalid_argument "element 'name': quantity must be <demand>, got <value>"; without an element's name it
/// begins with the quantity.
[[noreturn]] void refuse(double value, std::string_view element, std::string_view quantity, std::string_view demand);

/// Throw likewise unless the value is what their name says; all refuse what is not finite.
void require_finite(double value, std::string_view element, std::string_view quantity);
void require_positive(double value, std::string_view element, std::string_view quantity);
void require_not_negative(double value, std::string_view element, std::string_view quantity);

}  // namespace gateswing::network
