#include "gateswing/network/ledger.h"

#include <algorithm>
#include <cmath>

namespace gateswing::network {
namespace {

using Eigen::Index;
using Values = Eigen::Ref<const Eigen::VectorXd>;

double port_voltage(const CompiledNetwork& network, PortIndex index, const Values& x) {
  const Port& port = network.ports[static_cast<std::size_t>(index)];
  double voltage = 0.0;
  for (const PortTerm& term : port.states) voltage += term.sign * x[term.index];
  for (const PortTerm& term : port.inputs)
    voltage += term.sign * network.inputs[static_cast<std::size_t>(term.index)].value(0.0);
  return voltage;
}

double charge_at(const CompiledNetwork& network, const StoredCapacitor& capacitor, const Values& x) {
  const double voltage = port_voltage(network, capacitor.port, x);
  return std::visit([&](const auto& law) { return device::charge(law, voltage); }, capacitor.law);
}

void add_stored(const CompiledNetwork& network, const Values& begin, const Values& end, Ledger& ledger) {
  for (const StoredCapacitor& capacitor : network.capacitors) {
    const auto energy = [&](const Values& x) {
      const double voltage = port_voltage(network, capacitor.port, x);
      return std::visit([&](const auto& law) { return device::stored_energy(law, voltage); }, capacitor.law);
    };
    ledger.entries.push_back({capacitor.name, EnergyKind::stored, energy(end) - energy(begin)});
  }
  for (const StoredInductor& inductor : network.inductors) {
    const auto current = [&](const Values& x) {
      double sum = inductor.current.states.dot(x.head(network.size()));
      for (Index u = 0; u < inductor.current.inputs.size(); ++u)
        sum += inductor.current.inputs[u] * network.inputs[static_cast<std::size_t>(u)].value(0.0);
      return sum;
    };
    const double before = current(begin);
    const double after = current(end);
    ledger.entries.push_back(
        {inductor.name, EnergyKind::stored, 0.5 * inductor.inductance * (after - before) * (after + before)});
  }
}

void add_dissipated(const CompiledNetwork& network, const Values& integrals, Ledger& ledger) {
  Index slot = 0;
  for (const ResistorLoss& resistor : network.resistors) {
    ledger.entries.push_back({resistor.name, EnergyKind::dissipated, integrals[slot++]});
  }
  for (const auto* names : {&network.channel_names, &network.diode_names, &network.knee_names, &network.driver_names}) {
    for (const std::string& name : *names) ledger.entries.push_back({name, EnergyKind::dissipated, integrals[slot++]});
  }
}

void add_delivered(const CompiledNetwork& network, const Values& begin, const Values& end, const Values& integrals,
                   Index slot, Ledger& ledger) {
  for (const SourcePower& source : network.sources) {
    double absorbed = integrals[slot++];
    for (const auto& [index, weight] : source.current.capacitors) {
      const double voltage = network.inputs[static_cast<std::size_t>(source.input)].value(0.0);
      const StoredCapacitor& capacitor = network.capacitors[static_cast<std::size_t>(index)];
      absorbed += voltage * weight * (charge_at(network, capacitor, end) - charge_at(network, capacitor, begin));
    }
    ledger.entries.push_back({source.name, EnergyKind::delivered, -absorbed});
  }
}

/// Kirchhoff's current law on every variable row: integral of f = change of the charge on the row.
double charge_residual(const CompiledNetwork& network, const Values& begin, const Values& end, const Values& integrals,
                       Index slot) {
  double worst = 0.0;
  for (int row = 0; row < network.variable_size; ++row) {
    double change = 0.0;
    double held = 0.0;
    for (const StoredCapacitor& capacitor : network.capacitors) {
      for (const PortTerm& term : network.ports[static_cast<std::size_t>(capacitor.port)].states) {
        if (term.index != row) continue;
        const double before = charge_at(network, capacitor, begin);
        const double after = charge_at(network, capacitor, end);
        change += term.sign * (after - before);
        held += std::max(std::abs(before), std::abs(after));
      }
    }
    const double moved = held + integrals[slot + network.variable_size + row];
    if (moved > 0.0) worst = std::max(worst, std::abs(integrals[slot + row] - change) / moved);
  }
  return worst;
}

}  // namespace

Ledger balance(const CompiledNetwork& network, const Values& begin, const Values& end, const Values& integrals) {
  Ledger ledger;
  add_dissipated(network, integrals, ledger);
  const auto source_slot = static_cast<Index>(ledger.entries.size());
  add_delivered(network, begin, end, integrals, source_slot, ledger);
  const auto row_slot = source_slot + 2 * static_cast<Index>(network.sources.size());
  add_stored(network, begin, end, ledger);
  double balance = 0.0;
  for (const EnergyEntry& entry : ledger.entries) {
    balance += entry.kind == EnergyKind::delivered ? entry.energy : -entry.energy;
    ledger.throughput += 0.5 * std::abs(entry.energy);
  }
  ledger.energy_residual = ledger.throughput > 0.0 ? std::abs(balance) / ledger.throughput : 0.0;
  ledger.charge_residual = charge_residual(network, begin, end, integrals, row_slot);
  return ledger;
}

}  // namespace gateswing::network
