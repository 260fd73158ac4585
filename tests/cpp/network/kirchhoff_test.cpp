// Random circuits against the equations they stand for: Kirchhoff's laws and every element's own law, written out here
// branch by branch without a tree.
#include <doctest/doctest.h>

#include <cmath>

#include "network/random_circuit.h"
#include "network/support.h"
#include "network/topology.h"

namespace gateswing::network::test {
namespace {

constexpr int circuits = 400;
constexpr double tolerance = 1e-8;  // of the largest current or voltage: the resistive voltages are solved to 1e-10

/// Checks the laws of one circuit at one instant.
class Laws {
 public:
  Laws(const Circuit& circuit, const Instant& now, double time, std::vector<double> stored)
      : circuit_(circuit), now_(now), time_(time), stored_(std::move(stored)) {
    for (const double v : now.potential) volts_ = std::max(volts_, std::abs(v));
    for (const double i : now.current) amperes_ = std::max(amperes_, std::abs(i));
  }

  void check() {
    check_nodes();
    check_sources();
    check_storage();
    check_conduction();
    check_controlled();
    check_power();
  }

 private:
  const Branch& branch(BranchIndex b) const { return circuit_.branches()[at(b)]; }
  double v(BranchIndex b) const { return now_.voltage(branch(b)); }
  double i(BranchIndex b) const { return now_.current[at(b)]; }
  double input(InputIndex u) const { return circuit_.inputs()[at(u)].value(time_); }

  void same_current(BranchIndex b, double expected) {
    CAPTURE(branch(b).name);
    CAPTURE(expected);
    CAPTURE(i(b));
    CHECK(std::abs(i(b) - expected) <= tolerance * amperes_);
  }
  void same_voltage(BranchIndex b, double expected) {
    CAPTURE(branch(b).name);
    CAPTURE(expected);
    CAPTURE(v(b));
    CHECK(std::abs(v(b) - expected) <= tolerance * volts_);
  }

  void check_nodes() {
    std::vector<double> leaving(now_.potential.size(), 0.0);
    for (std::size_t b = 0; b < circuit_.branches().size(); ++b) {
      leaving[at(circuit_.branches()[b].plus)] += now_.current[b];
      leaving[at(circuit_.branches()[b].minus)] -= now_.current[b];
    }
    for (const double sum : leaving) CHECK(std::abs(sum) <= tolerance * amperes_);
  }

  void check_sources() {
    for (const VoltageSource& source : circuit_.voltage_sources()) same_voltage(source.branch, input(source.input));
    for (const CurrentSource& source : circuit_.current_sources()) same_current(source.branch, input(source.input));
    for (const Resistor& resistor : circuit_.resistors())
      same_current(resistor.branch, v(resistor.branch) / resistor.resistance);
  }

  void check_storage() {
    for (const Capacitor& c : circuit_.capacitors()) {
      const double capacitance =
          std::visit([&](const auto& law) { return device::capacitance(law, v(c.branch)); }, c.law);
      same_current(c.branch, capacitance * now_.voltage_rate(branch(c.branch)));
    }
    for (const Inductor& l : circuit_.inductors())
      same_voltage(l.branch, l.inductance * now_.current_rate[at(l.branch)]);
  }

  void check_conduction() {
    for (std::size_t d = 0; d < circuit_.diodes().size(); ++d) {
      const Diode& diode = circuit_.diodes()[d];
      const double voltage = v(diode.branch);
      same_current(diode.branch, diode.law.transit_time > 0.0 ? device::recovery_current(diode.law, voltage, stored_[d])
                                                              : device::diode_current(diode.law, voltage));
    }
    for (const Knee& knee : circuit_.knees()) same_current(knee.branch, device::knee_current(knee.law, v(knee.branch)));
  }

  void check_controlled() {
    for (const Channel& channel : circuit_.channels()) {
      CHECK(i(channel.gate_source) == 0.0);
      same_current(channel.drain_source,
                   device::channel_current(channel.law, v(channel.gate_source), v(channel.drain_source)));
    }
    for (const Driver& driver : circuit_.drivers()) {
      const double on = input(driver.command);
      const double out = device::driver_current(driver.law, v(driver.upper), v(driver.lower), on);
      const double share = device::source_share(coefficients(driver.law), on);
      same_current(driver.upper, share * out);
      same_current(driver.lower, (share - 1.0) * out);
    }
  }

  /// Tellegen: the powers of all branches add up to nothing.
  void check_power() {
    double sum = 0.0;
    for (std::size_t b = 0; b < circuit_.branches().size(); ++b) {
      sum += now_.voltage(circuit_.branches()[b]) * now_.current[b];
    }
    CHECK(std::abs(sum) <= tolerance * volts_ * amperes_);
  }

  const Circuit& circuit_;
  const Instant& now_;
  double time_;
  std::vector<double> stored_;
  double volts_ = 1.0;
  double amperes_ = 1.0;
};

/// The stored-charge current of each diode, 0 without recovery.
std::vector<double> stored_charges(const Circuit& circuit, const CompiledNetwork& network,
                                   const Eigen::VectorXd& state) {
  std::vector<double> stored;
  for (const Diode& diode : circuit.diodes()) {
    double value = 0.0;
    for (std::size_t s = 0; s < network.states.size(); ++s) {
      const bool same = network.states[s].name == circuit.branches()[at(diode.branch)].name;
      if (same && network.states[s].kind == StateKind::stored_charge) value = state[static_cast<Eigen::Index>(s)];
    }
    stored.push_back(value);
  }
  return stored;
}

int count_states(const CompiledNetwork& network, StateKind kind) {
  return static_cast<int>(std::ranges::count(network.states, kind, &State::kind));
}

TEST_CASE("a random circuit obeys Kirchhoff's laws and the law of each element at a random state") {
  CircuitDraw draw(20240607);
  int checked = 0;
  int unsolved = 0;
  int loops_of_capacitors = 0;
  int cutsets_of_inductors = 0;
  while (checked < circuits) {
    const Circuit circuit = draw.circuit();
    CAPTURE(draw.description);
    if (!judge(circuit).sound()) continue;
    Snapshot snapshot(circuit);
    const Eigen::VectorXd state = draw.state(snapshot.network().size());
    const double time = draw.uniform(-1.0, 0.9);
    const auto now = snapshot.solve(time, state);
    // Where a current source meets nothing but channels and diodes there may be no operating point at all.
    if (!now) {
      ++unsolved;
      continue;
    }
    Laws(circuit, *now, time, stored_charges(circuit, snapshot.network(), state)).check();
    loops_of_capacitors +=
        count_of(circuit, BranchKind::capacitor) > count_states(snapshot.network(), StateKind::capacitor_voltage);
    cutsets_of_inductors +=
        count_of(circuit, BranchKind::inductor) > count_states(snapshot.network(), StateKind::inductor_current);
    ++checked;
  }
  CHECK(unsolved < circuits / 10);
  CHECK(loops_of_capacitors > circuits / 10);
  CHECK(cutsets_of_inductors > circuits / 20);
}

TEST_CASE("exactly the circuits without a solution are refused") {
  CircuitDraw draw(4711);
  int refused = 0;
  for (int k = 0; k < 3000; ++k) {
    const Circuit circuit = draw.circuit();
    CAPTURE(draw.description);
    const Verdict verdict = judge(circuit);
    const std::string sentence = refusal([&] { compile(circuit); });
    CAPTURE(sentence);
    CHECK(sentence.empty() == verdict.sound());
    refused += !sentence.empty();
  }
  CHECK(refused > 300);
  CHECK(refused < 2700);
}

TEST_CASE("the states are the capacitors less their loops and the inductors less their cutsets") {
  using enum BranchKind;
  CircuitDraw draw(99);
  for (int k = 0; k < 2000; ++k) {
    const Circuit circuit = draw.circuit();
    if (!judge(circuit).sound()) continue;
    CAPTURE(draw.description);
    const CompiledNetwork network = compile(circuit);
    const int capacitive = rank_of(circuit, {voltage_source, capacitor}) - rank_of(circuit, {voltage_source});
    const int cut = rank_of(circuit, {voltage_source, capacitor, resistor, conduction, inductor}) -
                    rank_of(circuit, {voltage_source, capacitor, resistor, conduction});
    CHECK(count_states(network, StateKind::capacitor_voltage) == capacitive);
    CHECK(count_states(network, StateKind::inductor_current) == count_of(circuit, inductor) - cut);
  }
}

}  // namespace
}  // namespace gateswing::network::test
