// The scalar figures of an operating point as a table, for sweeps and listings.
#pragma once

#include <span>

#include "gateswing/study/operating_point.h"

namespace gateswing::study {

/// One scalar figure: its name, SI unit, one-line meaning and how to read it.
struct Figure {
  const char* name;
  const char* unit;
  const char* meaning;
  double (*read)(const OperatingPoint&);
};

/// All scalar figures of an operating point, in a fixed order.
std::span<const Figure> operating_point_figures();

}  // namespace gateswing::study
