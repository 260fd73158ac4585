// The quantities every study of a half bridge records, by name.
#pragma once

#include <vector>

#include "gateswing/network/half_bridge_cell.h"
#include "gateswing/network/probe.h"
#include "gateswing/study/edge_figures.h"

namespace gateswing::study {

/// Index of what is recorded once.
struct BridgeChannels {
  static constexpr std::size_t switch_voltage = 0;  ///< v_switch, switch node to ground [V]
  static constexpr std::size_t load_current = 1;    ///< i_load, out of the switch node [A]
  static constexpr std::size_t bus_voltage = 2;     ///< v_bus [V]
  static constexpr std::size_t output_voltage = 3;  ///< v_output, to where the load returns; 0 without an output [V]
  static constexpr std::size_t high_supply_voltage = 4;  ///< v_supply_high, of the high side's driver [V]
  static constexpr std::size_t count = 5;
};

/// Index of what is recorded of each side; the names end in _high or _low.
struct SwitchChannels {
  std::size_t gate_voltage;        ///< v_gs, at the die [V]
  std::size_t gate_voltage_pin;    ///< v_gs_pin [V]
  std::size_t drain_voltage;       ///< v_ds, at the die [V]
  std::size_t drain_voltage_pin;   ///< v_ds_pin [V]
  std::size_t drain_current;       ///< i_d, into the drain pin [A]
  std::size_t channel_current;     ///< i_channel, drain to source [A]
  std::size_t gate_current;        ///< i_gate, into the gate pin [A]
  std::size_t driver_voltage;      ///< v_driver, output to the driver's reference [V]
  std::size_t driver_current;      ///< i_driver, out of the output [A]
  std::size_t body_current;        ///< i_body, body diode and breakdown, drain to source [A]
  std::size_t body_diode_current;  ///< i_body_diode, that diode alone, without its capacitance, source to drain [A]
  std::size_t body_diode_voltage;  ///< v_body_diode, source to drain, outside the drift region [V]
  std::size_t diode_current;       ///< i_diode, lead of the anti-parallel diode, forward; 0 without one [A]
  std::size_t junction_current;    ///< i_junction, the same without its capacitance [A]
  std::size_t junction_voltage;    ///< v_junction, across that junction, forward [V]
};

SwitchChannels channels_of(network::Side side);

/// For the edges of one side.
EdgeChannels edge_channels(network::Side side);

std::vector<network::Probe> half_bridge_probes(const network::CompiledNetwork& network,
                                               const network::HalfBridgeCell& cell);

}  // namespace gateswing::study
