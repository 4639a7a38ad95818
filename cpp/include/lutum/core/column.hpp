// Columns of a caller's memory, as NumPy or a plain program lays them out. No instruction-set tag: these cross from
// objects compiled for one processor to those for another, so they hold no functions.
#pragma once

#include <cstddef>
#include <limits>

namespace lutum {

// Record i, element j of a variable lies at data + i * stride + j * element (bytes). Its SI value is x * scale + shift.
struct InColumn {
  const char* data;
  std::ptrdiff_t stride;
  std::ptrdiff_t element;
  double scale;
  double shift;
  double otherwise = std::numeric_limits<double>::quiet_NaN();  // x where it is missing
};

struct OutColumn {
  char* data;
  std::ptrdiff_t stride;
  std::ptrdiff_t element;
  double scale;
  double shift;
};

// One column a variable; `length` is the number of elements of every list, `choice` the place of the option's choice.
using BatchFunction = void (*)(const InColumn* in, const OutColumn* out, std::size_t records, std::size_t length, int choice);

// How the changes of the inputs of a calculation pass to its results. By slot: a list takes as many as it may hold.
struct Slope {  // a derivative that is needed
  std::size_t result, input;
};
struct Term {  // a slope by its place, and what its input changes by: record i at change + i * stride (bytes)
  std::size_t slope;
  const char* change;
  std::ptrdiff_t stride;
};
struct Change {  // of a result in one direction: the sum of the terms from `first` to before `end`, zero where the result is missing
  std::size_t result, first, end;
  double* to;  // null: only its square counts
};
struct Tangents {
  const Slope* slopes;  // ordered by input
  std::size_t slope_count;
  const Term* terms;
  const Change* changes;  // ordered by result
  std::size_t change_count;
  double* const* standard;  // by result slot: takes the root of the sum of the squares of its changes, missing where it is; null: not needed
};
using TangentFunction = void (*)(const InColumn* in, const OutColumn* out, std::size_t records, std::size_t length, int choice, const Tangents& tangents);

// Derivatives of a table: of the results of some rows, by scalars (their places) and cells of columns (scalars + column * length +
// row). Record i, cell c, seed s at to[(i * cell_count + c) * seed_count + s].
struct Cell {
  std::size_t result, row;
};
struct TableSlopes {
  const std::size_t* seeds;
  std::size_t seed_count;
  const Cell* cells;
  std::size_t cell_count;
  double* to;
};
using TableGradientFunction = void (*)(const InColumn* in, const OutColumn* out, std::size_t records, std::size_t length, int choice, const TableSlopes& slopes);

// The batch forms of one calculation. gradient: the results, then for every result slot one column an input slot. A table has
// value and table_gradient, any other calculation the first three.
struct Kernels {
  BatchFunction value;
  BatchFunction gradient;
  TangentFunction tangents;
  TableGradientFunction table_gradient;
};

}  // namespace lutum
