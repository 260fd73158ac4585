#include "gateswing/network/parallel_cell.h"

#include <array>
#include <stdexcept>

namespace gateswing::network {
namespace {

constexpr std::array<const char*, 3> prefixes{"", "second ", "third "};

/// The voltage that the first MOSFET blocks at the start [V].
double blocked_voltage(const Circuit& circuit) {
  const BranchIndex wanted = circuit.branch_index(names::drain_source_capacitance);
  for (const Capacitor& capacitor : circuit.capacitors()) {
    if (capacitor.branch == wanted) return capacitor.initial_voltage;
  }
  throw std::logic_error("a MOSFET without drain-source capacitance");
}

}  // namespace

std::string mosfet_prefix(std::size_t number) {
  if (number >= prefixes.size())
    throw std::invalid_argument("at most " + std::to_string(prefixes.size()) + " MOSFETs in parallel, got " +
                                std::to_string(number + 1) + " or more");
  return prefixes[number];
}

Circuit build(const ParallelCell& parallel, double load_current) {
  Circuit circuit = build(parallel.cell, load_current);
  const MosfetPins pins{circuit.node(names::drain), circuit.node(names::gate), circuit.node(names::source)};
  const MosfetStart blocking{blocked_voltage(circuit), parallel.cell.driver.off_voltage, 0.0};
  for (std::size_t k = 0; k < parallel.further.size(); ++k) {
    add_mosfet(circuit, mosfet_prefix(k + 1), parallel.further[k], pins, blocking);
  }
  return circuit;
}

}  // namespace gateswing::network
