#include "gateswing/study/edge_figures.h"

#include <cmath>

#include "gateswing/measure/extrema.h"
#include "gateswing/measure/integral.h"
#include "gateswing/measure/plateau.h"
#include "gateswing/measure/ringing.h"
#include "gateswing/measure/switching_energy.h"
#include "gateswing/measure/switching_times.h"
#include "gateswing/study/channels.h"

namespace gateswing::study {
namespace {

using measure::Window;
using waveform::Waveform;
using Channel = CellChannels;

constexpr double energy_fraction = 0.1;  // of V_DC and of the test current, IEC 60747-8

measure::EnergyLimits energy_limits(double bus_voltage, double test_current) {
  return {bus_voltage, test_current, energy_fraction, energy_fraction};
}

double at(const Waveform& waveform, std::size_t channel, double time) {
  return waveform.value(channel, time);
}

double steepest(const Waveform& waveform, std::size_t channel, Window window) {
  return std::abs(measure::steepest_slope(waveform, channel, window).value);
}

double heat(const Waveform& waveform, Window window) {
  return measure::integral_of_product(waveform, Channel::drain_voltage, Channel::channel_current, window);
}

EdgeInstants instants(const measure::EdgeTimes& times, Window window) {
  EdgeInstants result{.begin = window.begin, .end = window.end, .gate_time = times.gate.value_or(no_figure)};
  if (!times.drain) return result;
  result.drain_begin = times.drain->begin;
  result.drain_end = times.drain->end;
  return result;
}

void read_ring(const Waveform& waveform, double bus_voltage, Window after, TurnOffFigures& figures) {
  constexpr double noise_fraction = 1e-3;  // of the bus: below it a ring is of no interest
  const double settled = waveform.value(Channel::drain_voltage_pin, after.end);
  const auto ring =
      measure::ring(waveform, Channel::drain_voltage_pin, settled, noise_fraction * std::abs(bus_voltage), after);
  if (!ring) return;
  figures.ring_frequency = ring->frequency;
  figures.ring_decay_time = ring->decay_time;
  figures.ring_quality = ring->quality();
}

}  // namespace

TurnOnFigures turn_on_figures(const Waveform& waveform, Window window) {
  TurnOnFigures figures;
  figures.total_energy =
      measure::integral_of_product(waveform, Channel::drain_voltage_pin, Channel::drain_current, window);
  figures.channel_heat = heat(waveform, window);
  figures.peak_drain_current = measure::maximum(waveform, Channel::drain_current, window).value;
  figures.peak_gate_voltage = measure::maximum(waveform, Channel::gate_voltage, window).value;
  figures.peak_gate_voltage_pin = measure::maximum(waveform, Channel::gate_voltage_pin, window).value;
  figures.gate_charge = measure::integral(waveform, Channel::gate_current, window);
  figures.peak_driver_current = measure::maximum(waveform, Channel::driver_current, window).value;
  const double bus = at(waveform, Channel::bus_voltage, window.begin);
  const measure::Levels gate{at(waveform, Channel::gate_voltage_pin, window.begin),
                             at(waveform, Channel::gate_voltage_pin, window.end)};
  const measure::Levels drain{at(waveform, Channel::drain_voltage_pin, window.end), bus};
  if (!(gate.low < gate.high) || !(drain.low < drain.high)) return figures;
  const measure::EdgeTimes times =
      measure::turn_on_times(waveform, Channel::gate_voltage_pin, gate, Channel::drain_voltage_pin, drain, window);
  figures.instants = instants(times, window);
  if (!times.drain) return figures;
  figures.delay = times.delay().value_or(no_figure);
  figures.rise_time = times.drain->length();
  figures.energy =
      measure::turn_on_energy(waveform, Channel::drain_voltage_pin, Channel::drain_current,
                              energy_limits(bus, at(waveform, Channel::load_current, times.drain->end)), window)
          .value_or(no_figure);
  figures.maximum_voltage_slope = steepest(waveform, Channel::drain_voltage, *times.drain);
  figures.maximum_current_slope =
      measure::maximum_slope(waveform, Channel::drain_current, {window.begin, times.drain->end}).value;
  figures.plateau_voltage = measure::plateau(waveform, Channel::gate_voltage, *times.drain).voltage;
  return figures;
}

TurnOffFigures turn_off_figures(const Waveform& waveform, Window window) {
  TurnOffFigures figures;
  figures.current = waveform.value(Channel::load_current, window.begin);
  figures.total_energy =
      measure::integral_of_product(waveform, Channel::drain_voltage_pin, Channel::drain_current, window);
  figures.channel_heat = heat(waveform, window);
  figures.peak_drain_voltage = measure::maximum(waveform, Channel::drain_voltage, window).value;
  figures.peak_drain_voltage_pin = measure::maximum(waveform, Channel::drain_voltage_pin, window).value;
  const double bus = at(waveform, Channel::bus_voltage, window.end);
  figures.overshoot = figures.peak_drain_voltage_pin - bus;
  figures.minimum_gate_voltage = measure::minimum(waveform, Channel::gate_voltage, window).value;
  figures.minimum_gate_voltage_pin = measure::minimum(waveform, Channel::gate_voltage_pin, window).value;
  figures.peak_driver_current = -measure::minimum(waveform, Channel::driver_current, window).value;
  const measure::Levels gate{at(waveform, Channel::gate_voltage_pin, window.end),
                             at(waveform, Channel::gate_voltage_pin, window.begin)};
  const measure::Levels drain{at(waveform, Channel::drain_voltage_pin, window.begin), bus};
  if (!(gate.low < gate.high) || !(drain.low < drain.high)) return figures;
  const measure::EdgeTimes times =
      measure::turn_off_times(waveform, Channel::gate_voltage_pin, gate, Channel::drain_voltage_pin, drain, window);
  figures.instants = instants(times, window);
  if (!times.drain) return figures;
  figures.delay = times.delay().value_or(no_figure);
  figures.fall_time = times.drain->length();
  figures.energy = measure::turn_off_energy(waveform, Channel::drain_voltage_pin, Channel::drain_current,
                                            energy_limits(bus, figures.current), window)
                       .value_or(no_figure);
  figures.maximum_voltage_slope = steepest(waveform, Channel::drain_voltage, *times.drain);
  figures.maximum_current_slope =
      -measure::minimum_slope(waveform, Channel::drain_current, {times.drain->begin, window.end}).value;
  figures.plateau_voltage = measure::plateau(waveform, Channel::gate_voltage, *times.drain).voltage;
  read_ring(waveform, bus, {times.drain->end, window.end}, figures);
  return figures;
}

}  // namespace gateswing::study
