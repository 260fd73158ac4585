#include "gateswing/network/sparse_forms.h"

namespace gateswing::network {

SparseForms::SparseForms(const std::vector<LinearForm>& forms)
    : input_value_(forms.size(), 0.0), input_slope_(forms.size(), 0.0) {
  for (const LinearForm& form : forms) {
    for (Eigen::Index s = 0; s < form.states.size(); ++s) {
      if (form.states[s] != 0.0) terms_.push_back({static_cast<int>(s), form.states[s]});
    }
    first_term_.push_back(terms_.size());
    std::vector<Term>& inputs = input_terms_.emplace_back();
    for (Eigen::Index u = 0; u < form.inputs.size(); ++u) {
      if (form.inputs[u] != 0.0) inputs.push_back({static_cast<int>(u), form.inputs[u]});
    }
  }
}

void SparseForms::enter_segment(std::span<const Segment> inputs, double time) {
  for (std::size_t row = 0; row < input_terms_.size(); ++row) {
    input_value_[row] = 0.0;
    input_slope_[row] = 0.0;
    for (const Term& term : input_terms_[row]) {
      const Segment& input = inputs[static_cast<std::size_t>(term.index)];
      input_value_[row] += term.weight * (input.value + input.slope * (time - input.start));
      input_slope_[row] += term.weight * input.slope;
    }
  }
}

}  // namespace gateswing::network
