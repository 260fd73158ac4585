// The factorisation that elimination.h plans, on values of any scalar: a double, or a pack of lanes.
#pragma once

#include "gateswing/lanes/elimination.h"
#include "gateswing/lanes/scalar.h"

namespace gateswing::lanes {

/// Overwrites the entries of A by those of L and U; `inverse_pivot` by state. True where a pivot is what rounding left
/// of larger terms, or no number: the matrix wants row exchanges.
template <class Real>
MaskOf<Real> factorize(const Elimination& plan, Real* matrix, Real* inverse_pivot) {
  constexpr double smallest_remainder = 1e-10;
  MaskOf<Real> lost = Real(0.0) > Real(0.0);
  const Elimination::Product* product = plan.products.data();
  for (const Elimination::Entry& entry : plan.entries) {
    Real value = matrix[entry.slot];
    Real largest = abs(value);
    const Elimination::Product* const end = plan.products.data() + entry.past_terms;
    if (entry.part == Elimination::Part::diagonal) {
      for (; product != end; ++product) {
        const Real term = matrix[product->left] * matrix[product->right];
        value = value - term;
        largest = max(largest, abs(term));
      }
      lost = lost || !(abs(value) > smallest_remainder * largest);
      inverse_pivot[entry.pivot] = Real(1.0) / value;
    } else {
      for (; product != end; ++product) value = multiply_add(-matrix[product->left], matrix[product->right], value);
      if (entry.part == Elimination::Part::lower) value = value * inverse_pivot[entry.pivot];
    }
    matrix[entry.slot] = value;
  }
  return lost;
}

/// Solves in place with the factors.
template <class Real>
void solve(const Elimination& plan, const Real* matrix, const Real* inverse_pivot, Real* x) {
  const Elimination::Factor* factor = plan.forward_factors.data();
  for (const Elimination::Row& row : plan.forward) {
    Real value = x[row.state];
    const Elimination::Factor* const end = plan.forward_factors.data() + row.past_terms;
    for (; factor != end; ++factor) value = multiply_add(-matrix[factor->slot], x[factor->state], value);
    x[row.state] = value;
  }
  factor = plan.backward_factors.data();
  for (const Elimination::Row& row : plan.backward) {
    Real value = x[row.state];
    const Elimination::Factor* const end = plan.backward_factors.data() + row.past_terms;
    for (; factor != end; ++factor) value = multiply_add(-matrix[factor->slot], x[factor->state], value);
    x[row.state] = value * inverse_pivot[row.state];
  }
}

}  // namespace gateswing::lanes
