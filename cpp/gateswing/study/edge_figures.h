// Figures of merit of one turn-on and one turn-off, read from a recorded waveform.
#pragma once

#include <limits>

#include "gateswing/measure/window.h"
#include "gateswing/study/channels.h"
#include "gateswing/waveform/waveform.h"

namespace gateswing::study {

/// A figure that does not exist (the switch never moved, the ring is too short to measure).
inline constexpr double no_figure = std::numeric_limits<double>::quiet_NaN();

/// The instants an edge's figures rest on; no_figure where the waveform does not show one.
struct EdgeInstants {
  double begin = no_figure;        ///< begin of the window looked at: the command, see the study [s]
  double end = no_figure;          ///< end of that window [s]
  double gate_time = no_figure;    ///< v_GS at 10 % (turn-on) or 90 % (turn-off), where the delay begins [s]
  double drain_begin = no_figure;  ///< v_DS at 90 % (turn-on) or 10 % (turn-off) [s]
  double drain_end = no_figure;    ///< v_DS at the other level [s]
};

/// Times by IEC 60747-8, "ignoring spikes"; energies at the package pins.
struct TurnOnFigures {
  EdgeInstants instants;
  double delay = no_figure;                  ///< td(on) [s]
  double rise_time = no_figure;              ///< tr, v_DS 90 % to 10 % [s]
  double energy = no_figure;                 ///< Eon in the window of IEC 60747-8 [J]
  double total_energy = no_figure;           ///< v_DS i_D from the command to the end of the on-time [J]
  double channel_heat = no_figure;           ///< v_DS i_channel at the die in the same window [J]
  double peak_drain_current = no_figure;     ///< [A]
  double peak_gate_voltage = no_figure;      ///< at the die [V]
  double peak_gate_voltage_pin = no_figure;  ///< [V]
  double maximum_voltage_slope = no_figure;  ///< |dv_DS/dt| at the die, inside 90 to 10 % [V/s]
  double maximum_current_slope = no_figure;  ///< |di_D/dt| from command to 10 % of v_DS [A/s]
  double plateau_voltage = no_figure;        ///< at the die [V]
  double gate_charge = no_figure;            ///< through the gate pin from command to the end of the on-time [C]
  double peak_driver_current = no_figure;    ///< out of the driver [A]
};

struct TurnOffFigures {
  EdgeInstants instants;
  double delay = no_figure;                     ///< td(off) [s]
  double fall_time = no_figure;                 ///< tf, v_DS 10 % to 90 % [s]
  double energy = no_figure;                    ///< Eoff in the window of IEC 60747-8 [J]
  double total_energy = no_figure;              ///< v_DS i_D from the command to the end [J]
  double channel_heat = no_figure;              ///< v_DS i_channel at the die in the same window [J]
  double current = no_figure;                   ///< load current at the command [A]
  double peak_drain_voltage = no_figure;        ///< at the die [V]
  double peak_drain_voltage_pin = no_figure;    ///< [V]
  double overshoot = no_figure;                 ///< peak at the pins above the bus voltage [V]
  double minimum_gate_voltage = no_figure;      ///< at the die [V]
  double minimum_gate_voltage_pin = no_figure;  ///< [V]
  double maximum_voltage_slope = no_figure;     ///< |dv_DS/dt| at the die, inside 10 to 90 % [V/s]
  double maximum_current_slope = no_figure;     ///< |di_D/dt| from 10 % of v_DS to the end of the record [A/s]
  double plateau_voltage = no_figure;           ///< at the die [V]
  double peak_driver_current = no_figure;       ///< into the driver [A]
  double ring_frequency = no_figure;            ///< of v_DS at the pins after the edge [Hz]
  double ring_decay_time = no_figure;           ///< amplitude time constant [s]
  double ring_quality = no_figure;              ///< pi frequency decay_time
};

/// Where a waveform holds what the figures are read from; as a low-side cell records it unless said otherwise.
struct EdgeChannels {
  std::size_t gate_voltage = CellChannels::gate_voltage;
  std::size_t gate_voltage_pin = CellChannels::gate_voltage_pin;
  std::size_t drain_voltage = CellChannels::drain_voltage;
  std::size_t drain_voltage_pin = CellChannels::drain_voltage_pin;
  std::size_t drain_current = CellChannels::drain_current;
  std::size_t channel_current = CellChannels::channel_current;
  std::size_t gate_current = CellChannels::gate_current;
  std::size_t driver_current = CellChannels::driver_current;
  std::size_t bus_voltage = CellChannels::bus_voltage;
  std::size_t load_current = CellChannels::load_current;
  double load_sign = 1.0;  ///< -1 where the load current counts against the drain current
};

/// Figures of the edge whose command is at window.begin and whose state lasts to window.end: the logic command in a
/// double pulse, the command at the driver's output in an operating point.
///
/// Levels are percentages of what the waveform shows: of v_GS between its values at the window's ends, of v_DS between
/// its on-state value and the bus voltage at that instant, of the load current when v_DS reaches 10 % (turn-on) or at
/// the command (turn-off).
///
/// Where the load blocks, its current having stopped, and the drain rests below 90 % of the bus, the voltage at which
/// it rests takes the place of the bus: with LEDs, and at a turn-on after a back-EMF or a short pulse has stopped a
/// current.
///
/// channel_heat has the window of total_energy, the energy at the pins. They differ by what Coss stores at turn-off and
/// gives back to the channel at turn-on, by the heat in drift region and body diode, and by what the package's
/// inductances store. A load current against the drain current leaves the energies of the standard's window empty: such
/// an edge is not driven by this switch.
TurnOnFigures turn_on_figures(const waveform::Waveform& waveform, measure::Window window,
                              const EdgeChannels& channels = {});
TurnOffFigures turn_off_figures(const waveform::Waveform& waveform, measure::Window window,
                                const EdgeChannels& channels = {});

}  // namespace gateswing::study
