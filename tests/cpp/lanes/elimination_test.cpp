// Sparse elimination against Eigen's with row exchanges.
#include "gateswing/lanes/elimination.h"

#include <doctest/doctest.h>

#include <Eigen/LU>
#include <random>
#include <vector>

#include "gateswing/lanes/sparse_lu.h"

namespace gateswing::lanes::test {
namespace {

struct Sparse {
  Eigen::MatrixXd matrix;
  Pattern pattern;
};

/// Dominant diagonal, about a quarter of the other places occupied.
Sparse draw(std::mt19937& random, int size) {
  std::uniform_real_distribution<double> value(-1.0, 1.0);
  Sparse sparse{Eigen::MatrixXd::Zero(size, size), Pattern(size)};
  for (int row = 0; row < size; ++row) {
    for (int column = 0; column < size; ++column) {
      if (row != column && value(random) < 0.5) continue;
      sparse.matrix(row, column) = value(random) + (row == column ? 4.0 : 0.0);
      sparse.pattern(row, column) = 1;
    }
  }
  return sparse;
}

std::vector<double> slots(const Elimination& plan, const Eigen::MatrixXd& matrix) {
  std::vector<double> values(static_cast<std::size_t>(plan.slots), 0.0);
  for (int row = 0; row < matrix.rows(); ++row) {
    for (int column = 0; column < matrix.cols(); ++column) {
      const int slot = plan.slot_of[place(row, column, static_cast<int>(matrix.rows()))];
      if (slot >= 0) values[static_cast<std::size_t>(slot)] = matrix(row, column);
    }
  }
  return values;
}

TEST_CASE("solutions of drawn sparse systems are those of dense elimination") {
  std::mt19937 random(17);
  for (int n = 0; n < 200; ++n) {
    const int size = 1 + n % 16;
    CAPTURE(n);
    const Sparse sparse = draw(random, size);
    const std::optional<Elimination> plan = plan_elimination(sparse.pattern);
    REQUIRE(plan);
    std::vector<double> values = slots(*plan, sparse.matrix);
    std::vector<double> inverse(static_cast<std::size_t>(size));
    CHECK_FALSE(factorize(*plan, values.data(), inverse.data()));
    Eigen::VectorXd x = Eigen::VectorXd::Random(size);
    const Eigen::VectorXd expected = sparse.matrix.lu().solve(x);
    solve(*plan, values.data(), inverse.data(), x.data());
    CHECK((x - expected).cwiseAbs().maxCoeff() < 1e-12);
  }
}

TEST_CASE("a chain fills nothing, and an arrow is eliminated from its tips") {
  constexpr int size = 8;
  Pattern arrow(size);
  for (int i = 0; i < size; ++i) arrow(i, i) = arrow(0, i) = arrow(i, 0) = 1;
  CHECK(plan_elimination(arrow)->slots == 3 * size - 2);
  Pattern chain(size);
  for (int i = 0; i < size; ++i) {
    chain(i, i) = 1;
    if (i > 0) chain(i, i - 1) = chain(i - 1, i) = 1;
  }
  CHECK(plan_elimination(chain)->slots == 3 * size - 2);
}

TEST_CASE("a pivot lost to cancellation is reported, an empty diagonal place is refused") {
  Pattern full(2);
  for (const int row : {0, 1}) full(row, 0) = full(row, 1) = 1;
  const Elimination plan = *plan_elimination(full);
  double inverse[2];
  for (const double rest : {0.0, 1e-13, 1e-3}) {
    CAPTURE(rest);
    std::vector<double> values = slots(plan, Eigen::Matrix2d{{1.0, 1.0}, {1.0, 1.0 + rest}});
    CHECK(factorize(plan, values.data(), inverse) == (rest < 1e-10));
  }
  std::vector<double> broken = slots(plan, Eigen::Matrix2d{{NAN, 1.0}, {1.0, 2.0}});
  CHECK(factorize(plan, broken.data(), inverse));
  full(1, 1) = 0;
  CHECK_FALSE(plan_elimination(full));
}

}  // namespace
}  // namespace gateswing::lanes::test
