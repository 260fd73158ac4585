// The quantities every study of a low-side cell records, by name.
#pragma once

#include <string>
#include <vector>

#include "gateswing/network/low_side_cell.h"
#include "gateswing/network/probe.h"
#include "gateswing/waveform/waveform.h"

namespace gateswing::study {

/// Index of each recorded quantity in the waveform.
struct CellChannels {
  static constexpr std::size_t gate_voltage = 0;       ///< v_gs, gate to source at the die [V]
  static constexpr std::size_t gate_voltage_pin = 1;   ///< v_gs_pin, at the package pins [V]
  static constexpr std::size_t drain_voltage = 2;      ///< v_ds, drain to source at the die [V]
  static constexpr std::size_t drain_voltage_pin = 3;  ///< v_ds_pin, at the package pins [V]
  static constexpr std::size_t drain_current = 4;      ///< i_d, into the drain pin [A]
  static constexpr std::size_t channel_current = 5;    ///< i_channel, what heats the die beside the diode [A]
  static constexpr std::size_t gate_current = 6;       ///< i_gate, into the gate pin [A]
  static constexpr std::size_t driver_voltage = 7;     ///< v_driver, driver output to its reference [V]
  static constexpr std::size_t load_current = 8;       ///< i_load, bus to switch node [A]
  static constexpr std::size_t freewheel_current = 9;  ///< i_freewheel, anode to cathode; 0 without a diode [A]
  static constexpr std::size_t bus_voltage = 10;       ///< v_bus [V]
  static constexpr std::size_t driver_current = 11;    ///< i_driver, out of the driver output [A]
  static constexpr std::size_t body_current = 12;      ///< i_body, body diode and breakdown, drain to source [A]
  static constexpr std::size_t junction_current =
      13;  ///< i_junction, of the freewheel diode without its capacitance [A]
  static constexpr std::size_t junction_voltage = 14;  ///< v_junction, the same, anode to cathode [V]
  static constexpr std::size_t count = 15;
};

/// Current out of the output of the driver whose names begin with `prefix` [A].
network::Probe driver_probe(const network::CompiledNetwork& network, std::string name, const std::string& prefix);

/// Current of the body diode and the breakdown of the MOSFET whose names begin with `prefix`, drain to source [A].
network::Probe body_probe(const network::CompiledNetwork& network, std::string name, const std::string& prefix);

/// Reads zero: the part it would look at is left out of the cell.
network::Probe absent_probe(const network::CompiledNetwork& network, std::string name, std::string unit);

std::vector<network::Probe> low_side_probes(const network::CompiledNetwork& network, const network::LowSideCell& cell);

}  // namespace gateswing::study
