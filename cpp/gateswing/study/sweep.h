// Many steady states on lanes and a pool of threads.
#pragma once

#include <cstddef>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "gateswing/simulate/lane_pack.h"
#include "gateswing/study/half_bridge_point.h"
#include "gateswing/study/operating_point.h"

namespace gateswing::study {

struct SweepPoint {
  network::LowSideCell cell;
  OperatingPointRequest request;
};

struct BridgeSweepPoint {
  network::HalfBridgeCell cell;
  HalfBridgePointRequest request;
};

/// Every cell at every frequency [Hz] and duty, in that order: the duty varies fastest.
std::vector<SweepPoint> all_combinations(std::span<const network::LowSideCell> cells,
                                         std::span<const double> frequencies, std::span<const double> duties);

enum class PointStatus {
  not_run,          ///< the sweep was cancelled before this point began, or while it ran
  done,             ///< all figures are there
  not_periodic,     ///< figures are there, but of a cell still settling
  unstable,         ///< figures are there, but of a state that the cell leaves
  thermal_runaway,  ///< figures are there, but of a cell that heats up further
  ringing,          ///< figures are there, but of one period of many that differ in the phase of a ring
  failed,           ///< it has no figures; the message says why
  invalid           ///< the cell or the request is refused; the message says why
};

struct SweepResult {
  std::vector<PointStatus> status;    ///< by point
  std::vector<std::string> messages;  ///< by point
  std::vector<double> figures;        ///< row-major (points, figures of such a point), NaN where there is none
  bool cancelled = false;
  simulate::LaneUse lane_use{};
};

/// Called with the points that have been finished since the last call; only their rows of the result may be read.
/// False stops the sweep.
using SweepPoll = std::function<bool(const SweepResult& result, std::span<const std::size_t> finished)>;

/// Computes every point as operating_point() or half_bridge_point() does, to the last bit: the figures do not depend on
/// the other points, on their order or on the number of threads. `kernels` as there; the best for the number of points
/// is taken.
///
/// `poll` is called on the calling thread about twenty times a second. A sweep that it stops ends within a few hundred
/// steps of a pack and keeps what is finished; so does one whose caller's own flag is set. threads = 0 uses all cores.
///
/// A point that is refused or fails says so in its status. Throws std::invalid_argument for settings that the
/// integrator refuses, std::bad_alloc where memory runs out, and what `poll` throws.
SweepResult sweep(std::span<const SweepPoint> points, const simulate::Settings& settings, std::size_t threads,
                  const SweepPoll& poll, std::span<const lanes::Kernel> kernels = lanes::kernels());
SweepResult sweep(std::span<const BridgeSweepPoint> points, const simulate::Settings& settings, std::size_t threads,
                  const SweepPoll& poll, std::span<const lanes::Kernel> kernels = lanes::kernels());

}  // namespace gateswing::study
