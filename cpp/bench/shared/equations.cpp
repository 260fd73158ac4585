#include "shared/equations.h"

#include <Eigen/LU>
#include <algorithm>
#include <stdexcept>

#include "gateswing/network/small_cholesky.h"

namespace gateswing::bench {
namespace {

std::vector<network::LinearForm> linear_rows(const network::CompiledNetwork& network) {
  std::vector<network::LinearForm> rows;
  for (int row = 0; row < network.size(); ++row)
    rows.push_back({network.state_matrix.row(row), network.input_matrix.row(row)});
  return rows;
}

}  // namespace

Equations::Equations(network::CompiledNetwork network)
    : network_(std::move(network)),
      linear_(linear_rows(network_)),
      conduction_(network_),
      capacitance_(network_),
      variable_size_(network_.variable_size),
      constant_mass_(network_.constant_mass),
      factor_(constant_mass_),
      zero_(Eigen::VectorXd::Zero(network_.size())) {
  if (network_.differential_size != network_.size()) throw std::invalid_argument("a voltage of this cell is algebraic");
  const Eigen::Index rest = size() - variable_size_;
  inverse_rest_ = constant_mass_.bottomRightCorner(rest, rest).inverse();
  rest_ = Eigen::VectorXd::Zero(rest);
  state_ = rates_ = slope_ = zero_;
}

void Equations::enter_segment(double time) {
  begin_ = time;
  std::vector<network::Segment> segments;
  for (const network::PiecewiseLinear& input : network_.inputs) {
    const network::Segment segment = input.segment_from(time);
    segments.push_back({time, segment.value + segment.slope * (time - segment.start), segment.slope});
  }
  linear_.enter_segment(segments, time);
  conduction_.enter_segment(segments, time);
}

template <class Columns>
void Equations::divide_by_mass(Columns&& columns) const {
  for (Eigen::Index c = 0; c < columns.cols(); ++c) {
    auto column = columns.col(c);
    network::solve_leading_block(factor_, column, variable_size_);
    rest_.noalias() = inverse_rest_ * column.tail(rest_.size());
    column.tail(rest_.size()) = rest_;
  }
}

void Equations::rates(double t, const ConstVector& x, Vector g) {
  const double elapsed = t - begin_;
  for (int row = 0; row < linear_.count(); ++row) g[row] = linear_.value(row, x, elapsed);
  conduction_.evaluate(x, elapsed, g);
  factor_.topLeftCorner(variable_size_, variable_size_) = constant_mass_.topLeftCorner(variable_size_, variable_size_);
  capacitance_.add_mass(conduction_.ports(), x, factor_);
  network::factorize_leading_block(factor_, variable_size_);
  divide_by_mass(g);
}

void Equations::linearize(double t, const ConstVector& x, Matrix jacobian, Vector slope) {
  const double elapsed = t - begin_;
  for (int row = 0; row < linear_.count(); ++row) rates_[row] = linear_.value(row, x, elapsed);
  jacobian = network_.state_matrix;
  state_ = x;
  conduction_.linearize(state_, elapsed, rates_, jacobian);
  factor_.topLeftCorner(variable_size_, variable_size_) = constant_mass_.topLeftCorner(variable_size_, variable_size_);
  capacitance_.linearize(conduction_.ports(), x, factor_);
  network::factorize_leading_block(factor_, variable_size_);
  divide_by_mass(rates_);
  capacitance_.take_mass_slopes(conduction_.ports(), rates_, jacobian);
  divide_by_mass(jacobian);
  for (int row = 0; row < linear_.count(); ++row) slope_[row] = linear_.change(row, zero_, 1.0);
  conduction_.tangent(zero_, 1.0, slope_);
  divide_by_mass(slope_);
  slope = slope_;
}

double jacobian_deviation(Equations& equations, double t, const Eigen::VectorXd& x) {
  const Eigen::Index n = equations.size();
  Eigen::MatrixXd exact(n, n);
  Eigen::VectorXd slope(n), above(n), below(n);
  equations.linearize(t, x, exact, slope);
  double worst = 0.0;
  for (Eigen::Index column = 0; column < n; ++column) {
    constexpr double step = 1e-6;  // [V] or [A]
    Eigen::VectorXd moved = x;
    moved[column] = x[column] + step;
    equations.rates(t, moved, above);
    moved[column] = x[column] - step;
    equations.rates(t, moved, below);
    const Eigen::VectorXd difference = (above - below) / (2.0 * step) - exact.col(column);
    const Eigen::VectorXd size = exact.cwiseAbs().rowwise().maxCoeff();
    worst = std::max(worst, (difference.array().abs() / size.array().max(1e-300)).maxCoeff());
  }
  return worst;
}

}  // namespace gateswing::bench
