#include "gateswing/study/avalanche_test.h"

#include "gateswing/measure/crossing.h"
#include "gateswing/measure/extrema.h"
#include "gateswing/measure/integral.h"
#include "gateswing/network/element_checks.h"
#include "gateswing/study/test_run.h"

namespace gateswing::study {
namespace {

namespace names = network::names;

constexpr double longest = 1.5;  // of the pulse of a breakdown that is constant and without resistance

void require_possible(const network::AvalancheCircuit& test) {
  network::require_valid(test.mosfet, "");
  network::require_positive(test.inductance, names::choke, "inductance [H]");
  network::require_positive(test.current, names::choke, "current [A]");
  network::require_positive(test.fall_time, "generator", "fall time [s]");
  network::require_not_negative(test.supply_voltage, names::supply, "voltage [V]");
  const double highest = 0.9 * test.mosfet.breakdown.knee_voltage;
  if (!(test.supply_voltage < highest))
    network::refuse(
        test.supply_voltage, names::supply, "the voltage [V]",
        "below 90 % of the breakdown voltage, " + network::text(highest) + ", or the choke never discharges");
}

/// Time for the gate to fall with twice its time constants, common practice, no source [s].
double turn_off_time(const network::AvalancheCircuit& test) {
  const device::Mosfet<>& mosfet = test.mosfet;
  const double capacitance = mosfet.gate_source.low + mosfet.gate_source.high + mosfet.gate_drain.ceiling;
  const double miller = device::charge(mosfet.gate_drain, mosfet.breakdown.knee_voltage);
  const double resistance = test.gate_resistance + mosfet.internal_gate_resistance;
  return test.fall_time + resistance * (10.0 * capacitance + miller / mosfet.channel.threshold_voltage);
}

}  // namespace

AvalancheTest avalanche_test(const network::AvalancheCircuit& test, const simulate::Settings& settings) {
  require_possible(test);
  const double knee = test.mosfet.breakdown.knee_voltage;
  const double pulse = test.inductance * test.current / (knee - test.supply_voltage);
  const double run_end = longest * pulse + turn_off_time(test);
  AvalancheTest result{run_test(network::build(test),
                                {{"v_gs", names::gate_die, names::source_die},
                                 {"v_ds", names::drain_die, names::source_die},
                                 {"i_d", names::inductance_of(names::choke)}},
                                0.0, run_end, settings)};
  if (!result.succeeded()) return result;
  const waveform::Waveform& record = result.waveform;
  const std::size_t voltage = record.channel("v_ds");
  const double middle = 0.5 * (test.supply_voltage + knee);
  const auto begin =
      measure::first_crossing(record, voltage, middle, measure::Direction::rising, measure::whole(record));
  if (!begin) return result;
  const auto end =
      measure::first_crossing(record, record.channel("i_d"), 0.0, measure::Direction::falling, {*begin, record.end()});
  if (!end) return result;
  const measure::Window pulse_window{*begin, *end};
  result.current = record.value(record.channel("i_d"), *begin);
  result.time_in_avalanche = pulse_window.length();
  result.energy = measure::integral_of_product(record, voltage, record.channel("i_d"), pulse_window);
  result.peak_voltage = measure::maximum(record, voltage, pulse_window).value;
  return result;
}

}  // namespace gateswing::study
