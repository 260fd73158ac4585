// The evaluation on lanes against network::NetworkSystem: the same equations on other storage.
#include "gateswing/lanes/evaluator.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <random>

#include "gateswing/lanes/make_plan.h"
#include "gateswing/lanes/pack_memory.h"
#include "gateswing/network/network_system.h"
#include "network/example_cell.h"
#include "network/random_cell.h"

namespace gateswing::lanes::test {
namespace {

constexpr int size = 14;
constexpr double tolerance = 1e-11;
using System = network::NetworkSystem<size>;

/// With a gate command that rises, so that the laws depend on time.
network::CompiledNetwork on_a_ramp(network::CompiledNetwork compiled) {
  const auto command = std::ranges::find(compiled.input_names, std::string(network::names::gate_command));
  REQUIRE(command != compiled.input_names.end());
  compiled.set_command(static_cast<network::InputIndex>(command - compiled.input_names.begin()),
                       network::PiecewiseLinear({{-5e-9, 0.0}, {15e-9, 1.0}}));
  return compiled;
}

/// Both evaluations of one network, in one segment of its inputs.
struct Both {
  explicit Both(const network::CompiledNetwork& compiled)
      : network(on_a_ramp(compiled)), plan(*make_plan(network)), memory(plan, 1), system(network) {
    memory.load(0, network, network.initial_state());
    memory.enter_segment(0, network.inputs, 0.0, 1.0);
    system.enter_segment(network.inputs, 0.0);
  }

  [[nodiscard]] const double* at(int offset) { return memory.values() + offset; }
  [[nodiscard]] Eigen::MatrixXd minus_jacobian() {
    Eigen::MatrixXd dense = Eigen::MatrixXd::Zero(plan.states, plan.states);
    for (int row = 0; row < plan.states; ++row) {
      for (int column = 0; column < plan.states; ++column) {
        const int slot = plan.elimination.slot_of[place(row, column, plan.states)];
        if (slot >= 0) dense(row, column) = at(plan.layout.minus_jacobian)[slot];
      }
    }
    return dense;
  }
  [[nodiscard]] Eigen::MatrixXd mass() {
    Eigen::MatrixXd dense = Eigen::MatrixXd::Zero(plan.states, plan.states);
    int entry = 0;
    for (int row = 0; row < plan.states; ++row) {
      for (; entry < plan.mass_columns.past[static_cast<std::size_t>(row)]; ++entry) {
        dense(row, plan.mass_columns.items[static_cast<std::size_t>(entry)]) = at(plan.layout.mass)[entry];
      }
    }
    return dense;
  }

  network::CompiledNetwork network;
  Plan plan;
  PackMemory memory;
  System system;
};

void check_close(const Eigen::MatrixXd& value, const Eigen::MatrixXd& expected) {
  REQUIRE(value.size() == expected.size());
  const double scale = expected.cwiseAbs().maxCoeff();
  for (Eigen::Index i = 0; i < value.size(); ++i) {
    CAPTURE(i);
    const double error = std::abs(value.reshaped()[i] - expected.reshaped()[i]);
    CHECK(error <= tolerance * (std::abs(expected.reshaped()[i]) + 1e-3 * scale));
  }
}

Eigen::VectorXd vector(const double* values, int count) {
  return Eigen::Map<const Eigen::VectorXd>(values, count);
}

void check_same(const network::CompiledNetwork& compiled, std::mt19937& random) {
  Both both(compiled);
  const int n = both.plan.states;
  const int integrals = both.plan.integrals;
  std::uniform_real_distribution<double> spread(-2.0, 2.0);
  const auto near = [&] {
    System::Vector x = System::Vector::Zero();
    for (int i = 0; i < n; ++i) x[i] = compiled.states[static_cast<std::size_t>(i)].initial + spread(random);
    return x;
  };
  const System::Vector base = near();
  const System::Vector other = near();
  constexpr double elapsed = 3e-9;
  Evaluator<double> evaluator(both.plan, both.memory.values());
  evaluator.linearize(elapsed, base.data());
  System::Matrix mass, jacobian;
  System::Vector time_derivative, residual;
  System::Integrals powers;
  both.system.linearize(elapsed, base, mass, jacobian, time_derivative);
  check_close(both.mass(), mass.topLeftCorner(n, n));
  check_close(both.minus_jacobian(), -jacobian.topLeftCorner(n, n));
  check_close(vector(both.at(both.plan.layout.time_derivative), n), time_derivative.head(n));
  both.system.residual(elapsed, base, residual, powers);
  check_close(vector(both.at(both.plan.layout.start_residual), n), residual.head(n));
  check_close(vector(both.at(both.plan.layout.start_integrand), integrals), powers.head(integrals));

  Eigen::VectorXd r(n);
  Eigen::VectorXd p = Eigen::VectorXd::Zero(integrals);
  evaluator.residual(elapsed, other.data(), r.data(), 1.0, p.data());
  both.system.residual(elapsed, other, residual, powers);
  check_close(r, residual.head(n));
  check_close(p, powers.head(integrals));
  const System::Vector direction = other - base;
  p.setZero();
  evaluator.add_integrand_tangent(direction.data(), 1e-9, p.data());
  check_close(p, both.system.integrand_tangent(direction, 1e-9).head(integrals));
}

TEST_CASE("cells of the examples and drawn ones evaluate as in the scalar system") {
  std::mt19937 random(29);
  check_same(network::compile(network::build(network::test::example_cell(), 4.0)), random);
  check_same(network::compile(network::build(network::test::plain_cell(), 4.0)), random);
  network::test::CellDraw draw(31);
  int checked = 0;
  for (int k = 0; k < 60; ++k) {
    const network::test::RandomCell cell = draw.next();
    CAPTURE(k);
    CAPTURE(cell);
    const network::CompiledNetwork compiled = network::compile(network::build(cell.cell, cell.current));
    if (compiled.size() > size) continue;
    check_same(compiled, random);
    ++checked;
  }
  CHECK(checked > 40);
}

TEST_CASE("a superjunction part and a recovering diode evaluate as in the scalar system") {
  std::mt19937 random(37);
  network::LowSideCell cell = network::test::plain_cell();
  cell.mosfet.gate_drain_step = device::StepCapacitance<>{4e-10, 1e-12, 25.0, 3.0};
  cell.mosfet.drain_source_step = device::StepCapacitance<>{2e-9, 5e-11, 20.0, 2.0};
  cell.freewheel->junction.transit_time = 20e-9;
  cell.freewheel->junction.lifetime = 60e-9;
  const network::CompiledNetwork compiled = network::compile(network::build(cell, 4.0));
  REQUIRE(compiled.step_capacitors.size() == 3);
  REQUIRE(std::ranges::any_of(compiled.diodes, [](const network::DiodePort& diode) { return diode.charge >= 0; }));
  check_same(compiled, random);
}

TEST_CASE("values do not change the structure, a part more does") {
  const auto structure_of = [](const network::LowSideCell& cell) {
    return structure(network::compile(network::build(cell, 4.0)));
  };
  network::LowSideCell other = network::test::example_cell();
  other.supply.voltage = 36.0;
  other.gate.turn_on_resistance = 4.7;
  other.mosfet.source_inductance = 1e-9;
  CHECK(structure_of(other) == structure_of(network::test::example_cell()));
  other.snubber.reset();
  CHECK(structure_of(other) != structure_of(network::test::example_cell()));
}

}  // namespace
}  // namespace gateswing::lanes::test
