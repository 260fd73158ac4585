// Constant gate current into constant capacitances: the gate charge staircase.
#include <doctest/doctest.h>

#include "simulate/clamped_stage.h"
#include "simulate/run.h"

namespace gateswing::simulate::test {
namespace {

constexpr double gate_current = 1e-3;

struct Staircase {
  ClampedStage stage{.bus = 48.0, .load = 10.0, .threshold = 3.0, .gate_source = 1.5e-9, .gate_drain = 0.15e-9};
  Run r;

  Staircase()
      : r([this] {
          network::Circuit circuit = stage.circuit(false);
          circuit.add_current_source("gate drive", network::Node::ground, circuit.node("gate"), gate_current);
          return run(circuit, {voltage("v_gs", "gate"), voltage("v_ds", "drain"), current("i_channel", "channel")},
                     25e-6);
        }()) {}

  /// The gate current that leaves through the gate-drain capacitance flows on through the channel, beside the load.
  [[nodiscard]] double plateau() const { return stage.plateau() + gate_current / stage.transconductance; }
  [[nodiscard]] double slope() const { return gate_current / stage.input_capacitance(); }
};

// Textbook (gate charge test, JESD24-2); derived from i = C dv/dt for constant capacitances and a straight transfer
// line.

TEST_CASE("below the plateau the gate rises by Ig/(Cgs + Cgd)") {
  const Staircase s;
  for (const double volts : {0.5, 2.0, 2.9, 3.4}) check_close(s.r.crossing("v_gs", volts), volts / s.slope(), 3e-7);
}

TEST_CASE("the plateau lies at the gate voltage of the load current") {
  const Staircase s;
  const double middle = s.plateau() / s.slope() + 3.5e-6;
  check_close(s.r.value("v_gs", middle), s.plateau(), 1e-6);
  check_close(s.r.value("i_channel", middle), s.stage.load + gate_current, 1e-7);
}

TEST_CASE("on the plateau the drain falls by Ig/Cgd") {
  const Staircase s;
  const double fall = s.r.crossing("v_ds", 8.0) - s.r.crossing("v_ds", 40.0);
  check_close(fall, 32.0 * s.stage.gate_drain / gate_current, 1e-6);
}

TEST_CASE("the plateau lasts Cgd (VDD - Von)/Ig") {
  const Staircase s;
  const double below = s.plateau() - 0.2;
  const double above = s.plateau() + 0.2;
  const double length = s.r.crossing("v_gs", above) - s.r.crossing("v_gs", below) - 0.4 / s.slope();
  check_close(length, s.stage.gate_drain * (s.stage.bus - s.stage.on_voltage()) / gate_current, 2e-5);
}

TEST_CASE("above the plateau the gate rises by Ig/(Cgs + Cgd) again, the drain resting at IL/gm") {
  const Staircase s;
  check_close(s.r.crossing("v_gs", 9.0) - s.r.crossing("v_gs", 5.0), 4.0 / s.slope(), 1e-7);
  check_close(s.r.value("v_ds", s.r.crossing("v_gs", 7.0)), s.stage.on_voltage(), 1e-5);
}

TEST_CASE("the gate charge to the end of the plateau is Qgs + Qgd") {
  const Staircase s;
  const double q_gs = s.stage.input_capacitance() * s.plateau();
  const double q_gd = s.stage.gate_drain * (s.stage.bus - s.stage.on_voltage());
  const double beyond = s.stage.input_capacitance() * (9.0 - s.plateau());
  check_close(gate_current * s.r.crossing("v_gs", 9.0), q_gs + q_gd + beyond, 1e-6);
}

}  // namespace
}  // namespace gateswing::simulate::test
