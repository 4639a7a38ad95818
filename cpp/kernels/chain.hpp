// Calculations one after the other over many records: results go into later steps, and with them what every independent source of
// error changes in them. Block by block, so that what a step makes is still in cache when the next one reads it.
#pragma once

#include <cstdint>
#include <vector>

#include "entry.hpp"

namespace lutum {

// The numbers of a column: record i at data + i * stride (bytes).
struct ChainColumn {
  const char* data;
  std::ptrdiff_t stride;
};

// By how much one standard uncertainty of a source, a direction, moves a number.
struct ChainError {
  std::size_t column, direction;
  ChainColumn change;
};

// A number that goes into a step: row by row that of the first column where it is not missing.
struct ChainInput {
  std::vector<std::size_t> columns;  // the given ones are counted first, then the results of the steps, in order
  double otherwise;                  // where all are missing
  std::vector<std::pair<std::size_t, double>> assumed;  // directions in which that is uncertain, and by how much
};

struct ChainStep {
  const Entry* entry;
  std::size_t length;                  // places in use of its lists
  std::vector<ChainInput> inputs;      // one for each place in use
  std::vector<std::vector<std::size_t>> reach;  // by result, a list's by place, the inputs (of `inputs`) that can change it
  const std::int8_t* choices = nullptr;  // by record, the choice of its option; below zero: its results are missing; null: that of `entry`
};

struct ChainWanted {
  std::size_t column, direction;
  double* to;
};

// What is made, in memory of the caller; null: not wanted. The results of the steps follow each other `pitch` numbers apart.
struct ChainResults {
  double* values = nullptr;
  double* standard = nullptr;  // standard uncertainties, missing where the value is
  std::size_t pitch = 0;
  std::vector<ChainWanted> changes;  // zero where the value is missing
};

// How many results a step has, its lists counted by place.
std::size_t results_of(const ChainStep& step);

void run_chain(const std::vector<ChainStep>& steps, const UnitSet& units, InstructionSet set, const std::vector<ChainColumn>& given,
               const std::vector<ChainError>& errors, std::size_t records, const ChainResults& made);

}  // namespace lutum
