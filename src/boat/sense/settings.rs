//! Figures of the tables that are of no thing aboard: `[water]`, `[hull.mend]`,
//! `[yardsticks]`.
use super::super::file::{BoatFile, WaterGiven};
use super::figures::{AWAY_LENGTHS, All, Why};
use super::{Unlikely, shown};
use crate::mesh::Level;
use crate::quantity::{Dimension, Quantity, UnitSystem};
use crate::water::{self, freezing_point_c};

/// Yardsticks: degrees, J.
const TILTS_DEG: (f64, f64) = (0.0, 180.0);
const ENERGIES_J: (f64, f64) = (0.0, 1e5);
/// The sides of a crop by axis: least, greatest.
const SIDES: [[&str; 2]; 3] = [["aft", "forward"], ["starboard", "port"], ["bottom", "top"]];

/// A ± that reaches past what water is, and water that would be ice.
pub(super) fn water(file: &BoatFile, doubted: &mut Vec<Unlikely>) {
    let mut doubt = |text: String| doubted.push(Unlikely::new("[water]", &file.water_place, text));
    let given = match &file.water_given {
        WaterGiven::Density(density) => {
            let dimension = Dimension::Density;
            vec![("density", density, dimension, water::DENSITY_RANGE_KG_M3)]
        }
        WaterGiven::Measured {
            salinity,
            temperature,
        } => {
            let freezes_c = freezing_point_c(salinity.value);
            if temperature.value < freezes_c {
                doubt(format!(
                    "`temperature` is {}, and such water freezes at {}",
                    shown(temperature.value, Dimension::Temperature),
                    shown(freezes_c, Dimension::Temperature)
                ));
            }
            let (of_salt, of_warmth) = (Dimension::Salinity, Dimension::Temperature);
            vec![
                ("salinity", salinity, of_salt, water::SALINITY_RANGE_G_KG),
                (
                    "temperature",
                    temperature,
                    of_warmth,
                    water::TEMPERATURE_RANGE_C,
                ),
            ]
        }
        WaterGiven::Fresh | WaterGiven::Sea | WaterGiven::Pool => Vec::new(),
    };
    for (key, value, dimension, range) in given {
        let (low, high) = (value.value - value.spread, value.value + value.spread);
        // None at all has no less.
        let reaches_under = low < *range.start() && value.value > *range.start();
        if reaches_under || high > *range.end() {
            let (least, most) = range.into_inner();
            doubt(format!(
                "`{key}` is {}: the ± reaches past the {} to {} that water has",
                value.show(dimension, UnitSystem::Metric),
                shown(least, dimension),
                shown(most, dimension)
            ));
        }
    }
}

/// Where a scan is cropped, and what turns it upright.
pub(super) fn mend<'a>(file: &'a BoatFile, all: &mut All<'a, '_>) {
    let Some(recipe) = &file.hull.mend else {
        return;
    };
    let longest = all.scale.longest_m;
    let mut table = all.table("[hull.mend]".to_owned(), &file.hull.place);
    for (axis, keys) in SIDES.iter().enumerate() {
        let sides = [recipe.crop.least[axis], recipe.crop.greatest[axis]];
        for (key, side) in keys.iter().zip(sides) {
            if let Some(side_m) = side {
                table.along(key, axis, Quantity::exact(side_m), AWAY_LENGTHS);
            }
        }
    }
    if let Some(Level::RimHeights { bow_m, stern_m }) = recipe.upright {
        for (key, height_m) in [("bow", bow_m), ("stern", stern_m)] {
            let usual = (0.0, longest);
            let why = Why::Longest(longest);
            table.of(
                key,
                Quantity::exact(height_m),
                Dimension::Length,
                usual,
                why,
            );
        }
    }
}

/// The limits that margins are held against.
pub(super) fn yardsticks<'a>(file: &'a BoatFile, all: &mut All<'a, '_>) {
    let longest = all.scale.longest_m;
    let limits = &file.yardsticks;
    let mut table = all.table("[yardsticks]".to_owned(), &file.yardsticks_place);
    for (red, green, band) in [
        ("sill_red", "sill_green", &limits.sill),
        (
            "swamped_sill_red",
            "swamped_sill_green",
            &limits.swamped_sill,
        ),
        ("gap_red", "gap_green", &limits.gap),
    ] {
        for (key, value) in [(red, band.red), (green, band.green)] {
            let why = Why::Longest(longest);
            table.of(key, value, Dimension::Length, (0.0, longest), why);
        }
    }
    for (key, value) in [
        ("tilt_red", limits.tilt.red),
        ("tilt_green", limits.tilt.green),
        ("swamped_lean_red", limits.swamped_lean.red),
        ("swamped_lean_green", limits.swamped_lean.green),
    ] {
        let why = Why::Kind("limits for a lean run");
        table.of(key, value, Dimension::Angle, TILTS_DEG, why);
    }
    for (key, value) in [
        ("energy_red", limits.energy.red),
        ("energy_green", limits.energy.green),
    ] {
        let why = Why::Kind("limits for a knock run");
        table.of(key, value, Dimension::Energy, ENERGIES_J, why);
    }
}
