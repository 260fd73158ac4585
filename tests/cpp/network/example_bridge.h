// A half bridge with as many options in use as the largest solver holds. All data are invented.
#pragma once

#include "gateswing/network/half_bridge_cell.h"
#include "network/example_cell.h"

namespace gateswing::network::test {

/// 48 V, ten ampere or so; both switches alike, with body diodes that recover and anti-parallel diodes beside them.
inline HalfBridgeCell example_bridge() {
  HalfBridgeCell cell;
  cell.supply = {48.0, 5e-3, 0.1e-6, 100e-6, 5e-3, 4e-9};
  BridgeSwitch one;
  one.mosfet = example_mosfet();
  one.mosfet.breakdown = {85.0, 0.05, 0.5};
  one.mosfet.body_diode = {2e-11, 0.032, 10e-9, 40e-9};
  one.driver = {{2.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.05}, 12.0, 0.0, {8e-9, 6e-9, 25e-9, 30e-9}};
  one.gate = {10.0, device::KneeConduction<>{0.6, 2.0, 0.04}, 8e-9, std::nullopt};
  one.diode = FreewheelDiode{{1e-8, 0.028, 0.0, 0.0}, {0.6e-9, 0.6, 0.45, 20e-12, 1.5e-9}, 12e-3, 7e-9};
  one.snubber = Snubber{8.0, 1e-9};
  one.common_source_inductance = 1e-9;
  cell.high = one;
  cell.low = one;
  cell.load = {0.5, 50e-6, std::nullopt};
  cell.loop_inductance = 10e-9;
  cell.loop_resistance = 2e-3;
  return cell;
}

/// The same on a stiff supply, without a single parasitic inductance, diode, snubber or steering diode, and without
/// recovery.
inline HalfBridgeCell plain_bridge() {
  HalfBridgeCell cell = example_bridge();
  cell.supply = {48.0, 0.0, 0.0, 0.0, 0.0, 0.0};
  for (BridgeSwitch* one : {&cell.high, &cell.low}) {
    one->mosfet.gate_inductance = 0.0;
    one->mosfet.drain_inductance = 0.0;
    one->mosfet.source_inductance = 0.0;
    one->mosfet.body_diode.transit_time = 0.0;
    one->mosfet.body_diode.lifetime = 0.0;
    one->gate = {10.0, std::nullopt, 0.0, std::nullopt};
    one->diode.reset();
    one->snubber.reset();
    one->common_source_inductance = 0.0;
  }
  cell.load = {0.0, 0.0, 0.0};
  cell.loop_inductance = 0.0;
  cell.loop_resistance = 0.0;
  return cell;
}

}  // namespace gateswing::network::test
