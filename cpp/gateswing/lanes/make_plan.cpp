#include "gateswing/lanes/make_plan.h"

#include <algorithm>

#include "gateswing/integrate/tableau.h"

namespace gateswing::lanes {
namespace {

using Eigen::Index;
using network::CompiledNetwork;
using network::LinearForm;
using network::PortTerm;

int count(const auto& container) {
  return static_cast<int>(container.size());
}

const auto& at(const auto& container, int index) {
  return container[static_cast<std::size_t>(index)];
}

template <class Law>
constexpr int fields = static_cast<int>(sizeof(Law) / sizeof(double));

LinearForm port_form(const CompiledNetwork& network, const network::Port& port) {
  LinearForm form{Eigen::RowVectorXd::Zero(network.size()), Eigen::RowVectorXd::Zero(network.input_matrix.cols())};
  for (const PortTerm& term : port.states) form.states[term.index] += term.sign;
  for (const PortTerm& term : port.inputs) form.inputs[term.index] += term.sign;
  return form;
}

bool is_driven(const LinearForm& form) {
  return (form.inputs.array() != 0.0).any();
}

/// Flattens what a plan depends on.
class Signature {
 public:
  explicit Signature(const CompiledNetwork& network) {
    add({network.size(), network.variable_size, count(network.inputs), count(network.resistors)});
    for (const network::State& state : network.states) add({static_cast<int>(state.kind)});
    add_ports(network);
    add_devices(network);
    for (const LinearForm& form : linear_forms(network)) {
      for (const double weight : form.states) add({weight != 0.0 ? 1 : 0});
      add({is_driven(form) ? 1 : 0});
    }
    for (const double mass : network.constant_mass.reshaped()) add({mass != 0.0 ? 1 : 0});
  }

  std::vector<int> take() { return std::move(numbers_); }

 private:
  void add(std::initializer_list<int> numbers) { numbers_.insert(numbers_.end(), numbers); }

  void add_ports(const CompiledNetwork& network) {
    for (const network::Port& port : network.ports) {
      add({count(port.states), count(port.inputs)});
      for (const auto* terms : {&port.states, &port.inputs}) {
        for (const PortTerm& term : *terms) add({term.index, term.sign > 0.0 ? 1 : 0});
      }
    }
  }

  void add_devices(const CompiledNetwork& network) {
    add({count(network.channels), count(network.diodes), count(network.knees), count(network.drivers)});
    for (const auto& channel : network.channels) add({channel.gate_source, channel.drain_source});
    for (const auto& diode : network.diodes) add({diode.port, diode.charge});
    for (const auto& knee : network.knees) add({knee.port});
    for (const auto& driver : network.drivers) add({driver.upper, driver.lower, driver.command});
    add({count(network.depletion_capacitors), count(network.step_capacitors), count(network.sources)});
    for (const auto& capacitor : network.depletion_capacitors) add({capacitor.port});
    for (const auto& capacitor : network.step_capacitors) add({capacitor.port});
    for (const auto& source : network.sources) {
      add({count(source.current.conducting_ports)});
      for (const auto& [port, weight] : source.current.conducting_ports) add({port});
    }
  }

  std::vector<int> numbers_;
};

class Builder {
 public:
  explicit Builder(const CompiledNetwork& network)
      : network_(network), matrix_(network.size()), mass_(network.size()) {}

  std::optional<Plan> build() {
    plan_.states = network_.size();
    plan_.variable_size = network_.variable_size;
    plan_.ports = count(network_.ports);
    plan_.resistors = count(network_.resistors);
    plan_.sources = count(network_.sources);
    plan_.integrals = network_.integral_count();
    list_devices();
    list_forms();
    list_slopes();
    mark_mass();
    std::optional<Elimination> elimination = plan_elimination(matrix_);
    if (!elimination) return std::nullopt;
    plan_.elimination = std::move(*elimination);
    list_matrix_slots();
    list_capacitor_stamps();
    lay_out();
    return std::move(plan_);
  }

 private:
  [[nodiscard]] const std::vector<PortTerm>& terms(PortIndex port) const {
    return network_.ports[static_cast<std::size_t>(port)].states;
  }
  [[nodiscard]] int slot(int row, int column) const {
    return plan_.elimination.slot_of[place(row, column, plan_.states)];
  }

  void list_devices() {
    for (const auto& channel : network_.channels) plan_.channels.push_back({channel.gate_source, channel.drain_source});
    for (const auto& diode : network_.diodes) plan_.diodes.push_back({diode.port, diode.charge});
    for (const auto& knee : network_.knees) plan_.knees.push_back(knee.port);
    for (const auto& driver : network_.drivers) plan_.drivers.push_back({driver.upper, driver.lower});
    for (const auto& capacitor : network_.depletion_capacitors) plan_.capacitors.push_back(capacitor.port);
    for (const auto& capacitor : network_.step_capacitors) plan_.capacitors.push_back(capacitor.port);
    plan_.depletions = count(network_.depletion_capacitors);
    for (const auto& source : network_.sources) {
      for (const auto& [port, weight] : source.current.conducting_ports) plan_.source_ports.items.push_back(port);
      plan_.source_ports.close();
    }
  }

  void order_forms(const std::vector<LinearForm>& forms) {
    for (int form = 0; form < count(forms); ++form) {
      const PortIndex port = form - plan_.states;
      const bool of_port = port >= 0 && port < plan_.ports;
      if (of_port && !is_driven(at(forms, form)) && terms(port).size() == 1) {
        plan_.copies.push_back({form, terms(port).front().index, terms(port).front().sign});
      } else {
        plan_.form_order.push_back(form);
        plan_.driven_forms += is_driven(at(forms, form)) ? 1 : 0;
      }
    }
  }

  /// Sorted, so that the loop over terms has the same length many times over.
  void list_forms() {
    const std::vector<LinearForm> forms = linear_forms(network_);
    order_forms(forms);
    const auto run_of = [&](int form) {
      return std::pair(!is_driven(at(forms, form)), static_cast<int>((at(forms, form).states.array() != 0.0).count()));
    };
    std::ranges::sort(plan_.form_order, {}, [&](int form) { return std::pair(run_of(form), form); });
    int past = 0;
    for (const int form : plan_.form_order) {
      const auto [free, terms] = run_of(form);
      if (plan_.form_runs.empty() || run_of(at(plan_.form_order, past - 1)) != run_of(form))
        plan_.form_runs.push_back({!free, terms, past});
      plan_.form_runs.back().past = ++past;
      for (int state = 0; state < plan_.states; ++state) {
        if (at(forms, form).states[state] == 0.0) continue;
        plan_.form_states.push_back(state);
        if (form < plan_.states) matrix_(form, state) = 1;
      }
    }
  }

  void add_slope(PortIndex row, PortIndex column) {
    plan_.slopes.push_back({row, column});
    mark(matrix_, row, column);
  }
  void mark(Pattern& pattern, PortIndex row, PortIndex column) const {
    for (const PortTerm& r : terms(row)) {
      for (const PortTerm& c : terms(column)) pattern(r.index, c.index) = 1;
    }
  }

  /// In the order in which Evaluator fills them.
  void list_slopes() {
    const auto conducts = [&](PortIndex port) {
      plan_.conducting.push_back(port);
      for (const PortTerm& term : terms(port)) plan_.current_stamps.items.push_back({term.index, term.sign});
      plan_.current_stamps.close();
    };
    for (const Plan::Channel& channel : plan_.channels) {
      conducts(channel.drain_source);
      add_slope(channel.drain_source, channel.gate_source);
      add_slope(channel.drain_source, channel.drain_source);
    }
    for (const Plan::Diode& diode : plan_.diodes) {
      conducts(diode.port);
      add_slope(diode.port, diode.port);
      if (diode.charge < 0) continue;
      conducts(diode.charge);
      add_slope(diode.port, diode.charge);
      add_slope(diode.charge, diode.port);
      add_slope(diode.charge, diode.charge);
    }
    for (const PortIndex knee : plan_.knees) {
      conducts(knee);
      add_slope(knee, knee);
    }
    for (const Plan::Driver& driver : plan_.drivers) {
      for (const PortIndex row : {driver.upper, driver.lower}) {
        conducts(row);
        add_slope(row, driver.upper);
        add_slope(row, driver.lower);
      }
    }
  }

  void mark_mass() {
    for (int row = 0; row < plan_.states; ++row) {
      for (int column = 0; column < plan_.states; ++column) {
        if (network_.constant_mass(row, column) != 0.0) mass_(row, column) = 1;
      }
    }
    for (const PortIndex port : plan_.capacitors) mark(mass_, port, port);
    for (int row = 0; row < plan_.states; ++row) {
      bool empty = true;
      for (int column = 0; column < plan_.states; ++column) {
        if (mass_(row, column) == 0) continue;
        empty = false;
        matrix_(row, column) = 1;
      }
      plan_.algebraic.push_back(empty ? 1 : 0);
    }
  }

  void list_linear_slots() {
    int term = 0;
    int form = 0;
    for (const Plan::FormRun& run : plan_.form_runs) {
      for (; form < run.past; ++form) {
        const int row = at(plan_.form_order, form);
        for (int k = 0; k < run.terms; ++k, ++term) {
          if (row < plan_.states) plan_.linear_terms.push_back({slot(row, at(plan_.form_states, term)), term});
        }
      }
    }
  }

  void list_matrix_slots() {
    list_linear_slots();
    for (int row = 0; row < plan_.states; ++row) {
      for (int column = 0; column < plan_.states; ++column) {
        if (mass_(row, column) == 0) continue;
        plan_.mass_columns.items.push_back(column);
        plan_.mass_slots.push_back(slot(row, column));
      }
      plan_.mass_columns.close();
    }
    for (const Plan::Slope& slope : plan_.slopes) {
      stamp(slope.row, slope.column, plan_.slope_stamps, [&](int row, int column) { return slot(row, column); });
    }
  }

  template <class SlotOf>
  void stamp(PortIndex row, PortIndex column, Lists<Stamp>& stamps, const SlotOf& slot_of) const {
    for (const PortTerm& r : terms(row)) {
      for (const PortTerm& c : terms(column)) stamps.items.push_back({slot_of(r.index, c.index), r.sign * c.sign});
    }
    stamps.close();
  }

  [[nodiscard]] int mass_entry(int row, int column) const {
    const int begin = row > 0 ? plan_.mass_columns.past[static_cast<std::size_t>(row - 1)] : 0;
    for (int entry = begin; entry < plan_.mass_columns.past[static_cast<std::size_t>(row)]; ++entry) {
      if (plan_.mass_columns.items[static_cast<std::size_t>(entry)] == column) return entry;
    }
    return -1;
  }

  void list_capacitor_stamps() {
    const int n = plan_.variable_size;
    for (const PortIndex port : plan_.capacitors) {
      stamp(port, port, plan_.mass_stamps, [&](int row, int column) { return mass_entry(row, column); });
      stamp(port, port, plan_.block_stamps, [&](int row, int column) { return row * n + column; });
      stamp(port, port, plan_.capacitor_stamps, [&](int row, int column) { return slot(row, column); });
      for (const PortTerm& term : terms(port)) plan_.rate_terms.items.push_back({term.index, term.sign});
      plan_.rate_terms.close();
    }
    for (int row = 0; row < n; ++row) {
      for (int column = 0; column < n; ++column) plan_.constant_block.push_back(mass_entry(row, column));
    }
  }

  int take(int packs) {
    const int begin = plan_.layout.size;
    plan_.layout.size += packs;
    return begin;
  }

  void lay_out() {
    constexpr int most_stages = 8;
    const int n = plan_.states;
    const int forms = count(plan_.copies) + count(plan_.form_order);
    const int entries = count(plan_.mass_slots);
    Layout& at = plan_.layout;
    at.channel_laws = take(fields<device::ChannelCoefficients<>> * count(plan_.channels));
    at.diode_laws = take(fields<device::DiodeCoefficients<>> * count(plan_.diodes));
    at.knee_laws = take(fields<device::KneeCoefficients<>> * count(plan_.knees));
    at.driver_laws = take(fields<device::DriverCoefficients<>> * count(plan_.drivers));
    at.depletion_laws = take(fields<device::DepletionCoefficients<>> * plan_.depletions);
    at.step_laws = take(fields<device::StepCoefficients<>> * (count(plan_.capacitors) - plan_.depletions));
    at.conductances = take(plan_.resistors);
    at.source_weights = take(count(plan_.source_ports.items));
    at.constant_mass = take(entries);
    at.form_weights = take(count(plan_.form_states));
    for (int* section : {&at.form_values, &at.form_slopes}) *section = take(plan_.driven_forms);
    for (int* section : {&at.command_values, &at.command_slopes}) *section = take(count(plan_.drivers));
    at.state = take(n);
    at.integrals = take(plan_.integrals);
    at.control = take(control_size);
    for (int* section : {&at.forms, &at.base_forms}) *section = take(forms);
    for (int* section : {&at.currents, &at.base_currents, &at.current_rates}) *section = take(plan_.ports);
    at.slopes = take(count(plan_.slopes));
    at.mass = take(entries);
    for (int* section : {&at.minus_jacobian, &at.matrix}) *section = take(plan_.elimination.slots);
    for (int* section : {&at.block, &at.base_block}) *section = take(plan_.variable_size * plan_.variable_size);
    at.capacitance_slopes = take(count(plan_.capacitors));
    for (int* section : {&at.inverse_pivots, &at.time_derivative, &at.start_residual}) *section = take(n);
    at.start_integrand = take(plan_.integrals);
    at.scratch = take(n + plan_.ports);
    at.stages = take(most_stages * n);
    for (int* section : {&at.stage_state, &at.coupling, &at.end_state}) *section = take(n);
    at.step_integrals = take(plan_.integrals);
    for (int* section : {&at.dense_start, &at.dense_end}) *section = take(n);
    at.dense_shape = take(static_cast<int>(integrate::dense_rows) * n);
  }

  const CompiledNetwork& network_;
  Pattern matrix_, mass_;
  Plan plan_;
};

}  // namespace

std::vector<LinearForm> linear_forms(const CompiledNetwork& network) {
  std::vector<LinearForm> forms;
  for (int row = 0; row < network.size(); ++row)
    forms.push_back({network.state_matrix.row(row), network.input_matrix.row(row)});
  for (const network::Port& port : network.ports) forms.push_back(port_form(network, port));
  for (const auto& resistor : network.resistors) forms.push_back(resistor.voltage);
  for (const auto& source : network.sources) forms.push_back(source.voltage);
  for (const auto& source : network.sources) forms.push_back(source.current.linear);
  return forms;
}

std::vector<int> structure(const CompiledNetwork& network) {
  return Signature(network).take();
}

std::optional<Plan> make_plan(const CompiledNetwork& network) {
  return Builder(network).build();
}

}  // namespace gateswing::lanes
