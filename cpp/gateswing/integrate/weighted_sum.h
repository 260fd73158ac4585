// Linear combinations of stage vectors with compile-time weights: one pass over the data, zero weights cost nothing.
#pragma once

#include <array>
#include <cstddef>

namespace gateswing::integrate {

// base + sum_{j >= first} Weights::values[j] vectors[j], as an Eigen expression (so `vectors` must outlive it).
// Weights is a type with a constexpr array `values`.
template <class Weights, std::size_t first = 0, class Base, class Vector, std::size_t count>
auto plus_weighted(const Base& base, const std::array<Vector, count>& vectors) {
  if constexpr (first == count) {
    return base;
  } else if constexpr (Weights::values[first] == 0.0) {
    return plus_weighted<Weights, first + 1>(base, vectors);
  } else {
    return plus_weighted<Weights, first + 1>(base + Weights::values[first] * vectors[first], vectors);
  }
}

// sum_{j >= first} Weights::values[j] vectors[j], likewise.
template <class Weights, std::size_t first = 0, class Vector, std::size_t count>
auto weighted_sum(const std::array<Vector, count>& vectors) {
  if constexpr (first == count) {
    return Vector::Zero();
  } else if constexpr (Weights::values[first] == 0.0) {
    return weighted_sum<Weights, first + 1>(vectors);
  } else {
    return plus_weighted<Weights, first + 1>(Weights::values[first] * vectors[first], vectors);
  }
}

}  // namespace gateswing::integrate
