// The periodic half bridge: against a march through time, its losses by cause against the ledger, and refusals.
#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "gateswing/study/half_bridge_point.h"
#include "network/example_bridge.h"
#include "network/support.h"
#include "simulate/run.h"

namespace gateswing::study::test {

using namespace simulate::test;
namespace {

using network::HalfBridgeCell;
using network::Side;
using network::test::example_bridge;
using network::test::plain_bridge;
using network::test::refusal;

constexpr simulate::Settings settings{};

/// 48 V into an inductor of 10 uH.
HalfBridgeCell converter(const network::Output& output) {
  HalfBridgeCell cell = plain_bridge();
  cell.load = {20e-3, 10e-6, std::nullopt};
  cell.output = output;
  return cell;
}

/// With the leads and snubbers of the example.
HalfBridgeCell wired_converter(const network::Output& output) {
  HalfBridgeCell cell = example_bridge();
  cell.high.diode.reset();
  cell.low.diode.reset();
  cell.load = {.resistance = 20e-3, .inductance = 10e-6, .core_resistance = 2e3};
  cell.supply = {48.0, 0.0, 0.0, 0.0, 0.0, 0.0};
  cell.output = output;
  return cell;
}

struct BridgeCase {
  std::string name;
  HalfBridgeCell cell;
  BridgeOperation operation;
  int marched;  ///< periods after which a march has settled
};

/// Small capacitors, so that marches end.
std::vector<BridgeCase> cases() {
  const network::Output heavy{std::nullopt, 1.2, 2e-6, 5e-3};
  const network::Output light{std::nullopt, 60.0, 0.2e-6, 5e-3};
  HalfBridgeCell fed = converter(heavy);
  fed.bootstrap = {12.0, {{1e-9, 0.04, 0.0, 0.0}, {40e-12, 0.6, 0.45, 10e-12, 1e-10}, 0.5, 0.0}, 4.0, 100e-9};
  HalfBridgeCell boost = converter({12.0, 0.0, 0.0, 0.0});
  boost.load.resistance = 0.5;
  HalfBridgeCell midpoint = plain_bridge();
  midpoint.load = {.resistance = 1.0, .inductance = 5e-6, .core_resistance = 200.0};
  midpoint.load_return = network::LoadReturn::midpoint;
  return {
      {"buck, wired", wired_converter(heavy), {200e3, 0.25, 150e-9, Side::high}, 30},
      {"buck at a light load, current reversing", converter(light), {200e3, 0.25, 200e-9, Side::high}, 90},
      {"low side never on, current discontinuous", converter(light), {200e3, 0.25, 2.0e-6, Side::high}, 90},
      {"boost", boost, {200e3, 0.7, 150e-9, Side::low}, 60},
      {"overlapping commands", converter(heavy), {200e3, 0.25, -20e-9, Side::high}, 30},
      {"bootstrap", fed, {200e3, 0.25, 150e-9, Side::high}, 30},
      {"load to the midpoint", midpoint, {500e3, 0.5, 150e-9, Side::high}, 60},
  };
}

double power(const HalfBridgePoint& point, std::string_view element) {
  const auto found = std::ranges::find(point.ledger, element, &ElementEnergy::element);
  REQUIRE(found != point.ledger.end());
  return found->power;
}

TEST_CASE("the state found is the one that a march ends in, in every state and in every loss") {
  for (const BridgeCase& c : cases()) {
    CAPTURE(c.name);
    const SwitchedBridge bridge(c.cell, c.operation);
    const simulate::PeriodicState found =
        simulate::find_periodic_state(bridge.circuit(), {.tolerance = 1e-5}, settings);
    REQUIRE(found.outcome == simulate::PeriodicOutcome::periodic);
    simulate::PeriodMap map(bridge.circuit(), settings);
    simulate::PeriodStart start = map.initial();
    for (int k = 0; k < c.marched; ++k) start.state = map.run(start).state;
    const Eigen::ArrayXd marched = start.state.head(map.size()).array();
    CHECK(((found.start.state.head(map.size()).array() - marched).abs() / (1.0 + marched.abs())).maxCoeff() < 1e-5);

    HalfBridgeRun run = bridge.run(start);
    REQUIRE(run.simulator().start(0.0, start.state));
    const network::Ledger theirs = run.simulator().ledger(run.advance(bridge.period(), settings));
    const HalfBridgePoint point = half_bridge_point(c.cell, {.operation = c.operation}, settings);
    REQUIRE(point.outcome == simulate::PeriodicOutcome::periodic);
    for (const network::EnergyEntry& entry : theirs.entries) {
      CAPTURE(entry.element);
      if (entry.kind == network::EnergyKind::dissipated) {
        CHECK(std::abs(power(point, entry.element) - entry.energy * c.operation.frequency) <=
              1e-4 * std::abs(entry.energy) * c.operation.frequency + 1e-5 * point.total_loss);
      }
    }
  }
}

TEST_CASE("the losses by cause add up to the ledger's, element by element, and those to the powers") {
  for (const BridgeCase& c : cases()) {
    CAPTURE(c.name);
    const HalfBridgePoint point = half_bridge_point(c.cell, {.operation = c.operation}, settings);
    CHECK(point.energy_residual < 1e-6);
    CHECK(point.charge_residual < 1e-5);
    double sum = 0.0;
    for (const ElementEnergy& entry : point.ledger) {
      if (entry.kind != network::EnergyKind::dissipated || is_useful(entry.element, c.cell.output.has_value()))
        continue;
      CAPTURE(entry.element);
      double rows = 0.0;
      for (const CauseEnergy& row : point.causes) {
        if (row.element == entry.element) rows += row.energy;
        CHECK(row.cause != LossCause::other);
      }
      CHECK(std::abs(rows - entry.energy) <= 1e-4 * point.total_loss / c.operation.frequency);
      sum += entry.power;
    }
    check_close(sum, point.total_loss, 1e-4);
  }
}

TEST_CASE("junction temperatures are found with the state: each is ambient plus resistance times heat") {
  HalfBridgeCell cell = cases()[1].cell;
  cell.high.cooled_mosfet =
      network::CooledMosfet{cell.high.mosfet, 298.15, {-6e-3, 1.5, 2.2, 0.07}, {1.12, 3.0, 1.5}, {310.0, 12.0}};
  cell.low.cooled_mosfet =
      network::CooledMosfet{cell.low.mosfet, 298.15, {-6e-3, 1.5, 2.2, 0.07}, {1.12, 3.0, 1.5}, {310.0, 20.0}};
  const HalfBridgePoint point = half_bridge_point(cell, {.operation = cases()[1].operation}, settings);
  REQUIRE(point.outcome == simulate::PeriodicOutcome::periodic);
  check_close(point.high.junction_temperature - 310.0,
              12.0 * (point.high.loss + power(point, "high gate lead resistance")), 1e-4);
  check_close(point.low.junction_temperature - 310.0,
              20.0 * (point.low.loss + power(point, "low gate lead resistance")), 1e-4);

  // The margin is that of the channel as it is hot, not of the part as stated.
  const double threshold = cell.low.cooled_mosfet->at(point.low.junction_temperature).channel.threshold_voltage;
  REQUIRE(threshold < cell.low.mosfet.channel.threshold_voltage - 0.05);
  check_close(point.to_active.threshold_margin + point.to_active.induced_gate_voltage, threshold, 1e-9);
}

TEST_CASE("a bridge is not run in a way that makes no sense") {
  const HalfBridgeCell cell = plain_bridge();
  const auto refused = [&](const BridgeOperation& operation) {
    return refusal([&] { half_bridge_point(cell, {.operation = operation}, settings); });
  };
  CHECK(refused({0.0, 0.5, 0.0, Side::high}).find("frequency") != std::string::npos);
  CHECK(refused({1e5, 1.5, 0.0, Side::high}).find("duty") != std::string::npos);
  CHECK(refused({1e5, 0.5, 6e-6, Side::high}).find("dead time") != std::string::npos);
  CHECK(refused({1e5, 0.5, std::numeric_limits<double>::quiet_NaN(), Side::high}).find("dead time") !=
        std::string::npos);
  const auto refused_with = [](HalfBridgeCell with) {
    return refusal([&] { half_bridge_point(with, {.operation = {1e5, 0.5, 0.0, Side::high}}, settings); });
  };
  CHECK(refused_with(converter({std::nullopt, 0.0, 1e-6, 0.0})).find("output") != std::string::npos);
  HalfBridgeCell fed = cell;
  fed.bootstrap = network::Bootstrap{12.0, {}, 4.0, 0.0};
  CHECK(refused_with(fed).find("bootstrap") != std::string::npos);
}

}  // namespace
}  // namespace gateswing::study::test
