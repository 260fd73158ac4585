#include "gateswing/study/switching_time.h"

#include <algorithm>

namespace gateswing::study {
namespace {

double gate_charge_estimate(const device::Mosfet<>& mosfet, const network::PushPullDriver& driver, double bus_voltage) {
  const double on = driver.supply_voltage;
  const double off = driver.off_voltage;
  const double gate_source = device::charge(mosfet.gate_source, on) - device::charge(mosfet.gate_source, off);
  const auto swung = [&](const auto& law) { return device::charge(law, bus_voltage - off) - device::charge(law, -on); };
  const double step = mosfet.gate_drain_step ? swung(*mosfet.gate_drain_step) : 0.0;
  return gate_source + swung(mosfet.gate_drain) + step;
}

}  // namespace

double switching_time_estimate(const device::Mosfet<>& mosfet, const network::PushPullDriver& driver,
                               const network::GatePath& gate, double bus_voltage) {
  const device::DriverOutput<>& output = driver.output;
  const double swing = driver.supply_voltage - driver.off_voltage;
  const double path = std::max(output.source_resistance, output.sink_resistance) + gate.turn_on_resistance +
                      mosfet.internal_gate_resistance;
  const double limit = std::max(output.inverse_source_limit, output.inverse_sink_limit);
  const double time_per_charge = std::max(2.0 * path / swing, limit);
  const network::CommandTiming& timing = driver.timing;
  return gate_charge_estimate(mosfet, driver, bus_voltage) * time_per_charge +
         std::max(timing.rise_time, timing.fall_time) + std::max(timing.turn_on_delay, timing.turn_off_delay);
}

double switching_time_estimate(const network::LowSideCell& cell) {
  return switching_time_estimate(cell.mosfet, cell.driver, cell.gate, cell.supply.voltage);
}

}  // namespace gateswing::study
