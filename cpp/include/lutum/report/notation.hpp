// Symbols, numbers and units as plain text and as LaTeX.
#pragma once

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <string>
#include <utility>

#include "lutum/core/limits.hpp"

namespace lutum::inline LUTUM_ISA_TAG::report {

enum class Format { text, markdown };

namespace detail {

inline void replace_all(std::string& s, std::string_view from, std::string_view to) {
  for (std::size_t at = 0; (at = s.find(from, at)) != std::string::npos; at += to.size()) s.replace(at, from.size(), to);
}

}  // namespace detail

// A LaTeX symbol as a person would type it: \rho_{b} becomes "ρ_b".
inline std::string plain_symbol(std::string_view latex) {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 29> words{{
      {"\\dot\\gamma", "γ̇"}, {"\\bar\\rho", "ρ̄"}, {"\\hat\\rho", "ρ̂"}, {"\\hat c", "ĉ"},  {"\\hat v", "v̂"},   {"\\varphi", "φ"},
      {"\\rho", "ρ"},        {"\\tau", "τ"},      {"\\theta", "θ"},     {"\\mu", "μ"},      {"\\beta", "β"},     {"\\gamma", "γ"}, {"\\pi", "π"},
      {"\\nu", "ν"},        {"\\sigma", "σ"},    {"\\phi", "ϕ"},        {"\\alpha", "α"},    {"\\kappa", "κ"},   {"\\lambda", "λ"},  {"\\eta", "η"},
      {"\\Delta ", "Δ"},     {"\\mathrm", ""},    {"\\left", ""},       {"\\right", ""},    {"\\,", " "},        {"{", ""},
      {"}", ""},             {"^-1", "⁻¹"},       {"m^3", "m3"},
  }};
  std::string s(latex);
  for (const auto& [from, to] : words) detail::replace_all(s, from, to);
  return s;
}

// Words of two letters or more upright, or they would be read as products: MBC, V_{dye}. Commands are left alone.
inline std::string upright_words(std::string_view latex) {
  const auto letter = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); };
  const auto in_word = [&](char c) { return letter(c) || c == ',' || (c >= '0' && c <= '9'); };
  std::string out;
  for (std::size_t i = 0; i < latex.size();) {
    if (latex[i] == '\\') {
      if (latex.substr(i, 8) == "\\mathrm{") {
        const auto end = latex.find('}', i);
        out += latex.substr(i, end + 1 - i);
        i = end + 1;
        continue;
      }
      out += latex[i++];
      do out += latex[i++];
      while (i < latex.size() && letter(latex[i - 1]) && letter(latex[i]));
      continue;
    }
    const bool subscript = i > 1 && latex[i - 1] == '{' && latex[i - 2] == '_';
    std::size_t end = i;
    while (end < latex.size() && (subscript ? in_word(latex[end]) : letter(latex[end]))) ++end;
    if (end < i + 2) {
      out += latex[i++];
      continue;
    }
    out += fmt::format("\\mathrm{{{}}}", latex.substr(i, end - i));
    i = end;
  }
  return out;
}

inline std::string symbol_text(std::string_view latex, Format format) {
  return format == Format::markdown ? upright_words(latex) : plain_symbol(latex);
}

inline std::string number_text(double x, Format format, int digits = 6) {
  std::string s = format_number(x, digits);
  if (format == Format::text) return s;
  const auto e = s.find('e');
  if (e == std::string::npos) return s;
  return fmt::format("{}\\times10^{{{}}}", s.substr(0, e), std::stoi(s.substr(e + 1)));
}

inline std::string unit_text(std::string_view label, Format format) {
  if (label.empty() || format == Format::text) return std::string(label);
  std::string s(label);
  detail::replace_all(s, "%", "\\%");
  for (const char* u : {"ft", "in", "m"})
    for (const char* power : {"2", "3"}) detail::replace_all(s, std::string(u) + power, fmt::format("{}^{}", u, power));
  detail::replace_all(s, "/s2", "/s^2");
  detail::replace_all(s, " ", "\\ ");
  if (s == "degF" || s == "degC") return fmt::format("\\mathrm{{°{}}}", s.back());
  return fmt::format("\\mathrm{{{}}}", s);
}

// A value in the unit of a set. Inside an expression a temperature is shown in kelvin: differences of degrees would not
// add up.
inline std::string value_text(double si, Quantity quantity, const UnitSet& units, Format format, bool in_expression = true) {
  const Unit* unit = &units[quantity];
  if (in_expression && unit->shift() != 0.0) unit = &si_units[quantity];
  const std::string number = number_text(unit->from_si(si), format);
  if (unit->label.empty()) return number;
  const bool counts = in_expression && unit->label.front() >= '0' && unit->label.front() <= '9';  // 3 (1/32 in), not 3 1/32 in
  std::string label = unit_text(unit->label, format);
  if (counts) label = "(" + label + ")";
  return fmt::format("{}{}{}", number, format == Format::text ? " " : "\\,", label);
}

}  // namespace lutum::inline LUTUM_ISA_TAG::report
