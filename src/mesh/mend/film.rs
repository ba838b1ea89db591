//! A hole in a smooth skin filled as fair as the skin round it.
use std::collections::HashMap;

use super::super::cap::{ring_area, triangulate_ring};
use super::super::doubt::id;
use super::super::ring::evenly_stepped;
use super::super::surface::Surface;
use super::floor::Floor;
use crate::numerics::Vec3;

/// Cells along the shorter side of the hole's plan, and their least size, m.
const CELLS_ACROSS: f64 = 32.0;
const LEAST_CELL_M: f64 = 0.01;
/// Skin that looks the way of the hole within 60° (cosine) is skin round it.
const ALIKE: f64 = 0.5;
/// Skin round the hole that the film follows, in cells.
const ROUND_CELLS: f64 = 8.0;
/// Cells at most: a plan of this many takes a second.
const MOST_CELLS: usize = 40_000;
/// Pull of the film against its bending, a cell: without, it runs on from the turn
/// of a bilge and bulges; with much, it hangs flat. Over a third of the hole's
/// breadth the two are alike.
const TENSION: f64 = 0.0075;
/// The pull of films between which what is hidden is taken to lie: nearly free of it,
/// and nearly flat.
const TENSIONS_DOUBTED: [f64; 2] = [5e-4, 0.125];
/// The pull over a floor, which bounds the bulge.
const FLOOR_TENSION: f64 = 5e-4;
/// Stiffness of the springs that hold the plate to the skin and to the floor, by its own.
const HELD: f64 = 1.0;
const STIFF: f64 = 30.0;
/// A hull touches the floor in one cell of so many at least: a single one may be noise at the
/// edge.
const TOUCHES: usize = 100;
/// Rounds of finding which cells lie on the floor.
const CONTACT_ROUNDS: usize = 30;
/// A sharp bottom holds less than a round one by this share of what hangs under the edge of
/// what the floor hid: half of its depth against two thirds.
const SHARPER: f64 = 0.25;
/// What is so near to the floor lies on it, m.
const LIES_M: f64 = 1e-4;
/// Rounds of easing the ring's edge, more where it still crosses itself.
const EASING: [usize; 3] = [6, 20, 60];
/// Steps of conjugate gradients at most, and how far the residual must fall.
const STEPS: usize = 6000;
const FALLEN: f64 = 1e-10;

/// A film: new places of the ring's corners, further corners, and triangles.
pub(super) struct Film {
    pub(super) ring: Vec<Vec3>,
    pub(super) inner: Vec<Vec3>,
    pub(super) faces: Vec<[u32; 3]>,
    /// How much the volume under it may be off, ± m³: by what films with much less pull and
    /// much more hold.
    pub(super) volume_error_m3: f64,
}

/// Closes a ring of vertices, whose faces lie to its left, by a thin plate that
/// runs on smoothly from the skin round it; `None` where that skin is no height
/// over the ring's plane, or the ring crosses itself. Its ragged edge is eased
/// along the plate, so that it can be closed at all.
///
/// Over a floor that hid it, the plate lies nowhere under the floor and touches it, since a
/// hull touches what it stands on.
pub(super) fn fair(surface: &Surface, ring: &[u32], floor: Option<&Floor>) -> Option<Film> {
    let mut points: Vec<Vec3> = ring.iter().map(|v| surface.vertices[*v as usize]).collect();
    let plate = Plate::over(surface, &points, floor)?;
    let count = id(points.len());
    let mut closed = None;
    for rounds in EASING {
        points = eased(points, rounds);
        for p in &mut points {
            *p = plate.lifted(p);
        }
        let (triangles, trusted) = triangulate_ring(&points, |_, _| false);
        if trusted {
            closed = Some(triangles);
            break;
        }
    }
    let triangles = closed?;
    // The ring runs along the skin's own edges: the film runs the other way.
    let turned = triangles.into_iter().map(|[a, b, c]| [a, c, b]).collect();
    let mut film = Surface {
        vertices: points.clone(),
        faces: turned,
    };
    refine(&mut film, 1.5 * plate.cell_m);
    let inner: Vec<Vec3> = film.vertices[count as usize..]
        .iter()
        .map(|p| plate.lifted(p))
        .collect();
    // One that does not settle tells nothing of the doubt. The loosest lies on a floor that
    // is lower by what went with it.
    let lower_m = floor.map_or(0.0, |floor| floor.reach_m);
    let others = TENSIONS_DOUBTED.iter().zip([lower_m, 0.0]);
    let others = others.filter_map(|(tension, lower_m)| {
        let ground = plate.floor.as_ref().map(|ground| ground.lower(lower_m));
        plate.bent(*tension, ground.as_ref())
    });
    let apart = others.map(|height| {
        let other = Plate {
            height,
            ..plate.clone()
        };
        plate.volume_to(&other, &film).abs()
    });
    let mut volume_error_m3 = apart.reduce(f64::hypot)?;
    if let Some(ground) = &plate.floor {
        let hanging_m3 = plate.hanging_m3(&film, points.len(), ground);
        volume_error_m3 = volume_error_m3.hypot(SHARPER * hanging_m3.abs());
    }
    let shift = id(surface.vertices.len()) - count;
    let numbered = film.faces.iter().map(|face| {
        face.map(|v| {
            if v < count {
                ring[v as usize]
            } else {
                v + shift
            }
        })
    });
    Some(Film {
        faces: numbered.collect(),
        ring: points,
        inner,
        volume_error_m3,
    })
}

/// Corners drawn toward the middle of their neighbours, so many times.
fn eased(mut points: Vec<Vec3>, rounds: usize) -> Vec<Vec3> {
    let count = points.len();
    for _ in 0..rounds {
        points = (0..count)
            .map(|k| {
                let beside = points[(k + count - 1) % count] + points[(k + 1) % count];
                points[k] / 2.0 + beside / 4.0
            })
            .collect();
    }
    points
}

/// Splits inner edges longer than this, the longest first, m.
fn refine(film: &mut Surface, longest_m: f64) {
    for _ in 0..40 {
        let mut sides: HashMap<(u32, u32), Vec<usize>> = HashMap::new();
        for (face, &[a, b, c]) in film.faces.iter().enumerate() {
            for (a, b) in [(a, b), (b, c), (c, a)] {
                sides.entry((a.min(b), a.max(b))).or_default().push(face);
            }
        }
        let length =
            |(a, b): (u32, u32)| (film.vertices[a as usize] - film.vertices[b as usize]).norm();
        let mut long: Vec<(f64, (u32, u32))> = sides
            .iter()
            .filter(|(_, faces)| faces.len() == 2)
            .map(|(edge, _)| (length(*edge), *edge))
            .filter(|(length, _)| *length > longest_m)
            .collect();
        if long.is_empty() {
            return;
        }
        long.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let mut touched = vec![false; film.faces.len()];
        for (_, (a, b)) in long {
            let faces = &sides[&(a, b)];
            if faces.iter().any(|f| touched[*f]) {
                continue;
            }
            let middle = (film.vertices[a as usize] + film.vertices[b as usize]) / 2.0;
            let new = id(film.vertices.len());
            film.vertices.push(middle);
            for &face in faces {
                touched[face] = true;
                let with = |old: u32| film.faces[face].map(|v| if v == old { new } else { v });
                let (first, second) = (with(a), with(b));
                film.faces[face] = first;
                film.faces.push(second);
            }
        }
    }
}

/// Heights over a plane on a grid: those of the skin, and between them the
/// plate's.
#[derive(Clone)]
struct Plate {
    origin: Vec3,
    axes: [Vec3; 3],
    cell_m: f64,
    count: [usize; 2],
    /// Heights of the skin in its cells, where some was seen.
    known: Vec<Option<f64>>,
    /// The floor that hid the hole.
    floor: Option<Ground>,
    height: Vec<f64>,
}

/// A floor under a plate: its height in each cell, and which cells the ring bounds.
#[derive(Clone)]
struct Ground {
    on: Vec<f64>,
    within: Vec<bool>,
}

impl Ground {
    /// As high as a plate over it may be held, cell by cell.
    fn lower(&self, by_m: f64) -> Self {
        Self {
            on: self.on.iter().map(|on| on + by_m).collect(),
            within: self.within.clone(),
        }
    }
}

impl Plate {
    fn over(surface: &Surface, ring: &[Vec3], floor: Option<&Floor>) -> Option<Self> {
        let out = -ring_area(ring).try_normalize(0.0)?;
        let even = evenly_stepped(ring)?;
        let (_, [long, _, _]) = super::super::symmetry::principal_axes(&even);
        let u = (long - out * out.dot(&long)).try_normalize(0.0)?;
        let v = out.cross(&u);
        let origin = even[0];
        let flat = |p: &Vec3| {
            let d = p - origin;
            [d.dot(&u), d.dot(&v), d.dot(&out)]
        };
        let mut lo = [f64::INFINITY; 2];
        let mut hi = [f64::NEG_INFINITY; 2];
        for p in &even {
            let at = flat(p);
            for k in 0..2 {
                lo[k] = lo[k].min(at[k]);
                hi[k] = hi[k].max(at[k]);
            }
        }
        let sides = [hi[0] - lo[0], hi[1] - lo[1]];
        let mut cell_m = (sides[0].min(sides[1]) / CELLS_ACROSS).max(LEAST_CELL_M);
        cell_m = cell_m.max((sides[0] * sides[1] / MOST_CELLS as f64).sqrt());
        let margin = ROUND_CELLS * cell_m;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "bounded above"
        )]
        let count = [0, 1].map(|k| ((sides[k] + 2.0 * margin) / cell_m).ceil() as usize + 1);
        let origin = origin + u * (lo[0] - margin) + v * (lo[1] - margin);
        let mut plate = Self {
            origin,
            axes: [u, v, out],
            cell_m,
            count,
            known: Vec::new(),
            floor: None,
            height: Vec::new(),
        };
        plate.known = plate.seen(surface, ring)?;
        plate.floor = floor.and_then(|floor| plate.ground(ring, floor));
        let tension = if plate.floor.is_some() {
            FLOOR_TENSION
        } else {
            TENSION
        };
        plate.height = plate.bent(tension, plate.floor.as_ref())?;
        Some(plate)
    }

    /// A floor under the cells, and those that a ring bounds in plan and none of whose skin
    /// was seen; `None` where the ring does not look at the floor.
    fn ground(&self, ring: &[Vec3], floor: &Floor) -> Option<Ground> {
        let toward = -floor.normal.dot(&self.axes[2]);
        if toward < ALIKE {
            return None;
        }
        let flat: Vec<[f64; 3]> = ring.iter().map(|p| self.flat(p)).collect();
        let [nx, ny] = self.count;
        let mut ground = Ground {
            on: Vec::with_capacity(nx * ny),
            within: Vec::with_capacity(nx * ny),
        };
        for j in 0..ny {
            // Where the ring crosses this row of cells.
            let row = j as f64;
            let next = flat.iter().cycle().skip(1);
            let mut crossings: Vec<f64> = flat
                .iter()
                .zip(next)
                .filter(|(a, b)| (a[1] <= row) != (b[1] <= row))
                .map(|(a, b)| a[0] + (b[0] - a[0]) * (row - a[1]) / (b[1] - a[1]))
                .collect();
            crossings.sort_by(f64::total_cmp);
            for i in 0..nx {
                let across = self.axes[0] * i as f64 + self.axes[1] * row;
                let place = self.origin + across * self.cell_m;
                ground.on.push(floor.over_m(&place) / toward);
                let left = crossings.partition_point(|at| *at < i as f64);
                let is_seen = self.known[j * nx + i].is_some();
                ground.within.push(left % 2 == 1 && !is_seen);
            }
        }
        Some(ground)
    }

    /// The heights of the plate at a pull, over a floor where one is given.
    ///
    /// Where it would pass the floor it is held there, cell by cell until these are all
    /// (Newton's steps on a one-sided spring); where it would not touch it, it is weighed
    /// down evenly until it does.
    fn bent(&self, tension: f64, floor: Option<&Ground>) -> Option<Vec<f64>> {
        let seen = |known: &Option<f64>| known.map_or((0.0, 0.0), |at| (HELD, at));
        let springs: Vec<(f64, f64)> = self.known.iter().map(seen).collect();
        let unloaded = vec![0.0; springs.len()];
        let ease = |springs: &[(f64, f64)], load: &[f64], begin: Vec<f64>| {
            plate_through(springs, load, (self.count, tension), begin)
        };
        let begin = springs.iter().map(|spring| spring.1).collect();
        let mut height = ease(&springs, &unloaded, begin)?;
        let Some(floor) = floor else {
            return Some(height);
        };
        // How much more of an even weight brings each cell to the floor, the first first.
        let weight: Vec<f64> = floor.within.iter().map(|w| f64::from(*w)).collect();
        let free: Vec<(f64, f64)> = springs.iter().map(|spring| (spring.0, 0.0)).collect();
        let sinks = ease(&free, &weight, unloaded.clone())?;
        let cells = height.iter().zip(&floor.on).zip(&sinks).zip(&floor.within);
        let mut shares: Vec<f64> = cells
            .filter(|((_, sinks), within)| **within && **sinks > 0.0)
            .map(|(((at, on), sinks), _)| (on - at) / sinks)
            .collect();
        shares.sort_by(f64::total_cmp);
        let share = shares.get(shares.len() / TOUCHES)?.max(0.0);
        let load: Vec<f64> = weight.iter().map(|weight| share * weight).collect();
        for (at, sinks) in height.iter_mut().zip(&sinks) {
            *at += share * sinks;
        }
        let mut held: Vec<bool> = vec![false; springs.len()];
        for _ in 0..CONTACT_ROUNDS {
            let cells = height.iter().zip(&floor.on).zip(&self.known);
            let past: Vec<bool> = cells
                .map(|((at, on), known)| at > on && known.is_none())
                .collect();
            if past == held {
                break;
            }
            held = past;
            let cells = springs.iter().zip(&floor.on).zip(&held);
            let with_floor: Vec<(f64, f64)> = cells
                .map(|((spring, on), held)| if *held { (STIFF, *on) } else { *spring })
                .collect();
            height = ease(&with_floor, &load, height)?;
        }
        for (at, on) in height.iter_mut().zip(&floor.on) {
            *at = at.min(*on);
        }
        Some(height)
    }

    /// Coordinates in cells, and the height, m.
    fn flat(&self, p: &Vec3) -> [f64; 3] {
        let d = p - self.origin;
        [
            d.dot(&self.axes[0]) / self.cell_m,
            d.dot(&self.axes[1]) / self.cell_m,
            d.dot(&self.axes[2]),
        ]
    }

    /// The heights of the skin within the margin; `None` where that is too little to lay a
    /// plate between.
    fn seen(&self, surface: &Surface, ring: &[Vec3]) -> Option<Vec<Option<f64>>> {
        let cells = self.count[0] * self.count[1];
        let (mut sum, mut weight) = (vec![0.0; cells], vec![0.0; cells]);
        let reach = ring
            .iter()
            .map(|p| self.flat(p)[2].abs())
            .fold(0.0, f64::max)
            + 2.0 * ROUND_CELLS * self.cell_m;
        for face in 0..surface.faces.len() {
            let normal = surface.face_normal(face);
            if normal.dot(&self.axes[2]) < ALIKE * normal.norm() {
                continue;
            }
            let [a, b, c] = surface.corners(face);
            for p in [a, b, c, (a + b + c) / 3.0] {
                let [i, j, h] = self.flat(&p);
                let (i, j) = (i.round(), j.round());
                if h.abs() > reach || i < 0.0 || j < 0.0 {
                    continue;
                }
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "not below zero"
                )]
                let (i, j) = (i as usize, j as usize);
                if i < self.count[0] && j < self.count[1] {
                    let cell = j * self.count[0] + i;
                    sum[cell] += h;
                    weight[cell] += 1.0;
                }
            }
        }
        let known: Vec<Option<f64>> = (0..cells)
            .map(|k| (weight[k] > 0.0).then(|| sum[k] / weight[k]))
            .collect();
        let share = known.iter().flatten().count() as f64 / cells as f64;
        (share >= 0.1).then_some(known)
    }

    /// Volume between two plates over the same grid, within a film, m³.
    fn volume_to(&self, other: &Self, film: &Surface) -> f64 {
        let faces = 0..film.faces.len();
        let slices = faces.map(|face| {
            let apart = film.corners(face).map(|p| {
                let between = other.lifted(&p) - self.lifted(&p);
                between.dot(&self.axes[2])
            });
            film.face_normal(face).dot(&self.axes[2]) / 2.0 * apart.iter().sum::<f64>() / 3.0
        });
        slices.sum()
    }

    /// Volume that hangs between a film and the mean height of its ring, its first corners,
    /// m³, but for the share of it that lies on the floor.
    fn hanging_m3(&self, film: &Surface, ring: usize, ground: &Ground) -> f64 {
        let height = |p: &Vec3| self.flat(&self.lifted(p))[2];
        let mean = film.vertices[..ring].iter().map(height).sum::<f64>() / ring as f64;
        let faces = 0..film.faces.len();
        let slices = faces.map(|face| {
            let over = film.corners(face).map(|p| height(&p) - mean);
            film.face_normal(face).dot(&self.axes[2]) / 2.0 * over.iter().sum::<f64>() / 3.0
        });
        let within = ground.within.iter().filter(|within| **within).count();
        let cells = self.height.iter().zip(&ground.on).zip(&ground.within);
        let lies = cells.filter(|((at, on), within)| **within && **at >= **on - LIES_M);
        let share = lies.count() as f64 / within.max(1) as f64;
        (1.0 - share) * slices.sum::<f64>()
    }

    /// A point of the film at the plate's height.
    fn lifted(&self, p: &Vec3) -> Vec3 {
        let [i, j, h] = self.flat(p);
        let most = [0, 1].map(|k| (self.count[k] - 2) as f64);
        let (i, j) = (i.clamp(0.0, most[0]), j.clamp(0.0, most[1]));
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped"
        )]
        let (a, b) = (i as usize, j as usize);
        let (s, t) = (i - a as f64, j - b as f64);
        let at = |di: usize, dj: usize| self.height[(b + dj) * self.count[0] + a + di];
        let height = at(0, 0) * (1.0 - s) * (1.0 - t)
            + at(1, 0) * s * (1.0 - t)
            + at(0, 1) * (1.0 - s) * t
            + at(1, 1) * s * t;
        p + self.axes[2] * (height - h)
    }
}

/// The heights of least bending where each cell is held to a height by a spring (its
/// stiffness and that height) and weighed down by a load: conjugate gradients on the second
/// differences, from heights to begin with. `None` when it does not settle.
fn plate_through(
    springs: &[(f64, f64)],
    load: &[f64],
    (count, tension): ([usize; 2], f64),
    begin: Vec<f64>,
) -> Option<Vec<f64>> {
    let [nx, ny] = count;
    let bend = |x: &[f64], y: &mut Vec<f64>| {
        y.clear();
        y.extend(x.iter().zip(springs).map(|(x, spring)| spring.0 * x));
        let mut pull = |a: usize, b: usize| {
            let d = tension * (x[b] - x[a]);
            y[b] += d;
            y[a] -= d;
        };
        for j in 0..ny {
            for i in 0..nx {
                let k = j * nx + i;
                if i + 1 < nx {
                    pull(k, k + 1);
                }
                if j + 1 < ny {
                    pull(k, k + nx);
                }
            }
        }
        let mut second = |a: usize, b: usize, c: usize| {
            let d = x[a] - 2.0 * x[b] + x[c];
            y[a] += d;
            y[b] -= 2.0 * d;
            y[c] += d;
        };
        for j in 0..ny {
            for i in 1..nx - 1 {
                let k = j * nx + i;
                second(k - 1, k, k + 1);
            }
        }
        for j in 1..ny - 1 {
            for i in 0..nx {
                let k = j * nx + i;
                second(k - nx, k, k + nx);
            }
        }
        for j in 0..ny - 1 {
            for i in 0..nx - 1 {
                let k = j * nx + i;
                let d = x[k] - x[k + 1] - x[k + nx] + x[k + nx + 1];
                // Twice: the mixed term of a plate's bending.
                y[k] += 2.0 * d;
                y[k + 1] -= 2.0 * d;
                y[k + nx] -= 2.0 * d;
                y[k + nx + 1] += 2.0 * d;
            }
        }
    };
    let mut x = begin;
    let loaded = springs.iter().zip(load);
    let right: Vec<f64> = loaded
        .map(|((stiff, at), load)| stiff * at + load)
        .collect();
    let mut y = Vec::new();
    bend(&x, &mut y);
    let mut r: Vec<f64> = right.iter().zip(&y).map(|(b, y)| b - y).collect();
    let mut p = r.clone();
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let mut rr = dot(&r, &r);
    let whole = dot(&right, &right);
    let wanted = FALLEN * whole;
    for _ in 0..STEPS {
        if rr <= wanted || rr == 0.0 {
            return Some(x);
        }
        bend(&p, &mut y);
        let step = rr / dot(&p, &y);
        for (x, p) in x.iter_mut().zip(&p) {
            *x += step * p;
        }
        for (r, y) in r.iter_mut().zip(&y) {
            *r -= step * y;
        }
        let next = dot(&r, &r);
        let share = next / rr;
        rr = next;
        for (p, r) in p.iter_mut().zip(&r) {
            *p = r + share * *p;
        }
    }
    (rr < 1e-4 * wanted / FALLEN).then_some(x)
}

#[cfg(test)]
mod tests {
    use super::super::super::check::examine;
    use super::*;
    use crate::mesh::solids;

    /// A hole of radius a in a ball of radius 1: a straight cap lies
    /// 1 − √(1 − a²) too low in its middle.
    #[test]
    fn a_film_over_a_hole_in_a_ball_is_nearer_to_it_than_a_straight_cap() {
        let mut ball = solids::icosphere(Vec3::zeros(), 1.0, 5);
        let vertices = ball.vertices.clone();
        let top = Vec3::new(0.3, 0.4, 0.86).normalize();
        let radius = 0.3;
        ball.faces.retain(|face| {
            face.iter().any(|v| {
                vertices[*v as usize].cross(&top).norm() > radius
                    || vertices[*v as usize].dot(&top) < 0.0
            })
        });
        let ring = examine(&ball).loops[0].vertices.clone();
        let film = fair(&ball, &ring, None).expect("a height over its plane");
        let sag = 1.0 - (1.0 - radius * radius).sqrt();
        for p in &film.inner {
            assert!((p.norm() - 1.0).abs() < sag / 2.0, "{}", p.norm());
        }
        for (v, place) in ring.iter().zip(&film.ring) {
            ball.vertices[*v as usize] = *place;
        }
        ball.vertices.extend(film.inner);
        ball.faces.extend(film.faces);
        assert!(ball.is_balanced());
        // 4π/3 less what the ball's own facets cut off.
        let whole = solids::icosphere(Vec3::zeros(), 1.0, 5).signed_volume_m3();
        assert!((ball.signed_volume_m3() / whole - 1.0).abs() < 1e-3);
    }

    /// Heights over the floor at a place, m: a bottom flat from side to side and turned up in
    /// a bilge, a round one and a V, each with a keel of some rocker or none.
    fn bottoms() -> Vec<(&'static str, fn(f64, f64) -> f64)> {
        fn bilge(y: f64) -> f64 {
            let past = (y.abs() - 0.15).max(0.0);
            0.3 - (0.3_f64.powi(2) - past.powi(2)).sqrt()
        }
        vec![
            ("flat", |x, y| {
                bilge(y) + 0.3 * (x.abs() - 1.2).max(0.0).powi(2)
            }),
            ("flat, rocker", |x, y| bilge(y) + 0.01 * x * x),
            ("round", |x, y| 0.9 * y * y + 0.012 * x * x),
            ("round, little rocker", |x, y| 0.5 * y * y + 0.005 * x * x),
            ("V", |x, y| 0.2 * y.abs() + 0.01 * x * x),
            ("V, no rocker", |x, y| {
                0.12 * y.abs() + 0.2 * (x.abs() - 1.2).max(0.0).powi(2)
            }),
        ]
    }

    /// What of a bottom lies under a height hidden by a floor, and noise on the rest: how much
    /// too little or too much the film holds, as a mean height over what was hidden, mm, and
    /// its ± likewise.
    fn off_mm(bottom: fn(f64, f64) -> f64, hidden_m: f64, noise_m: f64, on: bool) -> [f64; 2] {
        const STEP_M: f64 = 0.012;
        let mut random = fastrand::Rng::with_seed(3);
        let mut normal = || (0..12).map(|_| random.f64()).sum::<f64>() - 6.0;
        let (columns, rows) = (250_u32, 68_u32);
        let mut surface = Surface::default();
        let mut high = Vec::new();
        for i in 0..columns {
            for j in 0..rows {
                let x = (f64::from(i) - f64::from(columns - 1) / 2.0) * STEP_M;
                let y = (f64::from(j) - f64::from(rows - 1) / 2.0) * STEP_M;
                let z = bottom(x, y);
                high.push(z > hidden_m);
                let place = Vec3::new(x, y, z);
                let noise = Vec3::new(normal(), normal(), normal()) * noise_m;
                surface.vertices.push(place + noise);
            }
        }
        for i in 1..columns {
            for j in 1..rows {
                let at = |i: u32, j: u32| i * rows + j;
                let [a, b, c, d] = [at(i - 1, j - 1), at(i, j - 1), at(i, j), at(i - 1, j)];
                for face in [[a, c, b], [a, d, c]] {
                    if face.iter().all(|v| high[*v as usize]) {
                        surface.faces.push(face);
                    }
                }
            }
        }
        let loops = examine(&surface).loops;
        let hole = loops
            .iter()
            .filter(|ring| {
                let corners = ring.vertices.iter();
                let mut places = corners.map(|v| surface.vertices[*v as usize]);
                places.all(|p| p.x.abs() < 1.47)
            })
            .max_by(|a, b| a.area_m2.total_cmp(&b.area_m2));
        let ring = hole.expect("a hole").vertices.clone();
        let floor = Floor {
            normal: Vec3::z(),
            offset_m: 0.0,
            reach_m: 0.0015,
        };
        let film = fair(&surface, &ring, on.then_some(&floor)).expect("a film");
        let mut places = film.ring.clone();
        places.extend(&film.inner);
        let count = id(film.ring.len());
        let shift = id(surface.vertices.len()) - count;
        let number = |v: u32| {
            let on_ring = ring.iter().position(|r| *r == v);
            on_ring.unwrap_or_else(|| (v - shift) as usize)
        };
        let (mut volume, mut area) = (0.0, 0.0);
        for face in &film.faces {
            let [a, b, c] = face.map(|v| places[number(v)]);
            let plan = ((b - a).cross(&(c - a))).z.abs() / 2.0;
            let under: f64 = [a, b, c].iter().map(|p| bottom(p.x, p.y) - p.z).sum();
            volume += plan * under / 3.0;
            area += plan;
        }
        [1e3 * volume / area, 1e3 * film.volume_error_m3 / area]
    }

    /// Without the floor the same films lie up to 12 mm off.
    #[test]
    fn what_a_floor_hid_goes_down_to_the_floor() {
        for (name, bottom) in bottoms() {
            for (hidden_m, noise_m) in [(0.004, 0.0008), (0.008, 0.0008), (0.008, 0.002)] {
                let [off, error] = off_mm(bottom, hidden_m, noise_m, true);
                let told = format!(
                    "{name}, {hidden_m} hidden, noise {noise_m}: {off:+.2} ± {error:.2} mm"
                );
                eprintln!("{told}");
                assert!(off.abs() < error.min(0.2e3 * hidden_m), "{told}");
            }
        }
        let (_, flat) = bottoms()[0];
        let [free, _] = off_mm(flat, 0.008, 0.0008, false);
        assert!(free.abs() > 5.0, "{free}");
    }
}
