// The equations of a compiled network as x' = g(x, t), for solvers from elsewhere.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "gateswing/network/compiled_network.h"
#include "gateswing/network/conduction.h"
#include "gateswing/network/sparse_forms.h"
#include "gateswing/network/variable_capacitance.h"

namespace gateswing::bench {

/// g = M(x)^-1 f(x, t) and its exact Jacobian, by the library's own laws and without its energy integrals, which only
/// the library itself computes.
class Equations {
 public:
  using Vector = Eigen::Ref<Eigen::VectorXd>;
  using ConstVector = Eigen::Ref<const Eigen::VectorXd>;
  using Matrix = Eigen::Ref<Eigen::MatrixXd>;

  /// Throws std::invalid_argument where a voltage is algebraic.
  explicit Equations(network::CompiledNetwork network);

  /// Fixes the inputs valid from `time` [s] to their next corner.
  void enter_segment(double time);

  void rates(double t, const ConstVector& x, Vector g);
  /// `jacobian` = dg/dx, `slope` = dg/dt.
  void linearize(double t, const ConstVector& x, Matrix jacobian, Vector slope);

  [[nodiscard]] Eigen::Index size() const { return constant_mass_.rows(); }
  [[nodiscard]] const network::CompiledNetwork& network() const { return network_; }

 private:
  /// Overwrites f, or each column of a matrix, by M^-1 f; `factor_` holds the leading block.
  template <class Columns>
  void divide_by_mass(Columns&& columns) const;

  network::CompiledNetwork network_;
  network::SparseForms linear_;
  network::Conduction conduction_;
  network::VariableCapacitance capacitance_;
  int variable_size_;
  Eigen::MatrixXd constant_mass_, inverse_rest_, factor_;
  mutable Eigen::VectorXd rest_;
  Eigen::VectorXd state_, rates_, slope_, zero_;
  double begin_ = 0.0;
};

/// Largest relative deviation of the Jacobian from central differences of the rates, by element of largest size in its
/// row.
double jacobian_deviation(Equations& equations, double t, const Eigen::VectorXd& x);

}  // namespace gateswing::bench
