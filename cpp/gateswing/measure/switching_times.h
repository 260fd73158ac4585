// Switching times of a MOSFET by IEC 60747-8: voltage-based, unlike those of an IGBT, which are current-based.
#pragma once

#include <cstddef>
#include <optional>

#include "gateswing/measure/levels.h"
#include "gateswing/measure/window.h"

namespace gateswing::measure {

// The instants that define one edge; none where the waveform does not show them, so a switch that never finishes still
// tells when it began.
struct EdgeTimes {
  std::optional<double> gate;   // v_GS leaves its level [s]
  std::optional<Window> drain;  // v_DS between its 90 % and 10 % levels [s]

  std::optional<double> delay() const;       // td(on) or td(off): gate -> drain->begin [s]
  std::optional<double> transition() const;  // tr or tf: length of drain [s]
  std::optional<double> total() const;       // ton or toff: delay + transition [s]
};

// Definitions (IEC 60747-8:2010, clause 6.3.6 and figure 3, as restated by an instrument maker and in
// application note GFM347 v1.00 (2021), section 2.2.1):
//   td(on)   10 % of rising v_GS  -> 90 % of falling v_DS      tr  v_DS 90 % -> 10 %
//   td(off)  90 % of falling v_GS -> 10 % of rising v_DS       tf  v_DS 10 % -> 90 %
// v_DS by main_transition(), that is "ignoring spikes". v_GS: its last crossing before the drain leaves, so noise on
// the gate edge does not count either; where the drain does not move, its last crossing in the window.
EdgeTimes turn_on_times(const waveform::Waveform& waveform, std::size_t gate_source, Levels gate,
                        std::size_t drain_source, Levels drain, Window window);
EdgeTimes turn_off_times(const waveform::Waveform& waveform, std::size_t gate_source, Levels gate,
                         std::size_t drain_source, Levels drain, Window window);

}  // namespace gateswing::measure
