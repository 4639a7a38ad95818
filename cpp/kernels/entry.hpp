// One row of the catalogue: a calculation as data and plain functions, for callers that cannot name its type. A calculation
// with an option has a row for each choice, one after the other.
#pragma once

#include <span>
#include <string>

#include "lutum/core/calculation.hpp"
#include "lutum/core/column.hpp"

namespace lutum {

// Instruction sets a processor may offer, lowest first.
enum class InstructionSet { baseline, v3, v4 };
inline constexpr std::size_t instruction_sets = 3;

struct Entry {
  const Sheet* sheet;
  std::span<const Variable> inputs;   // of a table: the scalars, then the columns
  std::span<const Variable> results;
  std::span<const Verdict> verdicts;
  bool searches;             // a missing input may spoil results that its slope does not reach
  const OptionInfo* option;  // null where there is none
  int choice;                // place among its choices
  bool table;
  std::size_t scalars;  // inputs that are not columns of a table
  std::size_t input_slots, result_slots;  // numbers in Input and Result, lists at full length; of a table: scalars, and results of one row
  std::size_t longest;  // most elements of a list; 0 when there is no list, any_length columns excepted

  // All in SI. Slots in the order of the variables, lists at full length. A table's columns follow its scalars, one
  // after the other, `length` numbers each; its results likewise.
  void (*defaults)(double* inputs);
  std::size_t (*example)(double* inputs, std::size_t room);  // of a table: scalars and columns; returns the length
  void value(const double* in, std::size_t length, double* found) const { functions.value(in, length, choice, found); }
  // Derivatives of every result with respect to the inputs `seeds`: results x seeds, row by row. A seed is a slot; for
  // a table's columns scalars + variable * length + row.
  void gradient(const double* in, std::size_t length, std::span<const std::size_t> seeds, double* jacobian) const {
    functions.gradient(in, length, choice, seeds, jacobian);
  }
  int judge(const double* in, const double* found) const { return functions.judge(in, found, choice); }  // place among verdicts; 0 where there are none
  void trace(const double* in, std::size_t length, std::size_t row, Trace& into) const { functions.trace(in, length, row, choice, into); }
  const Kernels& batch(InstructionSet set) const { return kernels[static_cast<std::size_t>(set)]; }

  struct Functions {
    void (*value)(const double* inputs, std::size_t length, int choice, double* results);
    void (*gradient)(const double* inputs, std::size_t length, int choice, std::span<const std::size_t> seeds, double* jacobian);
    int (*judge)(const double* inputs, const double* results, int choice);
    void (*trace)(const double* inputs, std::size_t length, std::size_t row, int choice, Trace& trace);
  };
  Functions functions;
  std::array<Kernels, instruction_sets> kernels;
};

std::span<const Entry> catalogue();
// The row of a calculation, with the choice of this name or the first one; null when there is none.
const Entry* find_calculation(std::string_view id, std::string_view choice = {});

// The best instruction set of this processor.
InstructionSet detect_instruction_set();
std::string_view name_of(InstructionSet set);
// The one named x86-64, x86-64-v3 or x86-64-v4; throws std::invalid_argument when unknown or not offered here.
InstructionSet instruction_set_named(std::string_view name);

}  // namespace lutum
