#include "gateswing/study/transient.h"

#include <algorithm>
#include <cmath>

#include "gateswing/network/refusals.h"

namespace gateswing::study {

namespace {

constexpr std::string_view no_operating_point = "the resistive part of the circuit has no operating point at the start";

}  // namespace

TransientRun::TransientRun(RecordedRun& run, double begin, const simulate::Settings& settings)
    : run_(run), settings_(settings), started_(run.simulator().start(begin)) {
  if (!started_) status_ = integrate::Status::singular;
}

bool TransientRun::advance(double end) {
  if (status_ != integrate::Status::success) return false;
  const simulate::Interval stretch = run_.advance(end, settings_);
  status_ = stretch.status;
  statistics_ += stretch.statistics;
  if (counted_) {
    append(*counted_, stretch);
  } else {
    counted_ = stretch;
  }
  return status_ == integrate::Status::success;
}

bool TransientRun::lead_in(double end) {
  const bool succeeded = advance(end);
  counted_.reset();
  return succeeded;
}

Transient TransientRun::result() const {
  Transient result{.status = status_,
                   .message = std::string(started_ ? integrate::sentence(status_) : no_operating_point),
                   .ledger = {},
                   .statistics = statistics_,
                   .waveform = run_.waveform()};
  if (result.succeeded() && counted_) result.ledger = run_.simulator().ledger(*counted_);
  return result;
}

double look_at_edge(double switching_time) {
  return std::max(shortest_look, switching_times_seen * switching_time);
}

double look_before(const network::Load& load, double current, double voltage) {
  constexpr double allowed_change = 1e-3;
  if (load.constant_current || load.inductance == 0.0 || current == 0.0) return shortest_look;
  return std::min(shortest_look, allowed_change * std::abs(current) / (voltage / load.inductance));
}

double time_or(double requested, double look, std::string_view name) {
  network::require_not_negative(requested, {}, std::string(name) + " [s], 0 to have it chosen,");
  return requested > 0.0 ? requested : look;
}

std::optional<double> held_current(const network::Load& load, double requested) {
  network::require_finite(requested, {}, "the current [A] asked for");
  if (load.constant_current && requested != 0.0 && requested != *load.constant_current)
    network::refuse(requested, {}, "the current [A] asked for, of a load that is a constant current,",
                    "left out or that of the load, " + network::text(*load.constant_current));
  return load.constant_current;
}

}  // namespace gateswing::study
