// Refuses elements whose parameters make no sense, naming element, quantity, demand and value.
#pragma once

#include <string>

#include "gateswing/network/circuit.h"

namespace gateswing::network {

/// Throws std::invalid_argument "element 'name': demand" unless the condition holds.
void require(bool condition, const std::string& element, const std::string& demand);

void require_finite(double value, const std::string& element, const std::string& quantity);
void require_positive(double value, const std::string& element, const std::string& quantity);
void require_not_negative(double value, const std::string& element, const std::string& quantity);

/// The ranges stated beside each parameter of the laws.
void require_valid(const CapacitanceLaw& law, const std::string& element);
void require_valid(const device::JunctionDiode<>& law, const std::string& element);
void require_valid(const device::KneeConduction<>& law, const std::string& element);
void require_valid(const device::MosfetChannel<>& law, const std::string& element);
void require_valid(const device::DriverOutput<>& law, const std::string& element);

}  // namespace gateswing::network
