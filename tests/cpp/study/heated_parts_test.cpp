// What is heated: each part has the figure of its name in the answer, and takes its temperature into the cell.
#include "gateswing/study/heated_parts.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "gateswing/study/figures.h"
#include "gateswing/study/switched_cell.h"
#include "network/example_bridge.h"
#include "network/example_cell.h"

namespace gateswing::study::test {
namespace {

using network::HalfBridgeCell;
using network::LowSideCell;
using network::Side;

constexpr device::JunctionDiode<> junction{1e-8, 0.028, 0.0, 0.0};

network::CooledMosfet cooled(const device::Mosfet<>& mosfet) {
  return {mosfet, 298.15, {-6e-3, 1.5, 2.2, 0.07}, {1.12, 3.0, 1.5}, {310.0, 12.0}};
}

network::CooledDiode cooled(const network::FreewheelDiode& diode) {
  return {diode.junction, 298.15, {1.12, 3.0, 1.5}, {310.0, 9.0}};
}

template <class Answer>
Answer answer() {
  const waveform::Waveform empty({{"v", "V"}}, 1);
  return Answer{found_period({}, 1e5, empty)};
}

template <class Answer, class Parts>
void check_figures(const Parts& parts, std::span<const Figure<Answer>> figures) {
  for (const auto& part : parts) {
    CAPTURE(part.figure);
    Answer found = answer<Answer>();
    part.temperature(found) = 321.0;
    const auto figure = std::ranges::find(figures, part.figure, &Figure<Answer>::name);
    REQUIRE(figure != figures.end());
    CHECK(figure->read(found) == 321.0);
  }
}

LowSideCell cooled_cell() {
  LowSideCell cell = network::test::example_cell();
  cell.cooled_mosfet = cooled(cell.mosfet);
  cell.cooled_freewheel = cooled(*cell.freewheel);
  return cell;
}

TEST_CASE("the temperature of a heated part is the figure of its name") {
  const SwitchedCell cell(cooled_cell(), 1e5, 0.4);
  CHECK(cell.heated().size() == 2);
  check_figures<OperatingPoint>(cell.heated(), operating_point_figures());
  HalfBridgeCell bridge = network::test::example_bridge();
  for (const Side side : {Side::high, Side::low}) {
    bridge.at(side).diode = network::FreewheelDiode{junction, {1e-10, 0.5, 0.5, 0.0, 1e-9}, 10e-3, 2e-9};
    bridge.at(side).cooled_mosfet = cooled(bridge.at(side).mosfet);
    bridge.at(side).cooled_diode = cooled(*bridge.at(side).diode);
  }
  const SwitchedBridge switched(bridge, {.frequency = 1e5, .duty = 0.4, .dead_time = 1e-7});
  CHECK(switched.heated().size() == 4);
  check_figures<HalfBridgePoint>(switched.heated(), half_bridge_point_figures());
}

TEST_CASE("the cell at temperatures has each heated part at its own") {
  const SwitchedCell cell(cooled_cell(), 1e5, 0.4);
  const LowSideCell hot = at_temperatures(cell.cell(), cell.heated(), Eigen::Vector2d(350.0, 400.0));
  CHECK(hot.mosfet.channel.threshold_voltage == hot.cooled_mosfet->at(350.0).channel.threshold_voltage);
  CHECK(hot.mosfet.channel.threshold_voltage != cell.cell().mosfet.channel.threshold_voltage);
  CHECK(hot.freewheel->junction.saturation_current == hot.cooled_freewheel->at(400.0).saturation_current);
}

TEST_CASE("of a runaway the junction is told, and no temperature") {
  const SwitchedCell cell(cooled_cell(), 1e5, 0.4);
  simulate::PeriodicState steady;
  steady.outcome = simulate::PeriodicOutcome::thermal_runaway;
  steady.start.temperatures = Eigen::Vector2d(400.0, 573.15);
  steady.runaway = 1;
  const waveform::Waveform empty({{"v", "V"}}, 1);
  OperatingPoint found{found_period(steady, 1e5, empty)};
  read_temperatures(cell.heated(), steady, found);
  CHECK(found.runaway == "freewheel_temperature");
  CHECK(std::isnan(found.freewheel_temperature));
  steady.outcome = simulate::PeriodicOutcome::periodic;
  OperatingPoint periodic{found_period(steady, 1e5, empty)};
  read_temperatures(cell.heated(), steady, periodic);
  CHECK(periodic.runaway.empty());
  CHECK(periodic.junction_temperature == 400.0);
}

}  // namespace
}  // namespace gateswing::study::test
