"""The sheet of every test that can hurt someone says how, and leaves the last word to local rules and licensed practice."""

import re

import pytest

import lutum

ACID = r"acid"
SULFIDE = r"sulfide|H2S"
RULES = r"local (rules|codes|regulations)|licensed practice"
# What the sheet of each test must speak of: patterns, each found somewhere in its cautions.
HAZARDS = {
    "clay.methylene_blue": [r"hot|boil", ACID, r"peroxide", SULFIDE, r"goggles|eye", RULES],
    "clay.solids_exchange_capacity": [r"hot|boil", ACID, r"peroxide", RULES],
    "chemistry.gas_train_sulfide": [ACID, SULFIDE, r"nitrous oxide", RULES],
    "chemistry.gas_train_carbonate": [ACID, SULFIDE, r"nitrous oxide", RULES],
    "chemistry.filtrate_alkalinity": [ACID, RULES],
    "chemistry.p1_p2_alkalinity": [r"caustic|hydroxide", r"barium", r"toxic|poison", RULES],
    "chemistry.filtrate_chloride": [r"silver nitrate", r"chromate", r"toxic|carcinogen", RULES],
    "chemistry.sulfate_turbidity": [r"barium", r"toxic|poison", RULES],
    "chemistry.potassium_content": [r"perchlorate", r"explo", RULES],
    "chemistry.whole_mud_alkalinity": [r"solvent", r"flammable", RULES],
    "chemistry.whole_mud_chloride": [r"solvent", r"flammable", RULES],
    "chemistry.whole_mud_calcium": [r"solvent", r"flammable", RULES],
    "chemistry.electrical_stability": [r"live|volt", RULES],
    "solids.water_base_retort": [r"500|hot", r"condenser", r"cool", RULES],
    "solids.retort_with_brine": [r"500|hot", r"condenser", RULES],
    "solids.retort_with_filtrate": [r"500|hot", r"condenser", RULES],
    "solids.retort_by_weight": [r"500|hot", r"condenser", RULES],
    "solids.non_aqueous_retort": [r"flammable", r"condenser", r"burst", RULES],
    "solids.oil_on_cuttings": [r"flammable", r"condenser", RULES],
    "filtration.static_filtrate": [r"pressure", r"nitrous oxide", RULES],
    "filtration.high_pressure": [r"pressure", r"cold|cool", r"nitrous oxide", r"back[- ]pressure", RULES],
    "filtration.plugging_test": [r"pressure", r"cold|cool", r"nitrous oxide", RULES],
    "routine.shear_strength": [r"pressure", r"cold|cool|hot", RULES],
    "brine.density": [r"burn", r"skin", RULES],
    "brine.recipe": [r"heat|hot", r"burn|skin", RULES],
    "density.hydrostatic_pressure": [r"[Aa]dvisory", r"licensed practice"],
    "density.balancing_density": [r"[Aa]dvisory", r"licensed practice"],
    "density.gas_cut": [r"flow|well control", RULES],
    "treatment.magnesium_removal": [r"caustic", r"to water|into water", RULES],
    "treatment.sulfide_removal": [SULFIDE, r"[Aa]dvisory|well control|evacuat|monitor", RULES],
    "treatment.weight_up": [r"[Aa]dvisory|pressure|well control", RULES],
}


@pytest.mark.parametrize("calculation_id", HAZARDS)
def test_the_sheet_names_its_hazards(calculation_id):
    cautions = {c.sheet.id: c.sheet.cautions for c in lutum.catalogue()}[calculation_id]
    for pattern in HAZARDS[calculation_id]:
        assert re.search(pattern, cautions, re.IGNORECASE), f"nothing of {pattern!r} in: {cautions}"


def test_every_treatment_is_tried_first_and_says_what_too_much_does():
    for c in lutum.catalogue():
        if c.sheet.id.startswith("treatment."):
            assert re.search(r"pilot", c.sheet.cautions, re.IGNORECASE), c.sheet.id
            assert re.search(RULES, c.sheet.cautions, re.IGNORECASE), c.sheet.id


def test_cautions_stand_in_the_worked_solution_and_the_help(calculation):
    if calculation.sheet.cautions:
        assert calculation.sheet.cautions in calculation.work(**calculation.example).text


def test_every_number_of_pressure_rate_or_cleaning_is_advisory():
    for c in lutum.catalogue():
        if c.sheet.id.startswith(("hydraulics.", "cuttings.")):
            assert re.search(r"advisory", c.sheet.cautions, re.IGNORECASE) and "licensed practice" in c.sheet.cautions, c.sheet.id
