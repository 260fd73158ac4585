// When a channel crosses a level, and the transition between two levels "ignoring spikes".
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "gateswing/measure/window.h"

namespace gateswing::measure {

enum class Direction { rising, falling };

// Rising: from below the level to the level or above it. Falling: back below. A jump at a joint counts, at the time of
// the joint, if the joint lies in (begin, end] of the window; so windows that follow each other share no crossing.
struct Crossing {
  double time;  // [s]
  Direction direction;
};

// In order of time; directions alternate.
std::vector<Crossing> crossings(const waveform::Waveform& waveform, std::size_t channel, double level, Window window);

std::optional<double> first_crossing(const waveform::Waveform& waveform, std::size_t channel, double level,
                                     Direction direction, Window window);
std::optional<double> last_crossing(const waveform::Waveform& waveform, std::size_t channel, double level,
                                    Direction direction, Window window);

// The transition of a channel from level `from` to level `to`:
//   end   = the first crossing of `to` in the direction from -> to,
//   begin = the last crossing of `from` in that direction before `end`.
// A spike that leaves `from` but comes back before reaching `to` (the inductive L di/dt dip of v_DS at turn-on) does
// not count, nor does what follows the first arrival (ring-back through `to`). A dip that never comes back above `from`
// is the beginning of the transition. None if the channel does not start on the far side of `from` and reach `to`.
//
// JEDEC words it for voltage delay times as the drain voltage's 90 % or 10 % points "ignoring spikes" from diode
// recovery current or parasitic inductance (JESD24, 7/85; JESD77-B, 2/00; in the JEDEC dictionary under "voltage
// turn-on delay time"). It gives no rule for telling a spike from the transition; the rule above is this project's.
std::optional<Window> main_transition(const waveform::Waveform& waveform, std::size_t channel, double from, double to,
                                      Window window);

}  // namespace gateswing::measure
