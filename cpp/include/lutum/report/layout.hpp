// A long sum over several lines, broken before the signs that stand outside every bracket.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "lutum/report/notation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::report {

// About how many characters wide a formula is on the page: of a fraction its wider part, of a command one.
inline std::size_t page_width(std::string_view s, Format format) {
  std::size_t width = 0, i = 0;
  const auto letter = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); };
  const auto group = [&] {  // from the '{' at i to its '}'
    const std::size_t from = ++i;
    for (int depth = 1; i < s.size(); ++i) {
      depth += s[i] == '{' ? 1 : s[i] == '}' ? -1 : 0;
      if (depth == 0) break;
    }
    return s.substr(from, i++ - from);
  };
  if (format == Format::text) {
    for (char c : s) width += (static_cast<unsigned char>(c) & 0xC0) != 0x80;
    return width;
  }
  while (i < s.size()) {
    if (s.substr(i, 6) == "\\frac{") {
      i += 5;
      const std::size_t above = page_width(group(), format), below = page_width(group(), format);
      width += above > below ? above : below;
    } else if (s[i] == '\\') {
      const std::size_t from = ++i;
      while (i < s.size() && letter(s[i])) ++i;
      const std::string_view word = s.substr(from, i - from);
      if (i == from) ++i;
      width += word == "mathrm" || word == "left" || word == "right" ? 0 : 1;
    } else {
      width += s[i] != '{' && s[i] != '}' && s[i] != '_' && s[i] != '^';
      ++i;
    }
  }
  return width;
}

// The formula as lines no wider than `most` where its outer sum allows.
inline std::vector<std::string> broken(std::string_view formula, Format format, std::size_t most = 100) {
  std::vector<std::string> lines;
  if (page_width(formula, format) <= most) return {std::string(formula)};
  const std::string_view signs[] = {" + ", " - ", " − "};
  std::string line;
  std::size_t from = 0;
  const auto take = [&](std::size_t to) {
    const std::string_view term = formula.substr(from, to - from);
    if (!line.empty() && page_width(line, format) + page_width(term, format) > most) lines.push_back(std::exchange(line, {}));
    line += term;
    from = to;
  };
  int depth = 0;
  for (std::size_t i = 0; i < formula.size(); ++i) {
    const char c = formula[i];
    depth += c == '(' || c == '{' ? 1 : c == ')' || c == '}' ? -1 : 0;
    if (depth != 0 || i == 0) continue;
    for (std::string_view sign : signs)
      if (formula.substr(i, sign.size()) == sign) take(i);
  }
  take(formula.size());
  lines.push_back(line);
  return lines;
}

}  // namespace lutum::inline LUTUM_ISA_TAG::report
