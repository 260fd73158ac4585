#include "gateswing/lanes/kernel.h"

#include "gateswing/lanes/instances.h"

namespace gateswing::lanes {

const std::vector<Kernel>& kernels() {
  static const std::vector<Kernel> found = [] {
    std::vector<Kernel> list;
#ifdef GATESWING_LANES_X86
    if (__builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512dq") && __builtin_cpu_supports("avx512vl"))
      list.push_back({16, "AVX-512", advance_avx512});
    if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma")) list.push_back({8, "AVX2", advance_avx2});
#endif
    return list;
  }();
  return found;
}

}  // namespace gateswing::lanes
