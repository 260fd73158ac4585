// Lets the uBLAS of Boost 1.74 compile as C++20: its arrays call members of std::allocator that C++20 removed. To be
// included before anything that makes a uBLAS vector or matrix.
#pragma once

#include <boost/numeric/ublas/storage.hpp>
#include <cstddef>
#include <memory>
#include <utility>

namespace gateswing::bench {

// std::allocator with what C++20 took from it.
template <class T>
struct Cpp17Allocator : std::allocator<T> {
  using size_type = std::size_t;
  using difference_type = std::ptrdiff_t;
  using value_type = T;
  using pointer = T*;
  using const_pointer = const T*;
  using reference = T&;
  using const_reference = const T&;
  template <class U>
  struct rebind {
    using other = Cpp17Allocator<U>;
  };

  template <class... Arguments>
  void construct(T* place, Arguments&&... arguments) {
    std::construct_at(place, std::forward<Arguments>(arguments)...);
  }
  void destroy(T* place) { std::destroy_at(place); }
};

}  // namespace gateswing::bench

namespace boost::numeric::ublas {

template <class T>
class unbounded_array<T, std::allocator<T>> : public unbounded_array<T, gateswing::bench::Cpp17Allocator<T>> {
 public:
  using unbounded_array<T, gateswing::bench::Cpp17Allocator<T>>::unbounded_array;
};

}  // namespace boost::numeric::ublas
