#include "gateswing/study/switched_bridge.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>
#include <utility>

#include "gateswing/network/cell_checks.h"
#include "gateswing/network/refusals.h"
#include "gateswing/study/half_bridge_point.h"
#include "gateswing/study/steady_period.h"

namespace gateswing::study {
namespace {

namespace names = network::names;
using network::BridgeSwitch;
using network::HalfBridgeCell;
using network::LoadReturn;
using network::prefix;
using network::Side;

constexpr std::array sides{Side::high, Side::low};

BridgeOperation checked(const BridgeOperation& operation) {
  require_switching(operation.frequency, operation.duty);
  if (!(std::abs(operation.dead_time) * operation.frequency < 0.5))
    network::refuse(operation.dead_time, {}, "the dead time [s]",
                    "shorter than half a period, " + network::text(0.5 / operation.frequency));
  return operation;
}

HalfBridgeCell checked(const HalfBridgeCell& cell) {
  network::require_valid(cell);
  for (const Side side : sides) {
    const BridgeSwitch& part = cell.at(side);
    if (part.cooled_diode && !part.diode)
      throw std::invalid_argument("the cooling of the " + prefix(side) +
                                  "side's anti-parallel diode is given, but no such diode");
    if (part.cooled_mosfet) require_valid(part.cooled_mosfet->path);
    if (part.cooled_diode) require_valid(part.cooled_diode->path);
  }
  return cell;
}

/// Of the active switch from time 0, of the other one between the dead times.
network::Pulse pulse(const BridgeOperation& operation, Side side) {
  const double period = 1.0 / operation.frequency;
  const double on_time = operation.duty * period;
  if (side == operation.active) return {0.0, on_time};
  const double length = period - on_time - 2.0 * operation.dead_time;
  if (length >= period) return {0.0, period};
  const double on = on_time + operation.dead_time;
  return {on, on + std::max(0.0, length)};
}

network::PeriodicCommand command_of(const HalfBridgeCell& cell, const BridgeOperation& operation, Side side) {
  return network::periodic_gate_command(pulse(operation, side), 1.0 / operation.frequency, cell.at(side).driver.timing);
}

/// A small voltage over a small current of the switch held on [ohm].
double on_resistance(const BridgeSwitch& part) {
  constexpr double small_current = 1e-3;
  const network::MosfetStart start = network::conducting(part.mosfet, part.driver, small_current);
  return network::pin_voltage(part.mosfet, start) / small_current;
}

double mean_load_current(const HalfBridgeCell& cell, const BridgeOperation& operation) {
  if (cell.load.constant_current) return *cell.load.constant_current;
  const double high_duty = operation.active == Side::high ? operation.duty : 1.0 - operation.duty;
  const double bus = cell.supply.voltage;
  double opposing =
      cell.load_return == LoadReturn::ground ? 0.0 : (cell.load_return == LoadReturn::bus ? bus : 0.5 * bus);
  double resistance = cell.load.resistance + high_duty * (on_resistance(cell.high) + cell.loop_resistance) +
                      (1.0 - high_duty) * on_resistance(cell.low);
  if (cell.output && cell.output->voltage) opposing += *cell.output->voltage;
  if (cell.output && !cell.output->voltage) resistance += cell.output->resistance;
  return (high_duty * bus - opposing) / resistance;
}

HeatedBridgePart heated_mosfet(Side side, const network::HeatPath& path) {
  std::vector<std::string> elements = mosfet_elements(prefix(side));
  elements.push_back(names::resistance_of(prefix(side) + names::gate_lead));
  return {figure_prefix(side) + "junction_temperature",
          {prefix(side) + "MOSFET", std::move(elements), path.ambient, path.resistance},
          [side](HalfBridgeCell& cell, double junction) {
            BridgeSwitch& part = cell.at(side);
            part.mosfet = part.cooled_mosfet->at(junction);
          },
          [side](HalfBridgePoint& point) -> double& { return point.at(side).junction_temperature; }};
}

HeatedBridgePart heated_diode(Side side, const network::HeatPath& path) {
  return {figure_prefix(side) + "diode_temperature",
          {diode_elements(side).front(), diode_elements(side), path.ambient, path.resistance},
          [side](HalfBridgeCell& cell, double junction) {
            BridgeSwitch& part = cell.at(side);
            part.diode->junction = part.cooled_diode->at(junction);
          },
          [side](HalfBridgePoint& point) -> double& { return point.at(side).diode_temperature; }};
}

std::vector<HeatedBridgePart> heated_parts(const HalfBridgeCell& cell) {
  std::vector<HeatedBridgePart> parts;
  for (const Side side : sides) {
    const BridgeSwitch& part = cell.at(side);
    if (part.cooled_mosfet) parts.push_back(heated_mosfet(side, part.cooled_mosfet->path));
    if (part.cooled_diode) parts.push_back(heated_diode(side, part.cooled_diode->path));
  }
  return parts;
}

}  // namespace

std::vector<std::string> diode_elements(Side side) {
  const std::string part = prefix(side) + names::anti_parallel;
  return {names::diode_of(part), names::resistance_of(part)};
}

SwitchedBridge::SwitchedBridge(const HalfBridgeCell& cell, const BridgeOperation& operation)
    : cell_(checked(cell)),
      heated_(heated_parts(cell_)),
      operation_(checked(operation)),
      high_(command_of(cell, operation, Side::high)),
      low_(command_of(cell, operation, Side::low)),
      load_current_(mean_load_current(cell, operation)) {}

HalfBridgeCell SwitchedBridge::cell_at(const Eigen::VectorXd& temperatures) const {
  return at_temperatures(cell_, heated_, temperatures);
}

simulate::PeriodicCircuit SwitchedBridge::circuit() const {
  const auto network = [this](const Eigen::VectorXd& temperatures) {
    const network::Circuit circuit =
        network::build(cell_at(temperatures), load_current_, network::opposite(operation_.active));
    network::CompiledNetwork compiled = network::compile(circuit);
    for (const Side side : sides) {
      compiled.set_command(circuit.input_index(prefix(side) + names::gate_command), command(side).level);
    }
    return compiled;
  };
  return {period(), network, junctions_of(heated_)};
}

HalfBridgeRun SwitchedBridge::run(const simulate::PeriodStart& start) const {
  HalfBridgeRun run(cell_at(start.temperatures), load_current_, network::opposite(operation_.active));
  for (const Side side : sides) run.set_command(side, command(side).level);
  return run;
}

}  // namespace gateswing::study
