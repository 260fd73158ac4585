#include "gateswing/study/switched_cell.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace gateswing::study {
namespace {

/// Current at the turn-on command of an ideal switch with freewheel diode, what opposes the current taken as constant.
double valley_current(const network::LowSideCell& cell, double frequency, double duty) {
  if (cell.load.constant_current) return *cell.load.constant_current;
  if (cell.load.resistance <= 0.0) {
    throw std::invalid_argument(
        "a load without resistance has no steady state: its current grows every period; give the "
        "load a resistance, or a constant current");
  }
  if (cell.load.inductance <= 0.0 || !cell.freewheel) return 0.0;
  const double periods = cell.load.resistance / (cell.load.inductance * frequency);
  const double final_current = cell.supply.voltage / cell.load.resistance;
  // (e^(D p) - 1)/(e^p - 1), written without overflow for fast loads
  const double unopposed =
      final_current * std::exp(-(1.0 - duty) * periods) * std::expm1(-duty * periods) / std::expm1(-periods);
  const double settled = network::settled_current(cell.load, cell.supply.voltage);
  return std::max(0.0, unopposed - network::opposing_voltage(cell.load, settled) / cell.load.resistance);
}

/// The cell at the junction temperatures of its heated parts, in the order of heated_junctions().
network::LowSideCell at_temperatures(network::LowSideCell cell, const Eigen::VectorXd& temperatures) {
  Eigen::Index next = 0;
  if (cell.cooled_mosfet) cell.mosfet = cell.cooled_mosfet->at(temperatures[next++]);
  if (cell.cooled_freewheel && cell.freewheel)
    cell.freewheel->junction = cell.cooled_freewheel->at(temperatures[next++]);
  return cell;
}

std::vector<simulate::HeatedJunction> heated_junctions(const network::LowSideCell& cell) {
  std::vector<simulate::HeatedJunction> junctions;
  const auto add = [&](const char* name, std::vector<std::string> elements, const network::HeatPath& path) {
    junctions.push_back({name, std::move(elements), path.ambient, path.resistance});
  };
  if (cell.cooled_mosfet) {
    std::vector<std::string> elements(mosfet_elements.begin(), mosfet_elements.end());
    elements.emplace_back("gate lead resistance");
    add("MOSFET", std::move(elements), cell.cooled_mosfet->path);
  }
  if (cell.cooled_freewheel) {
    add("freewheel diode", {"freewheel diode", "freewheel resistance"}, cell.cooled_freewheel->path);
  }
  return junctions;
}

network::LowSideCell checked(network::LowSideCell cell) {
  if (cell.cooled_freewheel && !cell.freewheel)
    throw std::invalid_argument("the cooling of a freewheel diode is given, but no such diode");
  if (cell.cooled_mosfet) require_valid(cell.cooled_mosfet->path);
  if (cell.cooled_freewheel) require_valid(cell.cooled_freewheel->path);
  return cell;
}

}  // namespace

SwitchedCell::SwitchedCell(const network::LowSideCell& cell, double frequency, double duty)
    : cell_(checked(cell)),
      period_(1.0 / frequency),
      valley_(valley_current(cell, frequency, duty)),
      command_(network::periodic_gate_command({0.0, duty * period_}, period_, cell.driver.timing)) {}

simulate::PeriodicCircuit SwitchedCell::circuit() const {
  const auto network = [this](const Eigen::VectorXd& temperatures) {
    const network::Circuit circuit = network::build(at_temperatures(cell_, temperatures), valley_);
    network::CompiledNetwork compiled = network::compile(circuit);
    compiled.set_command(circuit.input_index(network::names::gate_command), command_.level);
    return compiled;
  };
  return {period_, network, heated_junctions(cell_)};
}

LowSideRun SwitchedCell::run(const simulate::PeriodStart& start) const {
  LowSideRun run(at_temperatures(cell_, start.temperatures), valley_);
  run.set_command(command_.level);
  return run;
}

}  // namespace gateswing::study
