#include "gateswing/study/gate_charge_test.h"

#include "gateswing/measure/crossing.h"
#include "gateswing/network/element_checks.h"
#include "gateswing/study/test_run.h"

namespace gateswing::study {
namespace {

namespace names = network::names;

constexpr double slow = 1e-6;            // gate current over drain current where none is given
constexpr double taken_over = 0.99;      // share of the drain current in the channel that counts as all of it
constexpr double charge_margin = 1.001;  // so that the run ends beyond the crossing

/// The most that the gate can take on its way to `gate_voltage`: v_DS falls from the clamp to zero [C].
double most_charge(const network::GateChargeCircuit& test, double gate_voltage) {
  const auto swung = [&](const auto& law) {
    return device::charge(law, test.drain_voltage) - device::charge(law, -gate_voltage);
  };
  const device::Mosfet<>& mosfet = test.mosfet;
  const double step = mosfet.gate_drain_step ? swung(*mosfet.gate_drain_step) : 0.0;
  return device::charge(mosfet.gate_source, gate_voltage) + swung(mosfet.gate_drain) + step;
}

}  // namespace

GateChargeTest gate_charge_test(network::GateChargeCircuit test, double gate_voltage,
                                const simulate::Settings& settings) {
  network::require_valid(test.mosfet, "");
  network::require_positive(test.drain_voltage, "clamp", "drain voltage [V]");
  network::require_positive(test.drain_current, "load", "drain current [A]");
  network::require_positive(gate_voltage, "gate source", "gate voltage at the end [V]");
  network::require_not_negative(test.gate_current, "gate source", "gate current [A]");
  if (test.gate_current == 0.0) test.gate_current = slow * test.drain_current;
  const double end = charge_margin * most_charge(test, gate_voltage) / test.gate_current;
  GateChargeTest result{run_test(network::build(test),
                                 {{"v_gs", names::gate_die, names::source_die},
                                  {"v_ds", names::drain_die, names::source_die},
                                  {"i_d", names::inductance_of(names::drain_lead)}},
                                 0.0, end, settings),
                        test.gate_current};
  if (!result.succeeded()) return result;
  const waveform::Waveform& record = result.waveform;
  const auto arrival = measure::first_crossing(record, record.channel("v_gs"), gate_voltage, measure::Direction::rising,
                                               measure::whole(record));
  if (arrival && record.value(record.channel("i_d"), *arrival) > taken_over * test.drain_current)
    result.total = test.gate_current * *arrival;
  return result;
}

}  // namespace gateswing::study
