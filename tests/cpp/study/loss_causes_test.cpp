// Losses by cause: they close against the ledger, and each cause has its closed form where the circuit has one.
#include "gateswing/study/loss_causes.h"

#include <doctest/doctest.h>

#include "gateswing/study/channels.h"
#include "gateswing/study/operating_point.h"
#include "network/example_cell.h"
#include "simulate/run.h"

namespace gateswing::study::test {

using namespace simulate::test;
namespace {

using network::LowSideCell;
using network::test::example_cell;
using network::test::plain_cell;
using Channel = CellChannels;

/// 2.5 A at 24 V through a resistor: nothing but the MOSFET's own capacitances at the switch node.
LowSideCell resistive_cell() {
  LowSideCell cell = plain_cell();
  cell.load = {9.6, 0.0, std::nullopt};
  cell.freewheel.reset();
  return cell;
}

/// A clamped load of 5 A and a freewheel diode of 50 ns lifetime, without any impedance in the power loop.
LowSideCell recovering_cell() {
  LowSideCell cell = plain_cell();
  cell.load = {0.0, 0.0, 5.0};
  cell.freewheel->junction = {1e-8, 0.028, 50e-9, 15e-9};
  return cell;
}

double sum(const OperatingPoint& point) {
  double total = 0.0;
  for (const CauseEnergy& row : point.causes) total += row.energy;
  return total;
}

/// Heat of the ledger but for the load [J].
double lost(const OperatingPoint& point) {
  double total = 0.0;
  for (const ElementEnergy& entry : point.ledger) {
    if (entry.kind == network::EnergyKind::dissipated && entry.element != "load resistance") total += entry.energy;
  }
  return total;
}

double energy(const OperatingPoint& point, LossCause cause) {
  return energy_of(point.causes, cause);
}

TEST_CASE("the causes add up to the ledger's losses, and no element is unknown") {
  const LowSideCell cells[] = {example_cell(), plain_cell(), resistive_cell(), recovering_cell()};
  for (std::size_t k = 0; k < 4; ++k) {
    CAPTURE(k);
    const OperatingPoint point = operating_point(cells[k], {.frequency = 200e3, .duty = 0.4}, {});
    REQUIRE(point.status == integrate::Status::success);
    check_close(sum(point), lost(point), 1e-5);
    CHECK(energy(point, LossCause::other) == 0.0);
    CHECK(energy(point, LossCause::incomplete_switching) == 0.0);
    CHECK(energy(point, LossCause::turn_on) > 0.0);
    CHECK(energy(point, LossCause::turn_off) > 0.0);
  }
}

TEST_CASE("conduction loss is the on-state's voltage times current for the share of time it lasts") {
  const LowSideCell cell = resistive_cell();
  const OperatingPoint point = operating_point(cell, {.frequency = 1e3, .duty = 0.4}, {});
  const double middle = 0.2e-3;
  const double voltage = point.waveform.value(Channel::drain_voltage_pin, middle + point.waveform.begin());
  const double current = point.waveform.value(Channel::drain_current, middle + point.waveform.begin());
  check_close(1e3 * energy(point, LossCause::conduction), 0.4 * voltage * current, 2e-3);
}

TEST_CASE("without feedback capacitance the output capacitance loses just what it stores at the bus voltage") {
  LowSideCell cell = resistive_cell();
  cell.mosfet.gate_drain = {1e-14, 0.9, 0.75, 1e-15, 2.6e-9};
  const OperatingPoint point = operating_point(cell, {.frequency = 100e3, .duty = 0.4}, {.relative_tolerance = 1e-8});
  const auto& law = cell.mosfet.drain_source;
  const double on_level = 0.1 * 24.0;  // of v_DS, where turn-on ends; the rest comes during conduction
  const double stored = device::stored_energy(law, 24.0) - device::stored_energy(law, on_level);
  check_close(energy(point, LossCause::output_capacitance), stored, 0.02);
}

TEST_CASE("a stored charge costs the bus voltage times itself, in channel and diode together") {
  const OperatingPoint point =
      operating_point(recovering_cell(), {.frequency = 100e3, .duty = 0.4}, {.relative_tolerance = 1e-8});
  const waveform::Waveform& w = point.waveform;
  // The junction's current is negative only while its charge is swept out, in the first 200 ns.
  double charge = 0.0;
  for (double t = w.begin(); t < w.begin() + 1e-6; t += 1e-10) {
    charge += 1e-10 * std::max(0.0, -w.value(Channel::junction_current, t));
  }
  CHECK(charge > 10e-9);
  CHECK(charge < 50e-9 * 5.0);  // Lauritzen and Ma: lifetime times forward current is the upper limit
  // 3 %: the end of the tail flows while v_DS is below 10 % and counts as conduction.
  check_close(energy(point, LossCause::recovery), 24.0 * charge, 3e-2);
}

TEST_CASE("a diode without stored charge has no recovery loss") {
  LowSideCell cell = recovering_cell();
  cell.freewheel->junction = {1e-8, 0.028, 0.0, 0.0};
  const OperatingPoint point = operating_point(cell, {.frequency = 100e3, .duty = 0.4}, {});
  CHECK(std::abs(energy(point, LossCause::recovery)) < 1e-4 * lost(point));
  CHECK(energy(point, LossCause::output_capacitance) > 0.0);
}

TEST_CASE("a switch that never reaches a level is not sorted into edges") {
  LowSideCell cell = resistive_cell();
  cell.driver.output.inverse_source_limit = 1.0 / 5e-3;
  cell.driver.output.inverse_sink_limit = 1.0 / 5e-3;
  const OperatingPoint weak = operating_point(cell, {.frequency = 500e3, .duty = 0.5}, {});
  CHECK(energy(weak, LossCause::incomplete_switching) > 0.0);
  CHECK(energy(weak, LossCause::turn_on) == 0.0);
  check_close(sum(weak), lost(weak), 1e-5);
  const OperatingPoint always_on = operating_point(resistive_cell(), {.frequency = 100e3, .duty = 1.0}, {});
  CHECK(energy(always_on, LossCause::conduction) > 0.0);
  CHECK(energy(always_on, LossCause::incomplete_switching) == 0.0);
  check_close(sum(always_on), lost(always_on), 1e-5);
}

}  // namespace
}  // namespace gateswing::study::test
