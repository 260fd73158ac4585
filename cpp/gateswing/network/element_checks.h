// Refuses elements whose parameters make no sense, naming element, quantity, demand and value.
#pragma once

#include <string>
#include <string_view>

#include "gateswing/device/mosfet.h"
#include "gateswing/network/circuit.h"
#include "gateswing/network/refusals.h"

namespace gateswing::network {

/// Throws std::invalid_argument "element 'name': demand" unless the condition holds.
void require(bool condition, std::string_view element, std::string_view demand);

/// The ranges stated beside each parameter of the laws.
void require_valid(const CapacitanceLaw& law, std::string_view element);
void require_valid(const device::JunctionDiode<>& law, std::string_view element);
void require_valid(const device::KneeConduction<>& law, std::string_view element);
void require_valid(const device::MosfetChannel<>& law, std::string_view element);
void require_valid(const device::DriverOutput<>& law, std::string_view element);

/// All laws of a MOSFET, the names of whose elements begin with `prefix`.
void require_valid(const device::Mosfet<>& mosfet, const std::string& prefix);

}  // namespace gateswing::network
