// A low-side cell with several MOSFETs in parallel.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "gateswing/network/low_side_cell.h"

namespace gateswing::network {

/// The MOSFETs share the nodes drain, gate and source of the cell, and with them its gate path, wiring and clamps. What
/// each has of its own lies between these nodes and its die: a gate resistor adds to its internal one, wiring to the
/// inductance of its leads.
struct ParallelCell {
  LowSideCell cell;                       ///< its MOSFET is the first one
  std::vector<device::Mosfet<>> further;  ///< one or two
};

/// What the names of elements and of nodes at the die begin with: "" for the first MOSFET, number 0.
std::string mosfet_prefix(std::size_t number);

/// Circuit of the cell, switched off, with `load_current` [A] in load and freewheel diode; as that of the cell alone,
/// and the further MOSFETs. Throws std::invalid_argument for more of them than it has names for.
Circuit build(const ParallelCell& parallel, double load_current);

}  // namespace gateswing::network
