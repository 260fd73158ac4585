// Piecewise-linear input of time: driver commands, source voltages and currents.
#pragma once

#include <span>
#include <string>
#include <vector>

namespace gateswing::network {

/// One corner of a piecewise-linear function.
struct Corner {
  double time;   ///< [s]
  double value;  ///< [unit of the input]
};

/// Value and slope of an input on one segment: value(t) = value + slope (t - start).
struct Segment {
  double start;  ///< [s]
  double value;
  double slope;  ///< [unit/s]
};

/// Continuous piecewise-linear function of time, constant before its first and after its last corner.
///
/// Corners must have strictly increasing times: a jump is a ramp of finite length, as in every real driver.
class PiecewiseLinear {
 public:
  explicit PiecewiseLinear(double constant);
  explicit PiecewiseLinear(std::vector<Corner> corners);

  [[nodiscard]] double value(double time) const;

  /// The segment valid to the right of `time`, so that a run started on a corner sees the slope it is about to follow.
  [[nodiscard]] Segment segment_from(double time) const;

  [[nodiscard]] bool is_constant() const { return corners_.size() == 1; }
  [[nodiscard]] std::span<const Corner> corners() const { return corners_; }

 private:
  std::vector<Corner> corners_;
};

/// Sorted, distinct corner times of all inputs strictly inside (begin, end) [s].
std::vector<double> corner_times(std::span<const PiecewiseLinear> inputs, double begin, double end);

/// Gate command of a two-level driver, 0 (off) to 1 (on).
struct Pulse {
  double on;   ///< instant at which the logic input asks for "on" [s]
  double off;  ///< instant at which it asks for "off" [s]
};

/// Output timing of a driver.
struct CommandTiming {
  double rise_time = 0.0;       ///< 0 to 100 % of the open-circuit output [s]
  double fall_time = 0.0;       ///< 100 to 0 % [s]
  double turn_on_delay = 0.0;   ///< logic input to start of the rise [s]
  double turn_off_delay = 0.0;  ///< logic input to start of the fall [s]
};

/// Shifts and ramps the logic pulses into the driver's output command.
///
/// A pulse too short to complete its ramp starts the opposite ramp from the level reached; a pulse swallowed by unequal
/// delays disappears. Pulses must be in order and must not overlap. Ramps have at least 1 ps, so that corners differ.
PiecewiseLinear gate_command(std::span<const Pulse> pulses, const CommandTiming& timing);

/// The driver's output command under pulses that have repeated for ever.
struct PeriodicCommand {
  PiecewiseLinear level;     ///< over the times 0 to two periods
  double on = 0.0;           ///< first start of a rise, within the first period [s]
  double on_duration = 0.0;  ///< from there to the start of the fall; 0: never on, the period: always on [s]
};

/// `pulse` and its repetitions every `period` [s]. Delays may exceed the period. Where the ramps are too long to be
/// completed the level climbs from pulse to pulse until it reaches one end, so that it is complete there.
/// Throws std::invalid_argument unless 0 <= pulse.off - pulse.on <= period, both finite, and the period is positive.
PeriodicCommand periodic_gate_command(const Pulse& pulse, double period, const CommandTiming& timing);

}  // namespace gateswing::network
