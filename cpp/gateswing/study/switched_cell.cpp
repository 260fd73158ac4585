#include "gateswing/study/switched_cell.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

#include "gateswing/network/cell_checks.h"
#include "gateswing/study/operating_point.h"

namespace gateswing::study {
namespace {

namespace names = network::names;

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

std::vector<HeatedCellPart> heated_parts(const network::LowSideCell& cell) {
  std::vector<HeatedCellPart> parts;
  if (cell.cooled_mosfet) {
    const network::HeatPath& path = cell.cooled_mosfet->path;
    std::vector<std::string> elements = mosfet_elements("");
    elements.push_back(names::resistance_of(names::gate_lead));
    parts.push_back({"junction_temperature",
                     {"MOSFET", std::move(elements), path.ambient, path.resistance},
                     [](network::LowSideCell& one, double junction) { one.mosfet = one.cooled_mosfet->at(junction); },
                     [](OperatingPoint& answer) -> double& { return answer.junction_temperature; }});
  }
  if (cell.cooled_freewheel) {
    const network::HeatPath& path = cell.cooled_freewheel->path;
    const std::string diode = names::diode_of(names::freewheel);
    parts.push_back({"freewheel_temperature",
                     {diode, {diode, names::resistance_of(names::freewheel)}, path.ambient, path.resistance},
                     [](network::LowSideCell& one, double junction) {
                       one.freewheel->junction = one.cooled_freewheel->at(junction);
                     },
                     [](OperatingPoint& answer) -> double& { return answer.freewheel_temperature; }});
  }
  return parts;
}

network::LowSideCell checked(network::LowSideCell cell, double frequency, double duty) {
  require_switching(frequency, duty);
  network::require_valid(cell);
  if (cell.cooled_freewheel && !cell.freewheel)
    throw std::invalid_argument("the cooling of a freewheel diode is given, but no such diode");
  if (cell.cooled_mosfet) require_valid(cell.cooled_mosfet->path);
  if (cell.cooled_freewheel) require_valid(cell.cooled_freewheel->path);
  return cell;
}

}  // namespace

SwitchedCell::SwitchedCell(const network::LowSideCell& cell, double frequency, double duty)
    : cell_(checked(cell, frequency, duty)),
      heated_(heated_parts(cell_)),
      period_(1.0 / frequency),
      valley_(valley_current(cell, frequency, duty)),
      command_(network::periodic_gate_command({0.0, duty * period_}, period_, cell.driver.timing)) {}

simulate::PeriodicCircuit SwitchedCell::circuit() const {
  const auto network = [this](const Eigen::VectorXd& temperatures) {
    const network::Circuit circuit = network::build(at_temperatures(cell_, heated_, temperatures), valley_);
    network::CompiledNetwork compiled = network::compile(circuit);
    compiled.set_command(circuit.input_index(names::gate_command), command_.level);
    return compiled;
  };
  return {period_, network, junctions_of(heated_)};
}

LowSideRun SwitchedCell::run(const simulate::PeriodStart& start) const {
  LowSideRun run(at_temperatures(cell_, heated_, start.temperatures), valley_);
  run.set_command(command_.level);
  return run;
}

}  // namespace gateswing::study
