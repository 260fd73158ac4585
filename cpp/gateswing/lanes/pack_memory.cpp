#include "gateswing/lanes/pack_memory.h"

#include <algorithm>
#include <array>
#include <bit>
#include <new>

#include "gateswing/lanes/make_plan.h"

namespace gateswing::lanes {
namespace {

using Eigen::Index;

constexpr std::align_val_t alignment{64};  // of the widest register

}  // namespace

void PackMemory::Free::operator()(double* values) const {
  ::operator delete[](values, alignment);
}

PackMemory::PackMemory(const Plan& plan, int width)
    : plan_(plan),
      width_(width),
      form_inputs_(static_cast<std::size_t>(width)),
      driver_commands_(static_cast<std::size_t>(width)) {
  const std::size_t count = static_cast<std::size_t>(plan.layout.size) * static_cast<std::size_t>(width);
  values_.reset(static_cast<double*>(::operator new[](count * sizeof(double), alignment)));
  std::fill_n(values_.get(), count, 0.0);
}

template <class Law>
void PackMemory::write_law(int offset, std::size_t index, int lane, const Law& law) {
  constexpr std::size_t fields = sizeof(Law) / sizeof(double);
  const auto values = std::bit_cast<std::array<double, fields>>(law);
  for (std::size_t i = 0; i < fields; ++i) write(offset + static_cast<int>(index * fields + i), lane, values[i]);
}

void PackMemory::load_laws(int lane, const network::CompiledNetwork& network) {
  const Layout& layout = plan_.layout;
  const auto load_all = [&](int offset, const auto& devices) {
    for (std::size_t i = 0; i < devices.size(); ++i) write_law(offset, i, lane, device::coefficients(devices[i].law));
  };
  load_all(layout.channel_laws, network.channels);
  load_all(layout.diode_laws, network.diodes);
  load_all(layout.knee_laws, network.knees);
  load_all(layout.driver_laws, network.drivers);
  load_all(layout.depletion_laws, network.depletion_capacitors);
  load_all(layout.step_laws, network.step_capacitors);
  std::vector<int>& commands = driver_commands_[static_cast<std::size_t>(lane)];
  commands.clear();
  for (const network::DriverPorts& driver : network.drivers) commands.push_back(driver.command);
}

void PackMemory::load_matrices(int lane, const network::CompiledNetwork& network) {
  const Layout& layout = plan_.layout;
  const std::vector<network::LinearForm> forms = linear_forms(network);
  Eigen::MatrixXd& inputs = form_inputs_[static_cast<std::size_t>(lane)];
  inputs.resize(plan_.driven_forms, network.input_matrix.cols());
  int term = 0;
  int form = 0;
  for (const Plan::FormRun& run : plan_.form_runs) {
    for (; form < run.past; ++form) {
      const network::LinearForm& source =
          forms[static_cast<std::size_t>(plan_.form_order[static_cast<std::size_t>(form)])];
      if (run.driven) inputs.row(form) = source.inputs;
      for (int k = 0; k < run.terms; ++k, ++term)
        write(layout.form_weights + term, lane, source.states[plan_.form_states[static_cast<std::size_t>(term)]]);
    }
  }
  int entry = 0;
  for (int row = 0; row < plan_.states; ++row) {
    for (; entry < plan_.mass_columns.past[static_cast<std::size_t>(row)]; ++entry) {
      const int column = plan_.mass_columns.items[static_cast<std::size_t>(entry)];
      write(layout.constant_mass + entry, lane, network.constant_mass(row, column));
    }
  }
  for (int r = 0; r < plan_.resistors; ++r)
    write(layout.conductances + r, lane, network.resistors[static_cast<std::size_t>(r)].conductance);
  int source_weight = layout.source_weights;
  for (const network::SourcePower& source : network.sources) {
    for (const auto& [port, factor] : source.current.conducting_ports) write(source_weight++, lane, factor);
  }
}

void PackMemory::load(int lane, const network::CompiledNetwork& network, const Eigen::VectorXd& state) {
  load_laws(lane, network);
  load_matrices(lane, network);
  for (int i = 0; i < plan_.states; ++i) write(plan_.layout.state + i, lane, state[i]);
  for (int i = 0; i < plan_.integrals; ++i) write(plan_.layout.integrals + i, lane, 0.0);
}

void PackMemory::enter_segment(int lane, std::span<const network::PiecewiseLinear> inputs, double time, double end) {
  const Layout& layout = plan_.layout;
  Eigen::VectorXd value(static_cast<Index>(inputs.size()));
  Eigen::VectorXd slope(static_cast<Index>(inputs.size()));
  for (std::size_t u = 0; u < inputs.size(); ++u) {
    const network::Segment segment = inputs[u].segment_from(time);
    value[static_cast<Index>(u)] = segment.value + segment.slope * (time - segment.start);
    slope[static_cast<Index>(u)] = segment.slope;
  }
  const Eigen::MatrixXd& weights = form_inputs_[static_cast<std::size_t>(lane)];
  const Eigen::VectorXd form_values = weights * value;
  const Eigen::VectorXd form_slopes = weights * slope;
  for (Index form = 0; form < weights.rows(); ++form) {
    write(layout.form_values + static_cast<int>(form), lane, form_values[form]);
    write(layout.form_slopes + static_cast<int>(form), lane, form_slopes[form]);
  }
  const std::vector<int>& commands = driver_commands_[static_cast<std::size_t>(lane)];
  for (std::size_t d = 0; d < commands.size(); ++d) {
    write(layout.command_values + static_cast<int>(d), lane, value[commands[d]]);
    write(layout.command_slopes + static_cast<int>(d), lane, slope[commands[d]]);
  }
  for (int i = 0; i < control_size; ++i) write(layout.control + i, lane, 0.0);
  write(layout.control + duration, lane, end - time);
}

}  // namespace gateswing::lanes
