// Gaussian elimination of a sparse matrix without row exchanges, planned once from its pattern.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

namespace gateswing::lanes {

/// Index of a place in a square matrix, row-major.
constexpr std::size_t place(int row, int column, int size) {
  return static_cast<std::size_t>(row) * static_cast<std::size_t>(size) + static_cast<std::size_t>(column);
}

/// Which places of a square matrix may hold something else than zero.
struct Pattern {
  explicit Pattern(int rows) : size(rows), occupied(place(rows, 0, rows), 0) {}

  char& operator()(int row, int column) { return occupied[place(row, column, size)]; }
  char operator()(int row, int column) const { return occupied[place(row, column, size)]; }

  int size;
  std::vector<char> occupied;
};

/// The arithmetic of A = L U with L of unit diagonal, as flat lists; what it does to each value is in sparse_lu.h.
struct Elimination {
  /// One product that is subtracted from an entry.
  struct Product {
    int left, right;  ///< slots
  };
  enum class Part { lower, diagonal, upper };
  struct Entry {
    Part part;
    int slot;
    int pivot;       ///< by whose inverse an entry of L is multiplied, or whose inverse a diagonal entry gives
    int past_terms;  ///< index behind the last of its products
  };
  struct Factor {
    int slot, state;
  };
  struct Row {
    int state;
    int past_terms;  ///< index behind the last of its factors
  };

  int slots = 0;             ///< entries of the matrix, those that fill up included
  std::vector<int> slot_of;  ///< by place(); -1 for a zero
  std::vector<Entry> entries;
  std::vector<Product> products;
  std::vector<Row> forward, backward;
  std::vector<Factor> forward_factors, backward_factors;
};

/// Eliminates the state with the fewest neighbours first (minimum degree; A. George and J. W. H. Liu, SIAM Review 31,
/// 1-19 (1989)), always on the diagonal. Nothing where a diagonal place is empty.
std::optional<Elimination> plan_elimination(Pattern pattern);

}  // namespace gateswing::lanes
