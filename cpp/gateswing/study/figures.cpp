#include "gateswing/study/figures.h"

#include <array>

namespace gateswing::study {
namespace {

using Point = OperatingPoint;

template <LossCause cause>
double power_of_cause(const Point& point) {
  return point.causes.empty() ? no_figure : point.frequency * energy_of(point.causes, cause);
}

constexpr std::array figures{
    Figure<Point>{"efficiency", "1", "load power / (load power + losses)", [](const Point& p) { return p.efficiency; }},
    Figure<Point>{"input_power", "W", "delivered by bus and driver supply",
                  [](const Point& p) { return p.input_power; }},
    Figure<Point>{"load_power", "W", "power into the load", [](const Point& p) { return p.load_power; }},
    Figure<Point>{"useful_power", "W", "of it to a motor's shaft or into LEDs, else all of it",
                  [](const Point& p) { return p.useful_power; }},
    Figure<Point>{"total_loss", "W", "heat in everything but the load", [](const Point& p) { return p.total_loss; }},
    Figure<Point>{"channel_loss", "W", "heat in the MOSFET", [](const Point& p) { return p.channel_loss; }},
    Figure<Point>{"driver_loss", "W", "heat in the driver's output stage",
                  [](const Point& p) { return p.driver_loss; }},
    Figure<Point>{"conduction_loss", "W", "channel in the on-state, and its series resistance",
                  power_of_cause<LossCause::conduction>},
    Figure<Point>{"turn_on_loss", "W", "overlap of voltage and load current in the channel",
                  power_of_cause<LossCause::turn_on>},
    Figure<Point>{"turn_off_loss", "W", "channel from the turn-off on", power_of_cause<LossCause::turn_off>},
    Figure<Point>{"output_capacitance_loss", "W", "capacitances at the switch node, discharged into the channel",
                  power_of_cause<LossCause::output_capacitance>},
    Figure<Point>{"recovery_loss", "W", "stored charge of the freewheel diode, in channel and diode",
                  power_of_cause<LossCause::recovery>},
    Figure<Point>{"incomplete_switching_loss", "W", "channel of a switch that does not reach both levels",
                  power_of_cause<LossCause::incomplete_switching>},
    Figure<Point>{"freewheel_loss", "W", "freewheel diode in forward direction",
                  power_of_cause<LossCause::freewheel_conduction>},
    Figure<Point>{"reverse_conduction_loss", "W", "body diode, forward", power_of_cause<LossCause::reverse_conduction>},
    Figure<Point>{"avalanche_loss", "W", "breakdown of the MOSFET", power_of_cause<LossCause::avalanche>},
    Figure<Point>{"gate_loss", "W", "the gate's charge: driver and gate resistors", power_of_cause<LossCause::gate>},
    Figure<Point>{"driver_at_rest_loss", "W", "what the driver draws beside the gate's charge",
                  power_of_cause<LossCause::driver_at_rest>},
    Figure<Point>{"snubber_loss", "W", "resistor of the snubber", power_of_cause<LossCause::snubber>},
    Figure<Point>{"clamp_loss", "W", "zener, TVS and RCD clamps", power_of_cause<LossCause::clamp>},
    Figure<Point>{"wiring_loss", "W", "power loop, supply and bulk capacitor", power_of_cause<LossCause::wiring>},
    Figure<Point>{"overshoot", "V", "drain voltage at the pins above the bus",
                  [](const Point& p) { return p.overshoot; }},
    Figure<Point>{"peak_drain_voltage", "V", "at the die", [](const Point& p) { return p.peak_drain_voltage; }},
    Figure<Point>{"peak_drain_current", "A", "into the drain pin", [](const Point& p) { return p.peak_drain_current; }},
    Figure<Point>{"maximum_gate_voltage", "V", "at the die", [](const Point& p) { return p.maximum_gate_voltage; }},
    Figure<Point>{"minimum_gate_voltage", "V", "at the die", [](const Point& p) { return p.minimum_gate_voltage; }},
    Figure<Point>{"mean_load_current", "A", "over the period", [](const Point& p) { return p.mean_load_current; }},
    Figure<Point>{"load_current_ripple", "A", "highest less lowest load current",
                  [](const Point& p) { return p.load_current_ripple; }},
    Figure<Point>{
        "transition_share", "1",
        "part of the period, from the turn-on to the end of the turn-off, with the drain between 10 % and 90 % of "
        "the bus",
        [](const Point& p) { return p.transition_share; }},
    Figure<Point>{
        "on_share", "1",
        "part of the period, from the turn-on to the end of the turn-off, with the drain below 10 % of the bus",
        [](const Point& p) { return p.on_share; }},
    Figure<Point>{"turn_on_delay", "s", "td(on), IEC 60747-8", [](const Point& p) { return p.turn_on.delay; }},
    Figure<Point>{"rise_time", "s", "tr, IEC 60747-8", [](const Point& p) { return p.turn_on.rise_time; }},
    Figure<Point>{"turn_on_energy", "J", "Eon, window of IEC 60747-8", [](const Point& p) { return p.turn_on.energy; }},
    Figure<Point>{"turn_off_delay", "s", "td(off), IEC 60747-8", [](const Point& p) { return p.turn_off.delay; }},
    Figure<Point>{"fall_time", "s", "tf, IEC 60747-8", [](const Point& p) { return p.turn_off.fall_time; }},
    Figure<Point>{"turn_off_energy", "J", "Eoff, window of IEC 60747-8",
                  [](const Point& p) { return p.turn_off.energy; }},
    Figure<Point>{"maximum_turn_on_voltage_slope", "V/s", "at the die, inside 90 % to 10 %",
                  [](const Point& p) { return p.turn_on.maximum_voltage_slope; }},
    Figure<Point>{"maximum_turn_off_voltage_slope", "V/s", "at the die, inside 10 % to 90 %",
                  [](const Point& p) { return p.turn_off.maximum_voltage_slope; }},
    Figure<Point>{"ring_frequency", "Hz", "of the drain voltage after turn-off",
                  [](const Point& p) { return p.turn_off.ring_frequency; }},
    Figure<Point>{"junction_temperature", "K", "of the MOSFET, found where its cooling is given",
                  [](const Point& p) { return p.junction_temperature; }},
    Figure<Point>{"freewheel_temperature", "K", "of the freewheel diode, found where its cooling is given",
                  [](const Point& p) { return p.freewheel_temperature; }},
    Figure<Point>{"thermal_gain", "1", "loop gain of losses and cooling, R dP/dT; at 1 the temperature runs away",
                  [](const Point& p) { return p.thermal_gain; }},
    Figure<Point>{"periodicity_residual", "1", "distance from the periodic state, as a share of the state",
                  [](const Point& p) { return p.periodicity_residual; }},
    Figure<Point>{"energy_residual", "1", "of the energy ledger", [](const Point& p) { return p.energy_residual; }},
    Figure<Point>{"charge_residual", "1", "of the charge balance", [](const Point& p) { return p.charge_residual; }},
};

}  // namespace

std::span<const Figure<OperatingPoint>> operating_point_figures() {
  return figures;
}

}  // namespace gateswing::study
