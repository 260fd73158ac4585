#include "gateswing/network/compiled_network.h"

#include <algorithm>
#include <stdexcept>

namespace gateswing::network {

void CompiledNetwork::set_command(InputIndex input, PiecewiseLinear command) {
  const auto index = static_cast<std::size_t>(input);
  if (index >= inputs.size()) {
    throw std::invalid_argument("there is no input " + std::to_string(index) + ", only " +
                                std::to_string(inputs.size()) + " of them, from 0 on");
  }
  if (std::ranges::find(drivers, static_cast<int>(input), &DriverPorts::command) == drivers.end()) {
    throw std::invalid_argument("input '" + input_names[index] +
                                "' is no driver's command, and only those can change: compile the circuit anew");
  }
  inputs[index] = std::move(command);
}

Eigen::VectorXd CompiledNetwork::initial_state() const {
  Eigen::VectorXd x(size());
  for (Eigen::Index s = 0; s < x.size(); ++s) x[s] = states[static_cast<std::size_t>(s)].initial;
  return x;
}

int CompiledNetwork::integral_count() const {
  return static_cast<int>(resistors.size() + channels.size() + diodes.size() + knees.size() + drivers.size() +
                          2 * sources.size()) +
         2 * variable_size;
}

}  // namespace gateswing::network
