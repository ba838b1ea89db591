//! What the marks mean, in sentences.
use super::super::say::Say;
use crate::quantity::UnitSystem;
use crate::study::{DrownedRim, Side, TapeResult};

/// Lean at rest past which the marks of the two sides are told to differ, deg.
const LEANS_DEG: f64 = 0.2;

pub(super) fn summary(result: &TapeResult, units: UnitSystem) -> String {
    let say = Say(units);
    let lies = |angle: f64, none: &str, low: &str, high: &str| {
        if angle.abs() < 0.05 {
            return none.to_owned();
        }
        let way = if angle < 0.0 { low } else { high };
        format!("{:.1}° {way}", angle.abs())
    };
    let attitude = format!(
        "Dry and at rest it lies {} and {}",
        lies(result.pitch_deg, "level fore and aft", "bow down", "bow up"),
        lies(result.heel_deg, "upright", "to port", "to starboard")
    );
    let sides = if result.heel_deg.abs() >= LEANS_DEG {
        "; port and starboard differ, so mark each side by its own numbers"
    } else {
        ""
    };
    let nearest = result
        .marks()
        .filter_map(|(station, side, mark)| Some((station, side, mark.below_rim_m?)))
        .min_by(|a, b| a.2.total_cmp(&b.2));
    let nearest = match nearest {
        Some((station, side, below)) => format!(
            "Of the marks here the one nearest to the rim is {} aft of the stem to {}: {} down the skin.",
            say.mm(station.from_stem_m),
            side.word(),
            say.mm(below)
        ),
        None => "No station has a mark: see the notes.".to_owned(),
    };
    let lacking = result.stations.iter().filter(|station| {
        let lacks = |side| station.of(side).below_rim_m.is_none();
        Side::BOTH.into_iter().any(lacks)
    });
    let lacking = match (lacking.count(), result.stations.len()) {
        (0, _) => String::new(),
        (_, _) if result.marks().all(|(.., mark)| mark.below_rim_m.is_none()) => String::new(),
        (some, all) => format!(
            " Of {all} stations {some} {} none on one side or both, see the notes.",
            if some == 1 { "has" } else { "have" }
        ),
    };
    let drowned = result
        .drowned_rim
        .map_or_else(String::new, |rim| drowned(rim, say));
    format!("{drowned}{attitude}{sides}. {nearest}{lacking}")
}

/// The rim that lies deepest under the water.
fn drowned(rim: DrownedRim, say: Say) -> String {
    let more = match rim.more {
        0 => String::new(),
        more => format!(", and at {more} more of the places here"),
    };
    format!(
        "THE RIM IS UNDER WATER {} aft of the stem to {}, {} deep{more}. ",
        say.mm(rim.from_stem_m),
        rim.side.word(),
        say.mm(rim.depth_m)
    )
}
