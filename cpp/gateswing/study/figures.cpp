#include "gateswing/study/figures.h"

#include <array>
#include <vector>

#include "gateswing/study/figure_rows.h"

namespace gateswing::study {
namespace {

using Point = OperatingPoint;

constexpr std::array powers_and_stresses{
    FigureRow<Point>{"efficiency", "1", "load power / (load power + losses)", value<&Point::efficiency>},
    FigureRow<Point>{"input_power", "W", "delivered by bus and driver supply", value<&Point::input_power>},
    FigureRow<Point>{"load_power", "W", "power into the load", value<&Point::load_power>},
    FigureRow<Point>{"useful_power", "W", "of it to a motor's shaft or into LEDs, else all of it",
                     value<&Point::useful_power>},
    FigureRow<Point>{"total_loss", "W", "heat in everything but the load", value<&Point::total_loss>},
    FigureRow<Point>{"channel_loss", "W", "heat in the MOSFET: channel, drift region, body diode, breakdown",
                     value<&Point::channel_loss>},
    FigureRow<Point>{"driver_loss", "W", "heat in the driver's output stage", value<&Point::driver_loss>},
    FigureRow<Point>{"conduction_loss", "W", "channel in the on-state, and its series resistance",
                     power_of_cause<LossCause::conduction>},
    FigureRow<Point>{"turn_on_loss", "W", "overlap of voltage and load current in the channel",
                     power_of_cause<LossCause::turn_on>},
    FigureRow<Point>{"turn_off_loss", "W", "channel from the turn-off on", power_of_cause<LossCause::turn_off>},
    FigureRow<Point>{"output_capacitance_loss", "W", "capacitances at the switch node, discharged into the channel",
                     power_of_cause<LossCause::output_capacitance>},
    FigureRow<Point>{"recovery_loss", "W", "stored charge of the freewheel diode, in channel and diode",
                     power_of_cause<LossCause::recovery>},
    FigureRow<Point>{"incomplete_switching_loss", "W", "channel of a switch that does not reach both levels",
                     power_of_cause<LossCause::incomplete_switching>},
    FigureRow<Point>{"freewheel_loss", "W", "freewheel diode in forward direction",
                     power_of_cause<LossCause::freewheel_conduction>},
    FigureRow<Point>{"reverse_conduction_loss", "W", "body diode, forward",
                     power_of_cause<LossCause::reverse_conduction>},
    FigureRow<Point>{"avalanche_loss", "W", "breakdown of the MOSFET", power_of_cause<LossCause::avalanche>},
    FigureRow<Point>{"gate_loss", "W", "the gate's charge: driver and gate resistors", power_of_cause<LossCause::gate>},
    FigureRow<Point>{"driver_at_rest_loss", "W", "what the driver draws beside the gate's charge",
                     power_of_cause<LossCause::driver_at_rest>},
    FigureRow<Point>{"snubber_loss", "W", "resistor of the snubber", power_of_cause<LossCause::snubber>},
    FigureRow<Point>{"clamp_loss", "W", "zener, TVS and RCD clamps", power_of_cause<LossCause::clamp>},
    FigureRow<Point>{"wiring_loss", "W", "power loop, supply and bulk capacitor", power_of_cause<LossCause::wiring>},
    FigureRow<Point>{"overshoot", "V", "drain voltage at the pins above the bus", value<&Point::overshoot>},
    FigureRow<Point>{"peak_drain_voltage", "V", "at the die", value<&Point::peak_drain_voltage>},
    FigureRow<Point>{"peak_drain_current", "A", "into the drain pin", value<&Point::peak_drain_current>},
    FigureRow<Point>{"maximum_gate_voltage", "V", "at the die", value<&Point::maximum_gate_voltage>},
    FigureRow<Point>{"minimum_gate_voltage", "V", "at the die", value<&Point::minimum_gate_voltage>},
    FigureRow<Point>{"mean_load_current", "A", "over the period", value<&Point::mean_load_current>},
    FigureRow<Point>{"load_current_ripple", "A", "highest less lowest load current",
                     value<&Point::load_current_ripple>},
    FigureRow<Point>{
        "transition_share", "1",
        "part of the period, from the turn-on to the end of the turn-off, with the drain between 10 % and 90 % of "
        "the bus",
        value<&Point::transition_share>},
    FigureRow<Point>{
        "on_share", "1",
        "part of the period, from the turn-on to the end of the turn-off, with the drain below 10 % of the bus",
        value<&Point::on_share>},
};

constexpr std::array temperatures{
    FigureRow<Point>{"junction_temperature", "K", "of the MOSFET, found where its cooling is given",
                     value<&Point::junction_temperature>},
    FigureRow<Point>{"freewheel_temperature", "K", "of the freewheel diode, found where its cooling is given",
                     value<&Point::freewheel_temperature>},
};

std::vector<Figure<Point>> all_figures() {
  std::vector<Figure<Point>> figures;
  add_figures<Point>(powers_and_stresses, figures);
  add_figures<Point>(edge_rows<Point>, figures);
  add_figures<Point>(temperatures, figures);
  add_figures<Point>(trust_rows<Point>, figures);
  return figures;
}

}  // namespace

std::span<const Figure<OperatingPoint>> operating_point_figures() {
  static const std::vector<Figure<Point>> figures = all_figures();
  return figures;
}

}  // namespace gateswing::study
