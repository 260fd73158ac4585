// The periodic state: against marches through time, its rate of convergence, its invariances, and a circuit that has
// none.
#include <doctest/doctest.h>

#include <Eigen/QR>
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <string_view>

#include "gateswing/study/operating_point.h"
#include "gateswing/study/switched_cell.h"
#include "network/random_cell.h"
#include "study/periodic_cases.h"

namespace gateswing::study::test {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;
using network::LowSideCell;

constexpr simulate::Settings settings{};

/// Largest difference of the states, each divided by 1 V, 1 A or 1 K plus its size.
double distance(const VectorXd& a, const VectorXd& b) {
  return ((a - b).array().abs() / (1.0 + b.array().abs())).maxCoeff();
}
double distance(const VectorXd& a, const VectorXd& b, int size) {
  return distance(VectorXd(a.head(size)), VectorXd(b.head(size)));
}

/// A circuit that lives from period to period by itself, its junctions with it.
class March {
 public:
  explicit March(const simulate::PeriodicCircuit& circuit, double thermal_time_constant)
      : map_(circuit, settings), now_(map_.initial()), share_(-std::expm1(-circuit.period / thermal_time_constant)) {}

  void period() {
    const simulate::PeriodEnd end = map_.run(now_);
    REQUIRE(end.status == integrate::Status::success);
    now_.state = end.state;
    for (Eigen::Index j = 0; j < now_.temperatures.size(); ++j) {
      const simulate::HeatedJunction& junction = map_.junctions()[static_cast<std::size_t>(j)];
      now_.temperatures[j] += share_ * (junction.ambient + junction.resistance * end.heat[j] - now_.temperatures[j]);
    }
  }

  /// Differential states, then temperatures.
  [[nodiscard]] VectorXd all() const { return all_of(now_); }
  [[nodiscard]] VectorXd all_of(const simulate::PeriodStart& start) const {
    VectorXd result(map_.size() + start.temperatures.size());
    result << start.state.head(map_.size()), start.temperatures;
    return result;
  }
  void set(const VectorXd& all) {
    now_.state.head(map_.size()) = all.head(map_.size());
    now_.temperatures = all.tail(now_.temperatures.size());
  }
  [[nodiscard]] const simulate::PeriodStart& now() const { return now_; }

 private:
  simulate::PeriodMap map_;
  simulate::PeriodStart now_;
  double share_;  ///< of the way to the temperatures that the heat asks for, in a period
};

/// The end of a march, taken on from its last states by reduced rank extrapolation until that moves nothing (R. P.
/// Eddy; A. Sidi, Vector Extrapolation Methods, from memory): a way to the periodic state without any derivative. By
/// marching alone a load slower by 10,000 takes 100,000 periods.
simulate::PeriodStart marched(const simulate::PeriodicCircuit& circuit, int waited) {
  constexpr int width = 4;
  March march(circuit, circuit.period);
  for (int k = 0; k < waited; ++k) march.period();
  double moved = 1.0;
  for (int cycle = 0; cycle < 12 && moved > 1e-6; ++cycle) {
    MatrixXd states(march.all().size(), width + 1);
    for (int k = -2; k <= width; ++k) {
      if (k >= 0) states.col(k) = march.all();
      if (k < width) march.period();
    }
    const MatrixXd first = states.rightCols(width) - states.leftCols(width);
    const VectorXd scale = 1.0 + states.col(0).array().abs();
    const MatrixXd second = (first.rightCols(width - 1) - first.leftCols(width - 1)).array().colwise() / scale.array();
    Eigen::CompleteOrthogonalDecomposition<MatrixXd> solver;
    solver.setThreshold(1e-9);
    solver.compute(second);
    const VectorXd weights = solver.solve(-first.col(0).cwiseQuotient(scale));
    march.set(states.col(0) + first.leftCols(width - 1) * weights);
    moved = ((march.all() - states.col(width)).array().abs() / scale.array()).maxCoeff();
  }
  march.period();
  return march.now();
}

network::Ledger ledger_from(const SwitchedCell& switched, const simulate::PeriodStart& start) {
  LowSideRun run = switched.run(start);
  REQUIRE(run.simulator().start(0.0, start.state));
  return run.simulator().ledger(run.advance(switched.period(), settings));
}

TEST_CASE("the state found is the one that marches end in, and so are its losses") {
  for (const PeriodicCase& c : periodic_cases()) {
    CAPTURE(c.name);
    const SwitchedCell switched(c.cell, c.frequency, c.duty);
    const simulate::PeriodicState found =
        simulate::find_periodic_state(switched.circuit(), {.tolerance = 1e-5}, settings);
    REQUIRE(found.outcome == simulate::PeriodicOutcome::periodic);
    CHECK(found.message.empty());
    const March names(switched.circuit(), 1.0);
    const simulate::PeriodStart reference = marched(switched.circuit(), c.waited);
    CHECK(distance(names.all_of(found.start), names.all_of(reference)) < 1e-5);
    const network::Ledger ours = ledger_from(switched, found.start);
    const network::Ledger theirs = ledger_from(switched, reference);
    if (c.duty > 0.0) CHECK(ours.energy_residual < 1e-6);  // else nothing flows that could balance
    for (std::size_t k = 0; k < ours.entries.size(); ++k) {
      CAPTURE(ours.entries[k].element);
      const double expected = theirs.entries[k].energy;
      const double nothing = 1e-6 * theirs.throughput;
      if (ours.entries[k].kind == network::EnergyKind::dissipated)
        CHECK(std::abs(ours.entries[k].energy - expected) <= 1e-4 * std::abs(expected) + nothing);
    }
  }
}

/// Periods until a march stays within 1e-5 of the periodic state; after `patience` of them taken on by the rate of
/// the second half.
double periods_of_march(const SwitchedCell& switched, const simulate::PeriodStart& found, int patience) {
  // That of a die alone; the way to the ambient is slower by a thousand and more, which marches would have to bear.
  constexpr double thermal_time_constant = 1e-3;
  constexpr double near = 1e-5;
  March march(switched.circuit(), thermal_time_constant);
  const VectorXd wanted = march.all_of(found);
  double half_way = 0.0;
  double left = distance(march.all(), wanted);
  int outside = 0;
  for (int k = 1; k <= patience; ++k) {
    march.period();
    left = distance(march.all(), wanted);
    if (left > near) outside = k;
    if (k == patience / 2) half_way = left;
    if (k > outside + 20) return outside + 1;
  }
  return patience + 0.5 * patience * std::log(left / near) / std::log(half_way / left);
}

TEST_CASE("the search takes a twenty-fifth of the periods of a march, in the median of all cases") {
  // GATESWING_BRUTE_FORCE=all marches in every case, for minutes, and prints the table; else in every fifth, and for so
  // few periods that the rest is extrapolated.
  const char* asked = std::getenv("GATESWING_BRUTE_FORCE");  // NOLINT(concurrency-mt-unsafe)
  const bool all = asked != nullptr && std::string_view(asked) == "all";
  const std::vector<PeriodicCase> cases = periodic_cases();
  std::vector<double> ratios;
  for (std::size_t k = 0; k < cases.size(); k += all ? 1 : 5) {
    const PeriodicCase& c = cases[k];
    CAPTURE(c.name);
    const SwitchedCell switched(c.cell, c.frequency, c.duty);
    const simulate::PeriodicState found =
        simulate::find_periodic_state(switched.circuit(), {.tolerance = 1e-5}, settings);
    REQUIRE(found.outcome == simulate::PeriodicOutcome::periodic);
    const double periods = periods_of_march(switched, found.start, all ? 3000 : 60);
    ratios.push_back(periods / found.periods);
    CHECK(found.periods <= (c.waited > 0 ? 80 : 20));
    if (all) MESSAGE(c.name << ": " << found.periods << " periods, march " << periods);
  }
  std::ranges::sort(ratios);
  CHECK(ratios[(ratios.size() - 1) / 2] >= 25.0);
}

TEST_CASE("a load slower by 10,000 periods takes as many of them as one slower by 10") {
  const LowSideCell plain = network::test::plain_cell();
  for (const double periods : {10.0, 100.0, 1e3, 1e4}) {
    CAPTURE(periods);
    const SwitchedCell switched(with_load(plain, {1.2, periods * 1.2 / 50e3, std::nullopt}), 50e3, 0.3);
    const simulate::PeriodicState found =
        simulate::find_periodic_state(switched.circuit(), {.tolerance = 1e-5}, settings);
    CHECK(found.outcome == simulate::PeriodicOutcome::periodic);
    CHECK(found.periods <= 12);
    // What a period leaves of a deviation: about exp(-T R/L), with the on-resistance and the diode's slope beside R.
    CHECK(1.0 - found.largest_multiplier == doctest::Approx(1.0 / periods).epsilon(0.2).scale(0.0));
  }
}

TEST_CASE("corrections shrink quadratically once they are small") {
  LowSideCell cell = with_load(network::test::plain_cell(), {2.5, 200e-6, std::nullopt});
  cell.cooled_mosfet =
      network::CooledMosfet{cell.mosfet, 298.15, {-6e-3, 1.5, 2.2, 0.07}, {1.12, 3.0, 1.5}, {313.15, 120.0}};
  const SwitchedCell switched(cell, 50e3, 0.6);
  const simulate::PeriodicState found =
      simulate::find_periodic_state(switched.circuit(), {.tolerance = 1e-8}, {.relative_tolerance = 1e-9});
  REQUIRE(found.outcome == simulate::PeriodicOutcome::periodic);
  const std::vector<double>& c = found.corrections;
  REQUIRE(c.size() >= 3);
  int quadratic = 0;
  for (std::size_t k = 1; k < c.size(); ++k) {
    if (c[k - 1] < 0.2 && c[k - 1] > 1e-4 && c[k] < 2.0 * c[k - 1] * c[k - 1]) ++quadratic;
  }
  CAPTURE(c);
  CHECK(quadratic >= 2);
}

/// Every inductance, capacitance and time of a cell times k.
LowSideCell slowed(LowSideCell cell, double k) {
  const auto all = [k](auto&... values) { ((values *= k), ...); };
  device::Mosfet<>& m = cell.mosfet;
  all(cell.supply.inductance, cell.supply.bulk_capacitance, cell.supply.bulk_inductance);
  all(m.gate_source.low, m.gate_source.high, m.gate_inductance, m.drain_inductance, m.source_inductance);
  for (device::DepletionCapacitance<>* law : {&m.gate_drain, &m.drain_source, &cell.freewheel->capacitance})
    all(law->zero_bias, law->floor, law->ceiling);
  all(cell.gate.inductance, cell.load.inductance, cell.freewheel->inductance, cell.freewheel->junction.transit_time,
      cell.freewheel->junction.lifetime, cell.snubber->capacitance, cell.wiring.loop_inductance,
      cell.wiring.common_source_inductance);
  network::CommandTiming& timing = cell.driver.timing;
  all(timing.rise_time, timing.fall_time, timing.turn_on_delay, timing.turn_off_delay);
  return cell;
}

TEST_CASE("a cell with every inductance, capacitance and time k-fold has the same state at the k-th of the frequency") {
  const LowSideCell cell = with_recovery(network::test::example_cell());
  const OperatingPoint here = operating_point(cell, {.frequency = 100e3, .duty = 0.4}, settings);
  for (const double k : {0.1, 7.0}) {
    CAPTURE(k);
    const SwitchedCell switched(slowed(cell, k), 100e3 / k, 0.4);
    const simulate::PeriodicState found =
        simulate::find_periodic_state(switched.circuit(), {.tolerance = 1e-5}, settings);
    const simulate::PeriodicState original =
        simulate::find_periodic_state(SwitchedCell(cell, 100e3, 0.4).circuit(), {.tolerance = 1e-5}, settings);
    CHECK(distance(found.start.state, original.start.state, 10) < 1e-5);
    const OperatingPoint there = operating_point(slowed(cell, k), {.frequency = 100e3 / k, .duty = 0.4}, settings);
    CHECK(there.channel_loss == doctest::Approx(here.channel_loss).epsilon(1e-4));
    CHECK(there.efficiency == doctest::Approx(here.efficiency).epsilon(1e-6));
    CHECK(there.turn_on.rise_time == doctest::Approx(k * here.turn_on.rise_time).epsilon(1e-3).scale(0.0));
  }
}

TEST_CASE("a command that comes later by a part of the period finds the states of that part of the period") {
  const LowSideCell cell = network::test::example_cell();
  const double period = 10e-6;
  const auto circuit = [&](double shift) {
    return simulate::PeriodicCircuit{
        period,
        [&cell, period, shift](const VectorXd&) {
          const network::Circuit built = network::build(cell, 3.0);
          network::CompiledNetwork network = network::compile(built);
          network.set_command(
              built.input_index(network::names::gate_command),
              network::periodic_gate_command({shift, shift + 0.4 * period}, period, cell.driver.timing).level);
          return network;
        },
        {}};
  };
  const simulate::PeriodicState unshifted = simulate::find_periodic_state(circuit(0.0), {.tolerance = 1e-6}, settings);
  for (const double part : {0.13, 0.5, 0.97}) {
    CAPTURE(part);
    const simulate::PeriodicState shifted =
        simulate::find_periodic_state(circuit(part * period), {.tolerance = 1e-6}, settings);
    simulate::Simulator simulator(circuit(0.0).network(VectorXd(0)));
    REQUIRE(simulator.start(0.0, unshifted.start.state));
    REQUIRE(simulator.advance((1.0 - part) * period, settings, nullptr).status == integrate::Status::success);
    CHECK(distance(shifted.start.state, simulator.state(), simulator.network().differential_size) < 1e-5);
  }
}

TEST_CASE("random cells become periodic or say why not, and their energy balances") {
  network::test::CellDraw cells(12);
  device::test::Draw operation(13);
  int periodic = 0;
  for (int k = 0; k < 12; ++k) {
    const network::test::RandomCell random = cells.next();
    const double frequency = operation.log_uniform(50e3, 500e3);
    const double duty = operation.uniform(0.0, 1.0);
    CAPTURE(random);
    CAPTURE(frequency);
    CAPTURE(duty);
    const OperatingPoint point = operating_point(random.cell, {.frequency = frequency, .duty = duty},
                                                 {.relative_tolerance = 1e-5, .maximum_steps = 20'000});
    if (point.status != integrate::Status::success || !point.periodic()) {
      CHECK_FALSE(point.message.empty());
      continue;
    }
    ++periodic;
    CHECK(point.energy_residual < 1e-5);
    CHECK(point.periodicity_residual < 1e-4);
  }
  CHECK(periodic >= 10);
}

/// A sine in straight pieces, ten for each quarter of its period, and its repetition.
network::PiecewiseLinear sine(double amplitude, double period) {
  std::vector<network::Corner> corners;
  for (int k = 0; k <= 80; ++k)
    corners.push_back({k * period / 40.0, amplitude * std::sin(k * std::acos(-1.0) / 20.0)});
  return network::PiecewiseLinear(corners);
}

/// Resistor, inductor and a diode's capacitance in series on a sine.
simulate::PeriodicCircuit resonator(double amplitude, double period) {
  return {period,
          [amplitude, period](const VectorXd&) {
            network::Circuit circuit;
            const network::Node source = circuit.node("source");
            const network::Node middle = circuit.node("middle");
            const network::Node diode = circuit.node("diode");
            circuit.add_voltage_source("source", source, network::Node::ground, sine(amplitude, period));
            circuit.add_resistor("resistor", source, middle, 30.0);
            circuit.add_inductor("inductor", middle, diode, 100e-6);
            circuit.add_diode("diode", diode, network::Node::ground, {1e-12, 0.04, 0.0, 0.0});
            circuit.add_capacitor("capacitance", network::Node::ground, diode,
                                  device::DepletionCapacitance<>{300e-12, 0.7, 0.5, 1e-12, 900e-12});
            return network::compile(circuit);
          },
          {}};
}

TEST_CASE("a driven resonator with a diode doubles its period above an amplitude, and the state it leaves is named") {
  // The classic experiment: P. S. Linsay, Phys. Rev. Lett. 47, 1349 (1981); J. Testa, J. Perez, C. Jeffries, Phys. Rev.
  // Lett. 48, 714 (1982), from memory.
  const double period = 0.7e-6;
  const simulate::PeriodicState calm =
      simulate::find_periodic_state(resonator(0.2, period), {.tolerance = 1e-6}, settings);
  CHECK(calm.outcome == simulate::PeriodicOutcome::periodic);
  const simulate::PeriodicState wild =
      simulate::find_periodic_state(resonator(4.0, period), {.tolerance = 1e-6}, settings);
  REQUIRE(wild.outcome == simulate::PeriodicOutcome::unstable);
  CHECK(wild.largest_multiplier > 1.001);
  CHECK(wild.message.find("multiple of the period") != std::string::npos);
  simulate::PeriodMap map(resonator(4.0, period), settings);
  simulate::PeriodStart start = wild.start;
  start.state[0] += 1e-3;
  for (int k = 0; k < 1000; ++k) start.state = map.run(start).state;
  const VectorXd once = map.run(start).state;
  const VectorXd twice = map.run({once, start.temperatures}).state;
  CHECK(distance(once, start.state, 2) > 1e-2);
  CHECK(distance(twice, start.state, 2) < 1e-3);
}

}  // namespace
}  // namespace gateswing::study::test
