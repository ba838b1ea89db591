//! A craft from its side, and its stem. Holds no study.
use super::hydrostatics::coordinates;
use crate::boat::{Boat, FaceSource, SidePath, Skinned};
use crate::immersion::WaterPlane;
use crate::mesh::{Section, Slicer};
use crate::numerics::Vec3;

pub(in crate::study) use crate::boat::Foot;
pub use crate::boat::{RimKind, Side};

/// Stations of the drawing's outline.
const OUTLINE_STATIONS: u32 = 121;

/// One side of a craft's outer skin at a station; `None` where the section has none
/// there.
pub(in crate::study) fn side_path(boat: &Boat, cut: &Section, side: Side) -> Option<SidePath> {
    SidePath::of(&Skinned::Craft(&boat.envelope, &boat.parts), cut, side)
}

/// The craft from the side.
#[derive(Debug, Clone, Default)]
pub struct SideDrawing {
    /// Fore and after ends, lowest and highest of the envelope, m.
    pub box_m: [[f64; 3]; 2],
    /// At each of many stations: x, lowest and highest z, m.
    pub outline: Vec<[f64; 3]>,
    /// The rim, port then starboard: x and z, m.
    pub rims: [Vec<[f64; 2]>; 2],
    /// The waterline on the skin, port then starboard, m.
    pub waters: [Vec<[f64; 2]>; 2],
}

impl SideDrawing {
    /// The craft from both sides, with the line of a water plane on its skin;
    /// `slicer` is of its envelope.
    pub(in crate::study) fn of(
        boat: &Boat,
        slicer: &Slicer<'_>,
        plane: Option<&WaterPlane>,
    ) -> Self {
        let (lo, hi) = boat.envelope.surface.bounds().unwrap_or_default();
        let mut drawing = Self {
            box_m: [coordinates(lo), coordinates(hi)],
            ..Self::default()
        };
        for number in 0..OUTLINE_STATIONS {
            let share =
                (f64::from(number) / f64::from(OUTLINE_STATIONS - 1)).clamp(1e-4, 1.0 - 1e-4);
            let x = lo.x + (hi.x - lo.x) * share;
            let cut = slicer.section(0, x);
            let z = || {
                cut.loops
                    .iter()
                    .flat_map(|one| one.points.iter().map(|p| p.z))
            };
            if let Some((low, high)) = z().reduce(f64::min).zip(z().reduce(f64::max)) {
                drawing.outline.push([x, low, high]);
            }
            for (which, side) in Side::BOTH.into_iter().enumerate() {
                let Some(path) = side_path(boat, &cut, side) else {
                    continue;
                };
                drawing.rims[which].push([x, path.rim_m().z]);
                if let Some(plane) = plane {
                    let crossings = path.crossings(|point| plane.height_m(point));
                    let highest = crossings.last().map(|(_, place)| [x, place.z]);
                    drawing.waters[which].extend(highest);
                }
            }
        }
        drawing
    }
}

/// The foremost point of the hull without parts, boat frame, m.
pub(in crate::study) fn stem_m(boat: &Boat) -> [f64; 3] {
    let envelope = &boat.envelope;
    let own = envelope
        .surface
        .faces
        .iter()
        .zip(&envelope.sources)
        .filter(|(_, source)| **source == FaceSource::Hull)
        .flat_map(|(face, _)| face.map(|v| envelope.surface.vertices[v as usize]));
    let foremost = own.max_by(|a, b| a.x.total_cmp(&b.x)).unwrap_or_default();
    // A part may hide the hull's own foremost point; the station counts from it
    // all the same.
    coordinates(Vec3::new(boat.hull_box_m.1.x, foremost.y, foremost.z))
}
