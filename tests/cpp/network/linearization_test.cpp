// The exact derivatives of the evaluator against differences of what it evaluates.
#include <doctest/doctest.h>

#include <Eigen/Cholesky>
#include <cmath>

#include "network/random_circuit.h"
#include "network/support.h"
#include "network/topology.h"

namespace gateswing::network::test {
namespace {

using System = Snapshot::System;
using Vector = System::Vector;
using Matrix = System::Matrix;
using Integrals = System::Integrals;

constexpr double step = 2e-3;
constexpr double tolerance = 1e-7;  // of the largest entry; the differences are good to about 1e-9

/// f'(0) of a smooth function by Richardson extrapolation of central differences, to the fourth order.
template <class Function>
auto slope(const Function& f) {
  const auto central = [&](double h) { return ((f(h) - f(-h)) / (2.0 * h)).eval(); };
  return ((4.0 * central(0.5 * step) - central(step)) / 3.0).eval();
}

template <class A, class B>
bool agree(const A& a, const B& b) {
  return (a - b).cwiseAbs().maxCoeff() <= tolerance * (1.0 + b.cwiseAbs().maxCoeff());
}

/// The depletion law's slope has a kink at 0 V, where a difference says nothing about the derivative.
bool near_kink(const CompiledNetwork& network, const Vector& x, double reach) {
  for (const auto& capacitor : network.depletion_capacitors) {
    const Port& port = network.ports[at(capacitor.port)];
    double voltage = 0.0;
    for (const PortTerm& term : port.states) voltage += term.sign * x[term.index];
    for (const PortTerm& term : port.inputs) voltage += term.sign * network.inputs[at(term.index)].value(0.0);
    if (std::abs(voltage) < reach) return true;
  }
  return false;
}

/// One circuit linearized at one point.
class Point {
 public:
  Point(System& system, double time, const Vector& x) : system_(system), time_(time), x_(x) {
    system.linearize(time, x, mass, jacobian, time_derivative);
  }

  Vector residual(double time_shift, const Vector& shift) {
    Vector r;
    Integrals p;
    system_.residual(time_ + time_shift, x_ + shift, r, p);
    return r;
  }
  Integrals integrand(double time_shift, const Vector& shift) {
    Vector r;
    Integrals p;
    system_.residual(time_ + time_shift, x_ + shift, r, p);
    return p;
  }

  Integrals tangent(const Vector& direction, double time) { return system_.integrand_tangent(direction, time); }

  Matrix mass;
  Matrix jacobian;
  Vector time_derivative;

 private:
  System& system_;
  double time_;
  Vector x_;
};

template <class Check>
void at_random_points(unsigned seed, Check&& check) {
  CircuitDraw draw(seed);
  for (int checked = 0; checked < 300;) {
    const Circuit circuit = draw.circuit();
    CAPTURE(draw.description);
    if (!judge(circuit).sound()) continue;
    Snapshot snapshot(circuit);
    Vector x = Vector::Zero();
    x.head(snapshot.network().size()) = draw.state(snapshot.network().size());
    if (near_kink(snapshot.network(), x, 4.0 * step)) continue;
    const double time = draw.uniform(-0.9, 0.9);
    snapshot.system().enter_segment(snapshot.network().inputs, -1.0);
    Point point(snapshot.system(), time, x);
    Vector direction;
    for (double& entry : direction) entry = draw.uniform(-1.0, 1.0);
    check(snapshot.network(), point, direction, draw.uniform(-1.0, 1.0));
    ++checked;
  }
}

TEST_CASE("the Jacobian is M times the derivative of M^-1 f") {
  at_random_points(7, [](const CompiledNetwork& network, Point& point, const Vector&, double) {
    Matrix differences = Matrix::Zero();
    for (int column = 0; column < network.size(); ++column) {
      differences.col(column) = slope([&](double h) { return point.residual(0.0, h * Vector::Unit(column)); });
    }
    CAPTURE(point.jacobian);
    CAPTURE(differences);
    CHECK(agree(point.jacobian, differences));
  });
}

TEST_CASE("the time derivative counts moving sources and driver commands") {
  int moving = 0;
  at_random_points(8, [&](const CompiledNetwork&, Point& point, const Vector&, double) {
    const Vector differences = slope([&](double h) { return point.residual(h, Vector::Zero()); });
    // M0 M(x)^-1 is one at the point itself, so differences of the residual are those of f.
    CHECK(agree(point.time_derivative, differences));
    moving += point.time_derivative.cwiseAbs().maxCoeff() > 0.0;
  });
  CHECK(moving > 50);
}

TEST_CASE("the tangent of the energy and charge integrands is their derivative along state and time") {
  at_random_points(10, [](const CompiledNetwork& network, Point& point, Vector direction, double time) {
    direction.tail(Snapshot::most_states - network.size()).setZero();
    // The last integrands are magnitudes: no slope to compare where one is about to change its sign.
    const Eigen::VectorXd passing =
        point.integrand(0.0, Vector::Zero())
            .segment(network.integral_count() - network.variable_size, network.variable_size);
    if ((passing.array() > 0.0 && passing.array() < 0.01).any()) return;
    const Integrals differences = slope([&](double h) { return point.integrand(h * time, h * direction); });
    CAPTURE(differences.transpose());
    CHECK(agree(point.tangent(direction, time), differences));
  });
}

TEST_CASE("the mass matrix is symmetric and positive definite on the differential states and zero elsewhere") {
  at_random_points(11, [](const CompiledNetwork& network, Point& point, const Vector&, double) {
    CHECK((point.mass - point.mass.transpose()).cwiseAbs().maxCoeff() == 0.0);
    const int n = network.differential_size;
    const int algebraic = network.size() - n;
    CHECK((algebraic == 0 || point.mass.middleRows(n, algebraic).cwiseAbs().maxCoeff() == 0.0));
    if (n == 0) return;
    const Eigen::MatrixXd block = point.mass.topLeftCorner(n, n);
    CHECK(Eigen::LLT<Eigen::MatrixXd>(block).info() == Eigen::Success);
    CHECK(block.llt().matrixL().toDenseMatrix().diagonal().minCoeff() > 0.1);
  });
}

}  // namespace
}  // namespace gateswing::network::test
