// Cells of every kind that a search for the periodic state must bear. The numbers are invented.
#pragma once

#include <cmath>
#include <string>
#include <vector>

#include "gateswing/network/low_side_cell.h"
#include "network/example_cell.h"

namespace gateswing::study::test {

struct PeriodicCase {
  std::string name;
  network::LowSideCell cell;
  double frequency = 100e3;
  double duty = 0.5;
  int waited = 0;  ///< periods until a current has died out, which no extrapolation foresees
};

inline network::LowSideCell with_load(network::LowSideCell cell, const network::Load& load) {
  cell.load = load;
  return cell;
}

inline network::LowSideCell without_diode(double resistance) {
  network::LowSideCell cell = network::test::plain_cell();
  cell.load = {resistance, 0.0, std::nullopt};
  cell.freewheel.reset();
  return cell;
}

inline network::LowSideCell with_bulk(network::LowSideCell cell, double capacitance, double cable_resistance) {
  cell.supply.bulk_capacitance = capacitance;
  cell.supply.resistance = cable_resistance;
  cell.supply.inductance = 1e-6;
  cell.supply.bulk_resistance = 20e-3;
  return cell;
}

inline network::LowSideCell with_recovery(network::LowSideCell cell) {
  cell.freewheel->junction.transit_time = 30e-9;
  cell.freewheel->junction.lifetime = 120e-9;
  return cell;
}

inline network::LowSideCell with_delay(network::LowSideCell cell, double delay, double extra_off) {
  cell.driver.timing.turn_on_delay = delay;
  cell.driver.timing.turn_off_delay = delay + extra_off;
  return cell;
}

/// A motor at a speed; its current stops in the off-time where the back-EMF is large and the pulse short.
inline network::Load motor(double resistance, double inductance, double back_emf) {
  return {.resistance = resistance, .inductance = inductance, .back_emf = back_emf};
}

/// Three LEDs of 3 V at 0.1 A.
inline network::Load leds(double resistance, double inductance) {
  const device::JunctionDiode<> junction{0.1 / std::expm1(3.0 / 0.08), 3 * 0.08, 0.0, 0.0};
  return {.resistance = resistance, .inductance = inductance, .leds = network::LedString{junction, 70e-12}};
}

/// Its MOSFET heated by its losses, in 40 degrees Celsius [K/W].
inline network::LowSideCell cooled(network::LowSideCell cell, double resistance) {
  cell.cooled_mosfet =
      network::CooledMosfet{cell.mosfet, 298.15, {-6e-3, 1.5, 2.2, 0.07}, {1.12, 3.0, 1.5}, {313.15, resistance}};
  return cell;
}

/// A limited driver whose pulses never bring the gate to its threshold.
inline network::LowSideCell never_on(network::LowSideCell cell) {
  cell.driver.output.inverse_source_limit = 1.0 / 2e-3;
  cell.driver.output.inverse_sink_limit = 1.0 / 20e-3;
  cell.driver.off_voltage = 0.0;
  return cell;
}

inline std::vector<PeriodicCase> periodic_cases() {
  const network::LowSideCell plain = network::test::plain_cell();
  const network::LowSideCell example = network::test::example_cell();
  network::LowSideCell lively = with_load(plain, {2.4, 300e-6, std::nullopt});
  lively.snubber = network::Snubber{15.0, 2e-9};
  lively.wiring = {30e-9, 5e-3, 0.0};
  return {
      {"example cell", cooled(example, 20.0), 100e3, 0.4},
      {"example cell, hardly on", example, 100e3, 0.01},
      {"example cell, hardly off", example, 100e3, 0.99},
      {"continuous current", cooled(with_load(plain, {2.5, 250e-6, std::nullopt}), 15.0), 50e3, 0.6},
      {"small ripple", cooled(with_load(plain, {2.5, 2.5e-3, std::nullopt}), 25.0), 100e3, 0.5},
      {"discontinuous current", cooled(with_load(plain, {20.0, 20e-6, std::nullopt}), 60.0), 100e3, 0.1},
      {"limit of discontinuous current", cooled(with_load(plain, {2.5, 20e-6, std::nullopt}), 30.0), 50e3, 0.25},
      {"never on", with_load(plain, {2.5, 250e-6, std::nullopt}), 100e3, 0.0},
      {"always on", with_load(plain, {2.5, 250e-6, std::nullopt}), 100e3, 1.0},
      {"load slower by 500", cooled(with_load(plain, {1.2, 12e-3, std::nullopt}), 20.0), 50e3, 0.3},
      {"load slower by 10000", with_load(plain, {1.2, 0.24, std::nullopt}), 50e3, 0.3},
      {"bulk capacitor behind a cable", cooled(with_bulk(lively, 220e-6, 0.1), 20.0), 80e3, 0.45},
      {"large bulk capacitor", with_bulk(with_load(plain, {2.5, 250e-6, std::nullopt}), 90e-3, 2.0), 50e3, 0.6},
      {"snubber and loop", cooled(lively, 20.0), 150e3, 0.3},
      {"recovering diode", cooled(with_recovery(with_load(plain, {2.5, 500e-6, std::nullopt})), 15.0), 100e3, 0.5},
      {"constant current", cooled(with_load(plain, {0.0, 0.0, 4.0}), 15.0), 100e3, 0.5},
      {"constant current and bulk", with_bulk(with_load(plain, {0.0, 0.0, 4.0}), 470e-6, 0.2), 60e3, 0.3},
      {"delay over two periods", cooled(with_delay(with_load(plain, {2.5, 800e-6, std::nullopt}), 4.3e-6, 20e-9), 8.0),
       500e3, 0.5},
      {"gate never reaches its threshold", never_on(with_load(plain, {2.5, 250e-6, std::nullopt})), 400e3, 0.4, 150},
      {"motor at speed", with_load(plain, motor(1.0, 200e-6, 10.0)), 20e3, 0.7},
      {"motor whose current stops", with_load(plain, motor(1.0, 200e-6, 18.0)), 5e3, 0.3},
      {"motor slower by 1000", with_load(plain, motor(1.2, 24e-3, 6.0)), 50e3, 0.5},
      {"LEDs behind a resistor", with_load(without_diode(1.0), leds(120.0, 0.0)), 2e3, 0.25},
      {"LEDs behind an inductance", with_load(plain, leds(10.0, 2e-3)), 100e3, 0.5},
      {"solenoid with eddy currents",
       with_load(plain, {.resistance = 12.0, .inductance = 30e-3, .core_resistance = 400.0}), 5e3, 0.4},
      {"resistor without diode", cooled(without_diode(9.6), 20.0), 200e3, 0.5},
  };
}

}  // namespace gateswing::study::test
