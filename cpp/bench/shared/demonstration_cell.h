// The cell of the demonstration, a 48 V, 6 A stage, in C++; the data are those of the package's invented example.
#pragma once

#include "gateswing/network/low_side_cell.h"

namespace gateswing::bench {

inline device::Mosfet<> demonstration_mosfet() {
  device::Mosfet<> mosfet;
  mosfet.channel = {3.1, 60.0, 0.1, 0.05};
  mosfet.gate_source = {1.9e-9, 2.3e-9, 3.0, 1.0};
  mosfet.gate_drain = {0.9e-9, 0.8, 0.75, 12e-12, 1.8e-9};
  mosfet.drain_source = {1.4e-9, 0.8, 0.45, 60e-12, 2.8e-9};
  mosfet.internal_gate_resistance = 1.5;
  mosfet.drift_resistance = 5e-3;
  mosfet.gate_inductance = 3e-9;
  mosfet.drain_inductance = 1.5e-9;
  mosfet.source_inductance = 1.5e-9;
  mosfet.body_diode = {device::saturation_current_for(0.85, 10.0, 0.0, 0.04), 0.04, 0.0, 0.0};
  mosfet.breakdown = {85.0, 0.05, 0.5};
  return mosfet;
}

inline network::LowSideCell demonstration_cell() {
  network::LowSideCell cell;
  cell.supply = {48.0, 15e-3, 400e-9, 220e-6, 18e-3, 4e-9};
  cell.mosfet = demonstration_mosfet();
  cell.driver.output = {4.0, 2.0, 1.0 / 1.5, 1.0 / 2.0, 0.0, 0.0, 0.05, 1e-5};
  cell.driver.supply_voltage = 12.0;
  cell.driver.timing = {8e-9, 6e-9, 18e-9, 16e-9};
  cell.gate = {10.0, device::KneeConduction<>{0.6, 3.3, 0.05}, 8e-9, 47e3};
  cell.load = {4.8, 150e-6, std::nullopt};
  const device::JunctionDiode<> schottky{device::saturation_current_for(0.72, 8.0, 15e-3, 0.03), 0.03, 0.0, 0.0};
  cell.freewheel = network::FreewheelDiode{schottky, {0.7e-9, 0.6, 0.5, 20e-12, 1.4e-9}, 15e-3, 2e-9};
  cell.snubber = network::Snubber{4.7, 1e-9};
  cell.wiring = {9e-9, 2e-3, 0.5e-9};
  return cell;
}

}  // namespace gateswing::bench
