//! A thin plate over a grid, held by springs to the skin round a hole and, where a floor hid
//! it, by that floor.
use super::super::cap::ring_area;
use super::super::ring::evenly_stepped;
use super::super::surface::Surface;
use super::super::symmetry::principal_axes;
use super::averaged::averaged;
use super::banded::{Banded, Factor};
use super::floor::Floor;
use crate::numerics::{Vec3, least_and_most};

/// Least size of a cell, m.
const LEAST_CELL_M: f64 = 0.01;
/// Skin that looks the way of the hole within 60° (cosine) is skin round it.
const ALIKE: f64 = 0.5;
/// Cells at most: a plan of this many takes a second.
const MOST_CELLS: usize = 40_000;
/// How a film is laid.
#[derive(Debug, Clone, Copy)]
pub(super) struct Laying {
    /// Cells along the shorter side of the hole's plan.
    across: f64,
    /// Skin round the hole that it follows, in cells.
    round: f64,
    /// Pull of the film against its bending, a cell: without, it runs on from the turn of a
    /// bilge and bulges; with much, it hangs flat.
    tension: f64,
    /// The pull of films between which what is hidden is taken to lie: nearly free of it,
    /// and nearly flat.
    pub(super) doubted: [f64; 2],
    /// Stiffness of the springs that hold it to the skin, by its own.
    held: f64,
    on_floor: bool,
}

/// Where nothing bounds it: over a third of the hole's breadth pull and bending are alike.
const FREE: Laying = Laying {
    across: 16.0,
    round: 4.0,
    tension: 0.03,
    doubted: [0.002, 0.5],
    held: 0.3,
    on_floor: false,
};
/// Over a floor, which bounds the bulge: finer, nearer to the skin, and nearly free of pull.
const ON_FLOOR: Laying = Laying {
    across: 32.0,
    round: 8.0,
    tension: 5e-4,
    doubted: [5e-4, 0.125],
    held: 1.0,
    on_floor: true,
};
/// Cells of skin that a plate over a floor begins from, at least.
const BEGINS_CELLS: f64 = 8.0;
/// Stiffness of the springs that hold it to the floor, by its own.
const STIFF: f64 = 30.0;
/// A hull touches the floor in one cell of so many at least: a single one may be noise at the
/// edge.
const TOUCHES: usize = 100;
/// Rounds of finding which cells lie on the floor.
const CONTACT_ROUNDS: usize = 30;
/// What is so near to the floor lies on it, m.
const LIES_M: f64 = 1e-4;

/// Heights over a plane on a grid: those of the skin, and between them the
/// plate's.
#[derive(Clone)]
pub(super) struct Plate {
    origin: Vec3,
    axes: [Vec3; 3],
    pub(super) cell_m: f64,
    count: [usize; 2],
    /// How much longer the skin is along the hole than across it.
    slender: f64,
    pub(super) laying: Laying,
    /// Heights of the skin in its cells, where some was seen.
    known: Vec<Option<f64>>,
    /// The floor that hid the hole.
    pub(super) floor: Option<Ground>,
    height: Vec<f64>,
}

/// A floor under a plate: its height in each cell, and which cells the ring bounds.
#[derive(Clone)]
pub(super) struct Ground {
    on: Vec<f64>,
    within: Vec<bool>,
    /// How far over it the ring lies at most, m: what a floor hid lies no higher.
    most_m: f64,
}

impl Ground {
    /// As high as a plate over it may be held, cell by cell.
    pub(super) fn lower(&self, by_m: f64) -> Self {
        Self {
            on: self.on.iter().map(|on| on + by_m).collect(),
            within: self.within.clone(),
            most_m: self.most_m + by_m,
        }
    }

    /// Heights of a plate between it and as high as what it hid may lie.
    fn bounded(&self, height: &mut [f64]) {
        let cells = height.iter_mut().zip(&self.on).zip(&self.within);
        for ((at, on), within) in cells {
            *at = at.min(*on);
            if *within {
                *at = at.max(on - self.most_m);
            }
        }
    }
}

impl Plate {
    pub(super) fn over(surface: &Surface, ring: &[Vec3], floor: Option<&Floor>) -> Option<Self> {
        let out = -ring_area(ring).try_normalize(0.0)?;
        // A ring that does not look at the floor was not hidden by it.
        let floor = floor.filter(|floor| -floor.normal.dot(&out) > ALIKE);
        let laying = if floor.is_some() { ON_FLOOR } else { FREE };
        let even = evenly_stepped(ring)?;
        let (_, [long, _, _]) = principal_axes(&even);
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
        let mut cell_m = (sides[0].min(sides[1]) / laying.across).max(LEAST_CELL_M);
        cell_m = cell_m.max((sides[0] * sides[1] / MOST_CELLS as f64).sqrt());
        let margin = laying.round * cell_m;
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
            slender: if laying.on_floor {
                slender(surface, &u, &v)
            } else {
                1.0
            },
            laying,
            known: Vec::new(),
            floor: None,
            height: Vec::new(),
        };
        plate.known = plate.seen(surface, ring)?;
        plate.floor = floor.map(|floor| plate.ground(ring, floor));
        plate.height = plate.bent(laying.tension, plate.floor.as_ref())?;
        Some(plate)
    }

    /// A floor under the cells, and those that a ring bounds in plan and none of whose skin
    /// was seen.
    fn ground(&self, ring: &[Vec3], floor: &Floor) -> Ground {
        let toward = -floor.normal.dot(&self.axes[2]);
        let flat: Vec<[f64; 3]> = ring.iter().map(|p| self.flat(p)).collect();
        let [nx, ny] = self.count;
        let mut ground = Ground {
            on: Vec::with_capacity(nx * ny),
            within: Vec::with_capacity(nx * ny),
            most_m: ring.iter().map(|p| floor.over_m(p)).fold(0.0, f64::max) / toward,
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
        ground
    }

    /// The heights of the plate at a pull, over a floor where one is given.
    ///
    /// Where it would pass the floor it is held there, cell by cell until these are all
    /// (Newton's steps on a one-sided spring); where it would not touch it, it is weighed
    /// down evenly until it does.
    pub(super) fn bent(&self, tension: f64, floor: Option<&Ground>) -> Option<Vec<f64>> {
        let seen = |known: &Option<f64>| known.map_or((0.0, 0.0), |at| (self.laying.held, at));
        let springs: Vec<(f64, f64)> = self.known.iter().map(seen).collect();
        let sheet = |springs: &[(f64, f64)]| {
            let springs = springs.iter().map(|spring| spring.0);
            Sheet::held(springs, self.count, tension, self.slender)
        };
        let free = sheet(&springs)?;
        let mut height = free.under(springs.iter().map(|(stiff, at)| stiff * at));
        let Some(floor) = floor else {
            return Some(height);
        };
        // How much more of an even weight brings each cell to the floor, the first first.
        let weight: Vec<f64> = floor.within.iter().map(|w| f64::from(*w)).collect();
        let sinks = free.under(weight.iter().copied());
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
            let pushes = with_floor.iter().zip(&load);
            let pushes = pushes.map(|((stiff, at), load)| stiff * at + load);
            height = sheet(&with_floor)?.under(pushes);
        }
        floor.bounded(&mut height);
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
        // Over a floor, which way a cell's skin looks is asked of all of the averaged skin there:
        // noise turns single faces of a steep side far enough to look like bottom.
        let (drawn, least) = if self.laying.on_floor {
            (Some(averaged(surface).0), -ALIKE)
        } else {
            (None, ALIKE)
        };
        let looking = |face: usize| {
            let Some(drawn) = &drawn else {
                return surface.face_normal(face);
            };
            let [a, b, c] = surface.faces[face].map(|v| drawn[v as usize]);
            (b - a).cross(&(c - a))
        };
        let mut looks = vec![Vec3::zeros(); cells];
        let reach = ring
            .iter()
            .map(|p| self.flat(p)[2].abs())
            .fold(0.0, f64::max)
            + 2.0 * self.laying.round * self.cell_m;
        for face in 0..surface.faces.len() {
            let normal = looking(face);
            if normal.dot(&self.axes[2]) <= least * normal.norm() {
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
                    looks[cell] += normal;
                }
            }
        }
        let alike = |look: &Vec3| look.dot(&self.axes[2]) > ALIKE * look.norm();
        // A single cell of a steep side may look like bottom yet: most of those round it that
        // show skin must.
        let about = |k: usize| {
            let [nx, ny] = self.count;
            let (i, j) = (k % nx, k / nx);
            let rows = j.saturating_sub(1)..(j + 2).min(ny);
            let cells = rows.flat_map(|j| {
                let columns = i.saturating_sub(1)..(i + 2).min(nx);
                columns.map(move |i| j * nx + i)
            });
            let shown = cells.filter(|k| weight[*k] > 0.0);
            let (like, all) = shown.fold((0, 0), |(like, all), k| {
                (like + usize::from(alike(&looks[k])), all + 1)
            });
            2 * like > all
        };
        let known: Vec<Option<f64>> = (0..cells)
            .map(|k| {
                let is_seen = alike(&looks[k]) && (!self.laying.on_floor || about(k));
                is_seen.then(|| sum[k] / weight[k])
            })
            .collect();
        let seen = known.iter().flatten().count() as f64;
        // A plate that a floor bounds needs no more than to begin somewhere: beside a bottom
        // with hard chines only its rise at an end is seen.
        let least = if self.laying.on_floor {
            BEGINS_CELLS
        } else {
            0.1 * cells as f64
        };
        (seen >= least).then_some(known)
    }

    /// Volume to a plate of other heights over the same grid, within a film, m³.
    pub(super) fn volume_to(&self, height: &[f64], film: &Surface) -> f64 {
        let other = Self {
            height: height.to_vec(),
            ..self.clone()
        };
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
    pub(super) fn hanging_m3(&self, film: &Surface, ring: usize, ground: &Ground) -> f64 {
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
    pub(super) fn lifted(&self, p: &Vec3) -> Vec3 {
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

/// How many times as far a surface reaches along one direction as along another.
fn slender(surface: &Surface, along: &Vec3, across: &Vec3) -> f64 {
    let [long, broad] = [along, across].map(|way| {
        let at = surface.vertices.iter().map(|p| p.dot(way));
        let (lo, hi) = least_and_most(at);
        hi - lo
    });
    let times = long / broad;
    if times.is_finite() && times > 0.0 {
        times
    } else {
        1.0
    }
}

/// The heights of least bending at a pull, where springs of these stiffnesses hold the cells.
struct Sheet {
    factor: Factor,
    /// Number of each cell's unknown: the shorter side of the grid runs first.
    order: Vec<usize>,
}

impl Sheet {
    /// Bending and pull are those of the plate over the hull drawn together until it is as
    /// broad as long: a hull drawn out lengthwise is a hull, and its lines along it are fairer
    /// than its sections by as much. `None` where the springs leave it free.
    fn held(
        stiff: impl Iterator<Item = f64>,
        count: [usize; 2],
        tension: f64,
        slender: f64,
    ) -> Option<Self> {
        let [nx, ny] = count;
        let number = |i: usize, j: usize| if nx <= ny { j * nx + i } else { i * ny + j };
        let order: Vec<usize> = (0..nx * ny).map(|k| number(k % nx, k / nx)).collect();
        let mut form = Banded::new(nx * ny, 2 * nx.min(ny));
        for (k, stiff) in order.iter().zip(stiff) {
            form.add(stiff, &[(*k, 1.0)]);
        }
        for j in 0..ny {
            for i in 0..nx {
                let at = |di: usize, dj: usize| number(i + di, j + dj);
                if i + 1 < nx {
                    form.add(tension * slender, &[(at(1, 0), 1.0), (at(0, 0), -1.0)]);
                }
                if j + 1 < ny {
                    form.add(tension / slender, &[(at(0, 1), 1.0), (at(0, 0), -1.0)]);
                }
                if i + 2 < nx {
                    let bent = [(at(0, 0), 1.0), (at(1, 0), -2.0), (at(2, 0), 1.0)];
                    form.add(slender * slender, &bent);
                }
                if j + 2 < ny {
                    let bent = [(at(0, 0), 1.0), (at(0, 1), -2.0), (at(0, 2), 1.0)];
                    form.add(1.0 / (slender * slender), &bent);
                }
                if i + 1 < nx && j + 1 < ny {
                    // Twice: the mixed term of a plate's bending.
                    let [a, b, c, d] = [at(0, 0), at(1, 0), at(0, 1), at(1, 1)];
                    form.add(2.0, &[(a, 1.0), (b, -1.0), (c, -1.0), (d, 1.0)]);
                }
            }
        }
        let factor = form.factored()?;
        Some(Self { factor, order })
    }

    /// The heights under a push at each cell: stiffness times where its spring holds it, and
    /// what weighs on it.
    fn under(&self, push: impl Iterator<Item = f64>) -> Vec<f64> {
        let mut right = vec![0.0; self.order.len()];
        for (k, push) in self.order.iter().zip(push) {
            right[*k] = push;
        }
        let heights = self.factor.solve(right);
        self.order.iter().map(|k| heights[*k]).collect()
    }
}
