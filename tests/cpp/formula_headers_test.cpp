// What a formula header must not hold: functions whose bits differ between platforms, and results of no stated type.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <regex>
#include <sstream>

namespace {

namespace fs = std::filesystem;

std::string without_comments(const std::string& text) {
  static const std::regex comment(R"(//[^\n]*|/\*[\s\S]*?\*/)");
  return std::regex_replace(text, comment, "");
}

// The first thing in `text` that is not allowed; empty for a sound header.
std::string not_allowed(const std::string& text) {
  static const std::regex function(R"((?:\bstd|\breturn|^|[^\w\s])\s*::\s*(exp|exp2|expm1|log|log2|log10|log1p|pow|sqrt|cbrt|hypot|abs|fabs|min|max|fmin|fmax|clamp|sinh|cosh|tanh)\b)");
  static const std::regex auto_result(R"(\bauto\s*[&*]*\s+[A-Za-z_]\w*\s*\([^;{}]*\)\s*(const)?\s*(noexcept)?\s*(->[^;{}]*)?\{)");
  const std::string code = without_comments(text);
  std::smatch found;
  if (std::regex_search(code, found, function) || std::regex_search(code, found, auto_result)) return found.str();
  return {};
}

TEST(FormulaHeaders, UseTheLibrarysOwnFunctionsAndStateTheirTypes) {
  int headers = 0;
  for (const auto& area : fs::directory_iterator(fs::path(LUTUM_SOURCE_DIR) / "cpp/include/lutum")) {
    const fs::path folder = area.path();
    const bool no_area = folder.filename() == "core" || folder.filename() == "report" || folder.filename() == "uncertainty" || folder.filename() == "fitting";
    if (!fs::is_directory(folder) || no_area) continue;
    for (const auto& entry : fs::recursive_directory_iterator(folder)) {
      if (entry.path().extension() != ".hpp") continue;
      std::stringstream text;
      text << std::ifstream(entry.path()).rdbuf();
      ASSERT_FALSE(text.str().empty()) << entry.path();
      EXPECT_EQ(not_allowed(text.str()), "") << entry.path();
      ++headers;
    }
  }
  EXPECT_GE(headers, 6);
}

TEST(FormulaHeaders, ScannerSeesWhatItLooksFor) {
  for (const char* wrong : {"r.x = std::exp(in.a);", "x = std::log(a)", "x = ::pow(a, b);", "return ::pow(a, b);", "y = std :: sqrt(2.0);", "using std::max;",
                            "template <class T> static constexpr auto evaluate(const Input<T>& in) { return in; }",
                            "auto f(int x) -> double { return x; }", "auto& g(int x) const { return x; }"})
    EXPECT_NE(not_allowed(wrong), "") << wrong;
  for (const char* sound : {"r.x = exp(in.a);", "// std::exp would differ", "const auto salt = call<C, T>({.a = in.a});", "x = lutum::exp(a);",
                            "const auto walk = [&](const auto& self) { return self; };", "double logarithm(double x) { return log(x); }"})
    EXPECT_EQ(not_allowed(sound), "") << sound;
}

}  // namespace
