// The hand estimate of a switching time: charge over the current that the path, or the driver's limit, lets through.
#include "gateswing/study/switching_time.h"

#include <doctest/doctest.h>

#include "network/example_cell.h"

namespace gateswing::study::test {
namespace {

/// 1 nF from gate to source and nothing from drain to gate, 14 V of swing: 14 nC.
network::LowSideCell constant_capacitance() {
  network::LowSideCell cell = network::test::example_cell();
  cell.mosfet.gate_source.low = 1e-9;
  cell.mosfet.gate_source.high = 1e-9;
  cell.mosfet.gate_drain = {1e-25, 0.9, 0.75, 0.0, 2e-25};
  cell.mosfet.internal_gate_resistance = 1.0;
  cell.gate.turn_on_resistance = 4.0;
  cell.driver.output.source_resistance = 2.0;
  cell.driver.output.sink_resistance = 1.0;
  cell.driver.output.inverse_source_limit = 0.0;
  cell.driver.output.inverse_sink_limit = 0.0;
  return cell;
}

TEST_CASE("the estimate is charge times twice the path over the swing, and the driver's slowest ramp and delay") {
  const network::LowSideCell cell = constant_capacitance();
  const double by_hand = 14e-9 * 2.0 * 7.0 / 14.0 + 8e-9 + 30e-9;
  CHECK(switching_time_estimate(cell) == doctest::Approx(by_hand).epsilon(1e-12));
}

TEST_CASE("a driver's current limit counts where it lets through less than the path, the lower of its two") {
  network::LowSideCell cell = constant_capacitance();
  cell.driver.output.inverse_source_limit = 1.0 / 1.5;  // the path alone: 1 A
  CHECK(switching_time_estimate(cell) == switching_time_estimate(constant_capacitance()));
  cell.driver.output.inverse_sink_limit = 1.0 / 0.5;
  CHECK(switching_time_estimate(cell) == doctest::Approx(14e-9 / 0.5 + 38e-9).epsilon(1e-12));
}

}  // namespace
}  // namespace gateswing::study::test
