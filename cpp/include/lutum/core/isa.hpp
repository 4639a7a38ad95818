// The instruction-set tag. Every name of the library lives in `lutum::inline LUTUM_ISA_TAG`, so that objects compiled
// for different processors never share an inline function: the linker would keep one copy, perhaps the wrong one.
#pragma once

#if defined(__FAST_MATH__) || (defined(__FINITE_MATH_ONLY__) && __FINITE_MATH_ONLY__)
#error "Lutum does not support -ffast-math or -ffinite-math-only: missing values are NaN and exp/log rely on rounding."
#endif

#if !defined(LUTUM_ISA_TAG)
#if defined(__AVX512F__) && defined(__AVX512DQ__) && defined(__AVX512VL__) && defined(__AVX512BW__)
#define LUTUM_ISA_TAG isa_x86_64_v4
#elif defined(__AVX2__)
#define LUTUM_ISA_TAG isa_x86_64_v3
#elif defined(__x86_64__)
#define LUTUM_ISA_TAG isa_x86_64
#else
#define LUTUM_ISA_TAG isa_portable
#endif
#endif

namespace lutum::inline LUTUM_ISA_TAG {

// Lanes of the widest pack that this translation unit's instruction set holds in one register.
#if defined(__AVX512F__)
inline constexpr int native_width = 8;
#elif defined(__AVX2__)
inline constexpr int native_width = 4;
#else
inline constexpr int native_width = 2;
#endif

}  // namespace lutum::inline LUTUM_ISA_TAG
