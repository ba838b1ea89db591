//! The rim of an opening as a smooth curve through a rough or ragged edge.
use nalgebra::Matrix3;

use super::super::cap::ring_area;
use super::super::doubt::{Doubt, DoubtKind};
use super::super::loops::trace;
use super::super::pieces::falls_apart;
use super::super::ring::{STEP_M, evenly_stepped, length_m, settled};
use super::super::surface::Surface;
use super::super::symmetry::quantile;
use super::super::topology::{Topology, open_edge_vertices};
use super::curves::{Curves, FARTHEST_M, Vertices};
use super::lip;
use super::outer::DRAWN_EDGES;
use crate::numerics::Vec3;
use crate::quantity::{metres, mm, sentence};

/// How far from the curve the edge is looked for, in turn, m: twice as far as a lip is high,
/// so that the edge of a cut that runs below one for a stretch climbs onto it.
const REACHES_M: [f64; 4] = [0.05, 0.05, 0.03, 0.015];
/// The direction along a rim is that between the stations so far before and after, m, at most
/// this share of its length: noise would turn the one between neighbours.
const ALONG_M: f64 = 0.02;
const ALONG_SHARE: f64 = 0.06;
/// The edge is the farthest corner along the film's normal, tilted inward by
/// this, deg: the top of a lip and the edge of a bare deck alike.
pub(super) const TILT_DEG: f64 = 25.0;
/// Corners lie beside a station within so many edges along the rim.
pub(super) const SLAB_EDGES: f64 = 0.7;
/// A rim is torn when this share of it is the edge of the mesh.
const TORN_SHARE: f64 = 0.9;
/// A curve that is longer than the first by this factor has lost its way.
const LONGER: f64 = 1.3;
/// A local quadratic runs over this each way, m, and over so many edges of the mesh, at most
/// this share of the length.
const FIT_M: f64 = 0.06;
const FIT_EDGES: f64 = 6.0;
const FIT_SHARE: f64 = 0.15;
/// Along the film's normal a rim is smoother than in its film: there it is fitted over so
/// many times that, up to this share, where both fits differ by no more than so much of the
/// scatter. The lowest point of a wavy curve lies too low.
const WIDER: f64 = 2.5;
const WIDE_SHARE: f64 = 0.25;
const AS_WELL: f64 = 0.6;
/// Rounds of leaving out what lies off, and how far is off, in medians. Corners of the edge
/// that lie off its curve by more are corners that the curve cut, and are not drawn onto it.
const ROUNDS: usize = 3;
const OFF_MEDIANS: f64 = 6.0;

/// A rim's height is good to so many times its scatter, and no better than this,
/// m: 95 of 100 rims of made scans, at seeds that it was not set on.
const ERROR_SCATTERS: f64 = 2.2;
const LEAST_ERROR_M: f64 = 5e-4;
/// The same of the noise about a fitted curve: at edges of 10 mm, where the first was found,
/// the curve takes up three tenths of a corner's variance.
const FIT_NOISES: f64 = 1.85;
/// A corner's variance that a curve takes up is given back up to this share.
const MOST_LEVERAGE: f64 = 0.75;
/// Edges shorter round than this stay as they are, m, and those that lie nearer
/// to their curve than this.
const LEAST_ROUND_M: f64 = 0.25;
const ROUGH_M: f64 = 1.5e-4;
/// A ragged edge is told from this on, m.
const RAGGED_M: f64 = 0.003;
/// A fitted rim.
#[derive(Debug, Clone)]
pub(super) struct Rim {
    /// Points along it, closed, m.
    pub(super) points: Vec<Vec3>,
    pub(super) length_m: f64,
    /// Whether nearly all of its edge is that of the mesh, not a cut.
    pub(super) is_torn: bool,
    /// Standard deviation of the edge about the curve, along the film's normal, m.
    pub(super) scatter_m: f64,
    /// The same with what the curve takes up of each corner given back: the scan's
    /// noise, m.
    pub(super) noise_m: f64,
    /// How much less of the noise the curve's height has than over a stretch of the usual
    /// length.
    less: f64,
    /// Half of the edge's corners lie nearer to the curve than this, m.
    off_m: f64,
    /// Whether the curve runs over a lip's crest and the mesh's edge hangs below it on the
    /// inner side.
    pub(super) hangs: bool,
}

impl Rim {
    /// Fits a ring of an outer surface's border; faces lie to its left.
    pub(super) fn fit(ring: &[Vec3], torn_share: f64, vertices: &Vertices) -> Option<Self> {
        let mut curve = settled(ring)?;
        let begun_m = length_m(&curve);
        let (mut scatter_m, mut noise_m, mut less) = (0.0, 0.0, 1.0);
        let reaches = if torn_share > TORN_SHARE {
            &REACHES_M[3..]
        } else {
            &REACHES_M[..]
        };
        for (round, reach) in reaches.iter().enumerate() {
            // A cut that leaves a lip for a stretch goes down and up there: the first round
            // goes round in the film's plane.
            let is_rough = round == 0 && reaches.len() > 1;
            let frames = Frame::along(&evenly_stepped(&curve)?, is_rough)?;
            let edge: Vec<Option<Vec3>> = frames
                .iter()
                .map(|frame| vertices.farthest(frame, *reach))
                .collect();
            (curve, [scatter_m, noise_m], less) = fit_through(&frames, &edge, vertices.edge_m);
        }
        let length_m = length_m(&curve);
        if !length_m.is_finite() || length_m > LONGER * begun_m {
            // Too ragged for a curve.
            return None;
        }
        let mut rim = Self {
            length_m,
            is_torn: torn_share > TORN_SHARE,
            scatter_m,
            noise_m,
            less,
            off_m: 0.0,
            hangs: false,
            points: curve,
        };
        let near = Curves::of([&rim]);
        let off = ring
            .iter()
            .filter_map(|p| near.nearest(p, FARTHEST_M).map(|at| (at - p).norm()));
        rim.off_m = quantile(off.collect(), 0.5);
        Some(rim)
    }

    /// How far it may lie from its true height, ± m.
    pub(super) fn error_m(&self) -> f64 {
        FIT_NOISES * self.less * self.noise_m + LEAST_ERROR_M
    }

    /// Triangles that close it.
    pub(super) fn film(&self) -> Vec<[Vec3; 3]> {
        super::outer::film_over(&self.points)
    }

    pub(super) fn middle_m(&self) -> Vec3 {
        self.points.iter().sum::<Vec3>() / self.points.len() as f64
    }
}

/// How far the lowest point of a rim may lie from its true height on a scan with noise of
/// this standard deviation, ± m.
pub(super) fn error_of_m(noise_m: f64) -> f64 {
    ERROR_SCATTERS * noise_m + LEAST_ERROR_M
}

/// A place on a rim with its directions.
pub(super) struct Frame {
    pub(super) at: Vec3,
    pub(super) along: Vec3,
    /// Out of the hull, across the film.
    pub(super) out: Vec3,
    /// In the film, toward the opening.
    pub(super) inward: Vec3,
}

impl Frame {
    /// Frames at even stations along a curve; along the plane of its film where that is
    /// wanted.
    fn along(curve: &[Vec3], in_plane: bool) -> Option<Vec<Self>> {
        let count = curve.len();
        let along_m = ALONG_M.min(ALONG_SHARE * length_m(curve));
        let apart = steps(along_m).max(1);
        let middle = curve.iter().sum::<Vec3>() / count as f64;
        let (_, [long, across, _]) = super::super::symmetry::principal_axes(curve);
        let reach = |axis: &Vec3| {
            curve
                .iter()
                .map(|p| (p - middle).dot(axis).abs())
                .fold(0.0, f64::max)
        };
        let spine = (reach(&long) - reach(&across)).max(0.0);
        let film = -ring_area(curve).try_normalize(0.0)?;
        curve
            .iter()
            .enumerate()
            .map(|(i, at)| {
                let along = curve[(i + apart) % count] - curve[(i + count - apart) % count];
                let in_film = along - film * along.dot(&film);
                let along = if in_plane { in_film } else { along };
                let along = along.try_normalize(0.0)?;
                // Across to the spine of the opening.
                let to = middle + long * (at - middle).dot(&long).clamp(-spine, spine);
                let across = to - at;
                let across = across - along * across.dot(&along);
                let mut out = across.cross(&along).try_normalize(0.0)?;
                if out.dot(&film) < 0.0 {
                    // A waist: the spine lies on the wrong side.
                    out = (film - along * film.dot(&along)).try_normalize(0.0)?;
                }
                Some(Self {
                    at: *at,
                    along,
                    out,
                    inward: along.cross(&out),
                })
            })
            .collect()
    }
}

/// How many stations this far along a curve is, m.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a few stations"
)]
fn steps(along_m: f64) -> usize {
    (along_m / STEP_M).round() as usize
}

/// A smooth closed curve through points beside stations, and along the film's normal the
/// scatter about it and the noise that this is of, m.
///
/// Last, how much less of that noise its height has for being fitted over a wider stretch.
fn fit_through(frames: &[Frame], edge: &[Option<Vec3>], edge_m: f64) -> (Vec<Vec3>, [f64; 2], f64) {
    let count = frames.len();
    let whole = count as f64 * STEP_M;
    let window = FIT_M.max(FIT_EDGES * edge_m).min(FIT_SHARE * whole);
    let reach = steps(window);
    let mut residuals = Vec::new();
    let beside = |i: usize, reach: usize| -> Vec<[f64; 3]> {
        let frame = &frames[i];
        (0..=2 * reach)
            .filter_map(|k| edge[(i + count + k - reach) % count])
            .map(|p| {
                let d = p - frame.at;
                [d.dot(&frame.along), d.dot(&frame.out), d.dot(&frame.inward)]
            })
            .collect()
    };
    let moves: Vec<[f64; 2]> = (0..count)
        .map(|i| match quadratic(&beside(i, reach), window * 1.2) {
            Some((out, inward, own)) if out.hypot(inward) < REACHES_M[0] => {
                residuals.extend(own);
                [out, inward]
            }
            _ => [0.0; 2],
        })
        .collect();
    let wide = (WIDER * window).min(WIDE_SHARE * whole);
    let wide_reach = steps(wide);
    let smoother: Vec<f64> = (0..count)
        .map(|i| {
            let far = quadratic(&beside(i, wide_reach), wide * 1.2);
            far.map_or(moves[i][0], |(out, _, _)| out)
        })
        .collect();
    let differ = smoother
        .iter()
        .zip(&moves)
        .map(|(far, near)| (far - near[0]).powi(2));
    let differ_m = (differ.sum::<f64>() / count as f64).sqrt();
    let scatters = residuals.iter().map(|own: &[f64; 2]| own[0]);
    let follows = differ_m < AS_WELL * quantile(scatters.collect(), 0.5) / 0.6745;
    let curve = frames
        .iter()
        .zip(moves.iter().zip(&smoother))
        .map(|(frame, ([out, inward], smoother))| {
            let out = if follows { smoother } else { out };
            frame.at + frame.out * *out + frame.inward * *inward
        })
        .collect();
    // The median of the absolute value of normal noise is 0.6745 of its
    // standard deviation.
    let deviations = [0, 1].map(|k| {
        let offs = residuals.iter().map(|own: &[f64; 2]| own[k]);
        quantile(offs.collect(), 0.5) / 0.6745
    });
    // A mean over a stretch has a variance that goes with one over its length.
    let less = if follows { (window / wide).sqrt() } else { 1.0 };
    (curve, deviations, less)
}

/// Local quadratics of two coordinates over the first, at 0, and how far off
/// the nearest points lie along the first of them, as it is and with what the fit took up
/// of it given back: of least squares it leaves a share 1 − h of a point's variance, h the
/// point's leverage. `None` of too few.
fn quadratic(near: &[[f64; 3]], window: f64) -> Option<(f64, f64, Vec<[f64; 2]>)> {
    let mut weights: Vec<f64> = near
        .iter()
        .map(|p| (1.0 - (p[0] / window).abs().powi(3)).max(0.0).powi(3))
        .collect();
    let base = weights.clone();
    let mut answer = None;
    for _ in 0..ROUNDS {
        let mut normal = Matrix3::zeros();
        let (mut right_out, mut right_in) = (Vec3::zeros(), Vec3::zeros());
        for (p, w) in near.iter().zip(&weights) {
            let s = p[0] / window;
            let row = Vec3::new(1.0, s, s * s);
            normal += row * row.transpose() * *w;
            right_out += row * (p[1] * w);
            right_in += row * (p[2] * w);
        }
        let inverse = normal.try_inverse()?;
        let (out, inward) = (inverse * right_out, inverse * right_in);
        let off: Vec<[f64; 2]> = near
            .iter()
            .map(|p| {
                let s = p[0] / window;
                let row = Vec3::new(1.0, s, s * s);
                [p[1] - row.dot(&out), p[2] - row.dot(&inward)]
            })
            .collect();
        let far: Vec<f64> = off.iter().map(|o| o[0].hypot(o[1])).collect();
        let limit = OFF_MEDIANS * quantile(far.clone(), 0.5).max(1e-6);
        for ((weight, base), far) in weights.iter_mut().zip(&base).zip(&far) {
            let share = (far / limit).min(1.0);
            *weight = base * (1.0 - share * share).powi(2);
        }
        let own = near
            .iter()
            .zip(&off)
            .filter(|(p, _)| p[0].abs() < STEP_M)
            .map(|(p, off)| {
                // One corner may be the farthest beside several stations.
                let same = near.iter().filter(|other| *other == p).count() as f64;
                let leverage = (same * inverse[(0, 0)]).min(MOST_LEVERAGE);
                [off[0].abs(), off[0].abs() / (1.0 - leverage).sqrt()]
            })
            .collect();
        answer = Some((out.x, inward.x, own));
    }
    answer
}

/// Draws open edges near the rims onto them, and takes away faces that come to
/// lie along the rim with all their corners.
pub(super) fn draw_onto(surface: &mut Surface, near: &Curves, within_m: f64) {
    for _ in 0..3 {
        let mut on_rim = vec![false; surface.vertices.len()];
        for v in open_edge_vertices(surface) {
            let place = &mut surface.vertices[v as usize];
            if let Some(nearest) = near.nearest(place, within_m) {
                *place = nearest;
                on_rim[v as usize] = true;
            }
        }
        let had = surface.faces.len();
        surface
            .faces
            .retain(|face| !face.iter().all(|v| on_rim[*v as usize]));
        if surface.faces.len() == had {
            break;
        }
        surface.drop_unused_vertices();
    }
}

/// How far the open edges of a surface lie off smooth curves through them, m: the
/// standard deviation of the roughest; `None` where none is rough.
#[must_use]
pub fn rough_edges_m(surface: &Surface) -> Option<f64> {
    let rims = rough_edges(surface);
    rims.iter().map(|(rim, _)| rim.scatter_m).reduce(f64::max)
}

/// Draws the rough open edges of a surface onto smooth curves, cuts off what hangs inside
/// of a lip's crest, and tells the curves.
/// `wanted` picks them.
pub(super) fn smooth_edges(surface: &mut Surface, wanted: impl Fn(&Rim) -> bool) -> Vec<Rim> {
    let mut rims = rough_edges(surface);
    rims.retain(|(rim, _)| wanted(rim));
    for (rim, edge) in &rims {
        let curve = Curves::of(std::slice::from_ref(rim));
        let within_m = if rim.hangs {
            let edge_m = middle_edge(surface);
            lip::cut_off(surface, &curve, edge, edge_m);
            DRAWN_EDGES * edge_m
        } else {
            OFF_MEDIANS * rim.off_m
        };
        draw_onto(surface, &curve, within_m);
    }
    rims.into_iter().map(|(rim, _)| rim).collect()
}

/// Where the deepest lip that turns down inside its opening hangs how far under its crest, m;
/// `None` where none does.
#[must_use]
pub fn hanging_lip_m(surface: &Surface) -> Option<f64> {
    let left = left_as_they_are(surface).into_iter();
    left.filter_map(|left| left.hangs_m).reduce(f64::max)
}

/// An open edge that was not drawn onto its curve.
pub(super) struct LeftAsItIs {
    /// Middle of its corners, m.
    pub(super) middle: Vec3,
    /// How far it hangs under its lip's crest, where it does, m.
    pub(super) hangs_m: Option<f64>,
    /// How far its lowest corner may lie from the rim's true height, ± m: under the curve
    /// through it, since of many corners the lowest is the one that noise carried down, and
    /// what is not known of that curve.
    pub(super) error_m: f64,
}

/// The rough open edges of an upright surface, and those that hang.
pub(super) fn left_as_they_are(surface: &Surface) -> Vec<LeftAsItIs> {
    let lowest_m = |points: &[Vec3]| points.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
    let left = rough_edges(surface).into_iter().map(|(rim, edge)| {
        let hangs_m = rim.hangs.then(|| {
            let near = Curves::of([&rim]);
            let under = edge
                .iter()
                .filter_map(|p| near.nearest(p, FARTHEST_M).map(|over| (over - p).norm()));
            under.fold(0.0, f64::max)
        });
        let under_m = (lowest_m(&rim.points) - lowest_m(&edge)).max(0.0);
        LeftAsItIs {
            middle: edge.iter().sum::<Vec3>() / edge.len() as f64,
            hangs_m,
            error_m: hangs_m.unwrap_or(under_m) + rim.error_m(),
        }
    });
    left.collect()
}

/// The doubt of an opening, so long round, whose edge hangs under its lip's crest, m.
pub(super) fn doubt_hanging(round_m: f64, deep_m: f64) -> Doubt {
    let text = sentence![
        "the lip of the opening ",
        metres(round_m, 2),
        " round turns down inside it, and its edge hangs ",
        mm(deep_m, 0),
        " under its crest: water comes in over the crest, which `smooth_rims` makes its rim",
    ];
    Doubt::new(DoubtKind::Skin, text).of_sill(deep_m)
}

/// The rims of rough open edges, each with the corners of its edge.
fn rough_edges(surface: &Surface) -> Vec<(Rim, Vec<Vec3>)> {
    if falls_apart(surface) {
        return Vec::new();
    }
    let topology = Topology::of(surface);
    let edges = topology
        .boundary(&surface.faces)
        .into_iter()
        .map(|h| {
            let (a, b) = topology.turned_ends(&surface.faces, h);
            (a, b, h)
        })
        .collect();
    let nearby = Vertices::of(surface, middle_edge(surface));
    let inside_out = is_inside_out(surface);
    trace(edges)
        .rings
        .iter()
        .filter_map(|ring| {
            let mut points: Vec<Vec3> = ring
                .vertices
                .iter()
                .map(|v| surface.vertices[*v as usize])
                .collect();
            if inside_out {
                points.reverse();
            }
            let edge = Rim::fit(&points, 1.0, &nearby)?;
            let crest = Rim::fit(&points, 0.0, &nearby);
            let sides: Vec<(Vec3, Vec3)> = ring
                .half_edges
                .iter()
                .map(|h| {
                    let [a, b, c] = surface.corners((h / 3) as usize);
                    let corners = [a, b, c, a, b];
                    let k = (h % 3) as usize;
                    let middle = (corners[k] + corners[k + 1]) / 2.0;
                    (middle, corners[k + 2] - middle)
                })
                .collect();
            let lip = crest.filter(|crest| lip::runs_over(crest, &sides));
            let rim = lip.map_or(edge, |crest| Rim {
                hangs: true,
                is_torn: true,
                ..crest
            });
            Some((rim, points))
        })
        .filter(|(rim, _)| {
            let is_rough = rim.scatter_m > ROUGH_M || rim.hangs;
            rim.length_m > LEAST_ROUND_M && is_rough
        })
        .collect()
}

/// How far an edge that no curve was fitted to stands up or down of its mean over a quarter
/// of its length, at most, m: its sill may lie as much higher or lower.
pub(super) fn ragged_m(ring: &[Vec3]) -> f64 {
    let Some(stations) = evenly_stepped(ring) else {
        return 0.0;
    };
    let count = stations.len();
    let reach = count / 8;
    let off = |i: usize| {
        let near = (0..=2 * reach).map(|k| stations[(i + count + k - reach) % count].z);
        (near.sum::<f64>() / (2 * reach + 1) as f64 - stations[i].z).abs()
    };
    (0..count).map(off).fold(0.0, f64::max)
}

/// The doubt of such an edge, so long round and so ragged, m, where it is.
pub(super) fn doubt_ragged(round_m: f64, off_m: f64) -> Option<Doubt> {
    (off_m > RAGGED_M).then(|| {
        let text = sentence![
            "the edge of the opening ",
            metres(round_m, 2),
            " round is too ragged for a smooth curve: its height is that of the mesh, ± ",
            mm(off_m, 0),
            ", and a piece of its lip may be gone; measure its lowest point by tape and give it as `rim`",
        ];
        Doubt::new(DoubtKind::Skin, text).of_sill(off_m)
    })
}

/// Whether the faces of a hull, open as it may be, look inward: from the middle of its skin
/// outward ones look away, by area.
fn is_inside_out(surface: &Surface) -> bool {
    let faces = (0..surface.faces.len()).map(|face| {
        let at = surface.corners(face).iter().sum::<Vec3>() / 3.0;
        (at, surface.face_normal(face))
    });
    let (moment, area) = faces
        .clone()
        .fold((Vec3::zeros(), 0.0), |(moment, area), (at, normal)| {
            (moment + at * normal.norm(), area + normal.norm())
        });
    let middle = moment / area;
    faces.map(|(at, n)| n.dot(&(at - middle))).sum::<f64>() < 0.0
}

/// The middle length of edges, m: of all, so that the order of the faces does not matter.
pub(super) fn middle_edge(surface: &Surface) -> f64 {
    let lengths = (0..surface.faces.len()).flat_map(|face| {
        let [a, b, c] = surface.corners(face);
        [(b - a).norm(), (c - b).norm(), (a - c).norm()]
    });
    quantile(lengths.collect(), 0.5)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numerics::least_and_most;

    /// A level circle of 0.5 m with a sixth of its lip gone, 48 mm deep: the mean over a
    /// quarter about the middle of the gap lies two thirds down, about its end one half.
    #[test]
    fn a_gap_in_a_lip_is_ragged_and_a_level_rim_is_not() {
        let ring = |deep_m: f64| -> Vec<Vec3> {
            let places = (0..720).map(|i| {
                let (sin, cos) = (std::f64::consts::TAU * f64::from(i) / 720.0).sin_cos();
                let down = if i < 120 { deep_m } else { 0.0 };
                Vec3::new(0.5 * cos, 0.5 * sin, 0.4 - down)
            });
            places.collect()
        };
        assert!(ragged_m(&ring(0.0)) < 1e-12);
        assert_eq!(doubt_ragged(3.0, ragged_m(&ring(0.0))), None);
        let off_m = ragged_m(&ring(0.048));
        assert!((0.02..0.03).contains(&off_m), "{off_m}");
        let told = doubt_ragged(3.0, off_m).expect("ragged").to_string();
        assert!(told.contains("too ragged for a smooth curve"), "{told}");
    }

    /// A coaming of two walls, 50 mm high, round an opening of 0.4 m radius, with 2 mm of
    /// noise; the cut that is to become its rim leaves it for a sixth of the way and runs
    /// along its foot there, its teeth 15 mm long. Begun at any corner, the rim is the crest.
    #[test]
    fn a_rim_climbs_onto_a_lip_that_the_cut_left() {
        const EDGE_M: f64 = 0.007;
        let mut random = fastrand::Rng::with_seed(11);
        let mut normal = || {
            let sum: f64 = (0..12).map(|_| random.f64()).sum();
            0.002 * (sum - 6.0)
        };
        let mut noise = || Vec3::new(normal(), normal(), normal());
        let at = |turn: f64, radius: f64, z: f64| {
            let (sin, cos) = (std::f64::consts::TAU * turn).sin_cos();
            Vec3::new(radius * cos, radius * sin, z)
        };
        let around = (std::f64::consts::TAU * 0.4 / EDGE_M).round();
        let mut surface = Surface::default();
        let mut rows = Vec::new();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "some hundred edges"
        )]
        let count = around as u32;
        for k in 0..count {
            let turn = f64::from(k) / around;
            // Both walls up, the crest between them, and the deck outside.
            for step in 0..=7 {
                let z = f64::from(step) * EDGE_M;
                surface.vertices.push(at(turn, 0.395, z) + noise());
                surface.vertices.push(at(turn, 0.4, z) + noise());
            }
            for step in 1..20 {
                let radius = 0.4 + f64::from(step) * EDGE_M;
                surface.vertices.push(at(turn, radius, 0.0) + noise());
            }
            let is_lost = (0.3..0.47).contains(&turn);
            let tooth = if k % 2 == 0 { 0.015 } else { 0.0 };
            let z = if is_lost { tooth } else { 0.049 };
            rows.push(at(turn, 0.398, z) + noise());
        }
        // Faces lie to the left of the ring: outside of the opening.
        rows.reverse();
        let near = Vertices::of(&surface, EDGE_M);
        for begin in (0..rows.len()).step_by(rows.len() / 20) {
            let mut ring = rows.clone();
            ring.rotate_left(begin);
            let rim = Rim::fit(&ring, 0.0, &near).expect("a rim");
            let heights = rim.points.iter().map(|p| p.z);
            let (lo, hi) = least_and_most(heights);
            assert!((lo - 0.049).abs() < 0.004, "{begin}: {lo} … {hi}");
            assert!(
                (lo - 0.049).abs() < rim.error_m(),
                "{begin}: {lo} ± {}",
                rim.error_m()
            );
            assert!((rim.length_m / 2.5 - 1.0).abs() < 0.05, "{}", rim.length_m);
        }
    }
}
