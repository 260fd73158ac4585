// The gate plateau: the gate voltage at which the drain voltage moves.
#pragma once

#include <cstddef>

#include "gateswing/measure/window.h"

namespace gateswing::measure {

struct Plateau {
  double time;     // [s]
  double voltage;  // [V]
  double slope;    // |dv_GS/dt| there [V/s]; small against the slopes before and after if there is a plateau at all
};

// v_GS where the magnitude of its slope is least, as JESD24-2 (1/91) reads Vgs(pl) from a gate charge curve taken at
// constant gate current (restated by an instrument maker). `transition` is the time in which v_DS moves
// (EdgeTimes::drain). Where the slope passes through zero, the first such point, which is the crest if v_GS overshoots
// its plateau; mean() over the same window is the calmer figure, and the only useful one on noisy samples.
Plateau plateau(const waveform::Waveform& waveform, std::size_t gate_source, Window transition);

}  // namespace gateswing::measure
