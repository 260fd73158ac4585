// Random parameters of every law, spread over the plausible ranges of inputs of power MOSFETs, diodes and drivers, and
// how to print them. The numbers are drawn, not anybody's data.
#pragma once

#include <cmath>
#include <ostream>
#include <random>

#include "gateswing/device/driver_output.h"
#include "gateswing/device/mosfet.h"

namespace gateswing::device {

// In the laws' own namespace, where the test framework looks for them.
inline std::ostream& operator<<(std::ostream& out, const MosfetChannel<>& law) {
  return out << "threshold_voltage " << law.threshold_voltage << ", transconductance_factor "
             << law.transconductance_factor << ", mobility_degradation " << law.mobility_degradation
             << ", subthreshold_voltage " << law.subthreshold_voltage;
}
inline std::ostream& operator<<(std::ostream& out, const DepletionCapacitance<>& law) {
  return out << "zero_bias " << law.zero_bias << ", potential " << law.potential << ", grading " << law.grading
             << ", floor " << law.floor << ", ceiling " << law.ceiling;
}
inline std::ostream& operator<<(std::ostream& out, const StepCapacitance<>& law) {
  return out << "low " << law.low << ", high " << law.high << ", centre " << law.centre << ", width " << law.width;
}
inline std::ostream& operator<<(std::ostream& out, const ConstantCapacitance<>& law) {
  return out << "capacitance " << law.capacitance;
}
inline std::ostream& operator<<(std::ostream& out, const JunctionDiode<>& law) {
  return out << "saturation_current " << law.saturation_current << ", emission_voltage " << law.emission_voltage
             << ", transit_time " << law.transit_time << ", lifetime " << law.lifetime;
}
inline std::ostream& operator<<(std::ostream& out, const KneeConduction<>& law) {
  return out << "knee_voltage " << law.knee_voltage << ", slope_resistance " << law.slope_resistance << ", knee_width "
             << law.knee_width;
}
inline std::ostream& operator<<(std::ostream& out, const DriverOutput<>& law) {
  return out << "source_resistance " << law.source_resistance << ", sink_resistance " << law.sink_resistance
             << ", inverse_source_limit " << law.inverse_source_limit << ", inverse_sink_limit "
             << law.inverse_sink_limit << ", source_drop " << law.source_drop << ", sink_drop " << law.sink_drop
             << ", drop_width " << law.drop_width;
}

namespace test {

class Draw {
 public:
  explicit Draw(unsigned seed) : engine_(seed) {}

  double uniform(double low, double high) { return low + (high - low) * unit_(engine_); }
  double log_uniform(double low, double high) { return low * std::pow(high / low, unit_(engine_)); }
  /// 0 in a third of the cases: the value at which a feature is left out.
  double or_zero(double value) { return unit_(engine_) < 1.0 / 3.0 ? 0.0 : value; }

  MosfetChannel<> channel() {
    return {uniform(0.4, 6.0), log_uniform(0.5, 1000.0), or_zero(log_uniform(1e-3, 0.5)), log_uniform(0.025, 0.3)};
  }
  DepletionCapacitance<> depletion() {
    const double zero_bias = log_uniform(5e-12, 1e-8);
    return {zero_bias, uniform(0.3, 2.0), uniform(0.1, 0.95), zero_bias * log_uniform(1e-3, 1.0),
            zero_bias * (1.0 + log_uniform(0.05, 20.0))};
  }
  StepCapacitance<> step() {
    const double low = log_uniform(5e-11, 1e-8);
    return {low, low * uniform(0.5, 3.0), uniform(-5.0, 5.0), log_uniform(0.1, 5.0)};
  }
  ConstantCapacitance<> constant() { return {log_uniform(5e-12, 1e-8)}; }
  JunctionDiode<> diode() {
    return {log_uniform(1e-14, 1e-6), log_uniform(0.025, 0.1), log_uniform(1e-9, 1e-6), log_uniform(1e-9, 5e-6)};
  }
  KneeConduction<> knee() {
    return {or_zero(log_uniform(0.2, 800.0)), log_uniform(1e-3, 10.0), log_uniform(0.01, 1.0)};
  }
  /// Each limit is reached at 1 V to 30 V across its resistance.
  DriverOutput<> driver() {
    const double source = log_uniform(0.1, 300.0);
    const double sink = log_uniform(0.1, 300.0);
    return {source,
            sink,
            or_zero(source / log_uniform(1.0, 30.0)),
            or_zero(sink / log_uniform(1.0, 30.0)),
            or_zero(uniform(0.05, 2.0)),
            or_zero(uniform(0.05, 2.0)),
            log_uniform(0.01, 0.2)};
  }

 private:
  std::mt19937 engine_;
  std::uniform_real_distribution<double> unit_{0.0, 1.0};
};

}  // namespace test
}  // namespace gateswing::device
