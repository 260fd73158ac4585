// Figures of edges drawn by hand, where no circuit is needed to say what they must be.
#include "gateswing/study/edge_figures.h"

#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

#include "measure/piecewise.h"

using namespace gateswing::study;
using gateswing_test::Corners;
using gateswing_test::corners;
using gateswing_test::record;

namespace {

constexpr double bus = 50.0;

// The gate falls in 10..20 ns, v_DS goes from `on` to `off` in 20..60 ns, and the load current stays.
gateswing::waveform::Waveform slow_turn_off(double on, double off) {
  std::vector<gateswing_test::Signal> signals;
  for (std::size_t k = 0; k < CellChannels::count; ++k)
    signals.push_back(corners("zero_" + std::to_string(k), "", {{0.0}, {0.0}}));
  const auto set = [&signals](std::size_t channel, const char* name, Corners shape) {
    signals[channel] = corners(name, "", std::move(shape));
  };
  set(CellChannels::gate_voltage_pin, "v_gs_pin", {{10e-9, 20e-9}, {10.0, 0.0}});
  set(CellChannels::drain_voltage_pin, "v_ds_pin", {{20e-9, 60e-9}, {on, off}});
  set(CellChannels::drain_current, "i_d", {{20e-9, 60e-9}, {2.0, 1.0}});
  set(CellChannels::load_current, "i_load", {{0.0}, {2.0}});
  set(CellChannels::bus_voltage, "v_bus", {{0.0}, {bus}});
  return record(signals, {0.0, 10e-9, 20e-9, 60e-9, 100e-9}, 1);
}

TurnOffFigures figures_of(const gateswing::waveform::Waveform& waveform) {
  return turn_off_figures(waveform, gateswing::measure::whole(waveform));
}

}  // namespace

TEST_CASE("an edge that does not come near the bus has no times and no energy, from an on-state below zero too") {
  for (const double on : {0.1, -0.1}) {
    CAPTURE(on);
    const TurnOffFigures figures = figures_of(slow_turn_off(on, 0.4 * bus));
    CHECK(std::isnan(figures.fall_time));
    CHECK(std::isnan(figures.energy));
    CHECK(figures.current == doctest::Approx(2.0));
  }
}

TEST_CASE("an edge to the bus from an on-state below zero takes 80 % of its ramp") {
  const TurnOffFigures figures = figures_of(slow_turn_off(-0.1, bus));
  CHECK(figures.fall_time == doctest::Approx(0.8 * 40e-9).epsilon(0.001));
}
