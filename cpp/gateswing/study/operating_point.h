// Steady state of a low-side cell at a switching frequency and duty.
#pragma once

#include <span>

#include "gateswing/lanes/kernel.h"
#include "gateswing/network/low_side_cell.h"
#include "gateswing/study/steady_period.h"

namespace gateswing::study {

struct OperatingPointRequest {
  double frequency = 0.0;  ///< [Hz]
  double duty = 0.0;       ///< of the logic command, 0 to 1
  /// Largest distance from the periodic state accepted, see PeriodCorrection; 0 chooses 1e-5, or ten times the relative
  /// tolerance of the integrator where that is more.
  double periodicity_tolerance = 0.0;
  int maximum_periods = 2000;  ///< periods simulated at most, those for derivatives included
};

/// The waveform is one period, from one logic command "on" to the next; the losses are sorted by loss_causes.h.
struct OperatingPoint : SteadyPeriod {
  double duty = 0.0;
  double input_power = no_figure;          ///< delivered by bus and driver supply [W]
  double load_power = no_figure;           ///< into the load, whatever becomes of it there [W]
  double useful_power = no_figure;         ///< of it what drives a motor's shaft or enters LEDs, else all of it [W]
  double total_loss = no_figure;           ///< input less load less what storage took over the period [W]
  double efficiency = no_figure;           ///< of the stage: load_power / (load_power + total_loss)
  double channel_loss = no_figure;         ///< heat in the MOSFET's channel, drift region, body diode and breakdown [W]
  double driver_loss = no_figure;          ///< inside the driver [W]
  double mean_load_current = no_figure;    ///< [A]
  double load_current_ripple = no_figure;  ///< highest less lowest [A]
  double peak_drain_voltage = no_figure;   ///< at the die [V]
  double overshoot = no_figure;            ///< of v_DS at the pins above the bus voltage [V]
  double maximum_gate_voltage = no_figure;  ///< at the die [V]
  double minimum_gate_voltage = no_figure;  ///< at the die [V]
  double peak_drain_current = no_figure;    ///< [A]
  double transition_share = no_figure;      ///< from the turn-on to the end of the turn-off, v_DS between 10 % and 90 %
  double on_share = no_figure;              ///< likewise, v_DS below 10 % of the bus; both as shares of the period
  double junction_temperature = no_figure;  ///< of the MOSFET, where its cooling is given and it is periodic [K]
  double freewheel_temperature = no_figure;  ///< of the freewheel diode, likewise [K]
  TurnOnFigures turn_on{};
  TurnOffFigures turn_off{};
};

/// Finds the state that a period carries over into itself, with find_periodic_state(), and records that period.
///
/// Starts at the valley current of SwitchedCell. Edge figures have the windows of the command at the driver's output,
/// so that a delay may carry an edge into the next period. Throws std::invalid_argument for a load without resistance,
/// which has no steady state.
///
/// Every run is a lane, of settings.lanes where there are some, else of one of `kernels`, whose numbers are the same;
/// without any it is scalar, and the numbers differ within the tolerance.
OperatingPoint operating_point(const network::LowSideCell& cell, const OperatingPointRequest& request,
                               const simulate::Settings& settings,
                               std::span<const lanes::Kernel> kernels = lanes::kernels());

}  // namespace gateswing::study
