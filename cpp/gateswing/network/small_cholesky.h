// Cholesky factorisation of the leading block of a small fixed-size matrix.
#pragma once

#include <cmath>

namespace gateswing::network {

/// Overwrites the lower triangle of the leading (n, n) block of a symmetric positive definite matrix by its factor L,
/// with 1/L(i, i) on the diagonal. A block that is not positive definite gives NaN.
template <class Matrix>
void factorize_leading_block(Matrix& matrix, int n) {
  using std::sqrt;
  for (int j = 0; j < n; ++j) {
    for (int k = 0; k < j; ++k) {
      for (int i = j; i < n; ++i) matrix(i, j) -= matrix(i, k) * matrix(j, k);
    }
    matrix(j, j) = 1.0 / sqrt(matrix(j, j));
    for (int i = j + 1; i < n; ++i) matrix(i, j) *= matrix(j, j);
  }
}

/// Solves with the factor of factorize_leading_block, in place on the first n entries.
template <class Matrix, class Vector>
void solve_leading_block(const Matrix& factor, Vector& vector, int n) {
  for (int i = 0; i < n; ++i) {
    for (int k = 0; k < i; ++k) vector[i] -= factor(i, k) * vector[k];
    vector[i] *= factor(i, i);
  }
  for (int i = n - 1; i >= 0; --i) {
    for (int k = i + 1; k < n; ++k) vector[i] -= factor(k, i) * vector[k];
    vector[i] *= factor(i, i);
  }
}

}  // namespace gateswing::network
