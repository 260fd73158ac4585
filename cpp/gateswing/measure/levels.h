// The two levels between which a quantity switches, and percentages of that swing.
#pragma once

namespace gateswing::measure {

// low < high, [unit]. Of a gate voltage: driven off and driven on. Of a drain voltage: on-state and off-state; the
// percentages of the drain voltage are counted from its on-state level, as the standards' "amplitude" is, so give
// low = 0 for percentages of the bus voltage itself. Each is given, or measured as mean() over a stretch at rest.
struct Levels {
  double low;
  double high;

  double at(double fraction) const { return low + fraction * (high - low); }
};

}  // namespace gateswing::measure
