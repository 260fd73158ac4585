// The values of one pack: which network, inputs and state each lane carries.
#pragma once

#include <Eigen/Core>
#include <memory>
#include <span>
#include <vector>

#include "gateswing/lanes/plan.h"
#include "gateswing/network/compiled_network.h"

namespace gateswing::lanes {

class PackMemory {
 public:
  /// Of `width` lanes. `plan` must outlive this.
  PackMemory(const Plan& plan, int width);

  /// Puts a network with the plan's structure on a lane, with integrals of zero.
  void load(int lane, const network::CompiledNetwork& network, const Eigen::VectorXd& state);

  /// Fixes the inputs, affine from `time` to `end` [s], and has the first step estimated.
  void enter_segment(int lane, std::span<const network::PiecewiseLinear> inputs, double time, double end);

  /// Leaves that estimate out, for a lane that repeats steps.
  void take_given_steps(int lane) { write(plan_.layout.control + next_step, lane, 1.0); }

  [[nodiscard]] Eigen::VectorXd state(int lane) const { return column(plan_.layout.state, plan_.states, lane); }
  [[nodiscard]] Eigen::VectorXd integrals(int lane) const {
    return column(plan_.layout.integrals, plan_.integrals, lane);
  }
  [[nodiscard]] double control(int lane, Control which) const { return *place(plan_.layout.control + which, lane); }
  using Column = Eigen::Map<const Eigen::VectorXd, Eigen::Unaligned, Eigen::InnerStride<>>;
  /// `count` values from an offset of Layout on, as they are now and will be.
  [[nodiscard]] Column column(int offset, int count, int lane) const {
    return {place(offset, lane), count, Eigen::InnerStride<>(width_)};
  }

  double* values() { return values_.get(); }

 private:
  struct Free {
    void operator()(double* values) const;
  };

  [[nodiscard]] double* place(int offset, int lane) const {
    return values_.get() + static_cast<std::ptrdiff_t>(offset) * width_ + lane;
  }
  void write(int offset, int lane, double value) { *place(offset, lane) = value; }
  template <class Law>
  void write_law(int offset, std::size_t index, int lane, const Law& law);
  void load_laws(int lane, const network::CompiledNetwork& network);
  void load_matrices(int lane, const network::CompiledNetwork& network);

  const Plan& plan_;
  int width_;
  std::unique_ptr<double, Free> values_;
  std::vector<Eigen::MatrixXd> form_inputs_;       ///< by lane: (driven forms, inputs)
  std::vector<std::vector<int>> driver_commands_;  ///< by lane: input of each driver
};

}  // namespace gateswing::lanes
