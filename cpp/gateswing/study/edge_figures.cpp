#include "gateswing/study/edge_figures.h"

#include <cmath>
#include <optional>

#include "gateswing/measure/extrema.h"
#include "gateswing/measure/integral.h"
#include "gateswing/measure/plateau.h"
#include "gateswing/measure/ringing.h"
#include "gateswing/measure/switching_energy.h"
#include "gateswing/measure/switching_times.h"

namespace gateswing::study {
namespace {

using measure::Window;
using waveform::Waveform;

constexpr double energy_fraction = 0.1;  // of V_DC and of the test current, IEC 60747-8

measure::EnergyLimits energy_limits(double bus_voltage, double test_current) {
  return {bus_voltage, test_current, energy_fraction, energy_fraction};
}

double at(const Waveform& waveform, std::size_t channel, double time) {
  return waveform.value(channel, time);
}

/// Into the switch [A].
double load_current(const Waveform& waveform, const EdgeChannels& channels, double time) {
  return channels.load_sign * waveform.value(channels.load_current, time);
}

double steepest(const Waveform& waveform, std::size_t channel, Window window) {
  return std::abs(measure::steepest_slope(waveform, channel, window).value);
}

double heat(const Waveform& waveform, const EdgeChannels& channels, Window window) {
  return measure::integral_of_product(waveform, channels.drain_voltage, channels.channel_current, window);
}

EdgeInstants instants(const measure::EdgeTimes& times, Window window) {
  EdgeInstants result{.begin = window.begin, .end = window.end, .gate_time = times.gate.value_or(no_figure)};
  if (!times.drain) return result;
  result.drain_begin = times.drain->begin;
  result.drain_end = times.drain->end;
  return result;
}

/// What v_DS counts against where it does not begin or end near the bus: its own value in the off-state, if the load
/// blocks there because LEDs or a back-EMF have stopped its current. None if it is not above `low`.
std::optional<double> level_at_rest(const Waveform& waveform, const EdgeChannels& channels, double off, double on,
                                    double low) {
  constexpr double no_current = 0.01;  // of the current in the on-state
  const double flowing = std::abs(load_current(waveform, channels, on));
  if (!(std::abs(load_current(waveform, channels, off)) < no_current * flowing)) return std::nullopt;
  const double level = at(waveform, channels.drain_voltage_pin, off);
  return level > low ? std::optional(level) : std::nullopt;
}

/// When an edge shows its levels, and what v_DS counts against.
struct Edge {
  measure::EdgeTimes times;
  double bus_voltage;
};

/// By measure::turn_on_times or turn_off_times, of a switch that is off and on at these ends of the window; none of a
/// gate or drain that does not move the right way.
template <class TimesOf>
std::optional<Edge> find_edge(const TimesOf& times_of, const Waveform& waveform, const EdgeChannels& channels,
                              Window window, double off, double on) {
  const measure::Levels gate{at(waveform, channels.gate_voltage_pin, off), at(waveform, channels.gate_voltage_pin, on)};
  const double low = at(waveform, channels.drain_voltage_pin, on);
  const double bus = at(waveform, channels.bus_voltage, off);
  if (!(gate.low < gate.high) || !(low < bus)) return std::nullopt;
  const auto edge_to = [&](double level) {
    return Edge{times_of(waveform, channels.gate_voltage_pin, gate, channels.drain_voltage_pin, {low, level}, window),
                level};
  };
  const Edge edge = edge_to(bus);
  if (edge.times.drain) return edge;
  const std::optional<double> rest = level_at_rest(waveform, channels, off, on, low);
  return rest ? edge_to(*rest) : edge;
}

void read_ring(const Waveform& waveform, const EdgeChannels& channels, double bus_voltage, Window after,
               TurnOffFigures& figures) {
  constexpr double noise_fraction = 1e-3;  // of the bus: below it a ring is of no interest
  const double settled = waveform.value(channels.drain_voltage_pin, after.end);
  const auto ring =
      measure::ring(waveform, channels.drain_voltage_pin, settled, noise_fraction * std::abs(bus_voltage), after);
  if (!ring) return;
  figures.ring_frequency = ring->frequency;
  figures.ring_decay_time = ring->decay_time;
  figures.ring_quality = ring->quality();
}

}  // namespace

TurnOnFigures turn_on_figures(const Waveform& waveform, Window window, const EdgeChannels& channels) {
  TurnOnFigures figures;
  figures.total_energy =
      measure::integral_of_product(waveform, channels.drain_voltage_pin, channels.drain_current, window);
  figures.channel_heat = heat(waveform, channels, window);
  figures.peak_drain_current = measure::maximum(waveform, channels.drain_current, window).value;
  figures.peak_gate_voltage = measure::maximum(waveform, channels.gate_voltage, window).value;
  figures.peak_gate_voltage_pin = measure::maximum(waveform, channels.gate_voltage_pin, window).value;
  figures.gate_charge = measure::integral(waveform, channels.gate_current, window);
  figures.peak_driver_current = measure::maximum(waveform, channels.driver_current, window).value;
  const auto edge = find_edge(measure::turn_on_times, waveform, channels, window, window.begin, window.end);
  if (!edge) return figures;
  const auto& [times, bus] = *edge;
  figures.instants = instants(times, window);
  if (!times.drain) return figures;
  figures.delay = times.delay().value_or(no_figure);
  figures.rise_time = times.drain->length();
  const double current = load_current(waveform, channels, times.drain->end);
  if (current > 0.0)
    figures.energy = measure::turn_on_energy(waveform, channels.drain_voltage_pin, channels.drain_current,
                                             energy_limits(bus, current), window)
                         .value_or(no_figure);
  figures.maximum_voltage_slope = steepest(waveform, channels.drain_voltage, *times.drain);
  figures.maximum_current_slope =
      measure::maximum_slope(waveform, channels.drain_current, {window.begin, times.drain->end}).value;
  figures.plateau_voltage = measure::plateau(waveform, channels.gate_voltage, *times.drain).voltage;
  return figures;
}

TurnOffFigures turn_off_figures(const Waveform& waveform, Window window, const EdgeChannels& channels) {
  TurnOffFigures figures;
  figures.current = load_current(waveform, channels, window.begin);
  figures.total_energy =
      measure::integral_of_product(waveform, channels.drain_voltage_pin, channels.drain_current, window);
  figures.channel_heat = heat(waveform, channels, window);
  figures.peak_drain_voltage = measure::maximum(waveform, channels.drain_voltage, window).value;
  figures.peak_drain_voltage_pin = measure::maximum(waveform, channels.drain_voltage_pin, window).value;
  figures.overshoot = figures.peak_drain_voltage_pin - at(waveform, channels.bus_voltage, window.end);
  figures.minimum_gate_voltage = measure::minimum(waveform, channels.gate_voltage, window).value;
  figures.minimum_gate_voltage_pin = measure::minimum(waveform, channels.gate_voltage_pin, window).value;
  figures.peak_driver_current = -measure::minimum(waveform, channels.driver_current, window).value;
  const auto edge = find_edge(measure::turn_off_times, waveform, channels, window, window.end, window.begin);
  if (!edge) return figures;
  const auto& [times, bus] = *edge;
  figures.instants = instants(times, window);
  if (!times.drain) return figures;
  figures.delay = times.delay().value_or(no_figure);
  figures.fall_time = times.drain->length();
  if (figures.current > 0.0)
    figures.energy = measure::turn_off_energy(waveform, channels.drain_voltage_pin, channels.drain_current,
                                              energy_limits(bus, figures.current), window)
                         .value_or(no_figure);
  figures.maximum_voltage_slope = steepest(waveform, channels.drain_voltage, *times.drain);
  figures.maximum_current_slope =
      -measure::minimum_slope(waveform, channels.drain_current, {times.drain->begin, window.end}).value;
  figures.plateau_voltage = measure::plateau(waveform, channels.gate_voltage, *times.drain).voltage;
  read_ring(waveform, channels, bus, {times.drain->end, window.end}, figures);
  return figures;
}

}  // namespace gateswing::study
