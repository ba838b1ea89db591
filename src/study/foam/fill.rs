//! Foam that fills the inside up to a plane.
use std::sync::Arc;

use schemars::JsonSchema;
use serde::Serialize;

use crate::boat::Boat;
use crate::equilibrium::Displacers;
use crate::immersion::MomentTree;
use crate::mesh::{Surface, part_below};
use crate::numerics::Vec3;

/// Faces are told in tenths of a millimetre: a whole one at the sides moves the rim of
/// a long hull by two or three.
const TOLD_A_METRE: f64 = 1e4;
/// Share of that by which a face may read low from rounding.
const TOLD_ROUNDING: f64 = 1e-6;

/// From where foam fills the inside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Family {
    Bow,
    Stern,
    BothEnds,
    BothSides,
    Top,
}

impl Family {
    pub(super) const ALL: [Self; 5] = [
        Self::Bow,
        Self::Stern,
        Self::BothEnds,
        Self::BothSides,
        Self::Top,
    ];

    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Bow => "the bow",
            Self::Stern => "the stern",
            Self::BothEnds => "both ends",
            Self::BothSides => "both sides",
            Self::Top => "the top",
        }
    }
}

/// What foam can fill: bodies with a signed share each.
pub(super) struct Fill<'a> {
    bodies: Vec<(f64, &'a Surface)>,
    lo: Vec3,
    hi: Vec3,
}

/// A block of foam.
pub(super) struct Body {
    pub(super) displacers: Displacers,
    pub(super) volume_m3: f64,
    pub(super) centre_m: Vec3,
}

impl<'a> Fill<'a> {
    /// The room in all spaces that are neither sealed nor kept flooded, less
    /// what stays in them.
    pub(super) fn of(boat: &'a Boat, overboard: &[String]) -> Self {
        let spaces = boat.compartments.iter().filter(|s| !s.sealed && !s.flooded);
        let mut bodies = Vec::new();
        for space in spaces {
            bodies.push((space.permeability, space.surface()));
            let stays = space
                .contents
                .iter()
                .filter(|c| !overboard.contains(&c.name));
            bodies.extend(stays.map(|content| (-content.share, &content.surface)));
        }
        let (lo, hi) = boat.hull_box_m;
        Self { bodies, lo, hi }
    }

    /// The planes that bound the foam of a family up to a share of its reach.
    pub(super) fn faces(&self, family: Family, share: f64) -> Vec<FoamFace> {
        let (lo, hi) = (self.lo, self.hi);
        let long = hi.x - lo.x;
        let half = (hi.y - lo.y) / 2.0;
        let middle = f64::midpoint(lo.y, hi.y);
        let faces = match family {
            Family::Bow => vec![(Vec3::x(), hi.x - share * long)],
            Family::Stern => vec![(-Vec3::x(), -(lo.x + share * long))],
            Family::BothEnds => vec![
                (Vec3::x(), hi.x - share * long / 2.0),
                (-Vec3::x(), -(lo.x + share * long / 2.0)),
            ],
            Family::BothSides => vec![
                (Vec3::y(), middle + half * (1.0 - share)),
                (-Vec3::y(), -(middle - half * (1.0 - share))),
            ],
            Family::Top => vec![(Vec3::z(), hi.z - share * (hi.z - lo.z))],
        };
        let face = |(normal, offset_m): (Vec3, f64)| FoamFace {
            normal: normal.into(),
            offset_m,
        };
        faces.into_iter().map(face).collect()
    }

    /// A block of foam: what water could fill past any of the faces. Without faces
    /// nothing.
    pub(super) fn body(&self, faces: &[FoamFace]) -> Body {
        let mut displacers = Displacers::default();
        let (mut volume_m3, mut moment) = (0.0, Vec3::zeros());
        for face in faces {
            let normal = Vec3::from(face.normal);
            for (factor, surface) in &self.bodies {
                let part = part_below(surface, &-normal, -face.offset_m);
                let volume = factor * part.signed_volume_m3();
                if volume != 0.0 {
                    volume_m3 += volume;
                    moment += part.volume_centroid_m() * volume;
                    displacers.push(*factor, Arc::new(MomentTree::new(&part, &[])));
                }
            }
        }
        Body {
            displacers,
            volume_m3,
            centre_m: if volume_m3 > 0.0 {
                moment / volume_m3
            } else {
                Vec3::zeros()
            },
        }
    }
}

/// A face of the foam in the boat frame: there is foam where `normal · x` is at least
/// `offset_m`.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct FoamFace {
    /// Unit vector into the foam.
    pub normal: [f64; 3],
    /// m.
    pub offset_m: f64,
}

impl FoamFace {
    /// Moved out to a whole tenth of a millimetre, so that there is a little more foam:
    /// what is told is what counts.
    pub(super) fn as_told(self) -> Self {
        let offset_m = (self.offset_m * TOLD_A_METRE + TOLD_ROUNDING).floor() / TOLD_A_METRE;
        Self { offset_m, ..self }
    }
}
