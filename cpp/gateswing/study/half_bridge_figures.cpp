// The scalar figures of a half bridge in steady state.
#include <algorithm>
#include <array>
#include <cmath>

#include "gateswing/study/figures.h"

namespace gateswing::study {
namespace {

using Point = HalfBridgePoint;

/// What a chain of members leads to.
template <auto... members>
double value(const Point& point) {
  return (point.*....*members);
}

template <LossCause cause>
double power_of_cause(const Point& point) {
  return point.causes.empty() ? no_figure : point.operation.frequency * energy_of(point.causes, cause);
}

/// None if one commutation has none: a switch that does not switch.
double dead_time_needed(const Point& point) {
  const double there = point.to_active.dead_time_needed;
  const double back = point.from_active.dead_time_needed;
  return std::isnan(there) || std::isnan(back) ? no_figure : std::max(there, back);
}

constexpr std::array figures{
    Figure<Point>{"efficiency", "1", "load power / (load power + losses)", value<&Point::efficiency>},
    Figure<Point>{"input_power", "W", "from all sources that give power", value<&Point::input_power>},
    Figure<Point>{"load_power", "W", "into load or output, and into the bus where that takes power",
                  value<&Point::load_power>},
    Figure<Point>{"total_loss", "W", "heat in everything else", value<&Point::total_loss>},
    Figure<Point>{"conduction_loss", "W", "channels while v_DS is below 10 %, and their series resistance",
                  power_of_cause<LossCause::conduction>},
    Figure<Point>{"turn_on_loss", "W", "overlap of voltage and load current in the channels",
                  power_of_cause<LossCause::turn_on>},
    Figure<Point>{"turn_off_loss", "W", "channels above 10 % of v_DS while commanded off",
                  power_of_cause<LossCause::turn_off>},
    Figure<Point>{"output_capacitance_loss", "W", "capacitances at the switch node, discharged into a channel",
                  power_of_cause<LossCause::output_capacitance>},
    Figure<Point>{"recovery_loss", "W", "stored charge of the other side's diodes, in channel and diode",
                  power_of_cause<LossCause::recovery>},
    Figure<Point>{"incomplete_switching_loss", "W", "channel of a switch that does not reach its level",
                  power_of_cause<LossCause::incomplete_switching>},
    Figure<Point>{"freewheel_loss", "W", "anti-parallel diodes in forward direction",
                  power_of_cause<LossCause::freewheel_conduction>},
    Figure<Point>{"reverse_conduction_loss", "W", "body diodes in forward direction",
                  power_of_cause<LossCause::reverse_conduction>},
    Figure<Point>{"shoot_through_loss", "W", "current that passes both channels at once",
                  power_of_cause<LossCause::shoot_through>},
    Figure<Point>{"avalanche_loss", "W", "breakdown of the MOSFETs", power_of_cause<LossCause::avalanche>},
    Figure<Point>{"gate_loss", "W", "the gates' charge: drivers and gate resistors", power_of_cause<LossCause::gate>},
    Figure<Point>{"driver_at_rest_loss", "W", "what the drivers draw beside the gates' charge",
                  power_of_cause<LossCause::driver_at_rest>},
    Figure<Point>{"snubber_loss", "W", "resistors of the snubbers", power_of_cause<LossCause::snubber>},
    Figure<Point>{"wiring_loss", "W", "power loop, supply, bulk capacitor and bootstrap",
                  power_of_cause<LossCause::wiring>},
    Figure<Point>{"output_filter_loss", "W", "inductor and capacitor between bridge and output",
                  power_of_cause<LossCause::output_filter>},
    Figure<Point>{"mean_load_current", "A", "out of the switch node", value<&Point::mean_load_current>},
    Figure<Point>{"rms_load_current", "A", "root of the mean square", value<&Point::rms_load_current>},
    Figure<Point>{"load_current_ripple", "A", "highest less lowest load current", value<&Point::load_current_ripple>},
    Figure<Point>{"mean_switch_voltage", "V", "of the switch node against ground", value<&Point::mean_switch_voltage>},
    Figure<Point>{"output_voltage", "V", "mean, of a cell with an output", value<&Point::output_voltage>},
    Figure<Point>{"output_ripple", "V", "of the output voltage, highest less lowest", value<&Point::output_ripple>},
    Figure<Point>{"shoot_through_charge", "C", "through both channels at once, in a period",
                  value<&Point::shoot_through_charge>},
    Figure<Point>{"high_supply_maximum", "V", "of what feeds the high side's driver",
                  value<&Point::high_supply_maximum>},
    Figure<Point>{"high_supply_minimum", "V", "lowest of it while the high side is commanded on",
                  value<&Point::high_supply_minimum>},
    Figure<Point>{"high_loss", "W", "high side: heat in the MOSFET", value<&Point::high, &SwitchFigures::loss>},
    Figure<Point>{"high_diode_loss", "W", "high side: heat in the anti-parallel diode",
                  value<&Point::high, &SwitchFigures::diode_loss>},
    Figure<Point>{"high_driver_loss", "W", "high side: heat in the driver's output stage",
                  value<&Point::high, &SwitchFigures::driver_loss>},
    Figure<Point>{"high_rms_current", "A", "high side: root of the mean square, at the drain pin",
                  value<&Point::high, &SwitchFigures::rms_current>},
    Figure<Point>{"high_peak_drain_voltage", "V", "high side: v_DS at the die",
                  value<&Point::high, &SwitchFigures::peak_drain_voltage>},
    Figure<Point>{"high_maximum_gate_voltage", "V", "high side: v_GS at the die",
                  value<&Point::high, &SwitchFigures::maximum_gate_voltage>},
    Figure<Point>{"high_minimum_gate_voltage", "V", "high side: v_GS at the die",
                  value<&Point::high, &SwitchFigures::minimum_gate_voltage>},
    Figure<Point>{"high_junction_temperature", "K", "high side: of the MOSFET, found where its cooling is given",
                  value<&Point::high, &SwitchFigures::junction_temperature>},
    Figure<Point>{"high_diode_temperature", "K", "high side: of the anti-parallel diode, likewise",
                  value<&Point::high, &SwitchFigures::diode_temperature>},
    Figure<Point>{"low_loss", "W", "low side: heat in the MOSFET", value<&Point::low, &SwitchFigures::loss>},
    Figure<Point>{"low_diode_loss", "W", "low side: heat in the anti-parallel diode",
                  value<&Point::low, &SwitchFigures::diode_loss>},
    Figure<Point>{"low_driver_loss", "W", "low side: heat in the driver's output stage",
                  value<&Point::low, &SwitchFigures::driver_loss>},
    Figure<Point>{"low_rms_current", "A", "low side: root of the mean square, at the drain pin",
                  value<&Point::low, &SwitchFigures::rms_current>},
    Figure<Point>{"low_peak_drain_voltage", "V", "low side: v_DS at the die",
                  value<&Point::low, &SwitchFigures::peak_drain_voltage>},
    Figure<Point>{"low_maximum_gate_voltage", "V", "low side: v_GS at the die",
                  value<&Point::low, &SwitchFigures::maximum_gate_voltage>},
    Figure<Point>{"low_minimum_gate_voltage", "V", "low side: v_GS at the die",
                  value<&Point::low, &SwitchFigures::minimum_gate_voltage>},
    Figure<Point>{"low_junction_temperature", "K", "low side: of the MOSFET, found where its cooling is given",
                  value<&Point::low, &SwitchFigures::junction_temperature>},
    Figure<Point>{"low_diode_temperature", "K", "low side: of the anti-parallel diode, likewise",
                  value<&Point::low, &SwitchFigures::diode_temperature>},
    Figure<Point>{"turn_on_delay", "s", "active switch: td(on), IEC 60747-8",
                  value<&Point::turn_on, &TurnOnFigures::delay>},
    Figure<Point>{"rise_time", "s", "active switch: tr, IEC 60747-8",
                  value<&Point::turn_on, &TurnOnFigures::rise_time>},
    Figure<Point>{"turn_on_energy", "J", "active switch: Eon, window of IEC 60747-8",
                  value<&Point::turn_on, &TurnOnFigures::energy>},
    Figure<Point>{"turn_off_delay", "s", "active switch: td(off), IEC 60747-8",
                  value<&Point::turn_off, &TurnOffFigures::delay>},
    Figure<Point>{"fall_time", "s", "active switch: tf, IEC 60747-8",
                  value<&Point::turn_off, &TurnOffFigures::fall_time>},
    Figure<Point>{"turn_off_energy", "J", "active switch: Eoff, window of IEC 60747-8",
                  value<&Point::turn_off, &TurnOffFigures::energy>},
    Figure<Point>{"maximum_turn_on_voltage_slope", "V/s", "active switch: at the die, inside 90 % to 10 %",
                  value<&Point::turn_on, &TurnOnFigures::maximum_voltage_slope>},
    Figure<Point>{"maximum_turn_off_voltage_slope", "V/s", "active switch: at the die, inside 10 % to 90 %",
                  value<&Point::turn_off, &TurnOffFigures::maximum_voltage_slope>},
    Figure<Point>{"ring_frequency", "Hz", "active switch: of the drain voltage after turn-off",
                  value<&Point::turn_off, &TurnOffFigures::ring_frequency>},
    Figure<Point>{"dead_time_needed", "s", "with which the gates overlap in neither commutation", dead_time_needed},
    Figure<Point>{
        "to_active_gate_gap", "s",
        "to the active switch: from the outgoing gate's fall through its threshold to the incoming one's rise",
        value<&Point::to_active, &CommutationFigures::gate_gap>},
    Figure<Point>{"to_active_dead_time_needed", "s",
                  "to the active switch: dead time of the commands for a gap of nothing",
                  value<&Point::to_active, &CommutationFigures::dead_time_needed>},
    Figure<Point>{"to_active_voltage_at_turn_on", "V",
                  "to the active switch: v_DS of the incoming switch at its threshold",
                  value<&Point::to_active, &CommutationFigures::voltage_at_turn_on>},
    Figure<Point>{"to_active_shoot_through_charge", "C", "to the active switch: through both channels at once",
                  value<&Point::to_active, &CommutationFigures::shoot_through_charge>},
    Figure<Point>{"to_active_shoot_through_energy", "J", "to the active switch: heat of that charge in both channels",
                  value<&Point::to_active, &CommutationFigures::shoot_through_energy>},
    Figure<Point>{"to_active_induced_gate_voltage", "V",
                  "to the active switch: peak v_GS of the outgoing switch while the incoming one switches",
                  value<&Point::to_active, &CommutationFigures::induced_gate_voltage>},
    Figure<Point>{"to_active_threshold_margin", "V", "to the active switch: from that peak up to the threshold",
                  value<&Point::to_active, &CommutationFigures::threshold_margin>},
    Figure<Point>{"to_active_minimum_gate_voltage", "V", "to the active switch: lowest v_GS of either switch",
                  value<&Point::to_active, &CommutationFigures::minimum_gate_voltage>},
    Figure<Point>{"to_active_peak_reverse_current", "A",
                  "to the active switch: into the drain pin of the outgoing switch",
                  value<&Point::to_active, &CommutationFigures::peak_reverse_current>},
    Figure<Point>{"to_active_recovery_charge", "C",
                  "to the active switch: backward through the outgoing side's junctions",
                  value<&Point::to_active, &CommutationFigures::recovery_charge>},
    Figure<Point>{"to_active_recovery_energy", "J", "to the active switch: heat in those junctions meanwhile",
                  value<&Point::to_active, &CommutationFigures::recovery_energy>},
    Figure<Point>{"to_active_capacitive_charge", "C",
                  "to the active switch: into the capacitances at the outgoing side's drain",
                  value<&Point::to_active, &CommutationFigures::capacitive_charge>},
    Figure<Point>{"to_active_diode_conduction_energy", "J",
                  "to the active switch: forward heat in body and anti-parallel diodes",
                  value<&Point::to_active, &CommutationFigures::diode_conduction_energy>},
    Figure<Point>{
        "from_active_gate_gap", "s",
        "from the active switch: from the outgoing gate's fall through its threshold to the incoming one's rise",
        value<&Point::from_active, &CommutationFigures::gate_gap>},
    Figure<Point>{"from_active_dead_time_needed", "s",
                  "from the active switch: dead time of the commands for a gap of nothing",
                  value<&Point::from_active, &CommutationFigures::dead_time_needed>},
    Figure<Point>{"from_active_voltage_at_turn_on", "V",
                  "from the active switch: v_DS of the incoming switch at its threshold",
                  value<&Point::from_active, &CommutationFigures::voltage_at_turn_on>},
    Figure<Point>{"from_active_shoot_through_charge", "C", "from the active switch: through both channels at once",
                  value<&Point::from_active, &CommutationFigures::shoot_through_charge>},
    Figure<Point>{"from_active_shoot_through_energy", "J",
                  "from the active switch: heat of that charge in both channels",
                  value<&Point::from_active, &CommutationFigures::shoot_through_energy>},
    Figure<Point>{"from_active_induced_gate_voltage", "V",
                  "from the active switch: peak v_GS of the outgoing switch while the incoming one switches",
                  value<&Point::from_active, &CommutationFigures::induced_gate_voltage>},
    Figure<Point>{"from_active_threshold_margin", "V", "from the active switch: from that peak up to the threshold",
                  value<&Point::from_active, &CommutationFigures::threshold_margin>},
    Figure<Point>{"from_active_minimum_gate_voltage", "V", "from the active switch: lowest v_GS of either switch",
                  value<&Point::from_active, &CommutationFigures::minimum_gate_voltage>},
    Figure<Point>{"from_active_peak_reverse_current", "A",
                  "from the active switch: into the drain pin of the outgoing switch",
                  value<&Point::from_active, &CommutationFigures::peak_reverse_current>},
    Figure<Point>{"from_active_recovery_charge", "C",
                  "from the active switch: backward through the outgoing side's junctions",
                  value<&Point::from_active, &CommutationFigures::recovery_charge>},
    Figure<Point>{"from_active_recovery_energy", "J", "from the active switch: heat in those junctions meanwhile",
                  value<&Point::from_active, &CommutationFigures::recovery_energy>},
    Figure<Point>{"from_active_capacitive_charge", "C",
                  "from the active switch: into the capacitances at the outgoing side's drain",
                  value<&Point::from_active, &CommutationFigures::capacitive_charge>},
    Figure<Point>{"from_active_diode_conduction_energy", "J",
                  "from the active switch: forward heat in body and anti-parallel diodes",
                  value<&Point::from_active, &CommutationFigures::diode_conduction_energy>},
    Figure<Point>{"thermal_gain", "1", "loop gain of losses and cooling, R dP/dT; at 1 the temperature runs away",
                  value<&Point::thermal_gain>},
    Figure<Point>{"periodicity_residual", "1", "distance from the periodic state, as a share of the state",
                  value<&Point::periodicity_residual>},
    Figure<Point>{"energy_residual", "1", "of the energy ledger", value<&Point::energy_residual>},
    Figure<Point>{"charge_residual", "1", "of the charge balance", value<&Point::charge_residual>},
};

}  // namespace

std::span<const Figure<HalfBridgePoint>> half_bridge_point_figures() {
  return figures;
}

}  // namespace gateswing::study
