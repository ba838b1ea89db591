//! Why a mesh has its grade, and what to do next, in sentences.
use super::super::say::Say;
use crate::quantity::UnitSystem;
use crate::study::{Because, InspectResult, Next};

/// Scatter about a smooth curve that the corners of a clean edge alone make, m.
const CLEAN_EDGE_M: f64 = 6e-4;

pub(super) fn because(result: &InspectResult, units: UnitSystem) -> Vec<String> {
    let all = result.because.iter();
    all.map(|one| because_in_words(one, Say(units))).collect()
}

/// What to do next; commands and options as they are typed, so in metres.
#[must_use]
pub fn next_steps(result: &InspectResult) -> Vec<String> {
    let name = &result.name;
    let told = |next: &Next| {
        match next {
        Next::MendInAnEditor => "mend it in a mesh editor at the places listed, or scan it again".to_owned(),
        Next::LookAtUnclearHoles => "look at the unclear holes in the picture (--svg) and set --fill-under longer than the longest that is a defect".to_owned(),
        Next::RebuildTakesTime => "--rebuild may take up to two minutes, and rough scans can be refused".to_owned(),
        Next::CutAway => "--rebuild is left out, since a piece that passes through itself is not cured by it: look at the place, and crop or cut away in a mesh editor what stands there".to_owned(),
        Next::CropTrestle { under_m } => format!(
            "if it is a trestle, add --upright --crop-bottom \"{under_m:.3} m\" to mend; it tells the numbers of the holes left in the bottom: the same again on the scan with --fill and these closes them"
        ),
        Next::MeasureLength => "measure the hull's length and give it (--scale-to-length), or give the unit (--mesh-units)".to_owned(),
        Next::UseAsItIs { or_mirror: false } => "a sound mesh that is not symmetric can be used as it is; half a hull needs a flat cut to be mirrored in, and none was found".to_owned(),
        Next::UseAsItIs { or_mirror: true } => "a sound mesh that is not symmetric can be used as it is, without --mirror".to_owned(),
        Next::MirrorByNumber => "if only half of it is there: add --mirror with the number of the flat part in which it was cut (below, with how broad and deep a hull each makes, and in the picture, --svg)".to_owned(),
        Next::CheckUp => "which way is up is a guess: look at the picture (--svg), and add --upside-down if it is wrong".to_owned(),
        Next::CheckBow => "which end is the bow is a guess: look at the picture (--svg), and add --swap-ends if it is wrong".to_owned(),
        Next::Mend(steps) => format!("awash mend {name} -o mended.stl {}", steps.join(" ")),
        Next::Init => format!("awash start {name}"),
    }
    };
    result.next.iter().map(told).collect()
}

/// What the holes of a mesh look like; a count of none is left out.
fn holes_in_words(defects: usize, unclear: usize) -> String {
    let look = match defects {
        0 if unclear == 1 => return "1 hole may be an opening or a defect of the scan".to_owned(),
        0 => return format!("{unclear} holes may be openings or defects of the scan"),
        1 => "1 hole looks like a defect of the scan".to_owned(),
        _ => format!("{defects} holes look like defects of the scan"),
    };
    if unclear == 0 {
        look
    } else {
        format!("{look}, {unclear} may be either")
    }
}

fn because_in_words(because: &Because, say: Say) -> String {
    match because {
        Because::NothingWrong => {
            "closed but for its openings, symmetric, upright, nothing wrong found".to_owned()
        }
        Because::NotClosed => "it cannot be closed".to_owned(),
        Because::Doubt(text) => text.in_units(say.0),
        Because::Holes { defects, unclear } => holes_in_words(*defects, *unclear),
        Because::OtherDefects(count) => {
            format!(
                "{count} other {}, mended in passing where that is possible",
                if *count == 1 { "defect" } else { "defects" }
            )
        }
        Because::Floor { share } => format!(
            "a flat floor with {:.0} % of the area is part of the mesh",
            100.0 * share
        ),
        Because::NarrowUnderneath { under_m } => format!(
            "something narrow stands {} high under the hull, which widens suddenly above it: a trestle scanned as one skin with the hull, a deep keel, or twin hulls under a deck",
            say.m(*under_m, 2)
        ),
        Because::BothSides { apart_m } => format!(
            "both sides of the skin are here, about {} apart: as it is, it displaces no more than its skin",
            say.tenths_of_mm(*apart_m)
        ),
        Because::LipHangs { under_m } => format!(
            "a lip turns down inside its opening: its edge hangs {} under the crest that water must pass over",
            say.mm(*under_m)
        ),
        Because::RoughEdges {
            scatter_m,
            too_low_m,
        } => format!(
            "open edges are rough: the roughest scatters {} about a smooth curve (standard deviation; corners of a clean edge alone read as up to {}), so its lowest point may lie {} too low",
            say.tenths_of_mm(*scatter_m),
            say.tenths_of_mm(CLEAN_EDGE_M),
            say.mm(*too_low_m)
        ),
        Because::UnitGuessed { unit, length_m } => format!(
            "the unit is a guess: {unit} make it {} long",
            say.m(*length_m, 2)
        ),
        Because::HowItLiesNotTold(why) => format!("it could not be told how it lies: {why}"),
        Because::SidesDiffer { by_m } => format!(
            "port and starboard differ by {} at one place in ten",
            say.mm(*by_m)
        ),
        Because::SidesDifferALittle { by_m } => format!(
            "port and starboard differ by {} at one place in ten",
            say.tenths_of_mm(*by_m)
        ),
        Because::OffTheMiddle { to_port_m } => format!(
            "its centre plane lies {} to {} of y = 0, which every study takes for the middle: `origin` in [hull] puts it right, and init writes it",
            say.mm(to_port_m.abs()),
            if *to_port_m > 0.0 {
                "port"
            } else {
                "starboard"
            }
        ),
        Because::OffTheFrame { by_deg } => {
            format!("it lies {by_deg:.1}° off the boat frame (x forward, y to port, z up)")
        }
    }
}
