// Writes a test that fills every calculation by name, in the order of its description, and looks at the slots: so the
// described names and their order are those of the members. Usage: generate_designated FILE
#include <cctype>
#include <fstream>
#include <iostream>
#include <span>
#include <string>

#include "entry.hpp"
#include "lutum/lutum.hpp"

namespace {

using lutum::Variable;

// clay.methylene_blue is lutum::clay::MethyleneBlue.
std::string class_of(std::string_view id) {
  const auto dot = id.find('.');
  std::string name = "lutum::" + std::string(id.substr(0, dot)) + "::";
  bool capital = true;
  for (char c : id.substr(dot + 1)) {
    if (c != '_') name += capital ? static_cast<char>(std::toupper(static_cast<unsigned char>(c))) : c;
    capital = c == '_';
  }
  return name;
}

// One aggregate: every member named, numbered on; a list takes as many numbers as it holds.
void write_aggregate(std::ostream& out, const std::string& type, std::string_view aggregate, std::span<const Variable> variables) {
  out << "  {\n    const " << type << "::" << aggregate << "<double> a{\n";
  int next = 0;
  for (const Variable& v : variables) {
    const int count = v.length == lutum::any_length ? 1 : v.length;
    out << "        ." << v.name << " = ";
    if (count == 1) {
      out << next;
    } else {
      out << "counted<" << count << ">(" << next << ")";
    }
    out << ",\n";
    next += count;
  }
  out << "    };\n    expect_counted(lutum::to_slots<double>(a), " << next << ");\n  }\n";
}

template <class C>
void write_test(std::ostream& out) {
  const lutum::Entry& e = *lutum::find_calculation(C::sheet.id);
  const std::string type = class_of(e.sheet->id);
  std::string name = type.substr(std::string_view("lutum::").size());
  name.replace(name.find("::"), 2, "_");
  out << "TEST(Designated, " << name << ") {\n";
  write_aggregate(out, type, "Input", e.inputs.first(e.scalars));
  write_aggregate(out, type, "Result", e.results);
  if constexpr (lutum::is_table<C>) {
    write_aggregate(out, type, "Row", e.inputs.subspan(e.scalars));
    write_aggregate(out, type, "Carry", C::carried);
  }
  out << "}\n\n";
}

template <class... C>
void write_tests(std::ostream& out, std::tuple<C...>*) {
  (write_test<C>(out), ...);
}

constexpr std::string_view head = R"(// Written by generate_designated from the catalogue.
#include <gtest/gtest.h>

#include "lutum/lutum.hpp"

namespace {

template <std::size_t N>
std::array<double, N> counted(int from) {
  std::array<double, N> a{};
  for (double& x : a) x = from++;
  return a;
}

template <std::size_t N>
void expect_counted(const std::array<double, N>& slots, std::size_t described) {
  ASSERT_EQ(N, described);
  EXPECT_EQ(slots, counted<N>(0));
}

)";

}  // namespace

int main(int count, char** arguments) {
  if (count != 2) {
    std::cerr << "usage: generate_designated FILE\n";
    return 2;
  }
  std::ofstream out(arguments[1]);
  out << head;
  write_tests(out, static_cast<lutum::Calculations*>(nullptr));
  out << "}  // namespace\n";
  return out.flush() ? 0 : 1;
}
