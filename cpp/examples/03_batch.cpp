// Many records at once, read from and written to your own columns in your own units. A bad record never stops the rest:
// its results are NaN.
#include <cmath>
#include <cstdio>
#include <vector>

#include "lutum/lutum.hpp"

namespace {

using Column = std::vector<double>;
constexpr auto step = static_cast<std::ptrdiff_t>(sizeof(double));

// A column of doubles in some unit. `element` is the step from one element of a list to the next; this has no lists.
lutum::InColumn read(const Column& c, const char* unit) {
  const lutum::Unit& u = *lutum::find_unit(unit);
  return {reinterpret_cast<const char*>(c.data()), step, 0, u.scale(), u.shift()};
}
lutum::OutColumn write(Column& c, const char* unit) {
  const lutum::Unit& u = *lutum::find_unit(unit);
  return {reinterpret_cast<char*>(c.data()), step, 0, u.scale(), u.shift()};
}

}  // namespace

int main() {
  using lutum::clay::MethyleneBlue;
  const Column dye{4.0, 5.5, NAN, 7.0, 2000.0}, sample{2.0, 2.0, 2.0, 1.0, 2.0};  // mL; a gap, and a slip of the pen
  const Column strength{0.01};                                                    // meq/mL, the same for all: a step of 0
  Column capacity(dye.size()), equivalent(dye.size());

  // One column a variable, in the order of MethyleneBlue::inputs and ::results.
  lutum::InColumn in[] = {read(dye, "mL"), read(sample, "mL"), read(strength, "meq/mL")};
  in[2].stride = 0;
  const lutum::OutColumn out[] = {write(capacity, "meq/100 mL"), write(equivalent, "lb/bbl")};
  lutum::batch<MethyleneBlue>(in, out, dye.size(), 0);

  for (std::size_t i = 0; i < dye.size(); ++i) {
    std::printf("%zu: ", i);
    if (std::isnan(equivalent[i])) {
      std::printf("missing\n");
    } else {
      std::printf("%.6g meq/100 mL, %.6g lb/bbl\n", capacity[i], equivalent[i]);
    }
  }

  // Why a record is missing.
  const lutum::Unit& mL = *lutum::find_unit("mL");
  for (std::size_t i = 0; i < dye.size(); ++i) {
    const auto r = lutum::clay::methylene_blue.checked({.dye_volume = mL.to_si(dye[i]), .sample_volume = mL.to_si(sample[i])});
    if (!r) std::printf("record %zu: %s\n", i, r.message(lutum::field_units).c_str());
  }
}
