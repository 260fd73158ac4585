// The most floating-point operations a core can do, for comparison.
#pragma once

namespace gateswing::bench {

inline constexpr int peak_chains = 12;

/// 2 * lanes * peak_chains operations a round; the result only keeps the compiler from leaving them out.
double multiply_and_add_avx2(long rounds);
double multiply_and_add_avx512(long rounds);

}  // namespace gateswing::bench
