#include "gateswing/integrate/krylov_space.h"

#include <Eigen/Eigenvalues>
#include <Eigen/QR>
#include <algorithm>

namespace gateswing::integrate {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

KrylovSpace::KrylovSpace(Index size) : size_(size), directions_(size, 0), products_(size, 0) {}

KrylovSpace::Projection KrylovSpace::project(const VectorXd& b) const {
  if (dimension() == 0) return {VectorXd(0), b};
  const MatrixXd images = directions_ - products_.topRows(size_);
  const VectorXd coefficients = images.colPivHouseholderQr().solve(b);
  return {coefficients, b - images * coefficients};
}

std::optional<VectorXd> KrylovSpace::solve(const VectorXd& b, const Product& product) {
  constexpr double small = 1e-8;
  Projection best = project(b);
  while (dimension() < size_ && best.rest.norm() > small * b.norm()) {
    if (!grow(best.rest, product)) return std::nullopt;
    best = project(b);
  }
  return best.coefficients;
}

bool KrylovSpace::grow(const VectorXd& residual, const Product& product) {
  VectorXd direction = residual.normalized();
  for (int pass = 0; pass < 2; ++pass) {  // once is not enough where the residual nearly lies in the span
    direction -= directions_ * (directions_.transpose() * direction);
    direction.normalize();
  }
  const std::optional<VectorXd> image = product(direction);
  if (!image || !image->allFinite()) return false;
  const Index column = dimension();
  directions_.conservativeResize(Eigen::NoChange, column + 1);
  directions_.col(column) = direction;
  products_.conservativeResize(image->size(), column + 1);
  products_.col(column) = *image;
  return true;
}

double KrylovSpace::spectral_radius() const {
  constexpr double largest_residual = 0.05;
  if (dimension() == 0) return 0.0;
  const MatrixXd images = products_.topRows(size_);
  const Eigen::EigenSolver<MatrixXd> eigen(directions_.transpose() * images);
  double radius = 0.0;
  for (Index k = 0; k < dimension(); ++k) {
    const Eigen::VectorXcd y = eigen.eigenvectors().col(k);
    const std::complex<double> value = eigen.eigenvalues()[k];
    const Eigen::VectorXcd residual = images * y - value * (directions_ * y);
    if (residual.norm() <= largest_residual) radius = std::max(radius, std::abs(value));
  }
  return radius;
}

}  // namespace gateswing::integrate
