// The scalar figures of a half bridge in steady state.
#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <vector>

#include "gateswing/study/figure_rows.h"

namespace gateswing::study {
namespace {

using Point = HalfBridgePoint;

/// None if one commutation has none: a switch that does not switch.
double dead_time_needed(const Point& point) {
  const double there = point.to_active.dead_time_needed;
  const double back = point.from_active.dead_time_needed;
  return std::isnan(there) || std::isnan(back) ? no_figure : std::max(there, back);
}

constexpr std::array powers_and_means{
    FigureRow<Point>{"efficiency", "1", "load power / (load power + losses)", value<&Point::efficiency>},
    FigureRow<Point>{"input_power", "W", "from all sources that give power", value<&Point::input_power>},
    FigureRow<Point>{"load_power", "W", "into load or output, and into the bus where that takes power",
                     value<&Point::load_power>},
    FigureRow<Point>{"total_loss", "W", "heat in everything else", value<&Point::total_loss>},
    FigureRow<Point>{"conduction_loss", "W", "channels while v_DS is below 10 %, and their series resistance",
                     power_of_cause<LossCause::conduction>},
    FigureRow<Point>{"turn_on_loss", "W", "overlap of voltage and load current in the channels",
                     power_of_cause<LossCause::turn_on>},
    FigureRow<Point>{"turn_off_loss", "W", "channels above 10 % of v_DS while commanded off",
                     power_of_cause<LossCause::turn_off>},
    FigureRow<Point>{"output_capacitance_loss", "W", "capacitances at the switch node, discharged into a channel",
                     power_of_cause<LossCause::output_capacitance>},
    FigureRow<Point>{"recovery_loss", "W", "stored charge of the other side's diodes, in channel and diode",
                     power_of_cause<LossCause::recovery>},
    FigureRow<Point>{"incomplete_switching_loss", "W", "channel of a switch that does not reach its level",
                     power_of_cause<LossCause::incomplete_switching>},
    FigureRow<Point>{"freewheel_loss", "W", "anti-parallel diodes in forward direction",
                     power_of_cause<LossCause::freewheel_conduction>},
    FigureRow<Point>{"reverse_conduction_loss", "W", "body diodes in forward direction",
                     power_of_cause<LossCause::reverse_conduction>},
    FigureRow<Point>{"shoot_through_loss", "W", "current that passes both channels at once",
                     power_of_cause<LossCause::shoot_through>},
    FigureRow<Point>{"avalanche_loss", "W", "breakdown of the MOSFETs", power_of_cause<LossCause::avalanche>},
    FigureRow<Point>{"gate_loss", "W", "the gates' charge: drivers and gate resistors",
                     power_of_cause<LossCause::gate>},
    FigureRow<Point>{"driver_at_rest_loss", "W", "what the drivers draw beside the gates' charge",
                     power_of_cause<LossCause::driver_at_rest>},
    FigureRow<Point>{"snubber_loss", "W", "resistors of the snubbers", power_of_cause<LossCause::snubber>},
    FigureRow<Point>{"wiring_loss", "W", "power loop, supply, bulk capacitor and bootstrap",
                     power_of_cause<LossCause::wiring>},
    FigureRow<Point>{"output_filter_loss", "W", "inductor and capacitor between bridge and output",
                     power_of_cause<LossCause::output_filter>},
    FigureRow<Point>{"mean_load_current", "A", "out of the switch node", value<&Point::mean_load_current>},
    FigureRow<Point>{"rms_load_current", "A", "root of the mean square", value<&Point::rms_load_current>},
    FigureRow<Point>{"load_current_ripple", "A", "highest less lowest load current",
                     value<&Point::load_current_ripple>},
    FigureRow<Point>{"mean_switch_voltage", "V", "of the switch node against ground",
                     value<&Point::mean_switch_voltage>},
    FigureRow<Point>{"output_voltage", "V", "mean, of a cell with an output", value<&Point::output_voltage>},
    FigureRow<Point>{"output_ripple", "V", "of the output voltage, highest less lowest", value<&Point::output_ripple>},
    FigureRow<Point>{"shoot_through_charge", "C", "through both channels at once, in a period",
                     value<&Point::shoot_through_charge>},
    FigureRow<Point>{"high_supply_maximum", "V", "of what feeds the high side's driver",
                     value<&Point::high_supply_maximum>},
    FigureRow<Point>{"high_supply_minimum", "V", "lowest of it while the high side is commanded on",
                     value<&Point::high_supply_minimum>},
};

/// Of one side.
constexpr std::array of_side{
    FigureRow<SwitchFigures>{"loss", "W", "heat in the MOSFET", value<&SwitchFigures::loss>},
    FigureRow<SwitchFigures>{"diode_loss", "W", "heat in the anti-parallel diode", value<&SwitchFigures::diode_loss>},
    FigureRow<SwitchFigures>{"driver_loss", "W", "heat in the driver's output stage",
                             value<&SwitchFigures::driver_loss>},
    FigureRow<SwitchFigures>{"rms_current", "A", "root of the mean square, at the drain pin",
                             value<&SwitchFigures::rms_current>},
    FigureRow<SwitchFigures>{"peak_drain_voltage", "V", "v_DS at the die", value<&SwitchFigures::peak_drain_voltage>},
    FigureRow<SwitchFigures>{"maximum_gate_voltage", "V", "v_GS at the die",
                             value<&SwitchFigures::maximum_gate_voltage>},
    FigureRow<SwitchFigures>{"minimum_gate_voltage", "V", "v_GS at the die",
                             value<&SwitchFigures::minimum_gate_voltage>},
    FigureRow<SwitchFigures>{"junction_temperature", "K", "of the MOSFET, found where its cooling is given",
                             value<&SwitchFigures::junction_temperature>},
    FigureRow<SwitchFigures>{"diode_temperature", "K", "of the anti-parallel diode, likewise",
                             value<&SwitchFigures::diode_temperature>},
};

constexpr std::array of_both_commutations{
    FigureRow<Point>{"dead_time_needed", "s", "with which the gates overlap in neither commutation", dead_time_needed},
};

constexpr std::array of_commutation{
    FigureRow<CommutationFigures>{"gate_gap", "s",
                                  "from the outgoing gate's fall through its threshold to the incoming one's rise",
                                  value<&CommutationFigures::gate_gap>},
    FigureRow<CommutationFigures>{"dead_time_needed", "s", "dead time of the commands for a gap of nothing",
                                  value<&CommutationFigures::dead_time_needed>},
    FigureRow<CommutationFigures>{"voltage_at_turn_on", "V", "v_DS of the incoming switch at its threshold",
                                  value<&CommutationFigures::voltage_at_turn_on>},
    FigureRow<CommutationFigures>{"shoot_through_charge", "C", "through both channels at once",
                                  value<&CommutationFigures::shoot_through_charge>},
    FigureRow<CommutationFigures>{"shoot_through_energy", "J", "heat of that charge in both channels",
                                  value<&CommutationFigures::shoot_through_energy>},
    FigureRow<CommutationFigures>{"induced_gate_voltage", "V",
                                  "peak v_GS of the outgoing switch while the incoming one switches",
                                  value<&CommutationFigures::induced_gate_voltage>},
    FigureRow<CommutationFigures>{"threshold_margin", "V", "from that peak up to the threshold",
                                  value<&CommutationFigures::threshold_margin>},
    FigureRow<CommutationFigures>{"minimum_gate_voltage", "V", "lowest v_GS of either switch",
                                  value<&CommutationFigures::minimum_gate_voltage>},
    FigureRow<CommutationFigures>{"peak_reverse_current", "A", "into the drain pin of the outgoing switch",
                                  value<&CommutationFigures::peak_reverse_current>},
    FigureRow<CommutationFigures>{"recovery_charge", "C", "backward through the outgoing side's junctions",
                                  value<&CommutationFigures::recovery_charge>},
    FigureRow<CommutationFigures>{"recovery_energy", "J", "heat in those junctions meanwhile",
                                  value<&CommutationFigures::recovery_energy>},
    FigureRow<CommutationFigures>{"capacitive_charge", "C", "into the capacitances at the outgoing side's drain",
                                  value<&CommutationFigures::capacitive_charge>},
    FigureRow<CommutationFigures>{"diode_conduction_energy", "J", "forward heat in body and anti-parallel diodes",
                                  value<&CommutationFigures::diode_conduction_energy>},
};

std::vector<Figure<Point>> all_figures() {
  std::vector<Figure<Point>> all;
  add_figures<Point>(powers_and_means, all);
  add_figures<Point, SwitchFigures>(
      of_side, figure_prefix(network::Side::high),
      "high side: ", [](const Point& point) -> const auto& { return point.high; }, all);
  add_figures<Point, SwitchFigures>(
      of_side, figure_prefix(network::Side::low),
      "low side: ", [](const Point& point) -> const auto& { return point.low; }, all);
  add_figures<Point, Point>(edge_rows<Point>, "", "active switch: ", std::identity(), all);
  add_figures<Point>(of_both_commutations, all);
  add_figures<Point, CommutationFigures>(
      of_commutation, "to_active_",
      "to the active switch: ", [](const Point& point) -> const auto& { return point.to_active; }, all);
  add_figures<Point, CommutationFigures>(
      of_commutation, "from_active_",
      "from the active switch: ", [](const Point& point) -> const auto& { return point.from_active; }, all);
  add_figures<Point>(trust_rows<Point>, all);
  return all;
}

}  // namespace

std::span<const Figure<HalfBridgePoint>> half_bridge_point_figures() {
  static const std::vector<Figure<Point>> figures = all_figures();
  return figures;
}

}  // namespace gateswing::study
