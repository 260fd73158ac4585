// Random low-side cells over the ranges that users bring: bus 3 to 400 V, current 0.1 to 50 A, drivers from a
// controller pin to a strong driver circuit, layouts from a tight board to loose wires. Log-uniform, with each optional
// part left out in a third of the cases. The numbers are drawn, not anybody's data.
#pragma once

#include <algorithm>
#include <ostream>

#include "device/random_laws.h"
#include "gateswing/network/low_side_cell.h"

namespace gateswing::network::test {

struct RandomCell {
  LowSideCell cell;
  double current = 0.0;  ///< of the load when the switch turns on [A]
};

class CellDraw {
 public:
  explicit CellDraw(unsigned seed) : draw_(seed) {}

  RandomCell next() {
    RandomCell result;
    LowSideCell& cell = result.cell;
    const double bus = draw_.log_uniform(3.0, 400.0);
    const double amperes = draw_.log_uniform(0.1, 50.0);
    cell.supply = supply(bus);
    cell.driver = driver();
    cell.mosfet = mosfet(bus, amperes);
    cell.gate = gate();
    set_load(cell, bus, amperes, result.current);
    if (kept()) cell.snubber = Snubber{draw_.or_zero(draw_.log_uniform(1.0, 100.0)), draw_.log_uniform(1e-10, 1e-8)};
    cell.wiring = {zero_or(2e-9, 1e-6), zero_or(1e-3, 0.1), zero_or(1e-10, 1e-8)};
    return result;
  }

 private:
  bool kept() { return draw_.or_zero(1.0) != 0.0; }
  double zero_or(double low, double high) { return draw_.or_zero(draw_.log_uniform(low, high)); }

  Supply supply(double bus) {
    return {bus,
            zero_or(1e-3, 0.1),
            zero_or(1e-8, 6e-6),
            kept() ? draw_.log_uniform(1e-7, 1e-3) : 0.0,
            zero_or(1e-3, 0.3),
            zero_or(1e-9, 3e-8)};
  }

  PushPullDriver driver() {
    PushPullDriver driver;
    const double source = draw_.log_uniform(0.3, 50.0);
    const double sink = draw_.log_uniform(0.3, 50.0);
    driver.supply_voltage = draw_.log_uniform(3.3, 15.0);
    driver.off_voltage = kept() ? 0.0 : -draw_.uniform(0.5, 5.0);
    const double limit = zero_or(5e-3, 15.0);
    driver.output = {source,
                     sink,
                     limit > 0.0 ? 1.0 / limit : 0.0,
                     limit > 0.0 ? 0.7 / limit : 0.0,
                     zero_or(0.05, 1.5),
                     zero_or(0.05, 1.5),
                     draw_.log_uniform(0.02, 0.1)};
    driver.output.leakage_conductance = 1e-5;
    driver.timing = {draw_.log_uniform(1e-9, 5e-8), draw_.log_uniform(1e-9, 5e-8), zero_or(1e-9, 2e-7),
                     zero_or(1e-9, 2e-7)};
    return driver;
  }

  device::Mosfet<> mosfet(double bus, double amperes) {
    device::Mosfet<> mosfet;
    const double input = draw_.log_uniform(1e-10, 1e-8);
    const double reverse = input * draw_.log_uniform(0.003, 0.1);
    mosfet.channel = {draw_.uniform(0.8, 4.0), draw_.log_uniform(2.0, 20.0) * std::max(amperes, 0.5),
                      zero_or(0.01, 0.3), draw_.uniform(0.03, 0.12)};
    mosfet.gate_source = {input, input * draw_.uniform(0.8, 1.6), draw_.uniform(0.0, 3.0), draw_.log_uniform(0.3, 3.0)};
    mosfet.gate_drain = {reverse * 8.0, draw_.uniform(0.4, 1.5), draw_.uniform(0.3, 0.9),
                         reverse * draw_.uniform(0.02, 0.5), reverse * 8.0 + input};
    const double output = draw_.log_uniform(1e-10, 5e-9);
    mosfet.drain_source = {output, draw_.uniform(0.4, 1.2), draw_.uniform(0.3, 0.8), output * draw_.uniform(0.01, 0.3),
                           2.5 * output};
    mosfet.internal_gate_resistance = zero_or(0.5, 5.0);
    mosfet.drift_resistance = zero_or(5e-4, 0.2) / std::max(amperes, 1.0);
    mosfet.gate_inductance = zero_or(1e-9, 1.5e-8);
    mosfet.drain_inductance = zero_or(1e-10, 1e-8);
    mosfet.source_inductance = zero_or(1e-10, 1.5e-8);
    mosfet.body_diode = {draw_.log_uniform(1e-14, 1e-8), draw_.uniform(0.026, 0.06), 0.0, 0.0};
    mosfet.breakdown = {std::max(20.0, bus * draw_.uniform(1.15, 3.0)), draw_.log_uniform(0.01, 1.0),
                        draw_.uniform(0.1, 1.0)};
    return mosfet;
  }

  GatePath gate() {
    GatePath gate;
    gate.turn_on_resistance = zero_or(1.0, 1e3);
    if (kept()) gate.steering = device::KneeConduction<>{draw_.uniform(0.3, 0.8), draw_.log_uniform(0.5, 50.0), 0.04};
    gate.inductance = zero_or(2e-9, 5e-8);
    if (kept()) gate.pull_down_resistance = draw_.log_uniform(1e3, 1e6);
    return gate;
  }

  /// A quarter each: resistor alone, R-L with freewheel, constant current with freewheel, R-L switched on from rest.
  void set_load(LowSideCell& cell, double bus, double amperes, double& current) {
    const int kind = static_cast<int>(draw_.uniform(0.0, 4.0));
    cell.load.resistance = bus / amperes * draw_.uniform(0.3, 1.0);
    if (kind > 0) cell.load.inductance = draw_.log_uniform(1e-5, 0.2);
    if (kind == 2) cell.load.constant_current = amperes;
    current = kind == 1 || kind == 2 ? amperes : 0.0;
    if (kind == 0) return;
    const double junction = draw_.log_uniform(2e-11, 2e-9);
    cell.freewheel =
        FreewheelDiode{{amperes * draw_.log_uniform(1e-12, 1e-6), draw_.uniform(0.026, 0.05), 0.0, 0.0},
                       {junction, draw_.uniform(0.4, 0.9), draw_.uniform(0.3, 0.6), 0.05 * junction, 2.5 * junction},
                       zero_or(1e-3, 0.1),
                       zero_or(1e-9, 3e-8)};
  }

  device::test::Draw draw_;
};

/// The values that say which corner of the ranges a cell comes from.
inline std::ostream& operator<<(std::ostream& out, const RandomCell& random) {
  const LowSideCell& c = random.cell;
  return out << c.supply.voltage << " V, " << random.current << " A, load " << c.load.resistance << " ohm "
             << c.load.inductance << " H" << (c.load.constant_current ? " constant" : "")
             << (c.freewheel ? ", freewheel" : "") << ", drive " << c.driver.off_voltage << ".."
             << c.driver.supply_voltage << " V, limit^-1 " << c.driver.output.inverse_source_limit << ", Rg "
             << c.gate.turn_on_resistance << " + " << c.driver.output.source_resistance << " + "
             << c.mosfet.internal_gate_resistance << (c.gate.steering ? ", steering" : "") << ", Lg "
             << c.gate.inductance << ", loop " << c.wiring.loop_inductance << " H " << c.wiring.loop_resistance
             << " ohm, Ls " << c.mosfet.source_inductance << " + " << c.wiring.common_source_inductance << ", Cgs "
             << c.mosfet.gate_source.low << ", Cds " << c.mosfet.drain_source.zero_bias << ", K "
             << c.mosfet.channel.transconductance_factor << (c.snubber ? ", snubber" : "") << ", bulk "
             << c.supply.bulk_capacitance << " F";
}

}  // namespace gateswing::network::test
