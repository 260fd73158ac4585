// The intervals of a clamped inductive turn-on and turn-off through a gate resistor, with constant capacitances.
#include <doctest/doctest.h>

#include <cmath>

#include "gateswing/measure/integral.h"
#include "simulate/clamped_stage.h"
#include "simulate/run.h"

namespace gateswing::simulate::test {
namespace {

// So large that the gate current through Cgd, which the channel carries beside the load, moves the plateau by less than
// 1e-5 of the drive; the formulas leave it out.
constexpr double gate_resistance = 10e3;

std::vector<Ask> asks() {
  return {voltage("v_gs", "gate"), voltage("v_ds", "drain"), current("i_channel", "channel")};
}

struct TurnOn {
  ClampedStage stage;
  double tau = gate_resistance * stage.input_capacitance();
  Run r = run(stage.driven(false, stage.drive, gate_resistance), asks(), 80e-6);
};

struct TurnOff {
  ClampedStage stage;
  double tau = gate_resistance * stage.input_capacitance();
  Run r = run(stage.driven(true, 0.0, gate_resistance), asks(), 120e-6);
};

// Textbook; all derived from the gate's R-C with Ciss outside the plateau and Cgd alone on it. Motorola MMDF4N01HD and
// onsemi MTD1N60E data sheets (pages 4 and 3) print the same forms.

TEST_CASE("the turn-on delay is Rg Ciss ln(VDR/(VDR - VTH))") {
  const TurnOn on;
  check_close(on.r.crossing("v_gs", 4.0), on.tau * std::log(12.0 / 8.0), 1e-6);
}

TEST_CASE("the current rises in Rg Ciss ln((VDR - VTH)/(VDR - Vpl))") {
  const TurnOn on;
  const double rise = on.r.crossing("i_channel", 20.0) - on.r.crossing("v_gs", 4.0);
  check_close(rise, on.tau * std::log(8.0 / 7.0), 1e-5);
}

TEST_CASE("the drain voltage falls in Rg Cgd (VDD - Von)/(VDR - Vpl)") {
  const TurnOn on;
  const double fall = on.r.crossing("v_ds", 5.0) - on.r.crossing("v_ds", 95.0);
  check_close(fall, gate_resistance * on.stage.gate_drain * 90.0 / 7.0, 1e-5);
  // The whole plateau, from the exponentials on both sides of it.
  const double around = on.r.crossing("v_gs", 5.1) - on.r.crossing("v_gs", 4.9);
  const double sides = on.tau * (std::log(7.1 / 7.0) + std::log(7.0 / 6.9));
  check_close(around - sides, gate_resistance * on.stage.gate_drain * 99.0 / 7.0, 2e-5);
}

TEST_CASE("the channel burns VDD gm ((VDR - VTH) tri - Rg Ciss (Vpl - VTH)) while its current rises") {
  const TurnOn on;
  const measure::Window rise{on.r.crossing("v_gs", 4.0), on.r.crossing("v_gs", 5.0)};
  const double burnt =
      measure::integral_of_product(on.r.waveform, on.r.channel("v_ds"), on.r.channel("i_channel"), rise);
  check_close(burnt, 100.0 * 20.0 * (8.0 * on.tau * std::log(8.0 / 7.0) - on.tau * 1.0), 5e-5);
}

TEST_CASE("the turn-off delay is Rg Ciss ln(VDR/Vpl)") {
  const TurnOff off;
  check_close(off.r.crossing("v_gs", 5.01), off.tau * std::log(12.0 / 5.01), 1e-6);
}

TEST_CASE("the drain voltage rises in Rg Cgd (VDD - Von)/Vpl") {
  const TurnOff off;
  const double rise = off.r.crossing("v_ds", 95.0) - off.r.crossing("v_ds", 5.0);
  check_close(rise, gate_resistance * off.stage.gate_drain * 90.0 / 5.0, 1e-5);
  const double around = off.r.crossing("v_gs", 4.9) - off.r.crossing("v_gs", 5.1);
  const double sides = off.tau * (std::log(5.1 / 5.0) + std::log(5.0 / 4.9));
  check_close(around - sides, gate_resistance * off.stage.gate_drain * 99.0 / 5.0, 2e-5);
}

TEST_CASE("the current falls in Rg Ciss ln(Vpl/VTH)") {
  const TurnOff off;
  const double fall = off.r.crossing("v_gs", 4.0) - off.r.crossing("v_gs", 4.9);
  check_close(fall + off.tau * std::log(5.0 / 4.9), off.tau * std::log(5.0 / 4.0), 1e-5);
}

TEST_CASE("output capacitance moves the plateau: dv/dt is (VDR - VTH - IL/gm)/(Rg Cgd + (Coss + Cj)/gm)") {
  // Derived: Cgd dv/dt through Rg, and gm (v_gs - VTH) = IL + (Coss + Cj) dv/dt, with Coss = Cds + Cgd. Here at an
  // ordinary gate resistance, where the shift is 0.67 V.
  constexpr double resistance = 5.0;
  const ClampedStage stage{.bus = 400.0, .gate_drain = 0.1e-9, .drain_source = 0.9e-9};
  const Run r = run(stage.driven(false, stage.drive, resistance), asks(), 60e-9);
  const double total = stage.drain_source + stage.gate_drain;
  const double slope = 7.0 / (resistance * stage.gate_drain + total / stage.transconductance);
  const double time = r.crossing("v_ds", 10.0);
  check_close(r.waveform.derivative(r.channel("v_ds"), time), -slope, 1e-5);
  check_close(r.value("v_gs", time), stage.plateau() + total * slope / stage.transconductance, 1e-5);
}

}  // namespace
}  // namespace gateswing::simulate::test
