// The low-side cell: what its circuit contains, with and without each option, and what is refused.
#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "gateswing/network/low_side_cell.h"
#include "network/example_cell.h"
#include "network/support.h"
#include "relative.h"

namespace gateswing::network::test {
namespace {

bool has_branch(const CompiledNetwork& network, std::string_view name) {
  return std::ranges::find(network.branch_names, name) != network.branch_names.end();
}

/// The cell solved in its initial state, where the freewheel diode carries the load current.
struct Start {
  Circuit circuit;
  Snapshot snapshot;
  Instant now;

  Start(const LowSideCell& cell, double current) : circuit(build(cell, current)), snapshot(circuit) {
    const auto solved = snapshot.solve(0.0, snapshot.network().initial_state());
    REQUIRE(solved);
    now = *solved;
  }
  [[nodiscard]] double voltage(const char* plus, const char* minus) {
    return now.potential[at(circuit.node(plus))] - now.potential[at(circuit.node(minus))];
  }
  [[nodiscard]] double current(const char* branch) const { return now.current[at(circuit.branch_index(branch))]; }
};

TEST_CASE("the full cell fits the largest solver") {
  const CompiledNetwork network = compile(build(example_cell(), 5.0));
  CHECK(network.size() <= 28);
  CHECK(network.integral_count() <= integral_capacity(28));
}

TEST_CASE("the load current starts in load and freewheel diode, none in the switch, with the gate at its off rail") {
  Start start(example_cell(), 5.0);
  CHECK(start.current("load inductance") == gateswing_test::relative(5.0, 1e-6));
  CHECK(start.current("freewheel inductance") == gateswing_test::relative(5.0, 1e-6));
  CHECK(std::abs(start.current("loop inductance")) < 1e-12);
  CHECK(start.voltage("gate_die", "source_die") == gateswing_test::relative(-2.0, 1e-6));
}

TEST_CASE("the cell starts at rest: drain a diode drop above the bus, no current into any capacitance") {
  Start start(example_cell(), 5.0);
  const double drop = 0.028 * std::log1p(5.0 / 1e-8) + 5.0 * 12e-3;
  CHECK(start.voltage("drain_die", "source_die") == gateswing_test::relative(24.0 + drop, 1e-6));
  for (const char* name : {"drain-source capacitance", "gate-drain capacitance", "gate-source capacitance",
                           "freewheel capacitance", "snubber capacitor"}) {
    CAPTURE(name);
    CHECK(std::abs(start.current(name)) < 1e-3);
  }
}

TEST_CASE("a recovering freewheel diode starts with the charge that the load current sustains") {
  LowSideCell cell = example_cell();
  cell.freewheel->junction.transit_time = 20e-9;
  cell.freewheel->junction.lifetime = 80e-9;
  Start start(cell, 5.0);
  const double drop = 0.028 * std::log1p(5.0 / 1e-8) + 5.0 * 12e-3;
  CHECK(start.voltage("drain_die", "source_die") == gateswing_test::relative(24.0 + drop, 1e-6));
  CHECK(std::abs(start.current("freewheel capacitance")) < 1e-3);
}

TEST_CASE("the steps of a superjunction lie beside the capacitances they add to") {
  LowSideCell cell = example_cell();
  const int before = compile(build(cell, 5.0)).size();
  cell.mosfet.gate_drain_step = device::StepCapacitance<>{1e-9, 0.0, 20.0, 3.0};
  cell.mosfet.drain_source_step = device::StepCapacitance<>{5e-9, 0.0, 25.0, 4.0};
  Start start(cell, 5.0);
  CHECK(start.snapshot.network().size() == before);
  CHECK(has_branch(start.snapshot.network(), "gate-drain step capacitance"));
  CHECK(has_branch(start.snapshot.network(), "drain-source step capacitance"));
}

TEST_CASE("a constant-current load replaces resistance and inductance and whatever current is asked for") {
  LowSideCell cell = example_cell();
  cell.load.constant_current = 7.0;
  Start start(cell, 5.0);
  CHECK_FALSE(has_branch(start.snapshot.network(), "load inductance"));
  CHECK(start.current("load") == 7.0);
  CHECK(start.current("freewheel inductance") == gateswing_test::relative(7.0, 1e-6));
}

TEST_CASE("an option left out leaves no element behind") {
  const CompiledNetwork full = compile(build(example_cell(), 5.0));
  LowSideCell bare = example_cell();
  bare.snubber.reset();
  bare.gate.steering.reset();
  bare.gate.pull_down_resistance.reset();
  bare.supply.bulk_capacitance = 0.0;
  const CompiledNetwork less = compile(build(bare, 5.0));
  for (const char* name : {"snubber capacitor", "snubber resistor", "turn-off gate branch", "gate pull-down",
                           "bulk capacitor", "bulk inductance"}) {
    CAPTURE(name);
    CHECK(has_branch(full, name));
    CHECK_FALSE(has_branch(less, name));
  }
}

TEST_CASE("each resistance and inductance may be zero, alone or with all others") {
  CHECK(refusal([] { compile(build(plain_cell(), 5.0)); }).empty());
  const auto zeroed = [](auto&& change) {
    LowSideCell cell = example_cell();
    change(cell);
    return refusal([&] { compile(build(cell, 5.0)); });
  };
  CHECK(zeroed([](LowSideCell& c) { c.supply.resistance = 0.0; }).empty());
  CHECK(zeroed([](LowSideCell& c) { c.supply.inductance = 0.0; }).empty());
  CHECK(zeroed([](LowSideCell& c) { c.supply.bulk_resistance = 0.0; }).empty());
  CHECK(zeroed([](LowSideCell& c) { c.supply.bulk_inductance = 0.0; }).empty());
  CHECK(zeroed([](LowSideCell& c) { c.mosfet.internal_gate_resistance = 0.0; }).empty());
  CHECK(zeroed([](LowSideCell& c) { c.mosfet.drift_resistance = 0.0; }).empty());
  CHECK(zeroed([](LowSideCell& c) { c.mosfet.source_inductance = 0.0; }).empty());
  CHECK(zeroed([](LowSideCell& c) { c.gate.turn_on_resistance = 0.0; }).empty());
  CHECK(zeroed([](LowSideCell& c) { c.gate.inductance = 0.0; }).empty());
  CHECK(zeroed([](LowSideCell& c) { c.load.resistance = 0.0; }).empty());
  CHECK(zeroed([](LowSideCell& c) { c.freewheel->resistance = 0.0; }).empty());
  CHECK(zeroed([](LowSideCell& c) { c.freewheel->inductance = 0.0; }).empty());
  CHECK(zeroed([](LowSideCell& c) { c.snubber->resistance = 0.0; }).empty());
  CHECK(zeroed([](LowSideCell& c) { c.wiring.loop_inductance = 0.0; }).empty());
  CHECK(zeroed([](LowSideCell& c) { c.wiring.common_source_inductance = 0.0; }).empty());
}

TEST_CASE("a load current without a freewheel path is refused with its value and the remedy") {
  LowSideCell cell = example_cell();
  cell.freewheel.reset();
  const std::string sentence = refusal([&] { build(cell, 5.0); });
  CHECK(sentence.find("freewheel") != std::string::npos);
  CHECK(sentence.find("5") != std::string::npos);
  cell.load.constant_current = 3.0;
  CHECK_FALSE(refusal([&] { build(cell, 0.0); }).empty());
}

TEST_CASE("a load without current needs no freewheel path") {
  LowSideCell cell = example_cell();
  cell.freewheel.reset();
  CHECK(refusal([&] { compile(build(cell, 0.0)); }).empty());
}

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

TEST_CASE("a value that is not a number is refused by the name of what it belongs to") {
  const auto spoilt = [](auto&& change) {
    LowSideCell cell = example_cell();
    change(cell);
    return refusal([&] { build(cell, 5.0); });
  };
  const auto names = [](const std::string& sentence, const char* name) {
    return sentence.find(name) != std::string::npos;
  };
  CHECK(names(spoilt([](LowSideCell& c) { c.supply.voltage = nan; }), "'bus supply'"));
  CHECK(names(spoilt([](LowSideCell& c) { c.supply.inductance = nan; }), "'supply inductance'"));
  CHECK(names(spoilt([](LowSideCell& c) { c.supply.bulk_capacitance = nan; }), "'bulk capacitor'"));
  CHECK(names(spoilt([](LowSideCell& c) { c.driver.supply_voltage = nan; }), "'driver supply'"));
  CHECK(names(spoilt([](LowSideCell& c) { c.driver.output.sink_resistance = -1.0; }), "'driver"));
  CHECK(names(spoilt([](LowSideCell& c) { c.load.constant_current = nan; }), "'load'"));
  CHECK(names(spoilt([](LowSideCell& c) { c.mosfet.channel.transconductance_factor = 0.0; }), "'channel'"));
  CHECK(names(spoilt([](LowSideCell& c) { c.snubber->capacitance = 0.0; }), "'snubber capacitor'"));
}

}  // namespace
}  // namespace gateswing::network::test
