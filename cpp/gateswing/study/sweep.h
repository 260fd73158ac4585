// Many operating points on a pool of threads.
#pragma once

#include <cstddef>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "gateswing/study/operating_point.h"

namespace gateswing::study {

struct SweepPoint {
  network::LowSideCell cell;
  OperatingPointRequest request;
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
  failed,           ///< the integration ended early; the message says why
  invalid           ///< the cell or the request is refused; the message says why
};

struct SweepResult {
  std::vector<PointStatus> status;    ///< by point
  std::vector<std::string> messages;  ///< by point
  std::vector<double> figures;        ///< row-major (points, operating_point_figures().size()), NaN where there is none
  bool cancelled = false;
};

/// Computes every point, each on its own, so results do not depend on the number of threads or on the order.
///
/// `poll` is called on the calling thread about twenty times a second with the number of finished points; returning
/// false stops the sweep within one integration step per thread, and what is finished is kept. threads = 0 uses all
/// cores. Exceptions of a point become its status.
SweepResult sweep(std::span<const SweepPoint> points, const Settings& settings, std::size_t threads,
                  const std::function<bool(std::size_t finished)>& poll);

}  // namespace gateswing::study
