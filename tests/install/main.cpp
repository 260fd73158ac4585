// Uses one compiled function of the installed library; exits with 0 only when its number is right.
#include <array>
#include <cmath>

#include "gateswing/network/piecewise_linear.h"

int main() {
  using namespace gateswing::network;
  // A logic pulse at 100 ns, delayed by 30 ns and ramped up in 40 ns, is a quarter of the way up at 140 ns.
  const std::array pulses{Pulse{100e-9, 500e-9}};
  const CommandTiming timing{.rise_time = 40e-9, .fall_time = 20e-9, .turn_on_delay = 30e-9, .turn_off_delay = 25e-9};
  const PiecewiseLinear command = gate_command(pulses, timing);
  return std::abs(command.value(140e-9) - 0.25) < 1e-12 ? 0 : 1;
}
