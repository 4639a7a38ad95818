// Every calculation: its header, and its place in the list that Python, documents and checks loop over.
#pragma once

#include <tuple>

#include "lutum/brine/crystallisation.hpp"
#include "lutum/brine/density.hpp"
#include "lutum/brine/filtrate_salts.hpp"
#include "lutum/brine/from_chloride.hpp"
#include "lutum/brine/from_concentration.hpp"
#include "lutum/brine/from_density.hpp"
#include "lutum/brine/mixed_activity.hpp"
#include "lutum/brine/mixture.hpp"
#include "lutum/brine/recipe.hpp"
#include "lutum/brine/sodium_chloride.hpp"
#include "lutum/brine/water_activity.hpp"
#include "lutum/chemistry/calcium_sulfate.hpp"
#include "lutum/chemistry/charge_balance.hpp"
#include "lutum/chemistry/electrical_stability.hpp"
#include "lutum/chemistry/filtrate_alkalinity.hpp"
#include "lutum/chemistry/filtrate_chloride.hpp"
#include "lutum/chemistry/filtrate_hardness.hpp"
#include "lutum/chemistry/gas_train_carbonate.hpp"
#include "lutum/chemistry/gas_train_sulfide.hpp"
#include "lutum/chemistry/lime_content.hpp"
#include "lutum/chemistry/p1_p2_alkalinity.hpp"
#include "lutum/chemistry/ph_consistency.hpp"
#include "lutum/chemistry/potassium_content.hpp"
#include "lutum/chemistry/potassium_of_salt.hpp"
#include "lutum/chemistry/reading_by_calibration.hpp"
#include "lutum/chemistry/sulfate_turbidity.hpp"
#include "lutum/chemistry/water_phase_salts.hpp"
#include "lutum/chemistry/whole_mud_alkalinity.hpp"
#include "lutum/chemistry/whole_mud_calcium.hpp"
#include "lutum/chemistry/whole_mud_chloride.hpp"
#include "lutum/clay/dye_strength.hpp"
#include "lutum/clay/expected_capacity.hpp"
#include "lutum/clay/low_gravity_split.hpp"
#include "lutum/clay/methylene_blue.hpp"
#include "lutum/clay/solids_exchange_capacity.hpp"
#include "lutum/density/balancing_density.hpp"
#include "lutum/density/cuttings_by_balance.hpp"
#include "lutum/density/gas_cut.hpp"
#include "lutum/density/gradient.hpp"
#include "lutum/density/hydrostatic_pressure.hpp"
#include "lutum/density/mud_balance.hpp"
#include "lutum/filtration/cake_permeability.hpp"
#include "lutum/filtration/high_pressure.hpp"
#include "lutum/filtration/plugging_test.hpp"
#include "lutum/filtration/resistivity.hpp"
#include "lutum/filtration/static_filtrate.hpp"
#include "lutum/hydraulics/equivalent_density.hpp"
#include "lutum/hydraulics/slot_pressure_gradient.hpp"
#include "lutum/rheology/viscometer.hpp"
#include "lutum/routine/corrosion_coupon.hpp"
#include "lutum/routine/funnel.hpp"
#include "lutum/routine/shear_strength.hpp"
#include "lutum/solids/gravity_split.hpp"
#include "lutum/solids/maximum_low_gravity.hpp"
#include "lutum/solids/non_aqueous_retort.hpp"
#include "lutum/solids/oil_on_cuttings.hpp"
#include "lutum/solids/retort_by_weight.hpp"
#include "lutum/solids/retort_with_brine.hpp"
#include "lutum/solids/retort_with_filtrate.hpp"
#include "lutum/solids/sand_content.hpp"
#include "lutum/solids/split_with_third_reading.hpp"
#include "lutum/solids/water_base_retort.hpp"
#include "lutum/solids/weighting_blend.hpp"
#include "lutum/treatment/bicarbonate_removal.hpp"
#include "lutum/treatment/calcium_removal.hpp"
#include "lutum/treatment/carbonate_removal.hpp"
#include "lutum/treatment/density_dilution.hpp"
#include "lutum/treatment/magnesium_removal.hpp"
#include "lutum/treatment/oil_water_ratio.hpp"
#include "lutum/treatment/salt_addition.hpp"
#include "lutum/treatment/solids_dilution.hpp"
#include "lutum/treatment/sulfate_removal.hpp"
#include "lutum/treatment/sulfide_removal.hpp"
#include "lutum/treatment/weight_up.hpp"

namespace lutum::inline LUTUM_ISA_TAG {

using Calculations = std::tuple<
    clay::MethyleneBlue,
    clay::SolidsExchangeCapacity,
    clay::DyeStrength,
    clay::LowGravitySplit,
    clay::ExpectedCapacity,
    brine::SodiumChloride,
    brine::Density,
    brine::FromDensity,
    brine::FromConcentration,
    brine::FromChloride,
    brine::Mixture,
    brine::FiltrateSalts,
    brine::WaterActivity,
    brine::MixedActivity,
    brine::Crystallisation,
    brine::Recipe,
    solids::WaterBaseRetort,
    solids::GravitySplit,
    solids::RetortWithBrine,
    solids::RetortWithFiltrate,
    solids::WeightingBlend,
    solids::SplitWithThirdReading,
    solids::RetortByWeight,
    solids::OilOnCuttings,
    solids::SandContent,
    solids::MaximumLowGravity,
    solids::NonAqueousRetort,
    density::HydrostaticPressure,
    density::Gradient,
    density::BalancingDensity,
    density::MudBalance,
    density::GasCut,
    density::CuttingsByBalance,
    filtration::StaticFiltrate,
    filtration::PluggingTest,
    filtration::CakePermeability,
    filtration::HighPressure,
    filtration::Resistivity,
    chemistry::ChargeBalance,
    chemistry::FiltrateAlkalinity,
    chemistry::FiltrateChloride,
    chemistry::FiltrateHardness,
    chemistry::LimeContent,
    chemistry::P1P2Alkalinity,
    chemistry::PhConsistency,
    chemistry::ReadingByCalibration,
    chemistry::WaterPhaseSalts,
    chemistry::WholeMudChloride,
    chemistry::WholeMudCalcium,
    chemistry::WholeMudAlkalinity,
    chemistry::ElectricalStability,
    chemistry::GasTrainSulfide,
    chemistry::GasTrainCarbonate,
    chemistry::SulfateTurbidity,
    chemistry::PotassiumContent,
    chemistry::PotassiumOfSalt,
    chemistry::CalciumSulfate,
    treatment::CalciumRemoval,
    treatment::MagnesiumRemoval,
    treatment::CarbonateRemoval,
    treatment::BicarbonateRemoval,
    treatment::SulfateRemoval,
    treatment::SulfideRemoval,
    treatment::SaltAddition,
    treatment::OilWaterRatio,
    treatment::WeightUp,
    treatment::DensityDilution,
    treatment::SolidsDilution,
    routine::Funnel,
    routine::CorrosionCoupon,
    routine::ShearStrength,
    rheology::Viscometer,
    hydraulics::SlotPressureGradient,
    hydraulics::EquivalentDensity>;

}  // namespace lutum::inline LUTUM_ISA_TAG
