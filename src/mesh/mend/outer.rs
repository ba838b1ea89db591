//! The outer skin of a hull that was scanned on both sides of its skin.
//!
//! What looks outward sees the sky before it and the dark inside behind it; an
//! inner skin, a few millimetres deep, sees the dark before it and, from far
//! enough behind, the sky. The cheapest cut through the faces parts the two, its
//! edges along the rims; each rim is then fitted as a smooth curve, the openings
//! are closed by a film, and the same is done once more with the openings shut.
use super::super::cap::triangulate_ring;
use super::super::doubt::{Doubt, DoubtKind, at, id};
use super::super::face_tree::FaceTree;
use super::super::loops::trace;
use super::super::pieces::are_loose;
use super::super::surface::Surface;
use super::super::symmetry::{quantile, thinned};
use super::super::topology::{IGNORED, NO_SHELL, Topology, ends};
use super::band::cut_in_band;
use super::curves::{Curves, Vertices, farthest_apart};
use super::min_cut;
use super::openness::{Samples, Voxels};
use super::rim::{self, Rim};
use super::skins::{Pairing, SIDEWAYS_M, pair};
use crate::numerics::Vec3;
use crate::quantity::{mm, sentence};

/// A cell of the grid is the largest of so many skin thicknesses, so many
/// edges, and this share of the length.
const CELL_SKINS: f64 = 2.5;
const CELL_EDGES: f64 = 1.4;
const CELL_SHARE: f64 = 1.0 / 320.0;
/// Share of a shell that must find the other side of its skin to be turned by
/// it, and of the whole for there to be two sides.
const PAIRED_SHARE: f64 = 0.3;
const TWO_SIDED_SHARE: f64 = 0.05;
/// The other side of a skin lies behind its faces, or before them all: this share agrees.
const ONE_WAY: f64 = 0.75;
/// Share from which a mesh is said to hold both sides, and the faces asked.
const TOLD_SHARE: f64 = 0.1;
/// Where some faces only, spread so that every other one finds its opposite, find this
/// part of that share, there is one side only.
const CLEARLY_ONE_SIDED: f64 = 0.25;
const ASKED_FIRST: usize = 4000;
const ASKED: usize = 40_000;
/// Cost of an edge of the cut a cell of its length, and the angle that halves
/// it, deg.
const EDGE_COST: f64 = 3.0;
const SHARP_DEG: f64 = 30.0;
/// Islands no larger than a square of so many cells turn over.
const ISLAND_CELLS: f64 = 5.0;
/// A detached piece stays when it looks outward by this much and sees this
/// share of the sky.
const OUTER_LEAN: f64 = 0.25;
const OUTER_FRONT: f64 = 0.6;
/// What hangs on the outer skin and has less than this share of its area
/// belongs to it.
const ATTACHED_SHARE: f64 = 0.02;
/// Corners of the cut this near to the rim, in edges, are drawn onto it.
pub(super) const DRAWN_EDGES: f64 = 2.5;
/// What makes the parting doubtful: a rim that moves from one round to the next,
/// m, and shares of the kept area in the dark and of the dropped in sight.
const SHIFT_LIMIT_M: f64 = 0.01;
const DARK_LIMIT: f64 = 0.05;
const IN_SIGHT_LIMIT: f64 = 0.02;
/// Loops shorter round than this keep their edge as it is: 80 mm across, m.
const LEAST_ROUND_M: f64 = 0.25;

/// The outer skin, and what was found on the way.
#[derive(Debug, Clone)]
pub(super) struct OuterSkin {
    pub(super) surface: Surface,
    /// Area that was taken away, m², and its middle, m.
    pub(super) dropped_m2: f64,
    pub(super) dropped_at: Vec3,
    /// Middle distance of the two sides, m.
    pub(super) thickness_m: f64,
    pub(super) rims: Vec<Rim>,
    /// Farthest that a rim moved from the first round to the second, m.
    pub(super) shifted_m: f64,
    /// Share of the dropped area that sees the sky, and of the kept area that
    /// does not.
    pub(super) dropped_in_sight: f64,
    pub(super) kept_in_the_dark: f64,
}

/// The distance between the two sides of a skin, m, where a mesh holds both of
/// them over more than a tenth of its area.
#[must_use]
pub fn two_sides(surface: &Surface) -> Option<f64> {
    two_sides_of_shells(surface, Topology::of(surface).shells)
}

/// The same where it is known how many shells the surface has.
#[must_use]
pub(in super::super) fn two_sides_of_shells(surface: &Surface, shells: usize) -> Option<f64> {
    if are_loose(shells, surface.faces.len()) {
        return None;
    }
    // A few faces an opposite side's reach tell that there is none.
    let most = surface.area_m2() / (SIDEWAYS_M * SIDEWAYS_M);
    if 2.0 * most < surface.faces.len() as f64 {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "fewer than the faces"
        )]
        let thin = thinned(surface, (most as usize).max(ASKED_FIRST));
        if pairing_of(&thin).share < CLEARLY_ONE_SIDED * TOLD_SHARE {
            return None;
        }
    }
    let pairing = pairing_of(surface);
    let found = pairing.share > TOLD_SHARE && pairing.one_way > ONE_WAY;
    found.then_some(pairing.thickness_m)
}

fn pairing_of(surface: &Surface) -> Pairing {
    let samples = Samples::of(surface, CELL_SHARE * longest(surface));
    let tree = FaceTree::over(surface);
    pair(surface, None, &tree, ASKED_FIRST, &samples)
}

fn longest(surface: &Surface) -> f64 {
    let (lo, hi) = surface.bounds().unwrap_or_default();
    (hi - lo).norm()
}

/// Parts the outer skin from the inner; `None` when there is only one.
pub(super) fn outer_skin(surface: &Surface, say: &dyn Fn(&'static str)) -> Option<OuterSkin> {
    let mut work = Work::begin(surface, say)?;
    say("looking out from both sides of the skin");
    let mut voxels = Voxels::of(&work.surface, work.cell_m);
    work.samples.look(&voxels);
    work.turn_shells();
    let mut outer = work.cut();
    if outer.iter().all(|kept| *kept) {
        return None;
    }
    say("fitting the rims");
    let first = work.rims(&outer);
    for film in first.iter().flat_map(Rim::film) {
        voxels.fill(&film);
    }
    say("looking again with the openings shut");
    work.samples.look(&voxels);
    outer = work.cut();
    let coarse = work.rims(&outer);
    work.cut_along(&coarse, &mut outer);
    say("cutting along the rims");
    Some(work.finish(&outer, coarse, &first))
}

impl OuterSkin {
    /// What was done, in words.
    pub(super) fn told(&self) -> String {
        let rims: Vec<String> = self
            .rims
            .iter()
            .filter(|rim| !rim.is_torn)
            .map(|rim| format!("{:.2} m round at {}", rim.length_m, at(&rim.middle_m())))
            .collect();
        format!(
            "{:.2} m² of inner skin were removed, their middle at {}; {:.2} m² of outer skin stay, with all that the outside sees; the two sides lie about {:.1} mm apart, which is the skin's `thickness`; openings: {}",
            self.dropped_m2,
            at(&self.dropped_at),
            self.surface.area_m2(),
            1e3 * self.thickness_m,
            if rims.is_empty() {
                "none".to_owned()
            } else {
                rims.join(", ")
            },
        )
    }

    /// Middles of the rims, and how far each may lie from its true height, ± m: by
    /// its own scatter, but no less than is usual on this scan.
    pub(super) fn rim_errors_m(&self) -> Vec<(Vec3, f64)> {
        let cut = || self.rims.iter().filter(|rim| !rim.is_torn);
        let usual = quantile(cut().map(Rim::error_m).collect(), 0.5);
        cut()
            .map(|rim| (rim.middle_m(), rim.error_m().max(usual)))
            .collect()
    }

    /// What makes the parting doubtful.
    pub(super) fn doubts(&self) -> Vec<Doubt> {
        let mut doubts = Vec::new();
        if self.shifted_m > SHIFT_LIMIT_M {
            doubts.push(
                Doubt::new(
                    DoubtKind::Skin,
                    sentence![
                        "a rim moved by ",
                        mm(self.shifted_m, 0),
                        " when it was looked for again: the two sides may be fused there; hold a tape to it"
                    ],
                )
                .of_sill(self.shifted_m),
            );
        }
        let mut doubt = |text: String| doubts.push(Doubt::new(DoubtKind::Skin, text));
        if self.kept_in_the_dark > DARK_LIMIT {
            doubt(format!(
                "{:.0} % of the skin that was kept hardly sees the outside: look at it, some of it may be inner skin",
                100.0 * self.kept_in_the_dark
            ));
        }
        if self.dropped_in_sight > IN_SIGHT_LIMIT {
            doubt(format!(
                "{:.1} % of the skin that was removed sees the outside: look whether a piece of the outer skin is gone",
                100.0 * self.dropped_in_sight
            ));
        }
        doubts
    }
}

struct Work {
    surface: Surface,
    topology: Topology,
    samples: Samples,
    pairing: Pairing,
    cell_m: f64,
    edge_m: f64,
}

impl Work {
    fn begin(surface: &Surface, say: &dyn Fn(&'static str)) -> Option<Self> {
        say("looking for the two sides of the skin");
        let mut surface = surface.clone();
        let topology = Topology::of(&surface);
        for (face, turned) in surface.faces.iter_mut().zip(&topology.turned) {
            if *turned {
                face.swap(1, 2);
            }
        }
        let topology = Topology::of(&surface);
        let edge_m = rim::middle_edge(&surface);
        let rough_m = (CELL_SHARE * longest(&surface)).max(CELL_EDGES * edge_m);
        let samples = Samples::of(&surface, rough_m);
        let tree = FaceTree::over(&surface);
        let pairing = pair(&surface, Some(&topology), &tree, ASKED, &samples);
        if pairing.share < TWO_SIDED_SHARE || pairing.one_way < ONE_WAY {
            return None;
        }
        let cell_m = rough_m.max(CELL_SKINS * pairing.thickness_m);
        Some(Self {
            samples: Samples::of(&surface, cell_m),
            surface,
            topology,
            pairing,
            cell_m,
            edge_m,
        })
    }

    /// Turns each shell so that its normals point away from the material: by
    /// the other side of the skin where that was found, else toward the sky.
    fn turn_shells(&mut self) {
        let mut sky = vec![0.0; self.topology.shells];
        for face in 0..self.surface.faces.len() {
            let shell = self.topology.shell[face];
            if shell != NO_SHELL {
                let area = self.surface.face_area_m2(face);
                sky[shell as usize] += area * self.samples.at(face).lean();
            }
        }
        let turn: Vec<bool> = self
            .pairing
            .shells
            .iter()
            .zip(&sky)
            .map(|(&[asked, paired, behind], sky)| {
                if paired as f64 > PAIRED_SHARE * asked as f64 {
                    2 * behind < paired
                } else {
                    *sky < 0.0
                }
            })
            .collect();
        if !turn.contains(&true) {
            return;
        }
        for (face, shell) in self.surface.faces.iter_mut().zip(&self.topology.shell) {
            if turn.get(*shell as usize).copied().unwrap_or(false) {
                face.swap(1, 2);
            }
        }
        let seen = |old: &Samples, face: usize, same: bool| {
            let sample = old.at(face);
            if same {
                (sample.front, sample.back)
            } else {
                (sample.back, sample.front)
            }
        };
        self.topology = Topology::of(&self.surface);
        let old = std::mem::replace(&mut self.samples, Samples::of(&self.surface, self.cell_m));
        for face in 0..self.surface.faces.len() {
            let number = self.samples.of_face[face] as usize;
            let same = old.at(face).normal.dot(&self.samples.list[number].normal) > 0.0;
            let (front, back) = seen(&old, face, same);
            (
                self.samples.list[number].front,
                self.samples.list[number].back,
            ) = (front, back);
        }
    }

    /// Which faces are outer, by the cheapest cut between samples.
    fn cut(&self) -> Vec<bool> {
        let (piece_of, pieces) = self.pieces();
        let mut leaning = vec![0.0; pieces];
        for (face, piece) in piece_of.iter().enumerate() {
            let area = self.surface.face_area_m2(face) / self.cell_m.powi(2);
            leaning[*piece as usize] += area * self.samples.at(face).lean();
        }
        let mut edges: Vec<(u32, u32, f64)> = Vec::new();
        self.each_edge(|face, other, length| {
            let (a, b) = (piece_of[face], piece_of[other]);
            if a != b {
                let cosine = self
                    .samples
                    .at(face)
                    .normal
                    .dot(&self.samples.at(other).normal);
                let bend = cosine.clamp(-1.0, 1.0).acos().to_degrees() / SHARP_DEG;
                let cost = EDGE_COST * length / self.cell_m / (1.0 + bend * bend);
                edges.push((a.min(b), a.max(b), cost));
            }
        });
        edges.sort_unstable_by_key(|e| (e.0, e.1));
        let mut merged: Vec<(u32, u32, f64)> = Vec::with_capacity(edges.len());
        for edge in edges {
            match merged.last_mut() {
                Some(last) if (last.0, last.1) == (edge.0, edge.1) => last.2 += edge.2,
                _ => merged.push(edge),
            }
        }
        let with_sky = min_cut::with_source(&leaning, &merged);
        let mut outer: Vec<bool> = piece_of.iter().map(|p| with_sky[*p as usize]).collect();
        self.settle_pieces(&mut outer);
        outer
    }

    /// Calls for each edge between two faces: the faces and its length, m.
    fn each_edge(&self, mut visit: impl FnMut(usize, usize, f64)) {
        for (h, mate) in self.topology.mate.iter().enumerate() {
            if *mate < IGNORED && h < *mate as usize {
                let (a, b) = ends(&self.surface.faces, id(h));
                let length = self.surface.vertices[a as usize] - self.surface.vertices[b as usize];
                visit(h / 3, (*mate / 3) as usize, length.norm());
            }
        }
    }

    /// Connected faces of one sample.
    fn pieces(&self) -> (Vec<u32>, usize) {
        self.parts(|a, b| self.samples.of_face[a] == self.samples.of_face[b])
    }

    /// Numbers the faces by what hangs together.
    fn parts(&self, together: impl Fn(usize, usize) -> bool) -> (Vec<u32>, usize) {
        let count = self.surface.faces.len();
        let mut part = vec![u32::MAX; count];
        let mut parts = 0;
        let mut front = Vec::new();
        for seed in 0..count {
            if part[seed] != u32::MAX {
                continue;
            }
            part[seed] = id(parts);
            front.push(seed);
            while let Some(face) = front.pop() {
                for h in 3 * face..3 * face + 3 {
                    let mate = self.topology.mate[h];
                    if mate >= IGNORED {
                        continue;
                    }
                    let other = (mate / 3) as usize;
                    if part[other] == u32::MAX && together(face, other) {
                        part[other] = id(parts);
                        front.push(other);
                    }
                }
            }
            parts += 1;
        }
        (part, parts)
    }

    /// Turns over islands, and pieces that belong with their neighbours.
    fn settle_pieces(&self, outer: &mut [bool]) {
        for _ in 0..2 {
            let (part, parts) = self.parts(|a, b| outer[a] == outer[b]);
            let mut sums = vec![Part::default(); parts];
            let mut outer_m2 = 0.0;
            for (face, (kept, part)) in outer.iter().zip(&part).enumerate() {
                let area = self.surface.face_area_m2(face);
                let sample = self.samples.at(face);
                let sum = &mut sums[*part as usize];
                sum.outer = *kept;
                sum.area_m2 += area;
                sum.lean += area * sample.lean();
                sum.front += area * sample.front;
                if *kept {
                    outer_m2 += area;
                }
            }
            self.each_edge(|face, other, _| {
                let (a, b) = (part[face], part[other]);
                if a != b {
                    sums[a as usize].attached = true;
                    sums[b as usize].attached = true;
                }
            });
            let largest = sums
                .iter()
                .filter(|s| s.outer)
                .map(|s| s.area_m2)
                .fold(0.0, f64::max);
            let island_m2 = (ISLAND_CELLS * self.cell_m).powi(2);
            let flips: Vec<bool> = sums
                .iter()
                .map(|sum| {
                    if sum.attached {
                        let joins = !sum.outer
                            && sum.area_m2 < ATTACHED_SHARE * outer_m2
                            && sum.lean > -OUTER_LEAN * sum.area_m2;
                        sum.area_m2 < island_m2 || joins
                    } else {
                        sum.outer
                            && sum.area_m2 < largest
                            && (sum.lean < OUTER_LEAN * sum.area_m2
                                || sum.front < OUTER_FRONT * sum.area_m2)
                    }
                })
                .collect();
            for (kept, part) in outer.iter_mut().zip(&part) {
                *kept ^= flips[*part as usize];
            }
        }
    }

    /// Half-edges of outer faces whose other side is none or an inner face.
    fn boundary(&self, outer: &[bool]) -> Vec<u32> {
        (0..self.topology.mate.len())
            .filter(|h| outer[h / 3])
            .filter(|h| {
                let mate = self.topology.mate[*h];
                mate >= IGNORED || !outer[(mate / 3) as usize]
            })
            .map(id)
            .collect()
    }

    /// The rims of the outer faces, each as a smooth curve.
    fn rims(&self, outer: &[bool]) -> Vec<Rim> {
        let edges = self
            .boundary(outer)
            .into_iter()
            .map(|h| {
                let (a, b) = ends(&self.surface.faces, h);
                (a, b, h)
            })
            .collect();
        let nearby = Vertices::of(&self.surface, self.edge_m);
        let mut rims: Vec<Rim> = trace(edges)
            .rings
            .iter()
            .filter_map(|ring| {
                let points: Vec<Vec3> = ring
                    .vertices
                    .iter()
                    .map(|v| self.surface.vertices[*v as usize])
                    .collect();
                let torn = ring
                    .half_edges
                    .iter()
                    .filter(|h| self.topology.mate[**h as usize] >= IGNORED);
                let torn_share = torn.count() as f64 / ring.half_edges.len() as f64;
                Rim::fit(&points, torn_share, &nearby)
            })
            .filter(|rim| rim.length_m > LEAST_ROUND_M)
            .collect();
        rims.sort_by(|a, b| b.length_m.total_cmp(&a.length_m));
        rims
    }

    /// Moves the border of the outer faces onto the rims: a cut whose edges cost
    /// nothing but their distance from the rim.
    fn cut_along(&self, rims: &[Rim], outer: &mut [bool]) {
        let near = Curves::of(rims.iter().filter(|rim| !rim.is_torn));
        let mesh = (&self.surface, &self.topology);
        cut_in_band(mesh, &near, self.edge_m, outer, |_| false);
        self.settle_pieces(outer);
    }

    fn finish(mut self, outer: &[bool], rims: Vec<Rim>, first: &[Rim]) -> OuterSkin {
        let mut dropped_m2 = 0.0;
        let mut dropped_at = Vec3::zeros();
        let (mut in_sight, mut in_the_dark, mut kept_m2) = (0.0, 0.0, 0.0);
        for (face, kept) in outer.iter().enumerate() {
            let area = self.surface.face_area_m2(face);
            let sample = self.samples.at(face);
            if *kept {
                kept_m2 += area;
                in_the_dark += if sample.front < 0.03 { area } else { 0.0 };
            } else {
                dropped_m2 += area;
                dropped_at += self.samples.at(face).place * area;
                in_sight += if sample.lean() > OUTER_LEAN {
                    area
                } else {
                    0.0
                };
            }
        }
        let near = Curves::of(rims.iter().filter(|rim| !rim.is_torn));
        let mut flags = outer.iter();
        self.surface
            .faces
            .retain(|_| flags.next().copied().unwrap_or(true));
        self.surface.drop_unused_vertices();
        rim::draw_onto(&mut self.surface, &near, DRAWN_EDGES * self.edge_m);
        OuterSkin {
            surface: self.surface,
            dropped_m2,
            dropped_at: dropped_at / dropped_m2.max(f64::MIN_POSITIVE),
            thickness_m: self.pairing.thickness_m,
            shifted_m: farthest_apart(first, &rims),
            rims,
            dropped_in_sight: in_sight / dropped_m2.max(f64::MIN_POSITIVE),
            kept_in_the_dark: in_the_dark / kept_m2.max(f64::MIN_POSITIVE),
        }
    }
}

#[derive(Debug, Clone, Copy, Default)]
struct Part {
    outer: bool,
    attached: bool,
    area_m2: f64,
    lean: f64,
    front: f64,
}

/// Triangles that close a row of points.
pub(super) fn film_over(points: &[Vec3]) -> Vec<[Vec3; 3]> {
    let mut surface = Surface {
        vertices: points.to_vec(),
        faces: Vec::new(),
    };
    surface.faces = triangulate_ring(points, |_, _| false).0;
    (0..surface.faces.len())
        .map(|f| surface.corners(f))
        .collect()
}
