//! A few moments of a swamping as pictures.
use super::{SwampLine, SwampResult};
use crate::boat::Boat;
use crate::immersion::WaterPlane;
use crate::numerics::{Vec3, picked};
use crate::study::shared::picture::{Shape, shapes};

/// Most frames of a film.
const FRAMES: usize = 6;

/// The craft at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct FilmFrame {
    /// Time from the start, s.
    pub time_s: f64,
    /// Water inside, m³.
    pub water_m3: f64,
    /// Heel, starboard down positive, deg.
    pub heel_deg: f64,
    /// Pitch, bow up positive, deg.
    pub pitch_deg: f64,
    /// From starboard, bow to the right, and from astern.
    pub views: [Shape; 2],
    /// Of each space that water gets into, in the order of the shapes' `spaces`: how high
    /// its water stands over the water outside, m; `None` where it is dry.
    pub levels_m: Vec<Option<f64>>,
}

/// Up to six moments of a boat's swamping, each at a time of its own, the first and the
/// last among them.
#[must_use]
pub fn film(boat: &Boat, result: &SwampResult) -> Vec<FilmFrame> {
    let spaces: Vec<&str> = result
        .compartments
        .iter()
        .filter(|space| !space.sealed)
        .map(|space| space.name.as_str())
        .collect();
    let frame = |line: &SwampLine| {
        let plane = WaterPlane {
            up: Vec3::from(line.up),
            level_m: line.outside_level_m,
        };
        let levels = line.levels_m.iter();
        FilmFrame {
            time_s: line.time_s,
            water_m3: line.water_m3,
            heel_deg: line.heel_deg,
            pitch_deg: line.pitch_deg,
            views: shapes(boat, &plane, &spaces),
            levels_m: levels
                .map(|level| level.map(|level| level - line.outside_level_m))
                .collect(),
        }
    };
    moments(&result.time_line).into_iter().map(frame).collect()
}

/// Lines at even steps, of those of one time the last but at the very beginning the first.
fn moments(lines: &[SwampLine]) -> Vec<&SwampLine> {
    let mut kept: Vec<&SwampLine> = Vec::new();
    for (number, line) in lines.iter().enumerate() {
        match kept.last() {
            Some(last) if last.time_s == line.time_s => {
                if kept.len() > 1 || number + 1 == lines.len() {
                    kept.pop();
                    kept.push(line);
                }
            }
            _ => kept.push(line),
        }
    }
    picked(&kept, FRAMES).copied().collect()
}
