// Columns of a caller's memory, as NumPy or a plain program lays them out. No instruction-set tag: these cross from
// objects compiled for one processor to those for another, so they hold no functions.
#pragma once

#include <cstddef>

namespace lutum {

// Record i, element j of a variable lies at data + i * stride + j * element (bytes). Its SI value is x * scale + shift.
struct InColumn {
  const char* data;
  std::ptrdiff_t stride;
  std::ptrdiff_t element;
  double scale;
  double shift;
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

// The same with the changes of the results when the inputs change together in `directions` ways. After the inputs stand,
// direction by direction, a column for each input slot (data null: that one does not change), after the results one for each
// result slot (data null: not wanted), and after these a column for each result slot that takes the sum of the squares.
using TangentFunction = void (*)(const InColumn* in, const OutColumn* out, std::size_t records, std::size_t length, int choice, std::size_t directions);

// The batch forms of one calculation. gradient: the results, then for every result slot one column an input slot. Tables have
// only values.
struct Kernels {
  BatchFunction value;
  BatchFunction gradient;
  TangentFunction tangents;
};

}  // namespace lutum
