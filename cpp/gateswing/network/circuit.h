// A circuit as its author thinks of it: named elements between named nodes.
#pragma once

#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "gateswing/device/capacitance.h"
#include "gateswing/device/driver_output.h"
#include "gateswing/device/junction_diode.h"
#include "gateswing/device/knee_conduction.h"
#include "gateswing/device/mosfet_channel.h"
#include "gateswing/network/names.h"
#include "gateswing/network/piecewise_linear.h"

namespace gateswing::network {

enum class Node : int { ground = 0 };

enum class InputIndex : int {};

/// What a branch is to the tree search, in the order of preference for the tree.
///
/// The normal tree takes every voltage source, then as many capacitors as possible, then resistive branches, then
/// inductors. A current source can never be in it.
enum class BranchKind { voltage_source, capacitor, resistor, conduction, inductor, current_source, sense };

/// A two-terminal branch. Voltage v = v(plus) - v(minus) [V]; current flows plus to minus through the element [A].
struct Branch {
  std::string name;
  Node plus;
  Node minus;
  BranchKind kind;
};

using BranchIndex = int;

using CapacitanceLaw =
    std::variant<device::ConstantCapacitance<>, device::DepletionCapacitance<>, device::StepCapacitance<>>;

struct VoltageSource {
  BranchIndex branch;
  InputIndex input;
};
struct CurrentSource {
  BranchIndex branch;
  InputIndex input;
};
struct Resistor {
  BranchIndex branch;
  double resistance;  ///< [ohm], > 0
};
struct Inductor {
  BranchIndex branch;
  double inductance;       ///< [H], > 0
  double initial_current;  ///< [A]
};
struct Capacitor {
  BranchIndex branch;
  CapacitanceLaw law;
  double initial_voltage;  ///< [V]
};
struct Diode {
  BranchIndex branch;  ///< anode to cathode
  device::JunctionDiode<> law;
  double initial_current;  ///< forward current that sustains the stored charge at the start [A]
};
struct Knee {
  BranchIndex branch;  ///< positive to negative terminal
  device::KneeConduction<> law;
};
struct Channel {
  BranchIndex gate_source;   ///< senses v_GS; carries no current
  BranchIndex drain_source;  ///< channel current, drain to source
  device::MosfetChannel<> law;
};
struct Driver {
  std::string name;
  BranchIndex upper;  ///< supply to output
  BranchIndex lower;  ///< output to reference
  InputIndex command;
  device::DriverOutput<> law;
  double initial_upper_voltage;  ///< supply less output at the start [V]
};

/// Builder of a circuit. Elements are checked as they are added; the topology is checked by compile().
///
/// A resistance or inductance of zero is a short: it keeps its name and its current, and drops out of the state.
class Circuit {
 public:
  /// The node of that name, created at first use. "ground" is the reference.
  Node node(std::string_view name);

  InputIndex add_input(std::string name, PiecewiseLinear waveform);

  void add_voltage_source(std::string name, Node plus, Node minus, PiecewiseLinear voltage);
  void add_voltage_source(std::string name, Node plus, Node minus, double voltage);
  void add_current_source(std::string name, Node plus, Node minus, PiecewiseLinear current);
  void add_current_source(std::string name, Node plus, Node minus, double current);
  void add_resistor(std::string name, Node plus, Node minus, double resistance);
  void add_inductor(std::string name, Node plus, Node minus, double inductance, double initial_current = 0.0);
  void add_capacitor(std::string name, Node plus, Node minus, CapacitanceLaw law, double initial_voltage = 0.0);
  void add_diode(std::string name, Node anode, Node cathode, const device::JunctionDiode<>& law,
                 double initial_current = 0.0);
  void add_knee(std::string name, Node plus, Node minus, const device::KneeConduction<>& law);
  void add_channel(std::string name, Node gate, Node drain, Node source, const device::MosfetChannel<>& law);
  /// `initial_upper_voltage`, supply less output, starts the search for a consistent state; a good guess matters where
  /// the output is current-limited, for a saturated output says nothing about where the solution lies.
  void add_driver(const std::string& name, Node supply, Node output, Node reference, InputIndex command,
                  const device::DriverOutput<>& law, double initial_upper_voltage = 0.0);

  [[nodiscard]] BranchIndex branch_index(std::string_view name) const;
  [[nodiscard]] InputIndex input_index(std::string_view name) const;

  [[nodiscard]] const std::vector<std::string>& node_names() const { return node_names_; }
  [[nodiscard]] const std::vector<std::string>& input_names() const { return input_names_; }
  [[nodiscard]] const std::vector<PiecewiseLinear>& inputs() const { return inputs_; }
  [[nodiscard]] const std::vector<Branch>& branches() const { return branches_; }
  [[nodiscard]] const std::vector<VoltageSource>& voltage_sources() const { return voltage_sources_; }
  [[nodiscard]] const std::vector<CurrentSource>& current_sources() const { return current_sources_; }
  [[nodiscard]] const std::vector<Resistor>& resistors() const { return resistors_; }
  [[nodiscard]] const std::vector<Inductor>& inductors() const { return inductors_; }
  [[nodiscard]] const std::vector<Capacitor>& capacitors() const { return capacitors_; }
  [[nodiscard]] const std::vector<Diode>& diodes() const { return diodes_; }
  [[nodiscard]] const std::vector<Knee>& knees() const { return knees_; }
  [[nodiscard]] const std::vector<Channel>& channels() const { return channels_; }
  [[nodiscard]] const std::vector<Driver>& drivers() const { return drivers_; }

 private:
  BranchIndex add_branch(std::string name, Node plus, Node minus, BranchKind kind);
  void add_short(std::string name, Node plus, Node minus);

  std::vector<std::string> node_names_{names::ground};
  std::vector<std::string> input_names_;
  std::vector<PiecewiseLinear> inputs_;
  std::vector<Branch> branches_;
  std::vector<VoltageSource> voltage_sources_;
  std::vector<CurrentSource> current_sources_;
  std::vector<Resistor> resistors_;
  std::vector<Inductor> inductors_;
  std::vector<Capacitor> capacitors_;
  std::vector<Diode> diodes_;
  std::vector<Knee> knees_;
  std::vector<Channel> channels_;
  std::vector<Driver> drivers_;
};

}  // namespace gateswing::network
