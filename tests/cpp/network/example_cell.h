// A low-side cell with every option in use. All data are invented.
#pragma once

#include "gateswing/network/low_side_cell.h"

namespace gateswing::network::test {

/// A MOSFET of the TO-220 class, about 60 nC at 10 V.
inline device::Mosfet<> example_mosfet() {
  device::Mosfet<> mosfet;
  mosfet.channel = {3.2, 60.0, 0.08, 0.08};
  mosfet.gate_source = {2.2e-9, 3.0e-9, 1.5, 1.5};
  mosfet.gate_drain = {1.4e-9, 0.9, 0.75, 15e-12, 2.6e-9};
  mosfet.drain_source = {1.2e-9, 0.8, 0.5, 60e-12, 2.4e-9};
  mosfet.internal_gate_resistance = 1.6;
  mosfet.drift_resistance = 15e-3;
  mosfet.gate_inductance = 5e-9;
  mosfet.drain_inductance = 4e-9;
  mosfet.source_inductance = 6e-9;
  mosfet.body_diode = {2e-11, 0.032, 0.0, 0.0};
  mosfet.breakdown = {66.0, 0.05, 0.4};
  return mosfet;
}

/// 24 V, a few ampere, hand-made layout; the driver of an ampere has its own ramps and delays.
inline LowSideCell example_cell() {
  LowSideCell cell;
  cell.supply = {24.0, 20e-3, 0.5e-6, 100e-6, 15e-3, 8e-9};
  cell.mosfet = example_mosfet();
  cell.driver = {{2.0, 1.2, 1.0 / 1.5, 1.0 / 2.0, 0.3, 0.2, 0.05}, 12.0, -2.0, {8e-9, 6e-9, 25e-9, 30e-9}};
  cell.gate = {10.0, device::KneeConduction<>{0.6, 3.0, 0.04}, 15e-9, 10e3};
  cell.load = {2.5, 200e-6, std::nullopt};
  cell.freewheel = FreewheelDiode{{1e-8, 0.028, 0.0, 0.0}, {0.6e-9, 0.6, 0.45, 20e-12, 1.5e-9}, 12e-3, 7e-9};
  cell.snubber = Snubber{8.0, 1e-9};
  cell.wiring = {25e-9, 4e-3, 3e-9};
  return cell;
}

/// The same without a single parasitic inductance, and without snubber, pull-down and steering diode.
inline LowSideCell plain_cell() {
  LowSideCell cell = example_cell();
  cell.supply = {24.0, 0.0, 0.0, 0.0, 0.0, 0.0};
  cell.mosfet.gate_inductance = 0.0;
  cell.mosfet.drain_inductance = 0.0;
  cell.mosfet.source_inductance = 0.0;
  cell.gate = {10.0, std::nullopt, 0.0, std::nullopt};
  cell.freewheel->inductance = 0.0;
  cell.snubber.reset();
  cell.wiring = {};
  return cell;
}

}  // namespace gateswing::network::test
