// Linear equations known by products: against a direct solution, and the number of products they take.
#include <doctest/doctest.h>

#include <Eigen/LU>
#include <Eigen/QR>
#include <random>

#include "gateswing/integrate/krylov_space.h"

namespace gateswing::integrate {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

/// A matrix with the given eigenvalues and random eigenvectors, and a right-hand side.
struct Problem {
  Problem(const VectorXd& eigenvalues, unsigned seed) : a(eigenvalues.size(), eigenvalues.size()) {
    std::mt19937 random(seed);
    std::normal_distribution<double> normal;
    MatrixXd vectors(a.rows(), a.rows());
    for (double& value : vectors.reshaped()) value = normal(random);
    vectors = Eigen::HouseholderQR<MatrixXd>(vectors).householderQ();
    vectors += 0.1 * MatrixXd::Ones(a.rows(), a.rows());  // not normal
    a = vectors * eigenvalues.asDiagonal() * vectors.inverse();
    b = VectorXd::NullaryExpr(a.rows(), [&] { return normal(random); });
  }

  MatrixXd a;
  VectorXd b;
  int products = 0;

  KrylovSpace::Product product() {
    return [this](const VectorXd& v) -> std::optional<VectorXd> {
      ++products;
      return a * v;
    };
  }
  [[nodiscard]] VectorXd solution() const {
    return (MatrixXd::Identity(a.rows(), a.rows()) - a).partialPivLu().solve(b);
  }
};

TEST_CASE("the solution is that of an elimination, for eigenvalues inside and outside the unit circle") {
  for (unsigned seed = 1; seed <= 20; ++seed) {
    CAPTURE(seed);
    Problem problem(VectorXd::LinSpaced(9, -1.6, 0.999), seed);
    KrylovSpace space(9);
    const auto y = space.solve(problem.b, problem.product());
    REQUIRE(y);
    CHECK((space.directions() * *y - problem.solution()).norm() < 1e-6 * problem.solution().norm());
    CHECK(problem.products <= 9);
  }
}

TEST_CASE("two slow states among many fast ones take about three products, and a second right-hand side fewer") {
  VectorXd eigenvalues = VectorXd::Constant(16, 1e-11);
  eigenvalues[3] = 0.9999;
  eigenvalues[8] = 0.9;
  Problem problem(eigenvalues, 7);
  KrylovSpace space(16);
  REQUIRE(space.solve(problem.b, problem.product()));
  CHECK(problem.products <= 4);
  const int first = problem.products;
  const VectorXd other = problem.a * problem.b;  // in the slow states' span
  const auto y = space.solve(other, problem.product());
  REQUIRE(y);
  problem.b = other;
  CHECK((space.directions() * *y - problem.solution()).norm() < 1e-5 * problem.solution().norm());
  CHECK(problem.products - first <= 1);
  CHECK(std::abs(space.spectral_radius() - 0.9999) < 1e-6);
}

TEST_CASE("a projection gives back what the directions do not span") {
  Problem problem(VectorXd::LinSpaced(5, 0.1, 0.8), 3);
  KrylovSpace space(5);
  CHECK(space.project(problem.b).rest == problem.b);
  REQUIRE(space.solve(problem.b, problem.product()));
  const KrylovSpace::Projection projection = space.project(problem.b);
  CHECK(projection.rest.norm() < 1e-7 * problem.b.norm());
}

TEST_CASE("a complex pair outside the unit circle is seen") {
  Problem problem(VectorXd::Constant(6, 1e-10), 5);
  problem.a.topLeftCorner(2, 2) << 0.0, -1.2, 1.2, 0.0;
  KrylovSpace space(6);
  REQUIRE(space.solve(problem.b, problem.product()));
  CHECK(std::abs(space.spectral_radius() - 1.2) < 1e-4);
}

TEST_CASE("a product without a value, or one that is not finite, leaves the equations unsolved") {
  KrylovSpace space(3);
  const VectorXd b = VectorXd::Ones(3);
  CHECK_FALSE(space.solve(b, [](const VectorXd&) -> std::optional<VectorXd> { return std::nullopt; }));
  CHECK_FALSE(space.solve(b, [](const VectorXd& v) -> std::optional<VectorXd> { return v / 0.0; }));
  CHECK(space.dimension() == 0);
}

TEST_CASE("a right-hand side of zero needs no product") {
  KrylovSpace space(3);
  const auto y = space.solve(VectorXd::Zero(3), [](const VectorXd&) -> std::optional<VectorXd> { return {}; });
  REQUIRE(y);
  CHECK(y->size() == 0);
}

}  // namespace
}  // namespace gateswing::integrate
