// The compiled network as a system of the integrator: f, M, exact Jacobian and energy integrands, on fixed-size
// storage.
#pragma once

#include <Eigen/Core>
#include <cmath>
#include <span>
#include <stdexcept>
#include <string>
#include <vector>

#include "gateswing/network/compiled_network.h"
#include "gateswing/network/conduction.h"
#include "gateswing/network/small_cholesky.h"
#include "gateswing/network/source_power.h"
#include "gateswing/network/variable_capacitance.h"

namespace gateswing::network {

/// Evaluator for a network of at most N states; unused rows are x' = 0.
///
/// Integrals, in this order: energy of each resistor; of each channel, diode, knee, driver; energy absorbed by each
/// source without what its capacitors bring (see ledger.h); charge out of each source, likewise; the right-hand side f
/// of each variable row, whose integral must equal the change of the capacitors' charge on that row; and the magnitude
/// of its linear part, the current that passes the row.
/// linearize, residual and integrand_tangent follow the contract in integrate/rosenbrock_step.h.
template <int N>
class NetworkSystem {
 public:
  using Real = double;
  static constexpr int size = N;
  static constexpr int quadratures = integral_capacity(N);
  using Vector = Eigen::Matrix<Real, N, 1>;
  using Matrix = Eigen::Matrix<Real, N, N>;
  using Integrals = Eigen::Matrix<Real, quadratures, 1>;

  explicit NetworkSystem(const CompiledNetwork& network)
      : variable_size_(checked_variable_size(network)),
        states_(network.size()),
        conduction_(network),
        capacitance_(network),
        resistors_(network.resistors),
        sources_(network.sources),
        input_matrix_(network.input_matrix),
        segments_(network.inputs.size(), Segment{0.0, 0.0, 0.0}) {
    constant_mass_.setIdentity();
    constant_mass_.topLeftCorner(states_, states_) = network.constant_mass;
    state_matrix_.setZero();
    state_matrix_.topLeftCorner(states_, states_) = network.state_matrix;
  }

  /// Fixes the affine inputs valid from `time` [s] to the next corner of any of them.
  void enter_segment(std::span<const PiecewiseLinear> inputs, Real time) {
    segment_start_ = time;
    Eigen::VectorXd value(input_matrix_.cols());
    Eigen::VectorXd slope(input_matrix_.cols());
    for (std::size_t u = 0; u < inputs.size(); ++u) {
      segments_[u] = inputs[u].segment_from(time);
      value[static_cast<Eigen::Index>(u)] = segments_[u].value + segments_[u].slope * (time - segments_[u].start);
      slope[static_cast<Eigen::Index>(u)] = segments_[u].slope;
    }
    segment_value_.setZero();
    segment_value_.head(states_) = input_matrix_ * value;
    segment_slope_.setZero();
    segment_slope_.head(states_) = input_matrix_ * slope;
    conduction_.enter_segment(segments_, time);
    resistors_.enter_segment(segments_, time);
    sources_.enter_segment(segments_, time);
  }

  // Not inlined: the integrator calls these from every unrolled stage, and a copy each would only swell the code.
  [[gnu::noinline]] void linearize(Real t, const Vector& x, Matrix& mass, Matrix& jacobian, Vector& time_derivative) {
    const Real elapsed = t - segment_start_;
    Vector f = linear_part(elapsed, x);
    base_linear_ = f;
    jacobian = state_matrix_;
    conduction_.linearize(x, elapsed, f, jacobian);
    mass = constant_mass_;
    capacitance_.linearize(conduction_.ports(), x, mass);
    base_mass_ = mass;
    base_state_ = x;
    base_elapsed_ = elapsed;
    base_right_hand_side_ = f;
    Matrix factor;
    copy_variable_block(mass, factor);
    capacitance_.take_mass_slopes(conduction_.ports(), variable_rates(factor, f), jacobian);
    time_derivative = segment_slope_;
    conduction_.tangent(Vector(Vector::Zero()), 1.0, time_derivative);
  }

  [[gnu::noinline]] void residual(Real t, const Vector& x, Vector& r, Integrals& p) {
    const Real elapsed = t - segment_start_;
    r = linear_part(elapsed, x);
    p.setZero();
    read_passing(r, p);
    conduction_.evaluate(x, elapsed, r);
    read_integrands(x, elapsed, r, p);
    Matrix mass;
    copy_variable_block(constant_mass_, mass);
    capacitance_.add_mass(conduction_.ports(), x, mass);
    const Vector rates = variable_rates(mass, r);
    for (int row = 0; row < variable_size_; ++row) {
      r[row] = 0.0;
      for (int column = 0; column < variable_size_; ++column) r[row] += base_mass_(row, column) * rates[column];
    }
  }

  /// M0 M^-1 f is f itself here, and the laws have just been evaluated.
  [[gnu::noinline]] void base_residual(Vector& r, Integrals& p) {
    r = base_right_hand_side_;
    p.setZero();
    read_passing(base_linear_, p);
    read_integrands(base_state_, base_elapsed_, r, p);
  }

  [[nodiscard, gnu::noinline]] Integrals integrand_tangent(const Vector& direction, Real time) {
    Integrals dp = Integrals::Zero();
    Vector df = state_matrix_ * direction + segment_slope_ * time;
    for (int row = 0; row < variable_size_; ++row)
      dp[passing_begin() + row] = std::copysign(1.0, base_linear_[row]) * df[row];
    conduction_.tangent(direction, time, df);
    conduction_.power_changes(device_part(dp));
    resistors_.power_changes(base_state_, base_elapsed_, direction, time, dp);
    sources_.power_changes(base_state_, base_elapsed_, direction, time, conduction_, dp.data() + source_begin(),
                           dp.data() + charge_begin());
    for (int row = 0; row < variable_size_; ++row) dp[row_begin() + row] = df[row];
    return dp;
  }

 private:
  [[nodiscard]] int source_begin() const { return resistors_.count() + static_cast<int>(conduction_.device_count()); }
  [[nodiscard]] int charge_begin() const { return source_begin() + sources_.count(); }
  [[nodiscard]] int row_begin() const { return charge_begin() + sources_.count(); }
  [[nodiscard]] int passing_begin() const { return row_begin() + variable_size_; }
  [[nodiscard]] std::span<double> device_part(Integrals& p) const {
    return {p.data() + resistors_.count(), conduction_.device_count()};
  }

  void read_passing(const Vector& linear, Integrals& p) const {
    for (int row = 0; row < variable_size_; ++row) p[passing_begin() + row] = std::abs(linear[row]);
  }

  /// With the currents last evaluated.
  void read_integrands(const Vector& x, Real elapsed, const Vector& f, Integrals& p) {
    conduction_.powers(device_part(p));
    resistors_.powers(x, elapsed, p);
    sources_.powers(x, elapsed, conduction_, p.data() + source_begin(), p.data() + charge_begin());
    for (int row = 0; row < variable_size_; ++row) p[row_begin() + row] = f[row];
  }

  /// Asked by the first member, before any other copies rows into its fixed width.
  static int checked_variable_size(const CompiledNetwork& network) {
    if (network.size() > N) {
      throw std::invalid_argument("the circuit has " + std::to_string(network.size()) +
                                  " states; this evaluator holds " + std::to_string(N));
    }
    if (network.integral_count() > quadratures) {
      throw std::invalid_argument("the circuit needs " + std::to_string(network.integral_count()) +
                                  " energy and charge integrals; " + std::to_string(quadratures) + " is the most");
    }
    return network.variable_size;
  }

  [[nodiscard]] Vector linear_part(Real elapsed, const Vector& x) const {
    return state_matrix_ * x + segment_value_ + elapsed * segment_slope_;
  }

  void copy_variable_block(const Matrix& from, Matrix& to) const {
    for (int column = 0; column < variable_size_; ++column) {
      for (int row = 0; row < variable_size_; ++row) to(row, column) = from(row, column);
    }
  }

  /// g = M(x)^-1 f on the rows whose mass depends on the state, 0 elsewhere; overwrites that block of M by its factor.
  [[nodiscard]] Vector variable_rates(Matrix& factor, const Vector& f) const {
    Vector rates = Vector::Zero();
    for (int row = 0; row < variable_size_; ++row) rates[row] = f[row];
    factorize_leading_block(factor, variable_size_);
    solve_leading_block(factor, rates, variable_size_);
    return rates;
  }

  int variable_size_;
  int states_;
  Conduction conduction_;
  VariableCapacitance capacitance_;
  ResistorPower resistors_;
  SourcePowers sources_;
  Matrix constant_mass_, state_matrix_;
  Eigen::MatrixXd input_matrix_;
  std::vector<Segment> segments_;
  Real segment_start_ = 0.0;
  Vector segment_value_, segment_slope_;  // input part of f: value + elapsed slope
  Matrix base_mass_;                      // at the last linearize
  Vector base_state_, base_linear_, base_right_hand_side_;
  Real base_elapsed_ = 0.0;
};

}  // namespace gateswing::network
