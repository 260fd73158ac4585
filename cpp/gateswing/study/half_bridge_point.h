// Steady state of a half bridge at a switching frequency, duty and dead time.
#pragma once

#include <span>
#include <string>

#include "gateswing/lanes/kernel.h"
#include "gateswing/study/bridge_losses.h"
#include "gateswing/study/commutation.h"
#include "gateswing/study/steady_period.h"
#include "gateswing/study/switched_bridge.h"

namespace gateswing::study {

struct HalfBridgePointRequest {
  BridgeOperation operation;
  double periodicity_tolerance = 0.0;  ///< as for an operating point
  int maximum_periods = 2000;          ///< simulated at most, those for derivatives included
};

/// What one side of the bridge does over the period.
struct SwitchFigures {
  double loss = no_figure;                  ///< heat in channel, drift region, body diode and breakdown [W]
  double diode_loss = no_figure;            ///< of the anti-parallel diode [W]
  double driver_loss = no_figure;           ///< inside the driver [W]
  double rms_current = no_figure;           ///< of the drain pin [A]
  double peak_drain_voltage = no_figure;    ///< at the die [V]
  double maximum_gate_voltage = no_figure;  ///< at the die [V]
  double minimum_gate_voltage = no_figure;  ///< at the die [V]
  double junction_temperature = no_figure;  ///< of the MOSFET, where its cooling is given and it is periodic [K]
  double diode_temperature = no_figure;     ///< of the anti-parallel diode, likewise [K]
};

/// The waveform is one period, from one logic command "on" of the active switch to the next; the losses are sorted by
/// bridge_losses.h.
struct HalfBridgePoint : SteadyPeriod {
  BridgeOperation operation{};
  double input_power = no_figure;          ///< delivered by all sources that deliver [W]
  double load_power = no_figure;           ///< into the load or output, or back into the bus where that takes power [W]
  double total_loss = no_figure;           ///< input less load less what storage took over the period [W]
  double efficiency = no_figure;           ///< load_power / (load_power + total_loss)
  double mean_load_current = no_figure;    ///< out of the switch node [A]
  double rms_load_current = no_figure;     ///< [A]
  double load_current_ripple = no_figure;  ///< peak to peak [A]
  double mean_switch_voltage = no_figure;  ///< of the switch node [V]
  double output_voltage = no_figure;       ///< mean; of a cell with an output [V]
  double output_ripple = no_figure;        ///< of the output voltage, peak to peak [V]
  double shoot_through_charge = no_figure;  ///< through both channels at once, in the period [C]
  double high_supply_maximum = no_figure;   ///< voltage of what feeds the high side's driver [V]
  double high_supply_minimum = no_figure;   ///< lowest of it while that driver is commanded on [V]
  SwitchFigures high{};
  SwitchFigures low{};
  TurnOnFigures turn_on{};  ///< of the active switch
  TurnOffFigures turn_off{};
  CommutationFigures to_active{};
  CommutationFigures from_active{};

  [[nodiscard]] SwitchFigures& at(network::Side side) { return side == network::Side::high ? high : low; }
};

/// What the names of a side's figures begin with.
inline std::string figure_prefix(network::Side side) {  // NOLINT(modernize-use-string-view): names are built on it
  return side == network::Side::high ? "high_" : "low_";
}

/// Finds the state that a period carries over into itself, with find_periodic_state(), and records that period.
///
/// Edge figures have the windows of the commands at the driver's output, commutations those of the logic commands; both
/// are left out for a switch that does not switch. Every run is a lane, as of operating_point().
HalfBridgePoint half_bridge_point(const network::HalfBridgeCell& cell, const HalfBridgePointRequest& request,
                                  const simulate::Settings& settings,
                                  std::span<const lanes::Kernel> kernels = lanes::kernels());

}  // namespace gateswing::study
