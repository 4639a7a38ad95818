// Every calculation: its header, and its place in the list that Python, documents and checks loop over.
#pragma once

#include <tuple>

#include "lutum/brine/sodium_chloride.hpp"
#include "lutum/clay/methylene_blue.hpp"
#include "lutum/hydraulics/equivalent_density.hpp"
#include "lutum/hydraulics/slot_pressure_gradient.hpp"
#include "lutum/rheology/viscometer.hpp"
#include "lutum/solids/water_base_retort.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

using Calculations = std::tuple<
    clay::MethyleneBlue,
    brine::SodiumChloride,
    solids::WaterBaseRetort,
    rheology::Viscometer,
    hydraulics::SlotPressureGradient,
    hydraulics::EquivalentDensity>;

}  // namespace lutum::inline LUTUM_ISA_TAG
