//! Thin walls of laminate: their solid, and what they weigh.
use std::collections::HashMap;

use super::envelope::AreaMoment;
use super::file::{Foot, Point, Wall, point_m};
use crate::mesh::{Surface, ring_area, solids};
use crate::numerics::{Vec3, go_round, place_bits};

mod raised;

pub(super) use raised::{Rise, raised, standing_round, strip_round};

/// Longest mitre at a corner of a wall, in half thicknesses: past it the
/// corner is cut off.
const LONGEST_MITRE: f64 = 4.0;

/// The closed solid of a wall on points, and how many of its faces, the first,
/// are its open top: none where the wall is a sheet, all of the top where it
/// goes round and the solid is what it encloses. `None` for one that goes round
/// an opening: see [`raised`].
pub(super) fn wall_solid(wall: &Wall, thickness_m: f64) -> Option<(Surface, usize)> {
    let points = |foot: &[Point]| -> Vec<Vec3> { foot.iter().map(point_m).collect() };
    let height_m = wall.height.value;
    match &wall.foot {
        Foot::Line(foot) => {
            let round = both_sides(&points(foot), thickness_m);
            Some((standing_on(round, height_m), 0))
        }
        Foot::Ring(foot) => Some((standing_on(points(foot), height_m), foot.len() - 2)),
        Foot::Round(_) => None,
    }
}

/// The foot of a wall: the sides that it stands on, in the boat frame, m. Round an
/// opening that is the outside of its rim: what passes through the middle of the
/// opening, as a well does, has a rim of its own there.
#[derive(Debug, Clone, Default)]
pub struct WallFoot {
    sides: Vec<[Vec3; 2]>,
    /// See [`Self::levelness`]; of the longest loop.
    levelness: f64,
}

impl WallFoot {
    /// Round a rim: its edges, two ends each in any order, or its points as they
    /// come.
    #[must_use]
    pub fn round(rim: &[Vec3]) -> Self {
        if rim.is_empty() {
            return Self::default();
        }
        let loops = loops_of(rim).unwrap_or_else(|| vec![in_order(rim)]);
        let outer = loops.iter().enumerate().filter(|(number, ring)| {
            let others = loops
                .iter()
                .enumerate()
                .filter(|(other, _)| other != number);
            !others.into_iter().any(|(_, other)| holds(other, &ring[0]))
        });
        let sides = outer.flat_map(|(_, ring)| {
            let next = ring.iter().cycle().skip(1);
            ring.iter().zip(next).map(|(a, b)| [*a, *b])
        });
        let length_m = |ring: &[Vec3]| -> f64 {
            let next = ring.iter().cycle().skip(1);
            ring.iter().zip(next).map(|(a, b)| (b - a).norm()).sum()
        };
        let longest = loops
            .iter()
            .max_by(|a, b| length_m(a).total_cmp(&length_m(b)));
        Self {
            sides: sides.collect(),
            levelness: longest.map_or(1.0, |ring| levelness_of(ring)),
        }
    }

    /// The rings that it goes round, m.
    #[must_use]
    pub fn rings_m(&self) -> Vec<Vec<Vec3>> {
        let corners = |run: &[[Vec3; 2]]| run.iter().map(|[a, _]| *a).collect();
        self.runs().map(corners).collect()
    }

    /// Sides that follow each other.
    fn runs(&self) -> impl Iterator<Item = &[[Vec3; 2]]> {
        self.sides.chunk_by(|one, other| one[1] == other[0])
    }

    /// Whether it has no sides.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.sides.is_empty()
    }

    /// Its length in plan, m: a wall of one height is a strip so long and so high,
    /// also where its foot slopes.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        self.sides.iter().map(|[a, b]| (b - a).xy().norm()).sum()
    }

    /// Centre of a wall of one height on it, m.
    #[must_use]
    pub fn centre_m(&self, height_m: f64) -> Vec3 {
        let length_m = self.length_m();
        let halves = self.sides.iter();
        let moment: Vec3 = halves
            .map(|[a, b]| (a + b) * ((b - a).xy().norm() / 2.0))
            .sum();
        let centre = if length_m > 0.0 {
            moment / length_m
        } else {
            Vec3::zeros()
        };
        centre + Vec3::z() * (height_m / 2.0)
    }

    /// A wall of one height on it, as a sheet.
    pub(super) fn sheet(&self, height_m: f64) -> AreaMoment {
        let area_m2 = self.length_m() * height_m;
        AreaMoment {
            area_m2,
            moment_m3: self.centre_m(height_m) * area_m2,
        }
    }

    /// The same laid out: a strip a run of sides that follow each other.
    pub(super) fn strip(&self, height_m: f64) -> Vec<Surface> {
        let strips = self.runs().map(|run| {
            let last = run.last().map(|[_, b]| *b);
            let foot: Vec<Vec3> = run.iter().map(|[a, _]| *a).chain(last).collect();
            let top: Vec<Vec3> = foot.iter().map(|p| p + Vec3::z() * height_m).collect();
            solids::strip_along(&foot, &top)
        });
        strips.collect()
    }

    /// Where its sides begin, m.
    pub fn points_m(&self) -> impl Iterator<Item = Vec3> + '_ {
        self.sides.iter().map(|[a, _]| *a)
    }

    /// How level the rim lies that it goes round: cosine of the angle between the
    /// rim's plane and the boat's level, 1 for a hatch in a flat deck, 0 for a hole
    /// in an upright side.
    #[must_use]
    pub fn levelness(&self) -> f64 {
        self.levelness
    }
}

/// As [`WallFoot::levelness`]: the plane of a ring is that of its vector area.
fn levelness_of(ring: &[Vec3]) -> f64 {
    let area = ring_area(ring);
    let norm = area.norm();
    if norm > 0.0 { area.z.abs() / norm } else { 1.0 }
}

/// Whether a ring seen from above goes round a point.
fn holds(ring: &[Vec3], point: &Vec3) -> bool {
    let next = ring.iter().cycle().skip(1);
    let sides = ring.iter().zip(next).map(|(a, b)| [a.xy(), b.xy()]);
    go_round(sides, &point.xy())
}

/// The foot of a wall on points, moved by `at`.
pub(super) fn foot_of(wall: &Wall, at: &Vec3) -> WallFoot {
    let (foot, sides) = match &wall.foot {
        Foot::Line(foot) => (foot, foot.len() - 1),
        Foot::Ring(foot) => (foot, foot.len()),
        Foot::Round(_) => return WallFoot::default(),
    };
    let point = |k: usize| point_m(&foot[k % foot.len()]) + at;
    WallFoot {
        sides: (0..sides).map(|k| [point(k), point(k + 1)]).collect(),
        levelness: 1.0,
    }
}

/// The loops of a rim that is given as edges, two ends each in any order. `None`
/// where the points are no edges that close.
fn loops_of(rim: &[Vec3]) -> Option<Vec<Vec<Vec3>>> {
    let mut ends: HashMap<[u64; 3], Vec<usize>> = HashMap::new();
    for (edge, pair) in rim.chunks(2).enumerate() {
        let [from, to] = pair else {
            return None;
        };
        ends.entry(place_bits(from)).or_default().push(edge);
        ends.entry(place_bits(to)).or_default().push(edge);
    }
    if ends.values().any(|edges| edges.len() % 2 == 1) {
        return None;
    }
    let mut walked = vec![false; rim.len() / 2];
    let mut loops = Vec::new();
    for first in 0..walked.len() {
        let mut points = Vec::new();
        let mut at = rim[2 * first];
        let mut next = (!walked[first]).then_some(first);
        while let Some(edge) = next {
            walked[edge] = true;
            points.push(at);
            let (from, to) = (rim[2 * edge], rim[2 * edge + 1]);
            at = if from == at { to } else { from };
            let onward = ends.get(&place_bits(&at))?.iter();
            next = onward.copied().find(|&edge| !walked[edge]);
        }
        if points.len() > 2 {
            loops.push(points);
        }
    }
    (!loops.is_empty()).then_some(loops)
}

/// Rim points in the order in which they lie round their middle, seen along the
/// axis that they lie flattest across.
fn in_order(rim: &[Vec3]) -> Vec<Vec3> {
    let count = rim.len() as f64;
    let middle: Vec3 = rim.iter().sum::<Vec3>() / count;
    let spread: nalgebra::Matrix3<f64> = rim
        .iter()
        .map(|point| (point - middle) * (point - middle).transpose())
        .sum();
    let eigen = nalgebra::SymmetricEigen::new(spread);
    let flattest = eigen.eigenvalues.imin();
    let axes: Vec<Vec3> = (0..3)
        .filter(|&axis| axis != flattest)
        .map(|axis| eigen.eigenvectors.column(axis).into())
        .collect();
    let angle = |point: &Vec3| {
        let from = point - middle;
        from.dot(&axes[1]).atan2(from.dot(&axes[0]))
    };
    let mut ordered = rim.to_vec();
    ordered.sort_by(|a, b| angle(a).total_cmp(&angle(b)));
    ordered
}

/// The prism that stands on a ring of points; its first faces are the top's.
fn standing_on(mut ring: Vec<Vec3>, height_m: f64) -> Surface {
    // As the prism wants it, so that its vertices keep this order.
    if ring_area(&ring).z < 0.0 {
        ring.reverse();
    }
    let plan: Vec<[f64; 2]> = ring.iter().map(|p| [p.x, p.y]).collect();
    let mut solid = solids::prism_along_x(&plan, 0.0, height_m);
    for (v, foot) in solid.vertices.iter_mut().zip(ring.iter().cycle()) {
        *v = foot + Vec3::z() * v.x;
    }
    solid
}

/// Along one side of a line and back along the other, half a thickness off,
/// mitred at the corners.
fn both_sides(line: &[Vec3], thickness_m: f64) -> Vec<Vec3> {
    let left = |a: &Vec3, b: &Vec3| {
        let along = (b - a).xy().normalize();
        Vec3::new(-along.y, along.x, 0.0)
    };
    let last = line.len() - 1;
    let offsets: Vec<Vec3> = (0..=last)
        .map(|k| {
            let before = (k > 0).then(|| left(&line[k - 1], &line[k]));
            let after = (k < last).then(|| left(&line[k], &line[k + 1]));
            let across = match (before, after) {
                (Some(before), Some(after)) => {
                    let both = before + after;
                    (both * (2.0 / both.norm_squared())).cap_magnitude(LONGEST_MITRE)
                }
                (one, other) => one.or(other).unwrap_or_default(),
            };
            across * (thickness_m / 2.0)
        })
        .collect();
    let one = line.iter().zip(&offsets).map(|(p, off)| p + off);
    let other = line.iter().zip(&offsets).map(|(p, off)| p - off);
    one.chain(other.rev()).collect()
}

#[cfg(test)]
mod tests {
    use super::super::envelope::{Envelope, FaceSource, Operation};
    use super::*;
    use crate::quantity::Quantity;

    fn wall(foot: &[[f64; 3]], closed: bool) -> Wall {
        Wall {
            foot: {
                let points = foot.iter().map(|p| p.map(Quantity::exact)).collect();
                if closed {
                    Foot::Ring(points)
                } else {
                    Foot::Line(points)
                }
            },
            height: Quantity::exact(0.2),
            flare: Quantity::exact(0.0),
            level_at: None,
            level_at_rest: false,
        }
    }

    /// Area of a sheet, m², and its middle, m.
    fn of_sheet(sheet: &AreaMoment) -> (f64, Vec3) {
        (sheet.area_m2, sheet.centroid_m().unwrap())
    }

    /// A line and the same line from its other end.
    fn both_ways<const N: usize>(mut foot: [[f64; 3]; N]) -> [[[f64; 3]; N]; 2] {
        let given = foot;
        foot.reverse();
        [given, foot]
    }

    /// An L of 1 m and 0.5 m in plan: mitred, its area is length × thickness.
    /// The middles of its sides are (0.5, 0, 0.35) and (1, 0.25, 0.4).
    #[test]
    fn a_bent_sheet_has_its_length_height_and_thickness() {
        for foot in both_ways([[0.0, 0.0, 0.3], [1.0, 0.0, 0.4], [1.0, 0.5, 0.4]]) {
            let wall = wall(&foot, false);
            let (solid, top) = wall_solid(&wall, 0.002).unwrap();
            assert_eq!(top, 0);
            assert!(solid.is_balanced());
            assert!((solid.signed_volume_m3() - 1.5 * 0.2 * 0.002).abs() < 1e-12);
            let (area, centre) = of_sheet(&foot_of(&wall, &Vec3::z()).sheet(0.2));
            assert!((area - 1.5 * 0.2).abs() < 1e-12);
            let middle = (Vec3::new(0.5, 0.0, 0.35) + Vec3::new(1.0, 0.25, 0.4) * 0.5) / 1.5;
            let wanted = middle + Vec3::z() * (0.1 + 1.0);
            assert!((centre - wanted).norm() < 1e-12, "{centre}");
        }
    }

    /// Round a square of 1 m whose feet lie on a slope: what it encloses is
    /// area × height, and its first faces are the top.
    #[test]
    fn a_closed_wall_encloses_a_prism_with_its_top_first() {
        for foot in both_ways([
            [0.0, 0.0, 0.0],
            [1.0, 0.0, 0.1],
            [1.0, 1.0, 0.1],
            [0.0, 1.0, 0.0],
        ]) {
            let wall = wall(&foot, true);
            let (solid, top) = wall_solid(&wall, 0.002).unwrap();
            assert!(solid.is_balanced());
            assert!((solid.signed_volume_m3() - 0.2).abs() < 1e-12);
            assert_eq!(top, 2);
            let mut over_slope = (0..top)
                .flat_map(|face| solid.corners(face))
                .map(|v| v.z - 0.1 * v.x);
            assert!(over_slope.all(|z| (z - 0.2).abs() < 1e-12));
            let (area, centre) = of_sheet(&foot_of(&wall, &Vec3::zeros()).sheet(0.2));
            assert!((area - 4.0 * 0.2).abs() < 1e-12);
            let wanted = Vec3::new(0.5, 0.5, 0.15);
            assert!((centre - wanted).norm() < 1e-12, "{centre}");
        }
    }

    /// A cube whose top is a cap, half of it covered: the wall stands round the
    /// other half, 0.5 × 1 m, and only that is lifted.
    #[test]
    fn a_wall_round_a_cap_lifts_it_and_closes_the_strip() {
        let mut cube = Envelope::of_part(solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0)), 0);
        for face in 0..cube.sources.len() {
            if cube.surface.corners(face).iter().all(|v| v.z > 0.9) {
                cube.sources[face] = FaceSource::Cap(0);
            }
        }
        let deck = solids::cuboid(Vec3::new(-0.1, -0.1, 0.9), Vec3::new(0.5, 1.1, 1.1));
        let decked = cube
            .combine(&Envelope::of_part(deck, 1), Operation::Join)
            .unwrap();
        let before = decked.surface.signed_volume_m3();
        let rise = Rise {
            height_m: 0.3,
            flare: 0.0,
            level: None,
        };
        let made = raised(&decked, FaceSource::Cap(0), rise, FaceSource::Part(2)).unwrap();
        let (made, sheet) = (made.envelope, made.sheet);
        assert!(made.surface.is_balanced());
        assert_eq!(made.sources.len(), made.surface.faces.len());
        let added = made.surface.signed_volume_m3() - before;
        assert!((added - 0.5 * 0.3).abs() < 1e-12, "{added}");
        let rim = made.rim_of(FaceSource::Cap(0));
        assert!(rim.iter().flatten().all(|p| (p.z - 1.3).abs() < 1e-12));
        let area = made.areas()[&FaceSource::Part(2)].area_m2;
        assert!((area - 3.0 * 0.3).abs() < 1e-12, "{area}");
        let (area, centre) = of_sheet(&sheet);
        assert!((area - 3.0 * 0.3).abs() < 1e-12);
        assert!(
            (centre - Vec3::new(0.75, 0.5, 1.15)).norm() < 1e-12,
            "{centre}"
        );
        assert!(raised(&decked, FaceSource::Cap(7), rise, FaceSource::Part(2)).is_none());
    }

    #[test]
    fn a_rim_of_edges_has_the_length_of_its_outer_loop() {
        // Two squares, one inside the other, as edges in no order.
        let ring = |half: f64| {
            let at = [[-half, -half], [half, -half], [half, half], [-half, half]];
            (0..4).map(move |k| [at[k], at[(k + 1) % 4]])
        };
        let mut edges: Vec<_> = ring(1.0).chain(ring(0.9)).collect();
        edges.swap(0, 5);
        edges.swap(2, 7);
        edges[3].reverse();
        let rim: Vec<Vec3> = edges
            .iter()
            .flatten()
            .map(|[x, y]| Vec3::new(*x, *y, 0.0))
            .collect();
        // 8 m round; the inner one has a rim of its own.
        let foot = WallFoot::round(&rim);
        assert!((foot.length_m() - 8.0).abs() < 1e-12);
        assert!((foot.levelness() - 1.0).abs() < 1e-12);
        assert!(loops_of(&rim[1..]).is_none());
        // Two side by side are both walled.
        let beside: Vec<Vec3> = rim.iter().map(|p| p + Vec3::x() * 3.0).collect();
        let both = WallFoot::round(&[rim, beside].concat());
        assert!((both.length_m() - 16.0).abs() < 1e-12);
    }

    #[test]
    fn a_shuffled_rim_has_its_length() {
        let square = [[0.0, 0.0], [1.0, 1.0], [1.0, 0.0], [0.0, 1.0], [0.5, 0.0]];
        let rim: Vec<Vec3> = square.iter().map(|[y, z]| Vec3::new(2.0, *y, *z)).collect();
        let ordered = in_order(&rim);
        let length: f64 = (0..5)
            .map(|i| (ordered[(i + 1) % 5] - ordered[i]).norm())
            .sum();
        assert!((length - 4.0).abs() < 1e-12);
    }
}
