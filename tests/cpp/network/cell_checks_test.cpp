// Parts from which a start is computed are refused before it is, by the names of their elements.
#include "gateswing/network/cell_checks.h"

#include <doctest/doctest.h>

#include <limits>

#include "network/example_bridge.h"
#include "network/example_cell.h"
#include "network/support.h"

namespace gateswing::network::test {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

template <class Change>
std::string refused_cell(const Change& change) {
  LowSideCell cell = example_cell();
  change(cell);
  return refusal([&] { build(cell, 5.0); });
}

template <class Change>
std::string refused_bridge(const Change& change) {
  HalfBridgeCell cell = example_bridge();
  change(cell);
  return refusal([&] { build(cell, 5.0, Side::high); });
}

TEST_CASE("a part that the start of a low-side cell rests on is refused, and not the start") {
  CHECK(refused_cell([](LowSideCell& c) { c.mosfet.channel.subthreshold_voltage = 0.0; }) ==
        "element 'channel': subthreshold voltage [V] must be a finite number above zero, got 0");
  CHECK(refused_cell([](LowSideCell& c) { c.mosfet.drift_resistance = -1e-3; }).starts_with("element 'drift region'"));
  CHECK(refused_cell([](LowSideCell& c) { c.freewheel->junction.emission_voltage = nan; }) ==
        "element 'freewheel diode': emission voltage [V] must be a finite number above zero, got nan");
  CHECK(refused_cell([](LowSideCell& c) { c.freewheel->junction.saturation_current = 0.0; }) ==
        "element 'freewheel diode': saturation current [A] of a diode that carries a current at the start must be a "
        "finite number above zero, got 0");
  CHECK(refused_cell([](LowSideCell& c) {
          c.freewheel->resistance = nan;
        }).starts_with("element 'freewheel resistance'"));
  CHECK(refused_cell([](LowSideCell& c) { c.load.back_emf = nan; }).starts_with("element 'load back-EMF'"));
  CHECK(refused_cell([](LowSideCell& c) { c.driver.off_voltage = 12.0; }) ==
        "element 'driver supply': voltage [V] must be above that of the off-state, 12, got 12");
}

TEST_CASE("a part that the start of a half bridge rests on is refused by its side") {
  CHECK(refused_bridge([](HalfBridgeCell& c) { c.high.mosfet.channel.transconductance_factor = 0.0; }) ==
        "element 'high channel': transconductance factor [A/V^2] must be a finite number above zero, got 0");
  CHECK(refused_bridge([](HalfBridgeCell& c) {
          c.low.mosfet.body_diode.emission_voltage = -1.0;
        }).starts_with("element 'low body diode'"));
  CHECK(refused_bridge([](HalfBridgeCell& c) {
          c.low.driver.supply_voltage = nan;
        }).starts_with("element 'low driver supply'"));
  CHECK(refused_bridge([](HalfBridgeCell& c) { c.loop_resistance = nan; }).starts_with("element 'loop resistance'"));
  CHECK(refused_bridge([](HalfBridgeCell& c) { c.output = Output{}; }) ==
        "element 'output resistor': resistance [ohm] of an output without a voltage must be a finite number above "
        "zero, got 0");
}

}  // namespace
}  // namespace gateswing::network::test
