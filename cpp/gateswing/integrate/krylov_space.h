// Linear equations (I - A) x = b for a matrix A that is known by its products with vectors only.
#pragma once

#include <Eigen/Core>
#include <functional>
#include <optional>

namespace gateswing::integrate {

/// Directions V with their products A V, grown until (I - A) x = b is solved within their span, and kept for further
/// right-hand sides.
///
/// Each new direction is the residual b - (I - A) V y of the best y so far, made orthonormal to V: the generalised
/// conjugate residual method, which spans the same Krylov spaces as GMRES (Y. Saad, Iterative Methods for Sparse Linear
/// Systems, 2nd ed., section 6.9). A direction that A nearly extinguishes costs one product, however many there are; so
/// the products needed are about one more than the eigenvalues of A that are not small, and never more than the size.
class KrylovSpace {
 public:
  /// A v for a unit vector v, with further rows below that are only kept; nothing where it has no value.
  using Product = std::function<std::optional<Eigen::VectorXd>(const Eigen::VectorXd&)>;

  explicit KrylovSpace(Eigen::Index size);

  /// Coefficients y with |b - (I - A) V y| <= 1e-8 |b|, or as small as the whole space allows; nothing where a product
  /// has no value.
  std::optional<Eigen::VectorXd> solve(const Eigen::VectorXd& b, const Product& product);

  /// Best coefficients in the present span, and what they leave of b.
  struct Projection {
    Eigen::VectorXd coefficients;
    Eigen::VectorXd rest;
  };
  [[nodiscard]] Projection project(const Eigen::VectorXd& b) const;

  /// Largest modulus of an eigenvalue of A that the directions show: those of V^T A V whose residual is below a
  /// twentieth; 0 where there is none.
  [[nodiscard]] double spectral_radius() const;

  [[nodiscard]] Eigen::Index dimension() const { return directions_.cols(); }
  [[nodiscard]] const Eigen::MatrixXd& directions() const { return directions_; }
  /// A V, and the further rows of the products below.
  [[nodiscard]] const Eigen::MatrixXd& products() const { return products_; }

 private:
  bool grow(const Eigen::VectorXd& residual, const Product& product);

  Eigen::Index size_;
  Eigen::MatrixXd directions_;
  Eigen::MatrixXd products_;
};

}  // namespace gateswing::integrate
