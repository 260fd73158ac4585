// One run on its lane, from segment to segment of its inputs.
#pragma once

#include <vector>

#include "gateswing/integrate/dense_output.h"
#include "gateswing/lanes/pack_memory.h"
#include "gateswing/simulate/lane_pack.h"

namespace gateswing::simulate {

class Passenger {
 public:
  /// Loads the run's network and state. `ends` are the lane's; all of them must outlive this.
  Passenger(LaneRun& run, lanes::PackMemory& memory, lanes::StepEnds& ends, int lane);

  [[nodiscard]] LaneRun& run() const { return run_; }

  /// Before the pack makes so many attempts.
  void make_room(int attempts);

  /// Adds the lane's last step to the record.
  void record(const lanes::Plan& plan);

  /// At the end of a segment; false if it was the last.
  bool go_on();

  /// Ends the run at the last accepted step.
  void stop(integrate::Status status);

  /// The scalar solver takes over there.
  void finish_scalar(const Settings& settings);

  [[nodiscard]] bool used_up(const Settings& settings) const;

 private:
  void enter_segment(double begin);
  void give_ends(double begin, double end);
  [[nodiscard]] double instant(double elapsed) const;
  [[nodiscard]] double time() const { return instant(memory_.control(lane_, lanes::elapsed)); }
  [[nodiscard]] long counted(lanes::Control which) const { return static_cast<long>(memory_.control(lane_, which)); }
  void take_stock();
  void leave(integrate::Status status, double time);

  LaneRun& run_;
  lanes::PackMemory& memory_;
  lanes::StepEnds& ends_;
  int lane_;
  std::vector<double> stops_;
  std::size_t next_stop_ = 0;
  double segment_begin_ = 0.0;
  std::vector<double> given_, taken_;           ///< since segment_begin_ [s]
  integrate::DenseStep<Eigen::VectorXd> step_;  ///< kept for its memory
  std::size_t repeated_ = 0;                    ///< steps of the run's given ones
};

}  // namespace gateswing::simulate
