// The entries of the kernels, each defined in the one translation unit compiled for its instruction set.
#pragma once

#include "gateswing/lanes/kernel.h"

namespace gateswing::lanes {

PackOutcome advance_4(const Plan& plan, double* memory, const Tolerance& tolerance, unsigned running, unsigned recorded,
                      int attempts);
PackOutcome advance_8(const Plan& plan, double* memory, const Tolerance& tolerance, unsigned running, unsigned recorded,
                      int attempts);

}  // namespace gateswing::lanes
