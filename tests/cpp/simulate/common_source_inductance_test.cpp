// Inductance that power and gate loop share, and the voltage a current slope makes across any inductance.
#include <doctest/doctest.h>

#include <Eigen/Core>
#include <cmath>

#include "relative.h"
#include "simulate/clamped_stage.h"
#include "simulate/run.h"

namespace gateswing::simulate::test {
namespace {

using network::Circuit;
using network::Node;

constexpr double drive = 12.0;
constexpr double threshold = 4.0;
constexpr double transconductance = 20.0;
constexpr double rated = 20.0;  // [A], at 5 V

/// Step of the drive through Rg onto Ciss, source behind Ls, drain held at 100 V.
Run current_ramp(double gate_resistance, double input_capacitance, double source_inductance, double end) {
  Circuit circuit;
  const Node driver = circuit.node("driver");
  const Node gate = circuit.node("gate");
  const Node source = circuit.node("source");
  const Node drain = circuit.node("drain");
  circuit.add_voltage_source("drive", driver, Node::ground, drive);
  circuit.add_resistor("gate resistor", driver, gate, gate_resistance);
  circuit.add_capacitor("input capacitance", gate, source, device::ConstantCapacitance<>{input_capacitance});
  circuit.add_voltage_source("bus", drain, Node::ground, 100.0);
  circuit.add_channel("channel", gate, drain, source, straight_channel(threshold, transconductance));
  circuit.add_inductor("common source", source, Node::ground, source_inductance);
  return run(circuit, {voltage("v_gs", "gate", "source"), current("i", "channel"), voltage("v_s", "source")}, end);
}

double rise_time(const Run& r) {
  return r.crossing("i", rated) - r.crossing("v_gs", threshold);
}

TEST_CASE("common source inductance stretches the current rise from 1.335 to 6.677 ns") {
  // Derived (references: common source inductance, linear gm): the time constant Rg Ciss = 10 ns becomes Rg Ciss + gm
  // Ls = 50 ns; tri = tau ln(8/7). The form neglects the gate current in Ls, so Rg and Ciss are scaled to a thousandth
  // of it.
  const double without = rise_time(current_ramp(5e3, 2e-12, 0.0, 30e-9));
  const double with = rise_time(current_ramp(5e3, 2e-12, 2e-9, 60e-9));
  check_close(without, 10e-9 * std::log(8.0 / 7.0), 1e-5);
  check_close(with, 50e-9 * std::log(8.0 / 7.0), 1e-4);
  CHECK(without == gateswing_test::relative(1.335e-9, 5e-4));
  CHECK(with == gateswing_test::relative(6.677e-9, 2e-4));
}

/// v'' Ls Ciss + v' (Rg Ciss + gm Ls) + v = drive + gm-part constant, from (v, v') at `t0`.
class SecondOrder {
 public:
  SecondOrder(double a, double b, double settled, double value, double slope) : settled_(settled) {
    const double root = std::sqrt(b * b - 4.0 * a);
    fast_ = (-b - root) / (2.0 * a);
    slow_ = (-b + root) / (2.0 * a);
    slow_weight_ = (slope - fast_ * (value - settled)) / (slow_ - fast_);
    fast_weight_ = value - settled - slow_weight_;
  }
  double value(double t) const {
    return settled_ + slow_weight_ * std::exp(slow_ * t) + fast_weight_ * std::exp(fast_ * t);
  }
  double slope(double t) const {
    return slow_ * slow_weight_ * std::exp(slow_ * t) + fast_ * fast_weight_ * std::exp(fast_ * t);
  }

 private:
  double settled_, fast_, slow_, slow_weight_, fast_weight_;
};

TEST_CASE("with the gate current counted the rise obeys Ls Ciss v'' + (Rg Ciss + gm Ls) v' + v = VDR exactly") {
  // The same with gm = 0 below threshold. The source's potential is Ls d/dt of gate and channel current together.
  constexpr double r_g = 5.0;
  constexpr double c_iss = 2e-9;
  constexpr double l_s = 2e-9;
  const Run r = current_ramp(r_g, c_iss, l_s, 60e-9);
  const double begin = r.crossing("v_gs", threshold);
  const SecondOrder below(l_s * c_iss, r_g * c_iss, drive, 0.0, 0.0);
  for (const double t : {0.2e-9, 1e-9, 3e-9, begin}) check_close(r.value("v_gs", t), below.value(t), 1e-7);
  const SecondOrder above(l_s * c_iss, r_g * c_iss + transconductance * l_s, drive, threshold, below.slope(begin));
  for (const double t : {0.05e-9, 0.5e-9, 3e-9, 15e-9, 40e-9}) {
    CAPTURE(t);
    check_close(r.value("v_gs", begin + t), above.value(t), 1e-5);
    const double slope = c_iss * above.slope(t);
    CHECK(slope > 0.0);
    check_close(r.value("i", begin + t), transconductance * (above.value(t) - threshold), 1e-4);
    // Kirchhoff around the gate loop: what Ls takes is missing across Rg and Ciss.
    check_close(r.value("v_s", begin + t), drive - above.value(t) - r_g * slope, 1e-4);
  }
}

TEST_CASE("an inductance in a current ramp drops L di/dt") {
  // 5 nH at 1000 A/us is 5 V (powerelectronictips.com, gate drivers part 2, 2025); 20 nH at 1 A/ns is 20 V (an lcsc.com
  // text on voltage spikes).
  struct Case {
    double inductance, slope, volts;
  };
  for (const auto& [inductance, slope, volts] : {Case{5e-9, 1e9, 5.0}, Case{20e-9, 1e9, 20.0}}) {
    Circuit circuit;
    const Node top = circuit.node("top");
    circuit.add_current_source("ramp", Node::ground, top,
                               network::PiecewiseLinear({{0.0, 0.0}, {100e-9, slope * 100e-9}}));
    circuit.add_inductor("inductor", top, Node::ground, inductance);
    circuit.add_resistor("resistor", top, Node::ground, 1e3);  // time constant of picoseconds
    const Run r = run(circuit, {voltage("v", "top")}, 50e-9);
    check_close(r.value("v", 25e-9), volts, 1e-9);
  }
}

}  // namespace
}  // namespace gateswing::simulate::test
