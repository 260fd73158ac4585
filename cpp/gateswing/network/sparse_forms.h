// A list of linear forms of state and inputs, without their zeros.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "gateswing/network/compiled_network.h"

namespace gateswing::network {

/// value(row) = sum of weight times state + input part, the latter affine in time on one segment of the inputs.
class SparseForms {
 public:
  explicit SparseForms(const std::vector<LinearForm>& forms);

  /// Fixes the input part for the segments of the inputs valid from `time` [s].
  void enter_segment(std::span<const Segment> inputs, double time);

  /// `elapsed` [s] after the segment's start.
  template <class Vector>
  [[nodiscard]] double value(int row, const Vector& x, double elapsed) const {
    return input_value_[slot(row)] + change(row, x, elapsed);
  }

  /// Change when the state moves by `direction` and time by `time`.
  template <class Vector>
  [[nodiscard]] double change(int row, const Vector& direction, double time) const {
    double sum = time * input_slope_[slot(row)];
    for (std::size_t t = first_term_[slot(row)]; t < first_term_[slot(row) + 1]; ++t) {
      sum += terms_[t].weight * direction[terms_[t].index];
    }
    return sum;
  }

  [[nodiscard]] int count() const { return static_cast<int>(input_value_.size()); }

 private:
  struct Term {
    int index;
    double weight;
  };

  static std::size_t slot(int row) { return static_cast<std::size_t>(row); }

  std::vector<Term> terms_;
  std::vector<std::size_t> first_term_{0};
  std::vector<std::vector<Term>> input_terms_;
  std::vector<double> input_value_, input_slope_;
};

}  // namespace gateswing::network
