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
#include "lutum/cuttings/carrying_capacity_index.hpp"
#include "lutum/cuttings/high_angle.hpp"
#include "lutum/cuttings/hindered_settling.hpp"
#include "lutum/cuttings/minimum_rate.hpp"
#include "lutum/cuttings/sag_factor.hpp"
#include "lutum/cuttings/shoe_test.hpp"
#include "lutum/cuttings/slip_velocity.hpp"
#include "lutum/cuttings/suspension.hpp"
#include "lutum/cuttings/transport.hpp"
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
#include "lutum/hydraulics/annulus_loss.hpp"
#include "lutum/hydraulics/bingham_friction_factor.hpp"
#include "lutum/hydraulics/bit_optimum.hpp"
#include "lutum/hydraulics/bit_pressure_loss.hpp"
#include "lutum/hydraulics/circulation.hpp"
#include "lutum/hydraulics/concentric_annulus.hpp"
#include "lutum/hydraulics/cuttings_load.hpp"
#include "lutum/hydraulics/equivalent_density.hpp"
#include "lutum/hydraulics/friction_factor.hpp"
#include "lutum/hydraulics/gel_breaking.hpp"
#include "lutum/hydraulics/inertia_pressure.hpp"
#include "lutum/hydraulics/kill_density.hpp"
#include "lutum/hydraulics/kick_tolerance.hpp"
#include "lutum/hydraulics/maximum_annular_pressure.hpp"
#include "lutum/hydraulics/moving_pipe.hpp"
#include "lutum/hydraulics/nozzle_area.hpp"
#include "lutum/hydraulics/parasitic_loss.hpp"
#include "lutum/hydraulics/pipe_loss.hpp"
#include "lutum/hydraulics/power_law_friction_factor.hpp"
#include "lutum/hydraulics/pump_output.hpp"
#include "lutum/hydraulics/rotating_pipe.hpp"
#include "lutum/hydraulics/slot_pressure_gradient.hpp"
#include "lutum/hydraulics/slow_rate_pressure.hpp"
#include "lutum/hydraulics/surface_lines.hpp"
#include "lutum/hydraulics/trip_margin.hpp"
#include "lutum/rheology/bingham.hpp"
#include "lutum/rheology/bingham_two_speeds.hpp"
#include "lutum/rheology/carreau.hpp"
#include "lutum/rheology/casson.hpp"
#include "lutum/rheology/cross.hpp"
#include "lutum/rheology/effective_viscosity.hpp"
#include "lutum/rheology/eyring.hpp"
#include "lutum/rheology/gel_growth.hpp"
#include "lutum/rheology/heinz_casson.hpp"
#include "lutum/rheology/low_shear_yield.hpp"
#include "lutum/rheology/newtonian.hpp"
#include "lutum/rheology/oil_mud_yield_temperature.hpp"
#include "lutum/rheology/power_law.hpp"
#include "lutum/rheology/power_law_indices.hpp"
#include "lutum/rheology/robertson_stiff.hpp"
#include "lutum/rheology/rotor_bob_factor.hpp"
#include "lutum/rheology/sisko.hpp"
#include "lutum/rheology/solvent_scaling.hpp"
#include "lutum/rheology/spring_calibration.hpp"
#include "lutum/rheology/viscometer.hpp"
#include "lutum/rheology/wide_gap.hpp"
#include "lutum/rheology/yield_power_law.hpp"
#include "lutum/rheology/yield_power_law_fit.hpp"
#include "lutum/rheology/yield_power_law_indices.hpp"
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
    rheology::Newtonian,
    rheology::Bingham,
    rheology::PowerLaw,
    rheology::YieldPowerLaw,
    rheology::Casson,
    rheology::RobertsonStiff,
    rheology::Sisko,
    rheology::HeinzCasson,
    rheology::Cross,
    rheology::Carreau,
    rheology::YieldPowerLawFit,
    rheology::WideGap,
    rheology::PowerLawIndices,
    rheology::YieldPowerLawIndices,
    rheology::LowShearYield,
    rheology::BinghamTwoSpeeds,
    rheology::EffectiveViscosity,
    rheology::GelGrowth,
    rheology::SpringCalibration,
    rheology::RotorBobFactor,
    rheology::SolventScaling,
    rheology::OilMudYieldTemperature,
    rheology::Eyring,
    hydraulics::SlotPressureGradient,
    hydraulics::EquivalentDensity,
    hydraulics::PipeLoss,
    hydraulics::AnnulusLoss,
    hydraulics::FrictionFactor,
    hydraulics::PowerLawFrictionFactor,
    hydraulics::BinghamFrictionFactor,
    hydraulics::ConcentricAnnulus,
    hydraulics::RotatingPipe,
    hydraulics::NozzleArea,
    hydraulics::BitPressureLoss,
    hydraulics::PumpOutput,
    hydraulics::ParasiticLoss,
    hydraulics::BitOptimum,
    hydraulics::SurfaceLines,
    hydraulics::Circulation,
    hydraulics::GelBreaking,
    hydraulics::InertiaPressure,
    hydraulics::CuttingsLoad,
    hydraulics::KillDensity,
    hydraulics::MaximumAnnularPressure,
    hydraulics::TripMargin,
    hydraulics::KickTolerance,
    hydraulics::SlowRatePressure,
    hydraulics::MovingPipe,
    cuttings::SlipVelocity,
    cuttings::Suspension,
    cuttings::Transport,
    cuttings::CarryingCapacityIndex,
    cuttings::HighAngle,
    cuttings::MinimumRate,
    cuttings::SagFactor,
    cuttings::ShoeTest,
    cuttings::HinderedSettling>;

}  // namespace lutum::inline LUTUM_ISA_TAG
