//! The quantities that boats are set side by side by.
use super::{
    CompareRow, CraftState, LEAST_KNOCK, Studied, TOLD_DEG, TOLD_J, TOLD_M, TOLD_M3, no_rounding,
};
use crate::quantity::Dimension::{self, Angle, Energy, Length, Mass, Volume};
use crate::study::float::{OpeningVerdict, RestResult};

/// What is asked of a craft: key, words, dimension, whether more is better (1), worse (−1)
/// or neither (0), and where it stands.
type Asked = (
    &'static str,
    &'static str,
    Dimension,
    i8,
    fn(&Studied<'_>) -> Option<f64>,
);

const OF_DRY: [Asked; 12] = [
    ("mass_kg", "mass aboard", Mass, 0, |s| Some(s.float.mass_kg)),
    ("draught_m", "deepest point under water", Length, 0, |s| {
        Some(rest(s)?.draught_m)
    }),
    ("heel_deg", "heel, starboard down +", Angle, 0, |s| {
        Some(rest(s)?.hydrostatics.heel_deg)
    }),
    ("pitch_deg", "pitch, bow up +", Angle, 0, |s| {
        Some(rest(s)?.hydrostatics.pitch_deg)
    }),
    (
        "gm_transverse_m",
        "metacentric height across",
        Length,
        1,
        |s| Some(rest(s)?.gm_transverse_m),
    ),
    (
        "gm_longitudinal_m",
        "metacentric height along",
        Length,
        1,
        |s| Some(rest(s)?.gm_longitudinal_m),
    ),
    (
        "reserve_of_buoyancy_m3",
        "reserve of buoyancy",
        Volume,
        1,
        |s| Some(rest(s)?.reserve_of_buoyancy_m3),
    ),
    (
        "lowest_sill_m",
        "lowest open sill above water",
        Length,
        1,
        |s| {
            let open = s.float.openings.iter();
            let open = open.filter(|o| o.verdict != OpeningVerdict::Covered);
            open.filter_map(|o| o.freeboard_m).reduce(f64::min)
        },
    ),
    (
        "worst_lean_deg",
        "smallest lean that floods",
        Angle,
        1,
        |s| s.margins.as_ref()?.worst_tilt.as_ref()?.lean_deg,
    ),
    (LEAST_KNOCK, "least knock that floods", Energy, 1, |s| {
        Some(s.margins.as_ref()?.knock.first()?.work_j)
    }),
    (
        "no_return_m3",
        "point of no return (water inside past which it fills by itself)",
        Volume,
        1,
        |s| s.swamp.as_ref()?.no_return_m3,
    ),
    (
        "solid_lacking_m3",
        "solid volume lacking to stay up when full",
        Volume,
        -1,
        |s| {
            let swamp = s.swamp.as_ref()?;
            Some((swamp.solid_needed_m3 - swamp.solid_m3).max(0.0))
        },
    ),
];

const OF_FULL: [Asked; 5] = [
    (
        "full_spare_m3",
        "volume to spare (less than 0: SINKS)",
        Volume,
        1,
        |s| Some(s.full.spare_m3),
    ),
    ("full_heel_deg", "heel, starboard down +", Angle, 0, |s| {
        Some(s.full.rest.as_ref()?.plane().heel_deg())
    }),
    ("full_pitch_deg", "pitch, bow up +", Angle, 0, |s| {
        Some(s.full.rest.as_ref()?.plane().pitch_deg())
    }),
    (
        "full_rim_m",
        "largest opening's rim above water",
        Length,
        1,
        |s| s.full.rim_m,
    ),
    (
        "full_gm_transverse_m",
        "metacentric height across",
        Length,
        1,
        |s| Some(s.full.rest.as_ref()?.gm_transverse_m()),
    ),
];

const OF_DIVED: [Asked; 5] = [
    (
        "dived_weight_in_water_kg",
        "weight in water, sinks +",
        Mass,
        0,
        |s| Some(s.dive.hangs.weight_in_water_kg),
    ),
    ("dived_gap_m", "CB over CG", Length, 1, |s| {
        Some(s.dive.hangs.gap_m)
    }),
    ("dived_heel_deg", "heel as it hangs", Angle, 0, |s| {
        s.dive.hangs.heel_deg
    }),
    ("dived_pitch_deg", "pitch as it hangs", Angle, 0, |s| {
        s.dive.hangs.pitch_deg
    }),
    (
        "dived_mass_with_water_kg",
        "mass with the water inside",
        Mass,
        0,
        |s| Some(s.dive.mass_with_water_kg),
    ),
];

/// Every quantity over all boats.
pub(super) fn rows(studied: &[Studied<'_>]) -> Vec<CompareRow> {
    let all = [
        (CraftState::Dry, &OF_DRY[..]),
        (CraftState::Full, &OF_FULL),
        (CraftState::Dived, &OF_DIVED),
    ];
    let rows = all.into_iter();
    let rows = rows.flat_map(|(state, of_it)| of_it.iter().map(move |asked| (state, asked)));
    rows.map(|(state, asked)| row(studied, state, asked))
        .collect()
}

fn row(
    studied: &[Studied<'_>],
    state: CraftState,
    &(key, name, dimension, more_is_better, of): &Asked,
) -> CompareRow {
    let values: Vec<Option<f64>> = studied.iter().map(of).collect();
    let first = values.first().copied().flatten();
    let changes = values.iter();
    let changes = changes.map(|value| Some(no_rounding((*value)?, first?)));
    CompareRow {
        state,
        key: key.to_owned(),
        name: name.to_owned(),
        changes: changes.collect(),
        values,
        more_is_better,
        dimension,
        least_told: match dimension {
            Angle => TOLD_DEG,
            Energy => TOLD_J,
            Volume => TOLD_M3,
            _ => TOLD_M,
        },
    }
}

fn rest<'s>(studied: &'s Studied<'_>) -> Option<&'s RestResult> {
    studied.float.rest.as_ref()
}
