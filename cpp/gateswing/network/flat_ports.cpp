#include "gateswing/network/flat_ports.h"

namespace gateswing::network {

FlatPorts::FlatPorts(const std::vector<Port>& ports)
    : first_term_{0}, source_value_(ports.size(), 0.0), source_slope_(ports.size(), 0.0) {
  for (const Port& port : ports) {
    terms_.insert(terms_.end(), port.states.begin(), port.states.end());
    first_term_.push_back(terms_.size());
    input_terms_.push_back(port.inputs);
  }
}

void FlatPorts::enter_segment(std::span<const Segment> inputs, double time) {
  for (std::size_t p = 0; p < input_terms_.size(); ++p) {
    source_value_[p] = 0.0;
    source_slope_[p] = 0.0;
    for (const PortTerm& term : input_terms_[p]) {
      const Segment& input = inputs[static_cast<std::size_t>(term.index)];
      source_value_[p] += term.sign * (input.value + input.slope * (time - input.start));
      source_slope_[p] += term.sign * input.slope;
    }
  }
}

}  // namespace gateswing::network
