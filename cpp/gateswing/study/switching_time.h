// How long a driver needs to switch a MOSFET, by hand: sets how long the studies look.
#pragma once

#include "gateswing/network/low_side_cell.h"

namespace gateswing::study {

/// Time the driver needs for the whole gate charge against the whole bus voltage [V], plus its own delays and ramps
/// [s].
///
/// Hand estimate, common practice, no source: charge of both gate capacitances over half the drive voltage divided by
/// the resistance in the path, or over the current limit if that is less.
double switching_time_estimate(const device::Mosfet<>& mosfet, const network::PushPullDriver& driver,
                               const network::GatePath& gate, double bus_voltage);

double switching_time_estimate(const network::LowSideCell& cell);

}  // namespace gateswing::study
