// Every nonlinear current of a network at one state: values, exact slopes, powers.
#pragma once

#include <span>
#include <vector>

#include "gateswing/network/compiled_network.h"
#include "gateswing/network/flat_ports.h"

namespace gateswing::network {

/// Evaluates the channel, diode, knee and driver laws of a network and stamps them into f and its Jacobian.
///
/// A device is one to two ports whose currents depend on their voltages (and, for a driver, on its command). Slopes are
/// found by forward differentiation of each law in its own two or three variables, which is exact and far cheaper than
/// differentiating in all states.
class Conduction {
 public:
  explicit Conduction(const CompiledNetwork& network);

  void enter_segment(std::span<const Segment> inputs, double time);

  /// f -= currents at (x, elapsed).
  template <class State, class Vector>
  void evaluate(const State& x, double elapsed, Vector& f) {
    read_voltages(x, elapsed);
    evaluate_laws(elapsed);
    take_currents(current_, f);
  }

  /// As evaluate, and jacobian -= d(currents)/dx; keeps the slopes for tangent().
  template <class Vector, class Matrix>
  void linearize(const Vector& x, double elapsed, Vector& f, Matrix& jacobian) {
    read_voltages(x, elapsed);
    linearize_laws(elapsed);
    take_currents(current_, f);
    for (std::size_t s = 0; s < slopes_.size(); ++s) {
      ports_.take_conductance(slopes_[s].row, slopes_[s].column, slopes_[s].conductance, jacobian);
    }
    base_voltage_ = voltage_;
    base_current_ = current_;
  }

  /// df -= change of the currents when the state moves by `direction` and time by `time`, at the last linearize.
  template <class Vector>
  void tangent(const Vector& direction, double time, Vector& df) {
    for (const PortIndex port : active_ports_) {
      voltage_change_[slot(port)] = ports_.voltage_change(port, direction, time);
    }
    change_currents(time);
    take_currents(current_change_, df);
  }

  /// Power absorbed by each device at the last evaluate [W], in the order channels, diodes, knees, drivers.
  void powers(std::span<double> watts) const;
  /// Change of each power by the last tangent [W].
  void power_changes(std::span<double> watts) const;

  [[nodiscard]] std::size_t device_count() const { return devices_.size(); }
  [[nodiscard]] const FlatPorts& ports() const { return ports_; }
  [[nodiscard]] double current(PortIndex port) const { return current_[slot(port)]; }
  [[nodiscard]] double base_current(PortIndex port) const { return base_current_[slot(port)]; }
  [[nodiscard]] double current_change(PortIndex port) const { return current_change_[slot(port)]; }

 private:
  /// Ports whose voltage times current is the power of one device.
  struct Device {
    PortIndex first;
    PortIndex second;  ///< -1 if there is none
  };
  struct Slope {
    PortIndex row;
    PortIndex column;
    double conductance;
  };

  static std::size_t slot(PortIndex port) { return static_cast<std::size_t>(port); }
  void list_slopes();
  void list_devices();
  void evaluate_laws(double elapsed);
  void linearize_laws(double elapsed);
  void linearize_drivers(double elapsed, std::size_t slope);
  void change_currents(double time);
  [[nodiscard]] double command(int input, double elapsed) const {
    return commands_[static_cast<std::size_t>(input)].value +
           elapsed * commands_[static_cast<std::size_t>(input)].slope;
  }

  template <class Vector>
  void read_voltages(const Vector& x, double elapsed) {
    for (const PortIndex port : active_ports_) voltage_[slot(port)] = ports_.voltage(port, x, elapsed);
  }

  template <class Vector>
  void take_currents(const std::vector<double>& currents, Vector& f) const {
    for (const PortIndex port : conducting_ports_) ports_.take_current(port, currents[slot(port)], f);
  }

  FlatPorts ports_;
  std::vector<ChannelPorts> channels_;
  std::vector<DiodePort> diodes_;
  std::vector<KneePort> knees_;
  std::vector<DriverPorts> drivers_;
  std::vector<device::ChannelCoefficients<>> channel_laws_;
  std::vector<device::DiodeCoefficients<>> diode_laws_;
  std::vector<device::KneeCoefficients<>> knee_laws_;
  std::vector<device::DriverCoefficients<>> driver_laws_;
  std::vector<Device> devices_;
  std::vector<Slope> slopes_;
  std::vector<PortIndex> active_ports_;      ///< read by a law
  std::vector<PortIndex> conducting_ports_;  ///< carry a current
  std::vector<Segment> commands_;            ///< by input, start moved to the segment's start
  std::vector<double> voltage_, current_, base_voltage_, base_current_, voltage_change_, current_change_;
  std::vector<double> current_rate_;  ///< d(current)/dt at fixed state by moving commands [A/s]
};

}  // namespace gateswing::network
