#include "gateswing/study/sweep.h"

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <new>
#include <stdexcept>
#include <thread>

#include "gateswing/simulate/shared_lanes.h"
#include "gateswing/study/figures.h"

namespace gateswing::study {
namespace {

constexpr std::chrono::milliseconds poll_interval{50};

/// Not run where it was cancelled amid the run.
PointStatus status_of(const SteadyPeriod& answer) {
  if (answer.status == integrate::Status::cancelled) return PointStatus::not_run;
  if (answer.status != integrate::Status::success) return PointStatus::failed;
  switch (answer.outcome) {
    case simulate::PeriodicOutcome::periodic:
      return PointStatus::done;
    case simulate::PeriodicOutcome::not_periodic:
      return PointStatus::not_periodic;
    case simulate::PeriodicOutcome::unstable:
      return PointStatus::unstable;
    case simulate::PeriodicOutcome::thermal_runaway:
      return PointStatus::thermal_runaway;
    case simulate::PeriodicOutcome::ringing:
      return PointStatus::ringing;
  }
  return PointStatus::failed;
}

struct Ending {
  PointStatus status;
  std::string message;
};

/// Computes one point by number and writes its figures to a row.
using PointStudy = std::function<Ending(std::size_t point, const simulate::Settings& settings, std::span<double> row)>;

class Pool {
 public:
  Pool(PointStudy study, const simulate::Settings& settings, std::span<const lanes::Kernel> kernels,
       SweepResult& result)
      : study_(std::move(study)), asked_(settings), settings_(settings), kernels_(kernels), result_(result) {
    cancelled_ = asked_.is_cancelled();
    settings_.cancelled = &cancelled_;
  }

  void run(std::size_t threads, const SweepPoll& poll) {
    std::vector<std::jthread> workers;
    working_ = threads;
    const std::size_t share = (count() + threads - 1) / threads;
    for (std::size_t t = 0; t < threads; ++t) workers.emplace_back([this, share] { work(share); });
    std::unique_lock lock(mutex_);
    while (!all_done_.wait_for(lock, poll_interval, [this] { return working_ == 0; })) {
      lock.unlock();
      ask_to_go_on(poll);
      lock.lock();
    }
    lock.unlock();
    if (failure_) std::rethrow_exception(failure_);
    ask_to_go_on(poll);
    result_.cancelled = cancelled_;
  }

 private:
  /// An exception of the poll stops the workers too, before it goes on to the caller.
  void ask_to_go_on(const SweepPoll& poll) {
    std::vector<std::size_t> finished;
    {
      const std::scoped_lock lock(mutex_);
      finished.swap(finished_);
    }
    try {
      if (!cancelled_ && (asked_.is_cancelled() || !poll(result_, finished))) cancelled_ = true;
    } catch (...) {
      cancelled_ = true;
      throw;
    }
  }

  /// `share`: of the points, about what one thread gets. What is thrown here, for want of memory, ends the sweep.
  void work(std::size_t share) {
    simulate::LaneUse use;
    std::exception_ptr failure;
    try {
      use = compute_share(share);
    } catch (...) {
      failure = std::current_exception();
      cancelled_ = true;
    }
    const std::scoped_lock lock(mutex_);
    result_.lane_use += use;
    if (failure) failure_ = failure;
    if (--working_ == 0) all_done_.notify_one();
  }

  simulate::LaneUse compute_share(std::size_t share) {
    if (const lanes::Kernel* kernel = lanes::kernel_for(kernels_, share)) {
      simulate::SharedLanes lanes(*kernel);
      simulate::Settings on_lanes = settings_;
      on_lanes.lanes = &lanes;
      lanes.run(std::min(share, lanes.enough()), [&] { return compute_next(on_lanes); });
      return lanes.use();
    }
    while (compute_next(settings_)) {
    }
    return {};
  }

  bool compute_next(const simulate::Settings& settings) {
    if (cancelled_) return false;
    const std::size_t point = next_++;
    if (point >= count()) return false;
    compute(point, settings);
    return true;
  }

  /// Every point writes its own slots only, so they need no lock.
  void compute(std::size_t point, const simulate::Settings& settings) {
    try {
      const std::size_t width = result_.figures.size() / count();
      auto [status, message] = study_(point, settings, std::span(result_.figures).subspan(point * width, width));
      if (status == PointStatus::not_run) return;
      result_.messages[point] = std::move(message);
      result_.status[point] = status;
    } catch (const std::bad_alloc&) {
      cancelled_ = true;  // before the points that share these lanes begin others
      throw;
    } catch (const std::invalid_argument& refusal) {
      fail(point, PointStatus::invalid, refusal);
    } catch (const std::exception& failure) {
      fail(point, PointStatus::failed, failure);
    }
    const std::scoped_lock lock(mutex_);
    finished_.push_back(point);
  }

  [[nodiscard]] std::size_t count() const { return result_.status.size(); }

  void fail(std::size_t point, PointStatus status, const std::exception& reason) {
    result_.status[point] = status;
    result_.messages[point] = reason.what();
  }

  PointStudy study_;
  simulate::Settings asked_, settings_;
  std::span<const lanes::Kernel> kernels_;
  SweepResult& result_;
  std::atomic<bool> cancelled_ = false;
  std::atomic<std::size_t> next_ = 0;
  std::mutex mutex_;
  std::vector<std::size_t> finished_;  // that the poll has not been told of
  std::exception_ptr failure_;
  std::condition_variable all_done_;
  std::size_t working_ = 0;
};

/// `study(point, settings)` has the answer that the figures are read from.
template <class Point, class Answer, class Study>
SweepResult swept(std::span<const Point> points, std::span<const Figure<Answer>> figures, const Study& study,
                  const simulate::Settings& settings, std::size_t threads, const SweepPoll& poll,
                  std::span<const lanes::Kernel> kernels) {
  integrate::validate(simulate::integrator_settings(settings));
  SweepResult result{std::vector<PointStatus>(points.size(), PointStatus::not_run),
                     std::vector<std::string>(points.size()),
                     std::vector<double>(points.size() * figures.size(), no_figure)};
  if (threads == 0) threads = std::max(1U, std::thread::hardware_concurrency());
  const PointStudy in_a_row = [&](std::size_t point, const simulate::Settings& on, std::span<double> row) -> Ending {
    const Answer answer = study(points[point], on);
    const PointStatus status = status_of(answer);
    if (status != PointStatus::not_run) {
      std::ranges::transform(figures, row.begin(), [&](const Figure<Answer>& figure) { return figure.read(answer); });
    }
    return {status, answer.message};
  };
  Pool(in_a_row, settings, kernels, result).run(std::min(threads, std::max<std::size_t>(points.size(), 1)), poll);
  return result;
}

}  // namespace

std::vector<SweepPoint> all_combinations(std::span<const network::LowSideCell> cells,
                                         std::span<const double> frequencies, std::span<const double> duties) {
  std::vector<SweepPoint> points;
  points.reserve(cells.size() * frequencies.size() * duties.size());
  for (const network::LowSideCell& cell : cells) {
    for (const double frequency : frequencies) {
      for (const double duty : duties) points.push_back({cell, {.frequency = frequency, .duty = duty}});
    }
  }
  return points;
}

SweepResult sweep(std::span<const SweepPoint> points, const simulate::Settings& settings, std::size_t threads,
                  const SweepPoll& poll, std::span<const lanes::Kernel> kernels) {
  const auto study = [](const SweepPoint& point, const simulate::Settings& on) {
    return operating_point(point.cell, point.request, on, {});
  };
  return swept(points, operating_point_figures(), study, settings, threads, poll, kernels);
}

SweepResult sweep(std::span<const BridgeSweepPoint> points, const simulate::Settings& settings, std::size_t threads,
                  const SweepPoll& poll, std::span<const lanes::Kernel> kernels) {
  const auto study = [](const BridgeSweepPoint& point, const simulate::Settings& on) {
    return half_bridge_point(point.cell, point.request, on, {});
  };
  return swept(points, half_bridge_point_figures(), study, settings, threads, poll, kernels);
}

}  // namespace gateswing::study
