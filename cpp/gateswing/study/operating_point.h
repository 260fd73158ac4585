// Steady state of a low-side cell at a switching frequency and duty.
#pragma once

#include <string>
#include <vector>

#include "gateswing/network/low_side_cell.h"
#include "gateswing/study/edge_figures.h"
#include "gateswing/study/loss_causes.h"
#include "gateswing/study/simulator.h"

namespace gateswing::study {

struct OperatingPointRequest {
  double frequency = 0.0;               ///< [Hz]
  double duty = 0.0;                    ///< of the logic command, 0 to 1
  double periodicity_tolerance = 1e-4;  ///< largest residual accepted as periodic
  int maximum_periods = 2000;           ///< periods marched at most
};

/// What one element did over the period.
struct ElementEnergy {
  std::string element;
  network::EnergyKind kind;
  double energy;  ///< [J]
  double power;   ///< its mean [W]
};

struct OperatingPoint {
  integrate::Status status = integrate::Status::success;
  std::string message;
  bool periodic = false;                    ///< the residual met its tolerance
  int periods = 0;                          ///< marched before the recorded one
  double periodicity_residual = no_figure;  ///< see operating_point()
  double frequency = 0.0;                   ///< [Hz]
  double duty = 0.0;
  std::vector<ElementEnergy> ledger;
  std::vector<CauseEnergy> causes;        ///< the losses sorted, see loss_causes.h
  double input_power = no_figure;         ///< delivered by bus and driver supply [W]
  double load_power = no_figure;          ///< [W]
  double total_loss = no_figure;          ///< input less load less what storage took over the period [W]
  double efficiency = no_figure;          ///< load_power / (load_power + total_loss)
  double channel_loss = no_figure;        ///< heat in the MOSFET's channel, drift region, body diode and breakdown [W]
  double driver_loss = no_figure;         ///< inside the driver [W]
  double mean_load_current = no_figure;   ///< [A]
  double peak_drain_voltage = no_figure;  ///< at the die [V]
  double overshoot = no_figure;           ///< of v_DS at the pins above the bus voltage [V]
  double maximum_gate_voltage = no_figure;  ///< at the die [V]
  double minimum_gate_voltage = no_figure;  ///< at the die [V]
  double peak_drain_current = no_figure;    ///< [A]
  double transition_share = no_figure;      ///< part of the period in which v_DS is between 10 % and 90 % of the bus
  double on_share = no_figure;              ///< part of the period in which v_DS is below 10 % of the bus
  TurnOnFigures turn_on;
  TurnOffFigures turn_off;
  double energy_residual = no_figure;
  double charge_residual = no_figure;
  integrate::Statistics statistics;  ///< all periods
  waveform::Waveform waveform;       ///< one period, from one logic command "on" to the next
};

/// Marches the cell from an estimated start until one period repeats the last.
///
/// The start is the valley current of an ideal switch and diode on the R-L load, (V/R)(e^(DT/tau) - 1)/(e^(T/tau) - 1)
/// with tau = L/R. The residual estimates how far the state is from the periodic one: the largest change of any
/// state over a period, divided by 1 V or 1 A plus the state's own size, times 1/(1 - r), where r is the ratio of the
/// last two changes (of the last along the one before). Changes that fade slowly add up to much. Throws
/// std::invalid_argument for a load without resistance, which has no steady state.
OperatingPoint operating_point(const network::LowSideCell& cell, const OperatingPointRequest& request,
                               const Settings& settings);

}  // namespace gateswing::study
