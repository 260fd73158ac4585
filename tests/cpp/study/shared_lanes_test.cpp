// Studies side by side on lanes: the same numbers as alone, and an end to all of them whatever fails.
#include "gateswing/simulate/shared_lanes.h"
#include "failing_memory.h"

#include <doctest/doctest.h>

#include <atomic>
#include <limits>
#include <memory>
#include <new>
#include <stdexcept>
#include <vector>

#include "gateswing/study/low_side_run.h"
#include "network/example_cell.h"

namespace gateswing::study::test {
namespace {

constexpr double end_time = 0.3e-6;
constexpr double tolerance = 1e-4;

/// A cell that switches on, ready to be advanced.
std::unique_ptr<LowSideRun> ready() {
  const network::LowSideCell cell = network::test::plain_cell();
  auto run = std::make_unique<LowSideRun>(cell, 5.0);
  run->set_command(network::gate_command(std::vector<network::Pulse>{{0.0, 1e-6}}, cell.driver.timing));
  REQUIRE(run->simulator().start(-20e-9));
  return run;
}

simulate::Settings on(simulate::SharedLanes& lanes) {
  return {.relative_tolerance = tolerance, .lanes = &lanes};
}

/// Counts those alive.
class Held {
 public:
  explicit Held(int& count) : count_(count) { ++count_; }
  Held(const Held&) = delete;
  Held& operator=(const Held&) = delete;
  Held(Held&&) = delete;
  Held& operator=(Held&&) = delete;
  ~Held() { --count_; }

 private:
  int& count_;
};

/// Three studies side by side on the same lanes, again and again.
class Trio {
 public:
  explicit Trio(const lanes::Kernel& kernel) : lanes_(kernel) { renew(); }

  void renew() {
    runs_.clear();
    for (int k = 0; k < 3; ++k) runs_.push_back(ready());
    next_ = 0;
    done = 0;
  }

  void run() {
    lanes_.run(3, [&] {
      if (next_ == runs_.size()) return false;
      LowSideRun& run = *runs_[next_++];
      const Held here(alive);
      const std::unique_ptr<std::vector<double>> ends(next_ == 1 ? new std::vector<double> : nullptr);
      if (run.simulator().advance(end_time, on(lanes_), nullptr, ends.get()).status == integrate::Status::success)
        ++done;
      return true;
    });
  }

  int alive = 0, done = 0;

 private:
  simulate::SharedLanes lanes_;
  std::vector<std::unique_ptr<LowSideRun>> runs_;
  std::size_t next_ = 0;
};

TEST_CASE("wherever memory runs out, every study on lanes ends or is unwound, and the lanes can be used again") {
  for (const lanes::Kernel& kernel : lanes::kernels()) {
    CAPTURE(kernel.instructions);
    bool ran_out = true;
    for (long nth = 0; ran_out; ++nth) {
      CAPTURE(nth);
      REQUIRE(nth < 2000);
      Trio trio(kernel);
      bool thrown = false;
      {
        const gateswing_test::FailingAllocation failing(nth);
        try {
          trio.run();
        } catch (const std::bad_alloc&) {
          thrown = true;
        }
        ran_out = gateswing_test::FailingAllocation::happened();
      }
      CHECK(thrown == ran_out);
      CHECK((trio.done < 3) == ran_out);
      CHECK(trio.alive == 0);
      trio.renew();
      trio.run();
      CHECK(trio.done == 3);
    }
  }
}

TEST_CASE("each study on shared lanes has its own tolerance, limit of steps and flag") {
  const std::atomic<bool> cancelled = true;
  const std::vector<simulate::Settings> all{{.relative_tolerance = 1e-3},
                                            {.relative_tolerance = 1e-9},
                                            {.relative_tolerance = 1e-3, .maximum_steps = 5},
                                            {.relative_tolerance = 1e-3, .cancelled = &cancelled}};
  for (const lanes::Kernel& kernel : lanes::kernels()) {
    CAPTURE(kernel.instructions);
    const auto answers = [&](std::size_t first, std::size_t count) {
      std::vector<simulate::Interval> found;
      simulate::SharedLanes lanes(kernel);
      std::size_t next = first;
      lanes.run(count, [&] {
        if (next == first + count) return false;
        simulate::Settings settings = all[next++];
        settings.lanes = &lanes;
        const auto run = ready();
        found.push_back(run->advance(end_time, settings));
        return true;
      });
      return found;
    };
    const std::vector<simulate::Interval> coarse = answers(0, 1);
    REQUIRE(coarse[0].status == integrate::Status::success);
    const std::vector<simulate::Interval> fine = answers(1, 1);
    CHECK(fine[0].statistics.steps > 3 * coarse[0].statistics.steps);
    CHECK(answers(2, 1)[0].status == integrate::Status::step_limit);
    CHECK(answers(3, 1)[0].status == integrate::Status::cancelled);
    bool fine_is_there = false;
    for (const simulate::Interval& one : answers(0, 4)) fine_is_there |= one.end_state == fine[0].end_state;
    CHECK(fine_is_there);
  }
}

TEST_CASE("a study whose runs fit with no other's has its turn while many others go on") {
  constexpr int most_runs = 1000;
  for (const lanes::Kernel& kernel : lanes::kernels()) {
    CAPTURE(kernel.instructions);
    simulate::SharedLanes lanes(kernel);
    int studies = 0, others_runs = 0;
    bool alone_is_through = false;
    lanes.run(4, [&] {
      if (studies == 4) return false;
      const bool alone = studies++ == 3;
      const simulate::Settings settings{.relative_tolerance = alone ? 1e-4 : 1e-3, .lanes = &lanes};
      if (alone) {
        ready()->advance(end_time, settings);
        alone_is_through = true;
      }
      for (; !alone && !alone_is_through && others_runs < most_runs; ++others_runs)
        ready()->advance(end_time, settings);
      return true;
    });
    CHECK(others_runs < most_runs);
  }
}

TEST_CASE("settings that the integrator refuses are refused by the run that has them") {
  for (const lanes::Kernel& kernel : lanes::kernels()) {
    simulate::SharedLanes lanes(kernel);
    const auto run = ready();
    for (const double refused : {2.0, 0.0, std::numeric_limits<double>::quiet_NaN()}) {
      const auto study = [&] {
        run->advance(end_time, {.relative_tolerance = refused, .lanes = &lanes});
        return false;
      };
      CHECK_THROWS_AS(lanes.run(1, study), std::invalid_argument);
    }
  }
}

TEST_CASE("a run on lanes outside of their studies is an error of the caller") {
  for (const lanes::Kernel& kernel : lanes::kernels()) {
    simulate::SharedLanes lanes(kernel);
    const auto run = ready();
    CHECK_THROWS_AS(run->advance(end_time, on(lanes)), std::logic_error);
    const std::vector ends{end_time};
    CHECK_THROWS_AS(run->simulator().replay(ends, on(lanes)), std::logic_error);
  }
}

}  // namespace
}  // namespace gateswing::study::test
