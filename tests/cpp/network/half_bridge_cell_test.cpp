// The half bridge: what its circuit contains, and the state it starts in.
#include <doctest/doctest.h>

#include <cmath>

#include "gateswing/network/half_bridge_cell.h"
#include "network/example_bridge.h"
#include "network/support.h"
#include "relative.h"

namespace gateswing::network::test {
namespace {

/// The bridge solved in its initial state.
struct Start {
  Circuit circuit;
  Snapshot snapshot;
  Instant now;

  Start(const HalfBridgeCell& cell, double current, Side on) : circuit(build(cell, current, on)), snapshot(circuit) {
    const auto solved = snapshot.solve(0.0, snapshot.network().initial_state());
    REQUIRE(solved);
    now = *solved;
  }
  [[nodiscard]] double voltage(const std::string& plus, const std::string& minus) {
    return now.potential[at(circuit.node(plus))] - now.potential[at(circuit.node(minus))];
  }
  [[nodiscard]] double current(const std::string& branch) const {
    return now.current[at(circuit.branch_index(branch))];
  }
};

TEST_CASE("the full bridge fits the largest solver") {
  const CompiledNetwork network = compile(build(example_bridge(), 5.0, Side::low));
  CHECK(network.size() <= 28);
  CHECK(network.integral_count() <= integral_capacity(28));
}

TEST_CASE("the load current starts in the switch that is on, either sign, and in nothing else") {
  for (const Side on : {Side::high, Side::low}) {
    for (const double current : {7.0, -7.0}) {
      CAPTURE(current);
      Start start(example_bridge(), current, on);
      const double sign = on == Side::high ? 1.0 : -1.0;
      CHECK(start.current("load inductance") == gateswing_test::relative(current, 1e-9));
      CHECK(start.current(prefix(on) + "drain lead inductance") == gateswing_test::relative(sign * current, 1e-9));
      CHECK(std::abs(start.current(prefix(opposite(on)) + "drain lead inductance")) < 1e-9);
      CHECK(std::abs(start.current("bulk inductance")) < 1e-9);
      CHECK(start.voltage(prefix(on) + "gate_die", prefix(on) + "source_die") == gateswing_test::relative(12.0, 1e-9));
      CHECK(std::abs(start.voltage(prefix(opposite(on)) + "gate_die", prefix(opposite(on)) + "source_die")) < 1e-9);
    }
  }
}

TEST_CASE("a switch held on starts within a tenth of the drop that its channel law gives") {
  for (const double current : {0.5, 20.0, -20.0}) {
    CAPTURE(current);
    const HalfBridgeCell cell = plain_bridge();
    const MosfetStart start = conducting(cell.low.mosfet, cell.low.driver, current);
    const double carried = device::channel_current(cell.low.mosfet.channel, start.gate_source, start.drain_source);
    CHECK(carried == gateswing_test::relative(current, 0.1));
  }
}

TEST_CASE("each driver stands on its own reference: the high one on the switch node") {
  Start start(example_bridge(), 5.0, Side::low);
  CHECK(start.voltage("high driver supply", "switch") == gateswing_test::relative(12.0, 1e-12));
  CHECK(start.voltage("low driver supply", "ground") == gateswing_test::relative(12.0, 1e-12));
  CHECK(std::abs(start.voltage("switch", "ground")) < 1.0);
}

TEST_CASE("the load returns where it is told to") {
  HalfBridgeCell cell = example_bridge();
  cell.load_return = LoadReturn::midpoint;
  Start middle(cell, 5.0, Side::low);
  CHECK(middle.voltage("midpoint", "ground") == gateswing_test::relative(24.0, 1e-12));
  CHECK(middle.current("midpoint supply") == gateswing_test::relative(5.0, 1e-9));
  cell.load_return = LoadReturn::bus;
  Start top(cell, -5.0, Side::low);
  CHECK(top.current("supply inductance") == gateswing_test::relative(5.0, 1e-9));
}

TEST_CASE("an output starts with the load current: a capacitor charged to it, or a stiff voltage that takes it") {
  HalfBridgeCell cell = plain_bridge();
  cell.load = {0.5, 50e-6, std::nullopt};
  cell.output = Output{std::nullopt, 2.0, 10e-6, 1e-3};
  Start fed(cell, 5.0, Side::low);
  CHECK(fed.voltage("output", "ground") == gateswing_test::relative(10.0, 1e-9));
  CHECK(std::abs(fed.current("output capacitor")) < 1e-9);
  cell.output = Output{12.0, 0.0, 0.0, 0.0};
  Start stiff(cell, 5.0, Side::low);
  CHECK(stiff.voltage("output", "ground") == gateswing_test::relative(12.0, 1e-12));
  CHECK(stiff.current("output") == gateswing_test::relative(5.0, 1e-9));
}

TEST_CASE("a bootstrap capacitor starts charged to its supply, and the driver's rest current comes from it") {
  HalfBridgeCell cell = plain_bridge();
  cell.bootstrap = Bootstrap{10.0, {{1e-9, 0.04, 0.0, 0.0}, {40e-12, 0.6, 0.45, 10e-12, 1e-10}, 0.5, 0.0}, 4.0, 1e-7};
  cell.high.driver.on_state_power = 0.05;
  for (const Side on : {Side::high, Side::low}) {
    Start start(cell, 5.0, on);
    CHECK(start.voltage("high driver supply", "switch") == gateswing_test::relative(10.0, 1e-9));
    CHECK(start.current("high driver at rest") == gateswing_test::relative(5e-3, 1e-9));
    CHECK(std::abs(start.current("bootstrap diode")) < 1e-8);
    CHECK(std::abs(start.voltage("high gate_die", "high source_die") - (on == Side::high ? 10.0 : 0.0)) < 1e-8);
  }
}

}  // namespace
}  // namespace gateswing::network::test
