// Refuses parts of cells from which the start of a circuit, or the time it needs, is computed before any element is
// added; the elements have checks of their own (element_checks.h), in the same words.
#pragma once

#include <string>

#include "gateswing/network/half_bridge_cell.h"
#include "gateswing/network/low_side_cell.h"

namespace gateswing::network {

/// Throw std::invalid_argument naming element, quantity, demand and value.
void require_valid(const Supply& supply);
void require_valid(const Load& load);
void require_valid(const PushPullDriver& driver, const std::string& prefix);
void require_valid(const FreewheelDiode& diode, const std::string& name);

void require_valid(const LowSideCell& cell);
void require_valid(const HalfBridgeCell& cell);

}  // namespace gateswing::network
