// The factorisation of the step matrix.
#include "gateswing/integrate/small_lu.h"

#include <doctest/doctest.h>

#include <Eigen/Dense>
#include <limits>
#include <random>

namespace gateswing::integrate {

namespace {

template <int size>
void check_random_systems() {
  using Vector = Eigen::Matrix<double, size, 1>;
  using Matrix = Eigen::Matrix<double, size, size>;
  std::mt19937 random(size);
  std::normal_distribution<double> normal;
  for (int trial = 0; trial < 100; ++trial) {
    Matrix matrix = Matrix::NullaryExpr([&](Eigen::Index) { return normal(random); });
    if (trial % 2 == 1) matrix.diagonal().setZero();  // needs its rows exchanged
    const Vector solution = Vector::NullaryExpr([&](Eigen::Index) { return normal(random); });
    SmallLu<Vector> lu;
    lu.compute(matrix);
    const double condition = matrix.norm() * matrix.inverse().norm();
    CAPTURE(matrix);
    CHECK_FALSE(lu.singular());
    CHECK(lu.finite());
    CHECK((lu.solve(matrix * solution) - solution).norm() < 1e-14 * condition * solution.norm());
    CHECK((matrix * lu.solve(solution) - solution).norm() < 1e-13 * matrix.norm() * lu.solve(solution).norm());
  }
}

}  // namespace

TEST_CASE("a solve inverts the product with the matrix") {
  check_random_systems<2>();
  check_random_systems<3>();
  check_random_systems<8>();
  check_random_systems<13>();
}

TEST_CASE("a matrix with an exactly dependent row is singular") {
  SmallLu<Eigen::Vector3d> lu;
  lu.compute(Eigen::Matrix3d{{1.0, 2.0, 0.0}, {2.0, 4.0, 0.0}, {0.0, 0.0, 1.0}});
  CHECK(lu.singular());
  lu.compute(Eigen::Matrix3d::Identity());
  CHECK_FALSE(lu.singular());
}

TEST_CASE("a value that is not finite is noticed wherever it stands") {
  for (const double bad : {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity()}) {
    for (int i = 0; i < 4; ++i) {
      for (int j = 0; j < 4; ++j) {
        Eigen::Matrix4d matrix{{4.0, 1.0, 2.0, 0.5}, {1.0, 3.0, 0.2, 1.0}, {2.0, 0.1, 5.0, 1.0}, {0.3, 1.0, 1.0, 2.0}};
        matrix(i, j) = bad;
        SmallLu<Eigen::Vector4d> lu;
        lu.compute(matrix);
        CAPTURE(matrix);
        CHECK((!lu.finite() || lu.singular()));
      }
    }
  }
}

}  // namespace gateswing::integrate
