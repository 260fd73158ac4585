#include "gateswing/study/recovery_test.h"

#include <cmath>

#include "gateswing/measure/recovery.h"
#include "gateswing/network/element_checks.h"
#include "gateswing/study/test_run.h"

namespace gateswing::study {
namespace {

namespace names = network::names;

constexpr double settling = 40.0;  // lifetimes of forward current before the ramp
constexpr double tail = 25.0;      // decay times after the latest possible peak

const device::JunctionDiode<>& junction_of(const device::Mosfet<>& mosfet) {
  return mosfet.body_diode;
}
const device::JunctionDiode<>& junction_of(const network::FreewheelDiode& diode) {
  return diode.junction;
}

/// What charging the part to a reverse voltage takes [C].
double output_charge(const device::Mosfet<>& mosfet, double voltage) {
  double charge = device::charge(mosfet.gate_drain, voltage) + device::charge(mosfet.drain_source, voltage);
  if (mosfet.gate_drain_step) charge += device::charge(*mosfet.gate_drain_step, voltage);
  if (mosfet.drain_source_step) charge += device::charge(*mosfet.drain_source_step, voltage);
  return charge;
}
double output_charge(const network::FreewheelDiode& diode, double voltage) {
  return device::charge(diode.capacitance, voltage);
}

struct Times {
  double begin;  // of the forward current, before the ramp [s]
  double end;    // [s]
};

/// The stored charge is used up at the latest a lifetime after the zero crossing: I_RM < a tau. The ramp then brings
/// the charge of the capacitance in sqrt(2 Q/a).
Times times_of(const network::RecoveryCircuit& test) {
  return std::visit(
      [&](const auto& part) -> Times {
        const device::JunctionDiode<>& junction = junction_of(part);
        const double slope = test.current_slope;
        const double decay =
            junction.transit_time > 0.0 ? 1.0 / (1.0 / junction.lifetime + 1.0 / junction.transit_time) : 0.0;
        const double lifetime = decay > 0.0 ? junction.lifetime : 0.0;
        const double charging = std::sqrt(2.0 * output_charge(part, 2.0 * test.reverse_voltage) / slope);
        const double zero = test.forward_current / slope;
        return {-(settling * lifetime + zero), zero + lifetime + tail * decay + 4.0 * charging};
      },
      test.part);
}

}  // namespace

RecoveryTest recovery_test(const network::RecoveryCircuit& test, const simulate::Settings& settings) {
  network::require_positive(test.forward_current, "ramp", "forward current [A]");
  network::require_positive(test.current_slope, "ramp", "slope of the current [A/s]");
  network::require_positive(test.reverse_voltage, "clamp", "reverse voltage [V]");
  std::visit([](const auto& part) { network::require_valid(junction_of(part), "part"); }, test.part);
  const auto [begin, end] = times_of(test);
  RecoveryTest result{run_test(network::build(test, end),
                               {{"i", names::part_current}, {"v", names::anode, names::ground}}, begin, end, settings)};
  if (!result.succeeded()) return result;
  const waveform::Waveform& record = result.waveform;
  const auto found = measure::recovery(record, record.channel("i"), {0.0, record.end()});
  if (!found) return result;
  result.peak_current = found->peak_current;
  result.time = found->time;
  result.line_time = found->line_time;
  result.short_time = found->short_time;
  result.charge = found->charge;
  return result;
}

}  // namespace gateswing::study
