// Running a circuit from event to event: corners, statuses, records, limits.
#include <doctest/doctest.h>

#include <atomic>
#include <cmath>

#include "network/support.h"
#include "simulate/run.h"

namespace gateswing::simulate::test {
namespace {

using network::Circuit;
using network::Node;
using network::test::refusal;

/// A source of the given voltage over 100 ohm onto 1 nF.
Circuit low_pass(network::PiecewiseLinear voltage) {
  Circuit circuit;
  const Node source = circuit.node("source");
  const Node top = circuit.node("top");
  circuit.add_voltage_source("supply", source, Node::ground, std::move(voltage));
  circuit.add_resistor("resistor", source, top, 100.0);
  circuit.add_capacitor("capacitor", top, Node::ground, device::ConstantCapacitance<>{1e-9});
  return circuit;
}

TEST_CASE("a run restarts on every corner, so that a trapezoid of any steepness is exact") {
  // v on a ramp of slope k: k (t - T (1 - exp(-t/T))); then superposition of ramps.
  constexpr double time_constant = 100e-9;
  const auto ramp_response = [](double t, double slope) {
    return t <= 0.0 ? 0.0 : slope * (t + time_constant * std::expm1(-t / time_constant));
  };
  for (const double edge : {1e-12, 1e-9, 50e-9}) {
    CAPTURE(edge);
    const double fall = 300e-9;
    const Run r =
        run(low_pass(network::PiecewiseLinear({{10e-9, 0.0}, {10e-9 + edge, 5.0}, {fall, 5.0}, {fall + edge, 1.0}})),
            {voltage("v", "top")}, 1e-6);
    for (const double t : {10e-9 + 0.5 * edge, 40e-9, 200e-9, 350e-9, 900e-9}) {
      const double expected = ramp_response(t - 10e-9, 5.0 / edge) - ramp_response(t - 10e-9 - edge, 5.0 / edge) -
                              ramp_response(t - fall, 4.0 / edge) + ramp_response(t - fall - edge, 4.0 / edge);
      CHECK(std::abs(r.value("v", t) - expected) < 1e-6);
    }
  }
}

TEST_CASE("a run in pieces is the run as a whole") {
  const Circuit circuit = low_pass(network::PiecewiseLinear(10.0));
  Settings settings;
  settings.relative_tolerance = exact_tolerance;
  Simulator whole(network::compile(circuit));
  Simulator parts(network::compile(circuit));
  REQUIRE(whole.start(0.0));
  REQUIRE(parts.start(0.0));
  const Interval all = whole.advance(300e-9, settings, nullptr);
  Interval sum = parts.advance(70e-9, settings, nullptr);
  append(sum, parts.advance(300e-9, settings, nullptr));
  CHECK(sum.begin_time == 0.0);
  CHECK(sum.end_time == 300e-9);
  check_close(sum.end_state[0], all.end_state[0], 1e-9);
  check_close(sum.integrals[0], all.integrals[0], 1e-8);
  CHECK(whole.ledger(all).energy_residual < 1e-8);
  CHECK(parts.ledger(sum).energy_residual < 1e-8);
}

TEST_CASE("a replay brings what the run brought, so that a run may be finished by one") {
  const Circuit circuit = low_pass(network::PiecewiseLinear(10.0));
  Simulator first(network::compile(circuit));
  Simulator again(network::compile(circuit));
  REQUIRE(first.start(0.0));
  REQUIRE(again.start(0.0));
  std::vector<double> step_ends;
  const Interval run = first.advance(300e-9, {}, nullptr, &step_ends);
  const Interval repeated = again.replay(step_ends, {});
  REQUIRE(repeated.integrals.size() == run.integrals.size());
  CHECK((repeated.integrals - run.integrals).norm() <= 1e-9 * run.integrals.norm());
  check_close(repeated.end_state[0], run.end_state[0], 1e-9);
}

TEST_CASE("advancing to where a run already is does nothing and succeeds") {
  Simulator simulator(network::compile(low_pass(network::PiecewiseLinear(10.0))));
  REQUIRE(simulator.start(0.0));
  const Interval nothing = simulator.advance(0.0, {}, nullptr);
  CHECK(nothing.status == integrate::Status::success);
  CHECK(nothing.statistics.steps == 0);
  CHECK(simulator.ledger(nothing).throughput == 0.0);
}

TEST_CASE("a run out of steps says so and keeps its last good time and state") {
  Simulator simulator(network::compile(low_pass(network::PiecewiseLinear(10.0))));
  Recorder recorder(simulator.network(), probes(simulator.network(), {voltage("v", "top")}));
  REQUIRE(simulator.start(0.0));
  Settings settings;
  settings.relative_tolerance = 1e-9;
  settings.maximum_steps = 5;
  const Interval interval = simulator.advance(1e-3, settings, &recorder);
  CHECK(interval.status == integrate::Status::step_limit);
  CHECK(interval.end_time > 0.0);
  CHECK(interval.end_time < 1e-3);
  CHECK(interval.end_time == simulator.time());
  CHECK(recorder.waveform().end() == interval.end_time);
  check_close(interval.end_state[0], -10.0 * std::expm1(-interval.end_time / 100e-9), 1e-6);
}

TEST_CASE("steps that are repeated end as soon as the run is cancelled") {
  Simulator simulator(network::compile(low_pass(network::PiecewiseLinear({{0.0, 0.0}, {200e-9, 5.0}}))));
  REQUIRE(simulator.start(0.0));
  const std::atomic<bool> cancelled = true;
  const std::vector ends{100e-9, 200e-9, 300e-9, 400e-9};
  const Interval interval = simulator.replay(ends, {.cancelled = &cancelled});
  CHECK(interval.status == integrate::Status::cancelled);
  CHECK(interval.end_time == ends[0]);
  CHECK(interval.statistics.steps == 1);
  CHECK(simulator.time() == ends[0]);
}

TEST_CASE("a cancelled run ends after one step with what it has") {
  Simulator simulator(network::compile(low_pass(network::PiecewiseLinear(10.0))));
  REQUIRE(simulator.start(0.0));
  const std::atomic<bool> cancelled = true;
  const Interval interval = simulator.advance(1e-3, {.cancelled = &cancelled}, nullptr);
  CHECK(interval.status == integrate::Status::cancelled);
  CHECK(interval.statistics.steps == 1);
  CHECK(interval.end_time > 0.0);
}

TEST_CASE("a start finds the operating point of a diode fed by a current from zero volts") {
  Circuit circuit;
  const Node anode = circuit.node("anode");
  circuit.add_current_source("source", Node::ground, anode, 10.0);
  circuit.add_diode("diode", anode, Node::ground, {1e-12, 0.026, 0.0, 0.0});
  Simulator simulator(network::compile(circuit));
  REQUIRE(simulator.start(0.0));
  check_close(simulator.state()[0], 0.026 * std::log1p(10.0 / 1e-12), 1e-9);
}

TEST_CASE("a start without an operating point is refused, not guessed") {
  // A breakdown can carry no current backwards.
  Circuit circuit;
  const Node top = circuit.node("top");
  circuit.add_current_source("source", top, Node::ground, 1.0);
  circuit.add_knee("knee", top, Node::ground, {5.0, 1.0, 0.1});
  Simulator simulator(network::compile(circuit));
  CHECK_FALSE(simulator.start(0.0));
}

TEST_CASE("a circuit with more states than the largest solver is refused with its number") {
  Circuit circuit;
  for (int k = 0; k < 29; ++k) {
    const Node node = circuit.node(network::test::numbered("n", k));
    circuit.add_capacitor(network::test::numbered("c", k), node, Node::ground, device::ConstantCapacitance<>{1e-9});
  }
  const std::string sentence = refusal([&] { const Simulator simulator(network::compile(circuit)); });
  CHECK(sentence.find("29 states") != std::string::npos);
}

TEST_CASE("the smallest solver that holds a circuit gives the same answer as a larger one") {
  // The same low-pass beside idle capacitors that lift it into each of the built sizes.
  std::vector<double> answers;
  for (const int idle : {0, 7, 12, 20}) {
    Circuit circuit = low_pass(network::PiecewiseLinear(10.0));
    for (int k = 0; k < idle; ++k) {
      circuit.add_capacitor(network::test::numbered("c", k), circuit.node(network::test::numbered("n", k)),
                            Node::ground, device::ConstantCapacitance<>{1e-9});
    }
    answers.push_back(run(circuit, {voltage("v", "top")}, 120e-9).end("v"));
  }
  for (const double answer : answers) check_close(answer, -10.0 * std::expm1(-1.2), 1e-8);
}

}  // namespace
}  // namespace gateswing::simulate::test
