//! What a hole in a hull's surface probably is, by its size and place. Rules of
//! thumb of our own, no source.
use schemars::JsonSchema;
use serde::Serialize;

use super::cap::ring_area;
use super::symmetry::{principal_axes, quantile};
use crate::numerics::{Vec3, least_and_most};

/// A hole over this share of the hull's length that opens upward is its gunwale.
const GUNWALE_SHARE: f64 = 0.7;
/// Round at least: a cockpit, a hatch, m.
const COCKPIT_M: f64 = 0.8;
const HATCH_M: f64 = 0.3;
/// Up is a film whose normal, out of the hull, is within 60° of it where it lies across the
/// centre plane, and within 30° beside that, over this share of the height.
const UPWARD: f64 = 0.5;
const UPWARD_BESIDE: f64 = 0.866;
const HIGH_SHARE: f64 = 0.4;
/// A drain is as round as this (1 is a circle), and not over this round, m.
const ROUND: f64 = 0.6;
const DRAIN_M: f64 = 0.3;
/// A few missing triangles leave so few corners; a cut edge is no more ragged
/// than this (see [`raggedness`]).
const FEW_CORNERS: usize = 8;
const RAGGED: f64 = 0.3;

/// What a hole probably is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum HoleKind {
    /// The upper edge of an open hull.
    Gunwale,
    /// The largest opening of a deck.
    Cockpit,
    /// An opening of a deck with another in the bottom below it.
    Well,
    /// Any other opening of a deck.
    Hatch,
    /// A small round hole.
    Drain,
    /// Something that only the scan lacks.
    ScanHole,
}

impl HoleKind {
    /// The words shown to the user, fit for a name.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Gunwale => "gunwale",
            Self::Cockpit => "cockpit",
            Self::Well => "well",
            Self::Hatch => "hatch",
            Self::Drain => "drain",
            Self::ScanHole => "hole in the scan",
        }
    }
}

/// A hole in numbers.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct Hole {
    /// What it probably is.
    pub probably: HoleKind,
    /// Its longer side, m.
    pub long_m: f64,
    /// Its shorter side, m.
    pub broad_m: f64,
    /// Its lowest point over the hull's, m.
    pub lowest_m: f64,
}

/// How far a row's corners lie off the middle of their neighbours, as a share of
/// the distance between those: the middle value. A torn edge has about 0.5.
#[must_use]
pub(super) fn raggedness(points: &[Vec3]) -> f64 {
    let count = points.len();
    let off = (0..count).map(|k| {
        let (a, b) = (points[(k + count - 1) % count], points[(k + 1) % count]);
        (points[k] - (a + b) / 2.0).norm() / (b - a).norm().max(f64::MIN_POSITIVE)
    });
    quantile(off.collect(), 0.5)
}

/// Tells the holes of an upright hull, given the box round it: smallest and
/// largest coordinates, m.
#[must_use]
pub fn tell_holes(rims: &[Vec<Vec3>], hull: (Vec3, Vec3)) -> Vec<Hole> {
    let mut cockpit = false;
    let mut holes: Vec<Hole> = rims
        .iter()
        .map(|rim| {
            let hole = tell(rim, hull, cockpit);
            cockpit |= matches!(hole.probably, HoleKind::Cockpit | HoleKind::Gunwale);
            hole
        })
        .collect();
    for upper in 0..holes.len() {
        let is_well = holes[upper].probably == HoleKind::Hatch
            && rims
                .iter()
                .any(|lower| lies_below(lower, &rims[upper], hull));
        if is_well {
            holes[upper].probably = HoleKind::Well;
        }
    }
    holes
}

/// Whether one row of points lies in the bottom, its middle under another in plan.
fn lies_below(lower: &[Vec3], upper: &[Vec3], (lo, hi): (Vec3, Vec3)) -> bool {
    let middle = lower.iter().sum::<Vec3>() / lower.len().max(1) as f64;
    let is_under = |axis: usize| {
        let (least, most) = least_and_most(upper.iter().map(|p| p[axis]));
        (least..=most).contains(&middle[axis])
    };
    middle.z < lo.z + HIGH_SHARE * (hi.z - lo.z) && is_under(0) && is_under(1)
}

fn tell(rim: &[Vec3], (lo, hi): (Vec3, Vec3), has_cockpit: bool) -> Hole {
    let (middle, [long, broad, _]) = principal_axes(rim);
    let extent = |axis: &Vec3| {
        let (least, most) = least_and_most(rim.iter().map(|p| p.dot(axis)));
        (most - least).max(0.0)
    };
    let next = rim.iter().cycle().skip(1);
    let round_m: f64 = rim.iter().zip(next).map(|(a, b)| (b - a).norm()).sum();
    let area = rim.first().map_or_else(Vec3::zeros, |_| ring_area(rim));
    let lowest = rim.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
    let size = hi - lo;
    let centre = f64::midpoint(lo.y, hi.y);
    // Which way a row of points runs round its hole is not trusted: out of the hull is away
    // from the middle of its section.
    let section = Vec3::new(middle.x, centre, f64::midpoint(lo.z, hi.z));
    let out = area * 1.0_f64.copysign(area.dot(&(middle - section)));
    let (port, starboard) = (
        rim.iter().any(|p| p.y > centre),
        rim.iter().any(|p| p.y < centre),
    );
    let least = if port && starboard {
        UPWARD
    } else {
        UPWARD_BESIDE
    };
    let upward = out.z > least * out.norm() && middle.z > lo.z + HIGH_SHARE * size.z;
    // A circle of circumference l has the area l²/4π.
    let roundness = 4.0 * std::f64::consts::PI * area.norm() / (round_m * round_m);
    let ragged = rim.len() <= FEW_CORNERS || raggedness(rim) > RAGGED;
    let is_round = roundness > ROUND && !ragged;
    let probably = if upward && extent(&Vec3::x()) > GUNWALE_SHARE * size.x {
        HoleKind::Gunwale
    } else if !upward || round_m < HATCH_M {
        if is_round && round_m < DRAIN_M {
            HoleKind::Drain
        } else {
            HoleKind::ScanHole
        }
    } else if ragged && round_m < COCKPIT_M {
        HoleKind::ScanHole
    } else if round_m > COCKPIT_M && !has_cockpit {
        HoleKind::Cockpit
    } else {
        HoleKind::Hatch
    };
    Hole {
        probably,
        long_m: extent(&long),
        broad_m: extent(&broad),
        lowest_m: lowest - lo.z,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HULL: (Vec3, Vec3) = (Vec3::new(0.0, -0.35, 0.0), Vec3::new(3.6, 0.35, 0.4));

    fn ring(middle: [f64; 3], half: [f64; 3]) -> Vec<Vec3> {
        let points = (0..48).map(|k| {
            let (sin, cos) = (std::f64::consts::TAU * f64::from(k) / 48.0).sin_cos();
            let [x, y, z] = half;
            Vec3::from(middle) + Vec3::new(x * cos, y * sin, z * cos)
        });
        points.collect()
    }

    #[test]
    fn holes_are_named_by_size_and_place() {
        let flat = ring([0.0, 0.0, 0.0], [0.02, 0.02, 0.0]);
        let transom = flat
            .iter()
            .map(|p| Vec3::new(0.0, p.x, 0.1 + p.y))
            .collect();
        let rims = [
            ring([1.7, 0.0, 0.36], [0.45, 0.22, 0.0]),
            ring([0.6, 0.0, 0.36], [0.16, 0.12, 0.0]),
            ring([2.7, 0.0, 0.37], [0.11, 0.09, 0.0]),
            ring([1.8, 0.0, 0.01], [0.3, 0.2, 0.0]),
            transom,
        ];
        let told = tell_holes(&rims, HULL);
        let kinds: Vec<HoleKind> = told.iter().map(|hole| hole.probably).collect();
        let wanted = [
            HoleKind::Cockpit,
            HoleKind::Hatch,
            HoleKind::Hatch,
            HoleKind::ScanHole,
            HoleKind::Drain,
        ];
        assert_eq!(kinds, wanted);
        assert!((told[0].long_m - 0.9).abs() < 1e-9 && (told[0].broad_m - 0.44).abs() < 1e-2);
        assert!((told[0].lowest_m - 0.36).abs() < 1e-12);
        let mut with_well = rims.to_vec();
        with_well.push(ring([0.6, 0.0, 0.01], [0.15, 0.1, 0.0]));
        assert_eq!(tell_holes(&with_well, HULL)[1].probably, HoleKind::Well);
        let gunwale = ring([1.8, 0.0, 0.38], [1.79, 0.34, 0.0]);
        assert_eq!(tell_holes(&[gunwale], HULL)[0].probably, HoleKind::Gunwale);
    }

    /// A patch that a scan lacks high in a side: flared, leaning in, and a hatch beside the
    /// centre plane for comparison.
    #[test]
    fn a_patch_in_a_side_is_no_hatch() {
        let patch = |lean_deg: f64| -> Vec<Vec3> {
            let (up, out) = lean_deg.to_radians().sin_cos();
            let flat = ring([0.0; 3], [0.12, 0.08, 0.0]);
            let along = flat.iter().map(|p| {
                // Along the hull, and up the side that leans out or in.
                Vec3::new(1.2 + p.x, 0.3 - p.y * up, 0.25 + p.y * out)
            });
            along.collect()
        };
        for lean_deg in [-50.0, -20.0, 0.0, 20.0, 50.0] {
            let told = tell_holes(&[patch(lean_deg)], HULL);
            assert_eq!(told[0].probably, HoleKind::ScanHole, "{lean_deg}");
        }
        let beside = ring([2.4, 0.15, 0.38], [0.12, 0.08, 0.0]);
        assert_eq!(tell_holes(&[beside], HULL)[0].probably, HoleKind::Hatch);
    }
}
