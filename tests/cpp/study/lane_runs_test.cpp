// Runs on lanes: the numbers of the scalar solver, whatever shares the pack.
#include "gateswing/simulate/lane_runs.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <numeric>
#include <random>
#include <stdexcept>

#include "gateswing/lanes/make_plan.h"
#include "gateswing/study/channels.h"
#include "gateswing/study/low_side_run.h"
#include "network/example_cell.h"
#include "network/random_cell.h"

namespace gateswing::study::test {
namespace {

constexpr double on_time = 1.2e-6;
constexpr double end_time = 2.5e-6;

/// Cells switched on and off once, ready to be advanced.
class Batch {
 public:
  void add(const network::LowSideCell& cell, double current, bool records = false) {
    cells_.push_back(std::make_unique<LowSideRun>(cell, current));
    cells_.back()->set_command(network::gate_command(std::vector<network::Pulse>{{0.0, on_time}}, cell.driver.timing));
    REQUIRE(cells_.back()->simulator().start(-20e-9));
    runs.push_back({&cells_.back()->simulator(), end_time, records ? &cells_.back()->recorder() : nullptr, {}});
  }

  [[nodiscard]] const waveform::Waveform& waveform(std::size_t run) const { return cells_[run]->waveform(); }

  std::vector<simulate::LaneRun> runs;

 private:
  std::vector<std::unique_ptr<LowSideRun>> cells_;
};

/// The example cell with values spread by a few tens of per cent.
std::vector<network::LowSideCell> spread(std::size_t count) {
  std::mt19937 random(11);
  std::uniform_real_distribution<double> factor(0.7, 1.4);
  std::vector<network::LowSideCell> cells(count, network::test::example_cell());
  for (network::LowSideCell& cell : cells) {
    cell.supply.voltage *= factor(random);
    cell.gate.turn_on_resistance *= factor(random);
    cell.mosfet.channel.threshold_voltage *= factor(random);
    cell.mosfet.source_inductance *= factor(random);
    cell.wiring.loop_inductance *= factor(random);
    cell.driver.timing.rise_time *= factor(random);
  }
  return cells;
}

Batch batch_of(const std::vector<network::LowSideCell>& cells, bool records = false) {
  Batch batch;
  for (const network::LowSideCell& cell : cells) batch.add(cell, 5.0, records);
  return batch;
}

void check_agree(const simulate::LaneRun& run, const simulate::LaneRun& scalar, double tolerance) {
  REQUIRE(run.interval.status == scalar.interval.status);
  CHECK(run.interval.end_time == scalar.interval.end_time);
  CHECK(run.simulator->time() == scalar.simulator->time());
  CHECK(run.simulator->state() == run.interval.end_state);
  const Eigen::VectorXd& expected = scalar.interval.end_state;
  const auto error = (run.interval.end_state - expected).array().abs() / (1.0 + expected.array().abs());
  CHECK(error.maxCoeff() < tolerance);
  const Eigen::VectorXd& integrals = scalar.interval.integrals;
  CHECK((run.interval.integrals - integrals).cwiseAbs().maxCoeff() < tolerance * integrals.cwiseAbs().maxCoeff());
}

/// To the last bit.
void check_identical(const simulate::LaneRun& run, const simulate::LaneRun& other) {
  CHECK(run.interval.end_state == other.interval.end_state);
  CHECK(run.interval.integrals == other.interval.integrals);
  CHECK(run.interval.statistics.steps == other.interval.statistics.steps);
  CHECK(run.interval.statistics.rejections == other.interval.statistics.rejections);
}

TEST_CASE("each kernel gives the scalar solver's states and integrals at both methods' tolerances") {
  const std::vector<network::LowSideCell> cells = spread(11);
  for (const double tolerance : {1e-4, 1e-6}) {
    CAPTURE(tolerance);
    const simulate::Settings settings{.relative_tolerance = tolerance};
    Batch scalar = batch_of(cells);
    CHECK(simulate::advance_all(scalar.runs, settings, 1, nullptr).scalar_runs == 11);
    for (const lanes::Kernel& kernel : lanes::kernels()) {
      CAPTURE(kernel.instructions);
      Batch batch = batch_of(cells);
      const simulate::LaneUse use = simulate::advance_all(batch.runs, settings, 1, &kernel);
      CHECK(use.scalar_runs == 0);
      CHECK(use.occupancy() > 0.5);
      for (std::size_t k = 0; k < cells.size(); ++k) {
        CAPTURE(k);
        check_agree(batch.runs[k], scalar.runs[k], 20.0 * tolerance);
        CHECK(batch.runs[k].simulator->ledger(batch.runs[k].interval).energy_residual < tolerance);
        const integrate::Statistics& work = batch.runs[k].interval.statistics;
        CHECK(std::abs(static_cast<double>(work.steps) / static_cast<double>(scalar.runs[k].interval.statistics.steps) -
                       1.0) < 0.02);
      }
    }
  }
}

TEST_CASE("a run's numbers depend on no other run, no order, no number of threads and no kernel, to the last bit") {
  const std::vector<network::LowSideCell> cells = spread(13);
  std::vector<std::size_t> order(cells.size());
  std::iota(order.begin(), order.end(), 0U);
  if (lanes::kernels().empty()) {
    MESSAGE("skipped: no kernel of lanes runs on this machine");
    return;
  }
  Batch alone = batch_of(cells);
  for (simulate::LaneRun& run : alone.runs) simulate::advance_all({&run, 1}, {}, 1, &lanes::kernels().back());
  for (const lanes::Kernel& kernel : lanes::kernels()) {
    CAPTURE(kernel.instructions);
    for (const std::size_t threads : {1U, 2U, 3U}) {
      CAPTURE(threads);
      std::ranges::shuffle(order, std::mt19937(static_cast<unsigned>(threads)));
      Batch batch;
      for (const std::size_t k : order) batch.add(cells[k], 5.0);
      batch.add(network::test::plain_cell(), 5.0);
      simulate::advance_all(batch.runs, {}, threads, &kernel);
      for (std::size_t k = 0; k < order.size(); ++k) check_identical(batch.runs[k], alone.runs[order[k]]);
    }
  }
}

TEST_CASE("few runs get a narrow kernel, many a wide one") {
  const std::vector<lanes::Kernel> kernels{{16, "", nullptr, 2.6}, {8, "", nullptr, 2.1}, {2, "", nullptr, 0.95}};
  const auto width = [&](std::size_t runs) { return lanes::kernel_for(kernels, runs)->width; };
  CHECK(width(1) == 2);
  CHECK(width(4) == 2);
  CHECK(width(5) == 8);
  CHECK(width(8) == 8);
  CHECK(width(9) == 16);
  CHECK(width(1000) == 16);
  CHECK(lanes::kernel_for({}, 3) == nullptr);
}

TEST_CASE("recorded lanes give the waveforms of the scalar solver") {
  const std::vector<network::LowSideCell> cells = spread(5);
  const simulate::Settings settings{.relative_tolerance = 1e-6};
  Batch scalar = batch_of(cells, true);
  simulate::advance_all(scalar.runs, settings, 1, nullptr);
  for (const lanes::Kernel& kernel : lanes::kernels()) {
    CAPTURE(kernel.instructions);
    Batch batch = batch_of(cells, true);
    batch.add(cells[0], 5.0);  // not recorded, in the same pack
    simulate::advance_all(batch.runs, settings, 1, &kernel);
    for (std::size_t k = 0; k < cells.size(); ++k) {
      CAPTURE(k);
      const waveform::Waveform& waveform = batch.waveform(k);
      CHECK(waveform.begin() == -20e-9);
      CHECK(waveform.end() == end_time);
      for (int sample = 0; sample <= 50; ++sample) {
        const double time = waveform.begin() + (end_time - waveform.begin()) * sample / 50.0;
        for (const std::size_t channel : {CellChannels::drain_voltage, CellChannels::gate_voltage}) {
          CHECK(std::abs(waveform.value(channel, time) - scalar.waveform(k).value(channel, time)) < 2e-4);
        }
      }
    }
  }
}

TEST_CASE("the steps of a run can be repeated on lanes, from its start and beside it") {
  const std::vector<network::LowSideCell> cells = spread(5);
  for (const lanes::Kernel& kernel : lanes::kernels()) {
    CAPTURE(kernel.instructions);
    Batch run = batch_of(cells);
    std::vector<std::vector<double>> ends(cells.size());
    for (std::size_t k = 0; k < cells.size(); ++k) run.runs[k].step_ends = &ends[k];
    simulate::advance_all(run.runs, {}, 1, &kernel);
    // A perturbed start, whose difference the scalar solver's replay of the same steps must give too.
    const auto replayed = [&](double difference, const lanes::Kernel* on) {
      Batch batch = batch_of(cells);
      for (std::size_t k = 0; k < cells.size(); ++k) {
        Eigen::VectorXd start = batch.runs[k].simulator->state();
        start.array() += difference;
        REQUIRE(batch.runs[k].simulator->start(-20e-9, start));
        batch.runs[k].given_ends = ends[k];
      }
      simulate::advance_all(batch.runs, {}, 1, on);
      return batch;
    };
    const Batch same = replayed(0.0, &kernel);
    const Batch moved = replayed(1e-6, &kernel);
    const Batch scalar = replayed(1e-6, nullptr);
    for (std::size_t k = 0; k < cells.size(); ++k) {
      CAPTURE(k);
      const simulate::Interval& base = run.runs[k].interval;
      REQUIRE(static_cast<long>(ends[k].size()) == base.statistics.steps);
      CHECK(ends[k].back() == end_time);
      CHECK(std::ranges::is_sorted(ends[k]));
      CHECK(same.runs[k].interval.statistics.steps == base.statistics.steps);
      CHECK(same.runs[k].interval.statistics.rejections == 0);
      CHECK((same.runs[k].interval.end_state - base.end_state).cwiseAbs().maxCoeff() < 1e-10);
      const Eigen::VectorXd& end = moved.runs[k].interval.end_state;
      CHECK((end - base.end_state).cwiseAbs().maxCoeff() > 1e-8);
      CHECK((end - scalar.runs[k].interval.end_state).cwiseAbs().maxCoeff() < 1e-11);
    }
  }
}

TEST_CASE("drawn cells of many structures end on lanes as on the scalar solver") {
  network::test::CellDraw draw(47);
  std::vector<network::test::RandomCell> cells(10);
  std::ranges::generate(cells, [&] { return draw.next(); });
  const auto make_batch = [&] {
    Batch batch;
    for (const network::test::RandomCell& cell : cells) batch.add(cell.cell, cell.current);
    return batch;
  };
  Batch scalar = make_batch();
  simulate::advance_all(scalar.runs, {}, 2, nullptr);
  for (const lanes::Kernel& kernel : lanes::kernels()) {
    CAPTURE(kernel.instructions);
    Batch batch = make_batch();
    simulate::advance_all(batch.runs, {}, 2, &kernel);
    for (std::size_t k = 0; k < cells.size(); ++k) {
      CAPTURE(k);
      CAPTURE(cells[k]);
      check_agree(batch.runs[k], scalar.runs[k], 2e-4);
    }
  }
}

TEST_CASE("a run that cannot be integrated, or is out of steps, ends as on the scalar solver and spoils no other") {
  const std::vector<network::LowSideCell> cells = spread(4);
  for (const lanes::Kernel& kernel : lanes::kernels()) {
    CAPTURE(kernel.instructions);
    Batch good = batch_of(cells);
    simulate::advance_all(good.runs, {}, 1, &kernel);
    Batch batch = batch_of(cells);
    batch.add(cells[0], 5.0);
    simulate::Simulator& broken = *batch.runs.back().simulator;
    broken.move_to(broken.time(), Eigen::VectorXd::Constant(broken.state().size(), 1e200));
    const simulate::LaneUse use = simulate::advance_all(batch.runs, {}, 1, &kernel);
    CHECK(use.scalar_runs == 1);
    CHECK(batch.runs.back().interval.status == integrate::Status::non_finite);
    for (std::size_t k = 0; k < cells.size(); ++k) check_identical(batch.runs[k], good.runs[k]);

    Batch short_of_steps = batch_of(cells);
    simulate::advance_all(short_of_steps.runs, {.maximum_steps = 3}, 1, &kernel);
    for (const simulate::LaneRun& run : short_of_steps.runs) {
      CHECK(run.interval.status == integrate::Status::step_limit);
      CHECK(run.interval.end_time < end_time);
    }
  }
}

TEST_CASE("settings that the integrator refuses are refused with and without lanes, on every thread") {
  Batch batch = batch_of(spread(3));
  CHECK_THROWS_AS(simulate::advance_all(batch.runs, {.relative_tolerance = 2.0}, 2, nullptr), std::invalid_argument);
  CHECK_THROWS_AS(
      simulate::advance_all(batch.runs, {.relative_tolerance = 0.0}, 2, lanes::kernel_for(lanes::kernels(), 16)),
      std::invalid_argument);
}

TEST_CASE("no runs are no work") {
  CHECK(simulate::advance_all({}, {}, 2, lanes::kernel_for(lanes::kernels(), 16)).slots == 0);
}

TEST_CASE("a cancelled batch stops every run where it is") {
  const std::atomic<bool> cancelled = true;
  for (const lanes::Kernel& kernel : lanes::kernels()) {
    CAPTURE(kernel.instructions);
    Batch batch = batch_of(spread(11));
    simulate::advance_all(batch.runs, {.cancelled = &cancelled}, 1, &kernel);
    for (const simulate::LaneRun& run : batch.runs) {
      CHECK(run.interval.status == integrate::Status::cancelled);
      CHECK(run.interval.end_time < end_time);
    }
  }
}

TEST_CASE("a pack that is cancelled returns all its runs after one look") {
  constexpr long attempts_between_looks = 256;
  const std::atomic<bool> cancelled = true;
  const std::vector<network::LowSideCell> cells = spread(2);
  for (const lanes::Kernel& kernel : lanes::kernels()) {
    CAPTURE(kernel.instructions);
    Batch batch = batch_of(cells);
    const auto plan = lanes::make_plan(batch.runs[0].simulator->network());
    REQUIRE(plan.has_value());
    simulate::LanePack pack(*plan, kernel, {.relative_tolerance = 1e-12, .cancelled = &cancelled});
    for (simulate::LaneRun& run : batch.runs) pack.board(run);
    CHECK(pack.advance().size() == batch.runs.size());
    CHECK(pack.count() == 0);
    CHECK(pack.use().slots <= attempts_between_looks * kernel.width);
    for (const simulate::LaneRun& run : batch.runs) CHECK(run.interval.status == integrate::Status::cancelled);
  }
}

}  // namespace
}  // namespace gateswing::study::test
