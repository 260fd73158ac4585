#include "gateswing/study/commutation.h"

#include <algorithm>
#include <cmath>

#include "gateswing/measure/common_part.h"
#include "gateswing/measure/crossing.h"
#include "gateswing/measure/extrema.h"
#include "gateswing/measure/integral.h"
#include "gateswing/measure/levels.h"

namespace gateswing::study {
namespace {

using measure::Window;
using waveform::Waveform;

/// Charge and heat of a diode in one direction.
struct Flow {
  double charge = 0.0;
  double energy = 0.0;
};

Flow forward(const Waveform& waveform, std::size_t current, std::size_t voltage, Window window) {
  return {measure::common_part(waveform, current, current, window),
          measure::common_part_of_product(waveform, current, current, voltage, window)};
}

/// The negative part: its charge counts positive, and so does the heat of a reverse current at a reverse voltage.
Flow backward(const Waveform& waveform, std::size_t current, std::size_t voltage, Window window) {
  const Flow ahead = forward(waveform, current, voltage, window);
  return {ahead.charge - measure::integral(waveform, current, window),
          measure::integral_of_product(waveform, current, voltage, window) - ahead.energy};
}

double diode_conduction(const Waveform& waveform, const SwitchChannels& of, Window window) {
  return forward(waveform, of.body_diode_current, of.body_diode_voltage, window).energy +
         forward(waveform, of.junction_current, of.junction_voltage, window).energy;
}

/// Into drain and cathode less what channel, breakdown and junctions conduct.
double capacitive_charge(const Waveform& waveform, const SwitchChannels& of, Window window) {
  const auto charge = [&](std::size_t channel) { return measure::integral(waveform, channel, window); };
  return charge(of.drain_current) - charge(of.channel_current) - charge(of.body_current) - charge(of.diode_current) +
         charge(of.junction_current);
}

void read_gates(const Waveform& waveform, Window window, const Commutation& commutation, const SwitchChannels& outgoing,
                const SwitchChannels& incoming, CommutationFigures& figures) {
  using measure::Direction;
  figures.outgoing_off = measure::first_crossing(waveform, outgoing.gate_voltage, commutation.outgoing_threshold,
                                                 Direction::falling, window)
                             .value_or(no_figure);
  figures.incoming_on = measure::first_crossing(waveform, incoming.gate_voltage, commutation.incoming_threshold,
                                                Direction::rising, window)
                            .value_or(no_figure);
  figures.gate_gap = figures.incoming_on - figures.outgoing_off;
  figures.dead_time_needed = commutation.dead_time - figures.gate_gap;
  if (!std::isnan(figures.incoming_on))
    figures.voltage_at_turn_on = waveform.value(incoming.drain_voltage, figures.incoming_on);
  figures.minimum_gate_voltage = std::min(measure::minimum(waveform, outgoing.gate_voltage, window).value,
                                          measure::minimum(waveform, incoming.gate_voltage, window).value);
}

/// When v_GS of the incoming switch has made a tenth of its way: before its drain moves, however strong its channel.
double incoming_begin(const Waveform& waveform, Window window, const SwitchChannels& incoming, double incoming_on) {
  const measure::Levels gate{waveform.value(incoming.gate_voltage, window.begin),
                             waveform.value(incoming.gate_voltage, window.end)};
  return measure::last_crossing(waveform, incoming.gate_voltage, gate.at(0.1), measure::Direction::rising,
                                {window.begin, incoming_on})
      .value_or(window.begin);
}

void read_stress(const Waveform& waveform, Window window, double threshold, const SwitchChannels& outgoing,
                 CommutationFigures& figures) {
  figures.induced_gate_voltage = measure::maximum(waveform, outgoing.gate_voltage, window).value;
  figures.threshold_margin = threshold - figures.induced_gate_voltage;
  figures.peak_reverse_current = measure::maximum(waveform, outgoing.drain_current, window).value;
}

/// From the moment the outgoing switch blocks.
void read_charges(const Waveform& waveform, Window window, const SwitchChannels& outgoing,
                  CommutationFigures& figures) {
  const Flow body = backward(waveform, outgoing.body_diode_current, outgoing.body_diode_voltage, window);
  const Flow diode = backward(waveform, outgoing.junction_current, outgoing.junction_voltage, window);
  figures.recovery_charge = body.charge + diode.charge;
  figures.recovery_energy = body.energy + diode.energy;
  figures.capacitive_charge = capacitive_charge(waveform, outgoing, window);
}

}  // namespace

CommutationFigures commutation_figures(const Waveform& waveform, Window window, const Commutation& commutation) {
  const SwitchChannels incoming = channels_of(commutation.incoming);
  const SwitchChannels outgoing = channels_of(network::opposite(commutation.incoming));
  CommutationFigures figures;
  read_gates(waveform, window, commutation, outgoing, incoming, figures);
  figures.shoot_through_charge =
      measure::common_part(waveform, outgoing.channel_current, incoming.channel_current, window);
  figures.shoot_through_energy = 0.0;
  for (const std::size_t voltage : {outgoing.drain_voltage, incoming.drain_voltage}) {
    figures.shoot_through_energy +=
        measure::common_part_of_product(waveform, outgoing.channel_current, incoming.channel_current, voltage, window);
  }
  figures.diode_conduction_energy =
      diode_conduction(waveform, outgoing, window) + diode_conduction(waveform, incoming, window);
  if (!std::isnan(figures.incoming_on)) {
    const double begin = incoming_begin(waveform, window, incoming, figures.incoming_on);
    read_stress(waveform, {begin, window.end}, commutation.outgoing_threshold, outgoing, figures);
  }
  if (!std::isnan(figures.outgoing_off)) read_charges(waveform, {figures.outgoing_off, window.end}, outgoing, figures);
  return figures;
}

}  // namespace gateswing::study
