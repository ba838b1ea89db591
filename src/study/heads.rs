//! Those aboard: their heads over the water, and what is not known of them.
use serde::Serialize;

use crate::boat::{Boat, DENSITY_WITHIN};
use crate::immersion::WaterPlane;

/// How far the mouth is under the top of the head, m. Ours, no source.
const MOUTH_UNDER_TOP_M: f64 = 0.2;

/// A person's head over the water.
#[derive(Debug, Clone, Serialize)]
pub struct HeadLine {
    /// Whose.
    pub person: String,
    /// Its top over the water, m; negative: under it.
    pub head_m: f64,
    /// The mouth over the water, m.
    pub mouth_m: f64,
}

/// The heads of everyone aboard, sitting as the file has them.
pub(super) fn heads(boat: &Boat, plane: &WaterPlane) -> Vec<HeadLine> {
    boat.persons()
        .filter_map(|entry| {
            let top = entry.head_m()?;
            let body = top - entry.centre_m;
            let mouth = entry.centre_m + body * (1.0 - MOUTH_UNDER_TOP_M / body.norm()).max(0.0);
            Some(HeadLine {
                person: entry.name.clone(),
                head_m: plane.height_m(&top),
                mouth_m: plane.height_m(&mouth),
            })
        })
        .collect()
}

/// Whose head or mouth is under water in which state, as a caution.
pub(super) fn under_water<'a>(
    states: impl IntoIterator<Item = (String, &'a [HeadLine])>,
) -> Option<String> {
    let told: Vec<String> = states
        .into_iter()
        .filter_map(|(when, heads)| {
            let mut low = heads.iter().filter(|line| line.mouth_m < 0.0).peekable();
            low.peek()?;
            let low: Vec<String> = low.map(HeadLine::in_words).collect();
            Some(format!("{when} {}", low.join(", ")))
        })
        .collect();
    (!told.is_empty()).then(|| {
        format!(
            "HEAD UNDER WATER, everyone sitting as the file has them: {}. `head` of an item says how high its top is over `at`; the mouth is taken {MOUTH_UNDER_TOP_M:.2} m lower (ours, no source).",
            told.join("; ")
        )
    })
}

impl HeadLine {
    fn in_words(&self) -> String {
        if self.head_m < 0.0 {
            format!(
                "the head of {} is {:.0} mm under",
                self.person,
                -self.head_m * 1e3
            )
        } else {
            format!(
                "the mouth of {} is {:.0} mm under",
                self.person,
                -self.mouth_m * 1e3
            )
        }
    }
}

/// What a boat file that marks nobody as a person leaves out, as a caution.
pub(super) fn nobody_marked(boat: &Boat, left_out: &str) -> Option<String> {
    boat.persons()
        .next()
        .is_none()
        .then(|| format!("No item is marked `person = true`: {left_out}."))
}

/// Those aboard whose volume is not given and who can get wet, as a caution.
pub(super) fn of_waters_density(boat: &Boat, so: &str) -> Option<String> {
    let people = boat.persons().filter(|entry| entry.is_of_waters_density());
    let names: Vec<&str> = people
        .filter(|entry| entry.dry_in.is_none())
        .map(|entry| entry.name.as_str())
        .collect();
    (!names.is_empty()).then(|| {
        format!(
            "No volume is given for {}: taken as of the water's density ± {:.0} % (ours: bodies are 945 to 1028 kg/m³ by breath, suits not counted){so}.",
            names.join(", "),
            DENSITY_WITHIN * 100.0,
        )
    })
}
