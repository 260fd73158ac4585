// The entries of the kernels, each defined in the one translation unit compiled for its instruction set.
#pragma once

#include "gateswing/lanes/kernel.h"

namespace gateswing::lanes {

PackOutcome advance_narrow(const Plan& plan, double* memory, const Tolerance& tolerance, const StepEnds* ends,
                           unsigned running, unsigned recorded, int attempts);
PackOutcome advance_avx2(const Plan& plan, double* memory, const Tolerance& tolerance, const StepEnds* ends,
                         unsigned running, unsigned recorded, int attempts);
PackOutcome advance_avx512(const Plan& plan, double* memory, const Tolerance& tolerance, const StepEnds* ends,
                           unsigned running, unsigned recorded, int attempts);

}  // namespace gateswing::lanes
