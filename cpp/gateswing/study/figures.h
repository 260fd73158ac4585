// The scalar figures of answers about steady states as tables, for sweeps and listings.
#pragma once

#include <functional>
#include <span>
#include <string>

#include "gateswing/study/half_bridge_point.h"
#include "gateswing/study/operating_point.h"

namespace gateswing::study {

/// One scalar figure: its name, SI unit, one-line meaning and how to read it.
template <class Answer>
struct Figure {
  std::string name;
  const char* unit;
  std::string meaning;
  std::function<double(const Answer&)> read;
};

/// All scalar figures of an operating point, in a fixed order.
std::span<const Figure<OperatingPoint>> operating_point_figures();

/// Likewise of a half bridge: those of a side begin with its name, those of a commutation with that of its member.
std::span<const Figure<HalfBridgePoint>> half_bridge_point_figures();

}  // namespace gateswing::study
