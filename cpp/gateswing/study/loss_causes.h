// The losses of a period by what causes them, beside the ledger that lists them by element.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "gateswing/measure/window.h"
#include "gateswing/network/ledger.h"
#include "gateswing/study/edge_figures.h"
#include "gateswing/waveform/waveform.h"

namespace gateswing::study {

enum class LossCause {
  conduction,            ///< channel while v_DS is below 10 %, and the resistance in series with it
  turn_on,               ///< overlap of v_DS and the current from outside the die, until v_DS reaches 10 %
  turn_off,              ///< channel from 10 % of v_DS on, off-state included
  output_capacitance,    ///< what C_OSS and the junction capacitance of the freewheel diode put into the channel
  recovery,              ///< what the stored charge of the freewheel diode puts into channel and diode
  incomplete_switching,  ///< channel of a switch that does not reach both of its levels
  freewheel_conduction,  ///< freewheel diode in forward direction, and the resistance in series with it
  reverse_conduction,    ///< body diode, forward
  shoot_through,         ///< channels of a half bridge, of the current that passes both
  leakage,               ///< body diode of a low-side switch while it blocks
  avalanche,             ///< breakdown of the MOSFET
  gate,                  ///< the gate's charge: driver, gate resistors, pull-down
  driver_at_rest,        ///< what the driver draws beside the gate's charge
  snubber,
  clamp,          ///< zener, TVS and RCD clamps
  wiring,         ///< power loop, supply and bulk capacitor
  output_filter,  ///< inductor and capacitor between a half bridge and its output
  other           ///< an element that the list does not know
};

inline constexpr std::size_t loss_cause_count = static_cast<std::size_t>(LossCause::other) + 1;

/// As a word, with spaces.
std::string_view name(LossCause cause);

/// What one element lost for one cause.
struct CauseEnergy {
  LossCause cause;
  std::string element;
  double energy;  ///< over the period [J]
};

/// The period whose losses are sorted.
struct PeriodRecord {
  const waveform::Waveform& waveform;  ///< channels of channels.h
  measure::Window period;
  EdgeInstants turn_on;   ///< of the first edge in the period
  EdgeInstants turn_off;  ///< of the second
};

/// Sorts the heat of a period. The rows add up to the dissipated entries of the ledger but for the load.
///
/// Elements with one cause come from the ledger. The heat of the channel is split by time into
///
///   on    from the command to v_DS at 10 %        conduction   until v_DS leaves 10 %        off   the rest
///
/// and that of "on" by where the channel's current comes from, with Kirchhoff's law at the die and at the switch node:
///
///   output capacitance   integral of v_DS (i_channel + i_body - i_D)                      out of C_OSS
///                        + integral of v_DS times the reverse current of the freewheel diode beside its junction
///   recovery             integral of v_DS times the reverse current of its junction       stored charge
///   turn-on              what remains: load current, snubber, wiring
///
/// The freewheel diode's own heat is recovery where its junction current flows backward, else conduction. Common
/// practice without a standard: measured waveforms cannot tell these shares apart.
std::vector<CauseEnergy> losses_by_cause(const PeriodRecord& record, std::span<const network::EnergyEntry> ledger);

/// Integral of voltage times current while the current flows backward [J]: heat, where the voltage is negative too.
double backward_product(const waveform::Waveform& waveform, std::size_t voltage, std::size_t current,
                        measure::Window window);

/// Adds the heat of a diode's junction: recovery where its current flows backward, else `forward`.
void add_junction(const waveform::Waveform& waveform, std::size_t voltage, std::size_t current, measure::Window window,
                  LossCause forward, const std::string& element, std::vector<CauseEnergy>& rows);

/// The cause of an element whose heat has one; `other` for the channel and for elements that the list does not know.
LossCause cause_of(std::string_view element);

/// Sum over the rows of one cause [J].
double energy_of(std::span<const CauseEnergy> causes, LossCause cause);

}  // namespace gateswing::study
