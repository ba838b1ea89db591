//! Which way up a hull lies, and which way it points.
use nalgebra::{Matrix3, Rotation3};
use schemars::JsonSchema;
use serde::Serialize;

use super::super::cap::ring_area;
use super::super::check::Loop;
use super::super::face_tree::FaceTree;
use super::super::hole::raggedness;
use super::super::pieces::falls_apart;
use super::super::samples::spread_over;
use super::super::surface::Surface;
use super::super::symmetry::{MirrorPlane, find_mirror_plane, judge_plane, quantile, uneven_m};
use super::super::units::Confidence;
use super::floor::StoodOn;
use super::inside::{Directions, sky_seen};
use super::reach::{Reach, Rough, SMOOTH_M, keel, reach};
use super::rim::middle_edge;
use crate::numerics::{Vec3, least_and_most};
use crate::quantity::TAPE_M;

/// Points from which the hull's shape is judged.
const POINTS: usize = 4000;
/// Share of the length at either end that counts as that end.
const END_SHARE: f64 = 0.15;
/// Share of the length over which the ends of a rim are averaged.
const RIM_END_SHARE: f64 = 0.02;
/// A mesh is taken to be no rougher than this share of the length: 5 mm on a hull of
/// 3.4 m. Sides that differ by more are unlike in shape.
const ROUGH_SHARE: f64 = 1.5e-3;
/// A hull stands on places that lie this near to its lowest, in standard deviations of the
/// roughness.
const STANDS_WITHIN: f64 = 2.0;
/// No keel is steeper fore and aft; the slope is found by so many halvings.
const STEEPEST: f64 = 4.0;
const SLOPE_HALVINGS: usize = 50;
/// Of the slopes at which a keel may stand so many are looked at.
const SLOPES: usize = 9;
/// What differs between the sides of a lopsided hull may move its plane as one piece, so many
/// times as large: the plane was laid where it differs least.
const OF_ONE_PIECE: f64 = 3.0;
/// A rough mesh's ends are edges, a raked transom's rim or deck: they are known to this share
/// of the mesh's middle edge.
const ENDS: f64 = 0.1;
/// Places this far apart, m, are rough independently.
const APART_M: f64 = 0.1;
/// Sides that differ by more than this share of the breadth, at nine places
/// of ten, are not mirror images of each other.
const NOT_SYMMETRIC_SHARE: f64 = 0.03;
/// An end this much finer than the other is likely the bow.
const CLEARLY_FINER: f64 = 0.8;
/// Ends whose breadths differ by less than this share are alike: the points that they are
/// taken from are spread by chance.
const ENDS_ALIKE: f64 = 0.05;
/// A floor's normal lies this near to the hull's height (cosine), or the hull
/// did not stand on it.
const STOOD_COSINE: f64 = 0.7;
/// Loops longer round than this share of the length tell which way is up.
const OPENING_SHARE: f64 = 0.05;
/// Corners of a smooth edge lie this far off the middle of their neighbours at
/// most, as a share of the distance between those.
const SMOOTH_EDGE: f64 = 0.2;
/// Openings on the other side with less than this share leave no doubt.
const CLEAR_SIDE: f64 = 0.35;
/// An edge with less than this weight is torn: it tells no more than that it is there.
const TORN_WEIGHT: f64 = 0.1;
/// The inside sees less than this share of the sky where there is no opening.
const SKY_SHARE: f64 = 0.002;
/// A guess does not turn a hull over whose top lies within 60° (cosine) of the mesh's z.
const LIES_UP: f64 = 0.5;
/// A closed mesh that fills less than this share of its box is a thin skin.
const THIN_SHARE: f64 = 0.15;

/// How the hull is brought level fore and aft: its sides tell nothing of that.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Level {
    /// As it would stand on a flat floor, balanced over its keel.
    Floor,
    /// By tape: heights of the rim's two ends over the keel's lowest point,
    /// in the attitude that is to count as level.
    RimHeights {
        /// At the foremost end of the rim, m.
        bow_m: f64,
        /// At its aftmost end, m.
        stern_m: f64,
    },
}

/// A hull's own directions in the frame of its mesh.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Posture {
    /// Turns the mesh into the boat frame.
    #[serde(skip)]
    pub turn: Rotation3<f64>,
    /// The point of the turned mesh that becomes the origin: aftmost, on the
    /// centre plane, lowest; m.
    #[serde(skip)]
    pub origin_m: Vec3,
    /// The plane between port and starboard, in the frame of the mesh.
    pub plane: MirrorPlane,
    /// How sure it is which way is up.
    pub up: Confidence,
    /// What says so.
    pub up_because: &'static str,
    /// How sure it is which end is the bow.
    pub bow: Confidence,
    /// What says so.
    pub bow_because: &'static str,
    /// Angle by which the mesh is off the boat frame now, deg.
    pub off_by_deg: f64,
    /// How far the turned mesh reaches forward, m: as `origin_m` by its averaged skin, not by
    /// its farthest corner.
    #[serde(skip)]
    pub stem_m: f64,
    /// The opening by whose ends it was levelled, where it was: how long round, and how far
    /// these are apart, m.
    #[serde(skip)]
    pub by_rim: Option<[f64; 2]>,
    /// How far the boat frame may be off by the mesh's roughness, and by the tape that rim
    /// heights are read with.
    #[serde(skip)]
    pub tilt_error: TiltError,
    /// How rough the mesh is, as a standard deviation, m.
    #[serde(skip)]
    pub noise_m: f64,
    /// How far port and starboard differ in stretches too long for noise, as a root mean
    /// square, m: then no plane halves the hull, and what is level is not known by one.
    #[serde(skip)]
    pub uneven_m: f64,
}

/// How far a hull's frame, as a scan tells it, may be turned from its own: ±, deg.
#[derive(Debug, Clone, Copy, PartialEq, Default, JsonSchema, Serialize)]
pub struct TiltError {
    /// About its length.
    pub heel_deg: f64,
    /// About its breadth.
    pub pitch_deg: f64,
    /// How far its origin may lie from where it is on the hull, along x, y and z: ±, m.
    pub origin_m: [f64; 3],
}

impl TiltError {
    /// Of two causes that know nothing of each other.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self {
            heel_deg: self.heel_deg.hypot(other.heel_deg),
            pitch_deg: self.pitch_deg.hypot(other.pitch_deg),
            origin_m: [0, 1, 2].map(|k| self.origin_m[k].hypot(other.origin_m[k])),
        }
    }
}

impl TiltError {
    /// Each part no less than that of another with the same cause.
    #[must_use]
    pub fn at_least(self, other: Self) -> Self {
        Self {
            heel_deg: self.heel_deg.max(other.heel_deg),
            pitch_deg: self.pitch_deg.max(other.pitch_deg),
            origin_m: [0, 1, 2].map(|k| self.origin_m[k].max(other.origin_m[k])),
        }
    }
}

impl Posture {
    /// Whether nothing tells which way is up.
    #[must_use]
    pub fn up_is_a_guess(&self) -> bool {
        self.up == Confidence::Guess
    }
}

/// Why a hull could not be turned upright.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum PostureError {
    /// Nothing to turn.
    #[error("there is no surface to turn upright")]
    Nothing,
    /// Loose facets.
    #[error(
        "its facets do not hang together, so it has no sides; weld it or export it again as one surface"
    )]
    FallsApart,
    /// Its sides are no mirror images.
    #[error(
        "its two sides differ by {:.0} mm and more at one place in ten, so no centre plane can be told (is half of it missing, a floor attached, or the hull twisted?): crop it, mirror the half, or turn it by hand with `turn`",
        1e3 * nine_tenths_m
    )]
    NotSymmetric {
        /// Misfit of the best plane, m.
        nine_tenths_m: f64,
    },
    /// Rim heights need a rim.
    #[error(
        "`level` by rim heights needs an open rim, and the mesh has none: leave it out, or turn it by hand with `turn`"
    )]
    NoRim,
    /// Rim heights that do not fit.
    #[error(
        "the rim's ends are {apart_m:.3} m apart, so their heights cannot differ by {differ_m:.3} m: check `level` and the scale"
    )]
    RimTooShort {
        /// Distance between the ends, m.
        apart_m: f64,
        /// What was measured, m.
        differ_m: f64,
    },
}

/// What is known of how a hull lies before its shape is asked.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Told {
    /// The centre plane: normal and offset, m.
    pub plane: Option<(Vec3, f64)>,
    /// Beside a plane, since sides that were mirrored do not tell it: the mesh's
    /// roughness, as a standard deviation, m.
    pub noise_m: f64,
    /// The way from a floor to the hull that was scanned over it.
    pub from_floor: Option<Vec3>,
    /// That floor, where the hull stood on it: its bottom touched it.
    pub stood_on: Option<StoodOn>,
    /// Which way it faces, where that was told before.
    pub facing: Option<Facing>,
    /// Both sides of its skin are there: its open edges are no openings, which have none.
    pub both_sides: bool,
    /// What would be up by its shape is down.
    pub upside_down: bool,
    /// What would be the bow by its shape is the stern.
    pub swap_ends: bool,
}

/// Finds the centre plane (or takes the given one), which way is up, which end
/// is the bow, and brings the hull level.
///
/// # Errors
/// [`PostureError`] when the sides are too unlike or `level` does not fit.
pub fn find_posture(
    surface: &Surface,
    loops: &[Loop],
    told: &Told,
    level: &Level,
) -> Result<Posture, PostureError> {
    if told.plane.is_none() && falls_apart(surface) {
        return Err(PostureError::FallsApart);
    }
    let tree = FaceTree::over(surface);
    let plane = match told.plane {
        Some((normal, offset_m)) => Some(judge_plane(surface, &tree, normal, offset_m)),
        None => find_mirror_plane(surface, &tree),
    }
    .ok_or(PostureError::Nothing)?;
    let points = spread_over(surface, POINTS, |_| true);
    let shape = Shape::against(surface, &points, &plane)?;
    let rim = loops
        .iter()
        .max_by(|a, b| a.length_m.total_cmp(&b.length_m))
        .filter(|rim| rim.length_m > shape.length_m / 2.0);
    let facing = match told.facing {
        Some(facing) => shape.as_before(&facing),
        None => shape.facing(surface, loops, told),
    };
    let (up, forward) = (facing.up, facing.forward);
    let port = up.cross(&forward);
    let turn = frame(&forward, &port, &up);
    let by_sides_m = told.plane.is_none().then(|| plane.noise_m());
    let by_sides_m = by_sides_m.map(|m| m.min(ROUGH_SHARE * shape.length_m));
    let scan = Rough::of(surface, by_sides_m, told.noise_m);
    let noise_m = scan.noise_m;
    // Two deviations of the scan at one end of a rim, and of the tape there.
    let end_m = (2.0 * noise_m).hypot(TAPE_M);
    let (turn, base_m, pitch_error, by_rim) = match level {
        Level::Floor => {
            let (slope, error) = match &told.stood_on {
                Some(floor) => floor.slope(&turn, shape.length_m),
                None => shape.stands_at(&scan, &turn),
            };
            (bow_up(-slope) * turn, None, error, None)
        }
        Level::RimHeights { bow_m, stern_m } => {
            let rim = rim.ok_or(PostureError::NoRim)?;
            let (turn, base, apart_m) = level_by_rim(surface, rim, &turn, *bow_m, *stern_m)?;
            let error = end_m * std::f64::consts::SQRT_2 / apart_m;
            (turn, Some(base), error, Some([rim.length_m, apart_m]))
        }
    };
    let uneven_m = match told.plane {
        Some(_) => 0.0,
        None => uneven_m(surface, &tree, &plane),
    };
    let [heel_error, aside_m] = match told.plane {
        Some(_) => [0.0; 2],
        None => shape.plane_errors(surface, noise_m, uneven_m),
    };
    let on_plane = (turn * (plane.normal * plane.offset_m)).y;
    let aside = Vec3::y() * on_plane;
    let placed = scan.moved(|v| turn * v - aside);
    let [aft, fore] = [-Vec3::x(), Vec3::x()].map(|way| reach(&placed, &way));
    let edge_m = if noise_m < SMOOTH_M {
        0.0
    } else {
        ENDS * middle_edge(surface)
    };
    let base = match base_m {
        Some(base_m) => Reach {
            at_m: -base_m,
            // Two ends of a rim are averaged.
            error_m: end_m / std::f64::consts::SQRT_2,
        },
        None => {
            let floor = told.stood_on.and_then(|floor| floor.base(&turn));
            floor.unwrap_or_else(|| reach(&placed, &-Vec3::z()))
        }
    };
    Ok(Posture {
        origin_m: Vec3::new(-aft.at_m, on_plane, -base.at_m),
        stem_m: fore.at_m,
        by_rim,
        off_by_deg: turn.angle().to_degrees(),
        tilt_error: TiltError {
            heel_deg: heel_error.to_degrees(),
            pitch_deg: pitch_error.to_degrees(),
            origin_m: [aft.error_m.hypot(edge_m), aside_m, base.error_m],
        },
        noise_m,
        uneven_m,
        turn,
        plane,
        up: facing.up_sure,
        up_because: facing.up_because,
        bow: facing.bow_sure,
        bow_because: facing.bow_because,
    })
}

/// Which way a hull faces by its shape, in the frame of its mesh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Facing {
    /// Up, a unit vector.
    pub up: Vec3,
    /// How sure that is.
    pub up_sure: Confidence,
    /// What says so.
    pub up_because: &'static str,
    /// To the bow, a unit vector.
    pub forward: Vec3,
    /// How sure that is.
    pub bow_sure: Confidence,
    /// What says so.
    pub bow_because: &'static str,
}

/// Which way a hull faces whose centre plane is known.
///
/// # Errors
/// [`PostureError::Nothing`] and [`PostureError::NotSymmetric`].
pub fn find_facing(
    surface: &Surface,
    loops: &[Loop],
    plane: &MirrorPlane,
) -> Result<Facing, PostureError> {
    let points = spread_over(surface, POINTS, |_| true);
    let shape = Shape::against(surface, &points, plane)?;
    Ok(shape.facing(surface, loops, &Told::default()))
}

/// The turn that takes three directions to x, y and z.
fn frame(forward: &Vec3, port: &Vec3, up: &Vec3) -> Rotation3<f64> {
    let rows = [forward.transpose(), port.transpose(), up.transpose()];
    Rotation3::from_matrix_unchecked(Matrix3::from_rows(&rows))
}

/// Bow up by an angle, in the boat frame.
fn bow_up(angle: f64) -> Rotation3<f64> {
    Rotation3::from_axis_angle(&Vec3::y_axis(), -angle)
}

/// A hull against its centre plane.
struct Shape<'a> {
    points: &'a [Vec3],
    middle: Vec3,
    normal: Vec3,
    offset_m: f64,
    /// In the plane, along the hull and across that.
    along: Vec3,
    high: Vec3,
    length_m: f64,
    breadth_m: f64,
}

impl<'a> Shape<'a> {
    /// By points spread over it; refused where the plane parts unlike sides.
    fn against(
        surface: &Surface,
        points: &'a [Vec3],
        plane: &MirrorPlane,
    ) -> Result<Self, PostureError> {
        if points.is_empty() {
            return Err(PostureError::Nothing);
        }
        let shape = Self::seen(surface, points, plane);
        if plane.nine_tenths_m > NOT_SYMMETRIC_SHARE * shape.breadth_m {
            return Err(PostureError::NotSymmetric {
                nine_tenths_m: plane.nine_tenths_m,
            });
        }
        Ok(shape)
    }

    /// Its own directions nearest to those that it faced before.
    fn as_before(&self, before: &Facing) -> Facing {
        let toward = |axis: Vec3, way: &Vec3| axis * 1.0_f64.copysign(axis.dot(way));
        Facing {
            up: toward(self.high, &before.up),
            forward: toward(self.along, &before.forward),
            ..*before
        }
    }

    /// Which way is up and which end is the bow.
    fn facing(&self, surface: &Surface, loops: &[Loop], told: &Told) -> Facing {
        let (mut up, mut up_sure, mut up_because) = self.up(surface, loops, told);
        if up_sure == Confidence::Guess && up.z < -LIES_UP {
            (up, up_because) = (
                -up,
                "nothing shows which way is up, so it is left as it lies in its file",
            );
        }
        if told.upside_down {
            (up, up_sure, up_because) = (-up, Confidence::Likely, "as told");
        }
        let (mut forward, mut bow_sure, mut bow_because) = self.forward();
        if told.swap_ends {
            (forward, bow_sure, bow_because) = (-forward, Confidence::Likely, "as told");
        }
        Facing {
            up,
            up_sure,
            up_because,
            forward,
            bow_sure,
            bow_because,
        }
    }

    fn seen(surface: &Surface, points: &'a [Vec3], plane: &MirrorPlane) -> Self {
        let normal = plane.normal;
        let middle = points.iter().sum::<Vec3>() / points.len() as f64;
        let flat = |p: &Vec3| {
            let d = p - middle;
            d - normal * normal.dot(&d)
        };
        let spread: Matrix3<f64> = points.iter().map(|p| flat(p) * flat(p).transpose()).sum();
        let eigen = nalgebra::SymmetricEigen::new(spread);
        let along: Vec3 = eigen.eigenvectors.column(eigen.eigenvalues.imax()).into();
        let high = normal.cross(&along);
        let extent = |axis: &Vec3| {
            let values = surface.vertices.iter().map(|v| v.dot(axis));
            let (lo, hi) = least_and_most(values);
            hi - lo
        };
        Self {
            points,
            middle,
            normal,
            offset_m: plane.offset_m,
            length_m: extent(&along),
            breadth_m: extent(&normal),
            along,
            high,
        }
    }

    /// Up, how sure, and why.
    fn up(
        &self,
        surface: &Surface,
        loops: &[Loop],
        told: &Told,
    ) -> (Vec3, Confidence, &'static str) {
        let toward = |value: f64| if value < 0.0 { -self.high } else { self.high };
        if let Some(way) = told.from_floor.map(|way| way.dot(&self.high))
            && way.abs() > STOOD_COSINE
        {
            return (toward(way), Confidence::Likely, "the floor was below");
        }
        let smallest_m = OPENING_SHARE * self.length_m;
        let (mut over, mut under, mut smoothest) = (0.0, 0.0, 0.0_f64);
        for rim in loops.iter().filter(|rim| rim.length_m > smallest_m) {
            let points: Vec<Vec3> = rim
                .vertices
                .iter()
                .map(|v| surface.vertices[*v as usize])
                .collect();
            // The way out of the hull, by how its faces turn, if they agree;
            // else by the side on which the loop lies.
            let open = -ring_area(&points);
            let side = rim.centre.dot(&self.high) - self.middle.dot(&self.high);
            let faces = open.dot(&self.high).abs() * side.signum();
            // A cut edge is smooth, a hole in a scan is torn.
            let ragged = raggedness(&points);
            let weight = 1.0 / (1.0 + (ragged / SMOOTH_EDGE).powi(4));
            smoothest = smoothest.max(weight);
            if faces > 0.0 {
                over += faces * weight;
            } else {
                under -= faces * weight;
            }
        }
        let is_clear = |a: f64, b: f64| a.min(b) < CLEAR_SIDE * a.max(b);
        let by_edges = "the side with the openings is up";
        if !told.both_sides && smoothest > TORN_WEIGHT && is_clear(over, under) {
            return (toward(over - under), Confidence::Likely, by_edges);
        }
        // A mesh of both sides of the skin may have no open edge, or torn ones only.
        let hull = Directions {
            along: self.along,
            high: self.high,
            across: self.normal,
            offset_m: self.offset_m,
        };
        let [above, below] = sky_seen(surface, self.points, &hull);
        if above.max(below) > SKY_SHARE && is_clear(above, below) {
            let because = "its inside sees the sky on that side";
            return (toward(above - below), Confidence::Likely, because);
        }
        if over.max(under) > 0.0 {
            return (toward(over - under), Confidence::Guess, by_edges);
        }
        let heights = surface.vertices.iter().map(|v| v.dot(&self.high));
        let (lo, hi) = least_and_most(heights);
        let half_way = f64::midpoint(lo, hi);
        let volume = surface.signed_volume_m3().abs();
        let fills = volume / (self.length_m * self.breadth_m * (hi - lo));
        if fills < THIN_SHARE {
            let side = half_way - self.middle.dot(&self.high);
            return (toward(side), Confidence::Guess, "most of the skin is low");
        }
        let side = surface.volume_centroid_m().dot(&self.high) - half_way;
        (
            toward(side),
            Confidence::Guess,
            "the mesh is closed; hulls are fuller above than below",
        )
    }

    /// Forward, how sure, and why: the finer end is taken for the bow.
    fn forward(&self) -> (Vec3, Confidence, &'static str) {
        let stations: Vec<(f64, f64)> = self
            .points
            .iter()
            .map(|p| {
                (
                    p.dot(&self.along),
                    (p.dot(&self.normal) - self.offset_m).abs(),
                )
            })
            .collect();
        let xs = |share| quantile(stations.iter().map(|s| s.0).collect(), share);
        let (lo, hi) = (xs(0.001), xs(0.999));
        let end = END_SHARE * (hi - lo);
        let half_breadth = |wanted: &dyn Fn(f64) -> bool| {
            let at_end = stations.iter().filter(|s| wanted(s.0)).map(|s| s.1);
            quantile(at_end.collect(), 0.8)
        };
        let fore = half_breadth(&|x| x > hi - end);
        let aft = half_breadth(&|x| x < lo + end);
        let (finer, fuller) = (fore.min(aft), fore.max(aft));
        // Ends alike but for rounding: as it lies in its file.
        let fore_is_bow = if fuller - finer < ENDS_ALIKE * fuller {
            self.along.x >= 0.0
        } else {
            fore < aft
        };
        let forward = if fore_is_bow { self.along } else { -self.along };
        if finer < CLEARLY_FINER * fuller {
            (forward, Confidence::Likely, "the finer end is the bow")
        } else {
            (forward, Confidence::Guess, "both ends are alike")
        }
    }

    /// The slope of the line on which it stands under its middle, rad, and how far that may
    /// be off, ±.
    ///
    /// A keel of some rocker, known to some deviation, stands at many slopes: the mean of
    /// those is taken, and it may be off as far as they reach from it.
    fn stands_at(&self, scan: &Rough, turn: &Rotation3<f64>) -> (f64, f64) {
        let aside = self.normal * self.offset_m;
        let lowest = keel(&scan.moved(|v| turn * (v - aside)));
        let balance = (turn * (self.middle - aside)).x;
        let reach_m = STANDS_WITHIN * quantile(lowest.iter().map(|at| at.2).collect(), 0.5);
        let (fore, aft): (Vec<_>, Vec<_>) = lowest
            .into_iter()
            .map(|(x, z, _)| (x - balance, z))
            .partition(|(x, _)| *x > 0.0);
        // It stands at the slope at which the lowest point fore of the balance is as low
        // as the lowest aft of it: the first falls against the other as the slope grows.
        let stands_at = |over_m: f64| {
            let (mut low, mut high) = (-STEEPEST, STEEPEST);
            for _ in 0..SLOPE_HALVINGS {
                let slope = f64::midpoint(low, high);
                let lowest = |side: &[(f64, f64)]| {
                    let heights = side.iter().map(|(x, z)| z - slope * x);
                    heights.fold(f64::INFINITY, f64::min)
                };
                if lowest(&aft) - lowest(&fore) < over_m {
                    low = slope;
                } else {
                    high = slope;
                }
            }
            f64::midpoint(low, high).atan()
        };
        let all = (0..SLOPES).map(|k| {
            let share = 2.0 * k as f64 / (SLOPES - 1) as f64 - 1.0;
            stands_at(share * reach_m)
        });
        let all: Vec<f64> = all.collect();
        let mean = all.iter().sum::<f64>() / all.len() as f64;
        let farthest = all.iter().map(|slope| (slope - mean).abs());
        (mean, farthest.fold(0.0, f64::max))
    }

    /// How far the centre plane may be rolled about the hull's length, ± rad, and lie aside,
    /// ± m. By noise: two deviations of a fit by least squares to pairs of places, a hand's
    /// breadth apart. By sides that differ in long stretches: as far as a difference so many
    /// times as large, all of one piece, would move it.
    fn plane_errors(&self, surface: &Surface, noise_m: f64, uneven_m: f64) -> [f64; 2] {
        let (mut area, mut squares) = (0.0, [0.0; 2]);
        for face in 0..surface.faces.len() {
            let middle = surface.corners(face).iter().sum::<Vec3>() / 3.0;
            let normal = surface.face_normal(face);
            let face_m2 = normal.norm() / 2.0;
            // Height that a roll gives the place, a radian, and a shift, a metre.
            let levers = [
                self.along.cross(&(middle - self.middle)).dot(&normal),
                self.normal.dot(&normal),
            ];
            area += face_m2;
            if face_m2 > 0.0 {
                for (sum, lever) in squares.iter_mut().zip(levers) {
                    *sum += lever * lever / (4.0 * face_m2);
                }
            }
        }
        let pairs = (area / (2.0 * APART_M * APART_M)).max(1.0);
        squares.map(|sum| {
            let lever = (sum / area).sqrt();
            // Of a pair's difference, √2 of the noise, a move makes twice its height.
            let error = 2.0 * noise_m / (std::f64::consts::SQRT_2 * lever * pairs.sqrt());
            let error = error.hypot(OF_ONE_PIECE * uneven_m / (2.0 * lever));
            if error.is_finite() { error } else { 0.0 }
        })
    }
}

/// Turns a hull until its rim's ends differ in height as measured, and tells
/// the height of the keel's lowest point there, m.
fn level_by_rim(
    surface: &Surface,
    rim: &Loop,
    turn: &Rotation3<f64>,
    bow_m: f64,
    stern_m: f64,
) -> Result<(Rotation3<f64>, f64, f64), PostureError> {
    let ends = |turn: &Rotation3<f64>| {
        let points: Vec<Vec3> = rim
            .vertices
            .iter()
            .map(|v| turn * surface.vertices[*v as usize])
            .collect();
        let (lo, hi) = least_and_most(points.iter().map(|p| p.x));
        let room = RIM_END_SHARE * (hi - lo);
        let mean = |wanted: &dyn Fn(f64) -> bool| {
            let near: Vec<Vec3> = points.iter().copied().filter(|p| wanted(p.x)).collect();
            near.iter().sum::<Vec3>() / near.len().max(1) as f64
        };
        [mean(&|x| x >= hi - room), mean(&|x| x <= lo + room)]
    };
    let [fore, aft] = ends(turn);
    let (dx, dz) = (fore.x - aft.x, fore.z - aft.z);
    let apart_m = dx.hypot(dz);
    let differ_m = bow_m - stern_m;
    let wanted = (differ_m / apart_m).asin();
    if wanted.is_nan() {
        return Err(PostureError::RimTooShort { apart_m, differ_m });
    }
    let turn = bow_up(wanted - dz.atan2(dx)) * turn;
    let [fore, aft] = ends(&turn);
    let base_m = f64::midpoint(fore.z - bow_m, aft.z - stern_m);
    Ok((turn, base_m, apart_m))
}
