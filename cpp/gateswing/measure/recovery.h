// Reverse recovery of a diode: peak, times and charge.
#pragma once

#include <cstddef>
#include <optional>

#include "gateswing/measure/window.h"

namespace gateswing::measure {

// The recovery time has as many definitions as there are sources; all count from the zero crossing of the current.
//   time        to 25 % of the peak (application note GFM347 v1.00 (2021), section 2.2.3)
//   line_time   to the zero of a line through 90 % and 25 % of the peak (IEC 60747-2, as second parties restate it)
//   short_time  to the zero of a line through 75 % and 50 % of the peak (common on data sheets, whose Q_rr is then
//               short_time peak / 2)
// The charge has its own window: from the zero crossing to the window's end. It holds what charges the junction
// capacitance, as in the JEDEC dictionary ("recovered charge", JESD282-B).
struct Recovery {
  double zero_time;     // of the zero crossing [s]
  double peak_time;     // of the reverse peak [s]
  double peak_current;  // I_RRM, positive [A]
  double time;          // t_rr [s]
  double line_time;     // [s]
  double short_time;    // [s]
  double charge;        // Q_rr [C]
};

// Of a forward current that falls through zero inside the window. None if it does not, or does not come back to a
// quarter of its reverse peak.
std::optional<Recovery> recovery(const waveform::Waveform& waveform, std::size_t current, Window window);

}  // namespace gateswing::measure
