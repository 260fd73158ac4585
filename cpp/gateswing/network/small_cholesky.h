// Cholesky factorisation of the leading block of a small matrix, without square roots.
#pragma once

namespace gateswing::network {

/// Overwrites the lower triangle of the leading (n, n) block of a symmetric positive definite matrix A = L D L^T by L,
/// with 1/D(i, i) on the diagonal in the place of its ones.
template <class Matrix>
void factorize_leading_block(Matrix& matrix, int n) {
  for (int j = 0; j < n; ++j) {
    matrix(j, j) = 1.0 / matrix(j, j);
    // From the last row up, since each row wants the column above it as it was.
    for (int i = n - 1; i > j; --i) {
      const auto factor = matrix(i, j) * matrix(j, j);
      for (int k = j + 1; k <= i; ++k) matrix(i, k) -= factor * matrix(k, j);
      matrix(i, j) = factor;
    }
  }
}

/// Solves with the factors of factorize_leading_block, in place on the first n entries.
template <class Matrix, class Vector>
void solve_leading_block(const Matrix& factor, Vector& vector, int n) {
  for (int i = 1; i < n; ++i) {
    for (int k = 0; k < i; ++k) vector[i] -= factor(i, k) * vector[k];
  }
  for (int i = n - 1; i >= 0; --i) {
    vector[i] *= factor(i, i);
    for (int k = i + 1; k < n; ++k) vector[i] -= factor(k, i) * vector[k];
  }
}

}  // namespace gateswing::network
