// The equations of the cells behind a C interface, which run.py hands to SciPy's solvers.
#include <Eigen/Core>
#include <memory>
#include <vector>

#include "shared/cells.h"
#include "shared/equations.h"

namespace {

using gateswing::bench::Equations;

Equations& equations(int cell) {
  static const std::vector<std::unique_ptr<Equations>> all = [] {
    std::vector<std::unique_ptr<Equations>> list;
    for (const auto& one : gateswing::bench::cells())
      list.push_back(std::make_unique<Equations>(gateswing::bench::nominal(one)));
    return list;
  }();
  return *all[static_cast<std::size_t>(cell)];
}

Eigen::Map<const Eigen::VectorXd> vector(int cell, const double* values) {
  return {values, equations(cell).size()};
}
Eigen::Map<Eigen::VectorXd> vector(int cell, double* values) {
  return {values, equations(cell).size()};
}

}  // namespace

extern "C" {

/// Cells by their place in gateswing::bench::cells().
void bench_enter(int cell, double time) {
  equations(cell).enter_segment(time);
}

void bench_rates(int cell, double t, const double* x, double* g) {
  equations(cell).rates(t, vector(cell, x), vector(cell, g));
}

/// `columns`: one after the other.
void bench_jacobian(int cell, double t, const double* x, double* columns) {
  const Eigen::Index n = equations(cell).size();
  Eigen::VectorXd slope(n);
  equations(cell).linearize(t, vector(cell, x), Eigen::Map<Eigen::MatrixXd>(columns, n, n), slope);
}

/// `count` evaluations from here, for what a call from Python adds.
void bench_repeat_rates(int cell, double t, const double* x, double* g, int count) {
  for (int k = 0; k < count; ++k) bench_rates(cell, t, x, g);
}
}
