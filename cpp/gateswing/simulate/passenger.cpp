#include "gateswing/simulate/passenger.h"

namespace gateswing::simulate {

using integrate::Status;

Passenger::Passenger(LaneRun& run, lanes::PackMemory& memory, lanes::StepEnds& ends, int lane)
    : run_(run), memory_(memory), ends_(ends), lane_(lane) {
  const Simulator& simulator = *run.simulator;
  stops_ = network::corner_times(simulator.network().inputs, simulator.time(), run.end);
  stops_.push_back(run.end);
  run.interval = {
      Status::success, simulator.time(), simulator.time(), simulator.state(), simulator.state(), Eigen::VectorXd(), {}};
  memory.load(lane, simulator.network(), simulator.state());
  enter_segment(simulator.time());
}

void Passenger::make_room(int attempts) {
  if (run_.step_ends == nullptr) return;
  taken_.resize(static_cast<std::size_t>(counted(lanes::steps)) + static_cast<std::size_t>(attempts));
  ends_.taken = taken_.data();
}

void Passenger::record(const lanes::Plan& plan) {
  const lanes::Layout& layout = plan.layout;
  const auto column = [&](int offset) { return memory_.column(offset, plan.states, lane_); };
  step_.start_time = segment_begin_ + memory_.control(lane_, lanes::step_begin);
  step_.end_time = time();
  step_.start_state = column(layout.dense_start);
  step_.end_state = column(layout.dense_end);
  int offset = layout.dense_shape;
  for (Eigen::VectorXd& row : step_.shape) {
    row = column(offset);
    offset += plan.states;
  }
  run_.recorder->record(step_);
}

bool Passenger::go_on() {
  take_stock();
  const double reached = stops_[next_stop_];
  if (++next_stop_ == stops_.size()) {
    leave(Status::success, reached);
    return false;
  }
  enter_segment(reached);
  return true;
}

void Passenger::stop(Status status) {
  take_stock();
  leave(status, time());
}

void Passenger::finish_scalar(const Settings& settings) {
  stop(Status::success);
  Simulator& simulator = *run_.simulator;
  const std::span<const double> given = run_.given_ends;
  append(run_.interval, given.empty() ? simulator.advance(run_.end, settings, run_.recorder, run_.step_ends)
                                      : simulator.replay(given.subspan(repeated_), settings));
}

bool Passenger::used_up(const Settings& settings) const {
  return counted(lanes::steps) + counted(lanes::rejections) >= settings.maximum_steps;
}

void Passenger::enter_segment(double begin) {
  const auto& inputs = run_.simulator->network().inputs;
  segment_begin_ = begin;
  memory_.enter_segment(lane_, inputs, begin, stops_[next_stop_]);
  ends_ = {};
  if (run_.recorder != nullptr) run_.recorder->enter_segment(inputs, begin);
  if (!run_.given_ends.empty()) give_ends(begin, stops_[next_stop_]);
}

void Passenger::give_ends(double begin, double end) {
  given_.clear();
  for (const double given : run_.given_ends.subspan(repeated_)) {
    if (given >= end) break;
    given_.push_back(given - begin);
  }
  given_.push_back(memory_.control(lane_, lanes::duration));
  ends_.given = given_.data();
  memory_.take_given_steps(lane_);
}

/// The end of a segment is hit exactly, as seen from its begin.
double Passenger::instant(double elapsed) const {
  return elapsed >= memory_.control(lane_, lanes::duration) ? stops_[next_stop_] : segment_begin_ + elapsed;
}

/// Of what was done in the segment.
void Passenger::take_stock() {
  const long attempts = counted(lanes::steps) + counted(lanes::rejections);
  integrate::Statistics& statistics = run_.interval.statistics;
  statistics.steps += counted(lanes::steps);
  statistics.rejections += counted(lanes::rejections);
  statistics.linearizations += attempts;
  statistics.factorisations += attempts + counted(lanes::first_steps);
  const auto steps = static_cast<std::size_t>(counted(lanes::steps));
  if (!run_.given_ends.empty()) repeated_ += steps;
  if (run_.step_ends == nullptr) return;
  for (std::size_t k = 0; k < steps; ++k) run_.step_ends->push_back(instant(taken_[k]));
}

void Passenger::leave(Status status, double time) {
  run_.interval.status = status;
  run_.interval.end_time = time;
  run_.interval.end_state = memory_.state(lane_);
  run_.interval.integrals = memory_.integrals(lane_);
  run_.simulator->move_to(time, run_.interval.end_state);
}

}  // namespace gateswing::simulate
