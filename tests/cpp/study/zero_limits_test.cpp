// A resistance or inductance of zero is the limit of a small one: the difference shrinks in proportion.
#include <doctest/doctest.h>

#include <cmath>

#include "gateswing/study/channels.h"
#include "gateswing/study/low_side_run.h"
#include "network/example_cell.h"

namespace gateswing::study::test {
namespace {

using Change = void (*)(network::LowSideCell&, double);

/// Gate, drain and current at instants of a turn-on and a turn-off, as one vector.
std::vector<double> edges(const network::LowSideCell& cell) {
  LowSideRun run(cell, 5.0);
  run.set_command(network::gate_command(std::vector<network::Pulse>{{0.0, 400e-9}}, cell.driver.timing));
  REQUIRE(run.simulator().start(-200e-9));
  simulate::Settings settings;
  settings.relative_tolerance = 1e-10;
  REQUIRE(run.advance(900e-9, settings).status == integrate::Status::success);
  std::vector<double> values;
  for (const std::size_t channel :
       {CellChannels::gate_voltage, CellChannels::drain_voltage, CellChannels::load_current}) {
    for (int k = 1; k <= 40; ++k) values.push_back(run.waveform().value(channel, k * 20e-9));
  }
  return values;
}

double distance(const std::vector<double>& a, const std::vector<double>& b) {
  double largest = 0.0;
  for (std::size_t k = 0; k < a.size(); ++k) largest = std::max(largest, std::abs(a[k] - b[k]));
  return largest;
}

/// Checks that the answer at `small` lies near that at zero, and ten times nearer at a tenth of it.
void check_limit(const char* name, const Change& change, double small) {
  CAPTURE(name);
  const auto at = [&](double value) {
    network::LowSideCell cell = network::test::plain_cell();
    change(cell, value);
    return edges(cell);
  };
  const std::vector<double> limit = at(0.0);
  const double far = distance(at(small), limit);
  const double near = distance(at(0.1 * small), limit);
  CAPTURE(far);
  CAPTURE(near);
  CHECK(far < 0.5);
  CHECK(far > 1e-7);
  CHECK(far / near > 8.0);
  CHECK(far / near < 12.5);
}

using Cell = network::LowSideCell;

TEST_CASE("a vanishing inductance tends to none") {
  check_limit("gate wiring", [](Cell& c, double l) { c.gate.inductance = l; }, 1e-10);
  check_limit("gate lead", [](Cell& c, double l) { c.mosfet.gate_inductance = l; }, 1e-10);
  check_limit("drain lead", [](Cell& c, double l) { c.mosfet.drain_inductance = l; }, 1e-12);
  check_limit("source lead", [](Cell& c, double l) { c.mosfet.source_inductance = l; }, 1e-12);
  check_limit("loop", [](Cell& c, double l) { c.wiring.loop_inductance = l; }, 1e-12);
  check_limit("common source", [](Cell& c, double l) { c.wiring.common_source_inductance = l; }, 1e-12);
  check_limit("freewheel", [](Cell& c, double l) { c.freewheel->inductance = l; }, 1e-12);
  check_limit("supply", [](Cell& c, double l) { c.supply.inductance = l; }, 1e-12);
}

TEST_CASE("a vanishing resistance tends to none") {
  check_limit("supply", [](Cell& c, double r) { c.supply.resistance = r; }, 1e-4);
  check_limit("loop", [](Cell& c, double r) { c.wiring.loop_resistance = r; }, 1e-4);
  check_limit("drift", [](Cell& c, double r) { c.mosfet.drift_resistance = r; }, 1e-4);
  check_limit("gate", [](Cell& c, double r) { c.gate.turn_on_resistance = r; }, 1e-3);
  check_limit("internal gate", [](Cell& c, double r) { c.mosfet.internal_gate_resistance = r; }, 1e-3);
  check_limit("freewheel", [](Cell& c, double r) { c.freewheel->resistance = r; }, 1e-4);
}

TEST_CASE("a vanishing snubber resistance tends to a capacitor across the switch") {
  check_limit("snubber", [](Cell& c, double r) { c.snubber = network::Snubber{r, 1e-9}; }, 1e-3);
}

TEST_CASE("a vanishing resistance and inductance of the bulk capacitor tend to a stiff bus") {
  const auto bulk = [](Cell& c, double r) {
    c.supply.resistance = 0.05;
    c.supply.bulk_capacitance = 1e-6;
    c.supply.bulk_resistance = r;
  };
  check_limit("bulk resistance", bulk, 1e-4);
}

}  // namespace
}  // namespace gateswing::study::test
