// LU factorisation of a small matrix of fixed size.
#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

namespace gateswing::integrate {

/// LU factors with row pivoting, the loops over pivots and rows unrolled at compile time, so that a solve runs in
/// registers. Takes half the time of Eigen::PartialPivLU for 6 to 14 rows in a Rosenbrock step.
template <class Vector>
class SmallLu {
 public:
  /// `matrix`: anything with operator()(row, column).
  template <class Matrix>
  void compute(const Matrix& matrix) {
    for (std::size_t i = 0; i < size; ++i) {
      for (std::size_t j = 0; j < size; ++j) row_[i][j] = matrix(static_cast<int>(i), static_cast<int>(j));
      source_[i] = i;
    }
    singular_ = false;
    finite_ = true;
    eliminate_all(std::make_index_sequence<size>{});
  }

  /// A pivot was exactly zero.
  bool singular() const { return singular_; }
  /// No NaN or infinity in the matrix: an infinity becomes a pivot, a NaN spreads to the last one.
  bool finite() const { return finite_; }

  Vector solve(const Vector& right) const {
    Values x;
    for (std::size_t i = 0; i < size; ++i) x[i] = right[static_cast<int>(source_[i])];
    substitute(x, std::make_index_sequence<size>{});
    Vector result;
    for (std::size_t i = 0; i < size; ++i) result[static_cast<int>(i)] = x[i];
    return result;
  }

 private:
  static constexpr std::size_t size = Vector::RowsAtCompileTime;
  using Real = typename Vector::Scalar;
  using Values = std::array<Real, size>;

  template <std::size_t... k>
  void eliminate_all(std::index_sequence<k...>) {
    (eliminate<k>(), ...);
  }

  template <std::size_t k>
  void eliminate() {
    std::size_t pivot = k;
    for (std::size_t i = k + 1; i < size; ++i) {
      if (std::abs(row_[i][k]) > std::abs(row_[pivot][k])) pivot = i;
    }
    if (pivot != k) {
      std::swap(row_[k], row_[pivot]);
      std::swap(source_[k], source_[pivot]);
    }
    finite_ = finite_ && std::isfinite(row_[k][k]);
    singular_ = singular_ || row_[k][k] == Real(0);
    inverse_pivot_[k] = Real(1) / row_[k][k];
    for (std::size_t i = k + 1; i < size; ++i) {
      const Real factor = row_[i][k] * inverse_pivot_[k];
      row_[i][k] = factor;
      for (std::size_t j = k + 1; j < size; ++j) row_[i][j] -= factor * row_[k][j];
    }
  }

  template <std::size_t... i>
  void substitute(Values& x, std::index_sequence<i...>) const {
    ((x[i] = below<i>(x, std::make_index_sequence<i>{})), ...);
    ((x[size - 1 - i] = above<size - 1 - i>(x, std::make_index_sequence<i>{})), ...);
  }
  template <std::size_t i, std::size_t... j>
  Real below(const Values& x, std::index_sequence<j...>) const {
    Real rest = x[i];
    ((rest -= row_[i][j] * x[j]), ...);
    return rest;
  }
  // Starts with the values known longest, so as not to wait for the last one.
  template <std::size_t i, std::size_t... j>
  Real above(const Values& x, std::index_sequence<j...>) const {
    Real rest = x[i];
    ((rest -= row_[i][size - 1 - j] * x[size - 1 - j]), ...);
    return rest * inverse_pivot_[i];
  }

  std::array<Values, size> row_{};
  Values inverse_pivot_{};
  std::array<std::size_t, size> source_{};  // the row of the matrix that each factor row came from
  bool singular_ = false;
  bool finite_ = false;
};

}  // namespace gateswing::integrate
