#include "gateswing/network/cell_checks.h"

#include <stdexcept>

#include "gateswing/network/element_checks.h"

namespace gateswing::network {
namespace {

void require_valid(const BridgeSwitch& part, const std::string& prefix) {
  network::require_valid(part.mosfet, prefix);
  network::require_valid(part.driver, prefix);
  if (part.diode) network::require_valid(*part.diode, prefix + names::anti_parallel);
}

void require_valid(const Bootstrap& bootstrap, const PushPullDriver& driver) {
  require_finite(bootstrap.supply_voltage, names::bootstrap_supply, "voltage [V]");
  network::require_valid(bootstrap.diode, names::bootstrap);
  require_not_negative(driver.on_state_power, prefix(Side::high) + names::driver_at_rest, "power [W]");
}

void require_valid(const Output& output) {
  if (output.voltage) return require_finite(*output.voltage, names::output, "voltage [V]");
  require_positive(output.resistance, names::output_resistor, "resistance [ohm] of an output without a voltage");
}

}  // namespace

void require_valid(const Supply& supply) {
  require_finite(supply.voltage, names::bus_supply, "voltage [V]");
  require_not_negative(supply.resistance, names::resistance_of(names::supply), "resistance [ohm]");
}

void require_valid(const Load& load) {
  if (load.constant_current) return require_finite(*load.constant_current, names::load, "current [A]");
  require_not_negative(load.resistance, names::resistance_of(names::load), "resistance [ohm]");
  require_not_negative(load.inductance, names::inductance_of(names::load), "inductance [H]");
  if (load.back_emf) require_finite(*load.back_emf, names::load_back_emf, "voltage [V]");
  if (load.leds) require_valid(load.leds->junction, names::load_junctions);
}

void require_valid(const PushPullDriver& driver, const std::string& prefix) {
  require_valid(driver.output, prefix + names::driver);
  require_finite(driver.off_voltage, prefix + names::driver_off_supply, "voltage [V]");
  require_finite(driver.supply_voltage, prefix + names::driver_supply, "voltage [V]");
  if (!(driver.supply_voltage > driver.off_voltage))
    refuse(driver.supply_voltage, prefix + names::driver_supply, "voltage [V]",
           "above that of the off-state, " + text(driver.off_voltage));
}

void require_valid(const FreewheelDiode& diode, const std::string& name) {
  require_valid(diode.junction, names::diode_of(name));
  require_not_negative(diode.resistance, names::resistance_of(name), "resistance [ohm]");
}

void require_valid(const LowSideCell& cell) {
  require_valid(cell.supply);
  require_valid(cell.mosfet, "");
  require_valid(cell.driver, "");
  require_valid(cell.load);
  if (cell.freewheel) require_valid(*cell.freewheel, names::freewheel);
}

void require_valid(const HalfBridgeCell& cell) {
  require_valid(cell.supply);
  require_valid(cell.high, prefix(Side::high));
  require_valid(cell.low, prefix(Side::low));
  require_valid(cell.load);
  require_not_negative(cell.loop_resistance, names::resistance_of(names::loop), "resistance [ohm]");
  if (cell.output) require_valid(*cell.output);
  if (cell.bootstrap) require_valid(*cell.bootstrap, cell.high.driver);
}

}  // namespace gateswing::network
