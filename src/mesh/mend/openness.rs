//! How much of the sky each side of a surface sees, through a grid of cells.
use std::collections::HashMap;

use rayon::prelude::*;

use super::super::doubt::id;
use super::super::surface::Surface;
use crate::numerics::Vec3;

/// Directions all round.
const DIRECTIONS: u32 = 128;
/// A sample stands for the faces that look the same way in a cell of so many
/// grid cells.
const SAMPLE_CELLS: f64 = 1.5;
/// How far off the surface it is asked, in grid cells: the first place that is
/// free.
const OFF_CELLS: [f64; 3] = [1.8, 2.6, 3.5];
/// Free cells round the surface, so that all these places lie in the grid.
const MARGIN_CELLS: f64 = 5.0;

/// Cells of a grid that hold a piece of a surface.
pub(super) struct Voxels {
    lo: Vec3,
    cell_m: f64,
    count: [usize; 3],
    full: Vec<bool>,
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to the grid"
)]
fn whole(value: f64, most: usize) -> usize {
    (value.max(0.0) as usize).min(most)
}

impl Voxels {
    /// A grid round a surface, its cells filled.
    pub(super) fn of(surface: &Surface, cell_m: f64) -> Self {
        let (lo, hi) = surface.bounds().unwrap_or_default();
        let lo = lo - Vec3::repeat(MARGIN_CELLS * cell_m);
        let size = (hi - lo) / cell_m + Vec3::repeat(MARGIN_CELLS);
        let count = [0, 1, 2].map(|k| whole(size[k].ceil(), 1 << 20) + 1);
        let mut voxels = Self {
            lo,
            cell_m,
            count,
            full: vec![false; count.iter().product()],
        };
        for face in 0..surface.faces.len() {
            voxels.fill(&surface.corners(face));
        }
        voxels
    }

    /// Fills the cells that a triangle passes through.
    pub(super) fn fill(&mut self, [a, b, c]: &[Vec3; 3]) {
        let (ab, ac) = (b - a, c - a);
        let longest = ab.norm().max(ac.norm()).max((ac - ab).norm());
        let steps = whole((longest / (0.5 * self.cell_m)).ceil(), 1 << 12).max(1);
        for i in 0..=steps {
            for j in 0..=steps - i {
                let (u, v) = (i as f64 / steps as f64, j as f64 / steps as f64);
                let cell = self.number(&(a + ab * u + ac * v));
                self.full[cell] = true;
            }
        }
    }

    fn number(&self, p: &Vec3) -> usize {
        let at = (p - self.lo) / self.cell_m;
        let [i, j, k] = [0, 1, 2].map(|axis| whole(at[axis], self.count[axis] - 1));
        (k * self.count[1] + j) * self.count[0] + i
    }

    pub(super) fn is_free(&self, p: &Vec3) -> bool {
        !self.full[self.number(p)]
    }

    /// Whether a ray leaves the grid without meeting a full cell, walked cell by
    /// cell (Amanatides and Woo, Eurographics 1987; from memory).
    pub(super) fn escapes(&self, from: &Vec3, direction: &Vec3) -> bool {
        let at = (from - self.lo) / self.cell_m;
        let strides = [1, self.count[0], self.count[0] * self.count[1]];
        let mut place = [0, 1, 2].map(|k| whole(at[k], self.count[k] - 1));
        let mut cell: usize = (0..3).map(|k| place[k] * strides[k]).sum();
        let mut ahead = [f64::INFINITY; 3];
        let mut each = [f64::INFINITY; 3];
        for k in 0..3 {
            let inside = at[k] - place[k] as f64;
            if direction[k] > 0.0 {
                ahead[k] = (1.0 - inside) / direction[k];
            } else if direction[k] < 0.0 {
                ahead[k] = inside / -direction[k];
            }
            each[k] = 1.0 / direction[k].abs();
        }
        loop {
            let axis = if ahead[0] < ahead[1] {
                if ahead[0] < ahead[2] { 0 } else { 2 }
            } else if ahead[1] < ahead[2] {
                1
            } else {
                2
            };
            ahead[axis] += each[axis];
            if direction[axis] > 0.0 {
                if place[axis] + 1 == self.count[axis] {
                    return true;
                }
                place[axis] += 1;
                cell += strides[axis];
            } else {
                if place[axis] == 0 {
                    return true;
                }
                place[axis] -= 1;
                cell -= strides[axis];
            }
            if self.full[cell] {
                return false;
            }
        }
    }

    /// Share of the sky that is seen from off a place along a normal, weighted
    /// by the cosine; 0 where there is no room to look.
    fn openness(&self, place: &Vec3, normal: &Vec3, directions: &[Vec3]) -> f64 {
        let from = OFF_CELLS
            .iter()
            .map(|off| place + normal * (off * self.cell_m))
            .find(|from| self.is_free(from));
        let Some(from) = from else { return 0.0 };
        let (mut seen, mut all) = (0.0, 0.0);
        for direction in directions {
            let cosine = direction.dot(normal);
            if cosine > 0.0 {
                all += cosine;
                if self.escapes(&from, direction) {
                    seen += cosine;
                }
            }
        }
        seen / all
    }
}

/// Faces that lie together and look the same way, and what they see.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Sample {
    /// Mean place of its area, m.
    pub(super) place: Vec3,
    /// Mean normal.
    pub(super) normal: Vec3,
    /// Area of its faces, m².
    pub(super) area_m2: f64,
    /// Share of the sky seen from its front and its back.
    pub(super) front: f64,
    pub(super) back: f64,
}

impl Sample {
    /// Above zero for what looks outward, below for an inner skin, which sees
    /// the sky through the outer one behind it.
    pub(super) fn lean(&self) -> f64 {
        self.front - self.back
    }
}

/// A surface's samples, and which of them each face belongs to.
pub(super) struct Samples {
    pub(super) list: Vec<Sample>,
    pub(super) of_face: Vec<u32>,
}

impl Samples {
    /// Gathers the faces by place and by the octant of their normal.
    pub(super) fn of(surface: &Surface, cell_m: f64) -> Self {
        let size = SAMPLE_CELLS * cell_m;
        let mut numbers: HashMap<[i32; 4], u32> = HashMap::new();
        let mut list: Vec<Sample> = Vec::new();
        let of_face = (0..surface.faces.len())
            .map(|face| {
                let [a, b, c] = surface.corners(face);
                let normal = (b - a).cross(&(c - a));
                let middle = (a + b + c) / 3.0;
                #[expect(clippy::cast_possible_truncation, reason = "the cast saturates")]
                let cell = (middle / size).map(|x| x.floor() as i32);
                let octant = (0..3).map(|k| i32::from(normal[k] < 0.0) << k).sum();
                let key = [cell.x, cell.y, cell.z, octant];
                let number = *numbers.entry(key).or_insert_with(|| {
                    list.push(Sample::default());
                    id(list.len() - 1)
                });
                let sample = &mut list[number as usize];
                let area = normal.norm() / 2.0;
                sample.place += middle * area;
                sample.normal += normal;
                sample.area_m2 += area;
                number
            })
            .collect();
        for sample in &mut list {
            sample.place /= sample.area_m2.max(f64::MIN_POSITIVE);
            sample.normal = sample.normal.try_normalize(0.0).unwrap_or_else(Vec3::z);
        }
        Self { list, of_face }
    }

    /// Looks from both sides of each.
    pub(super) fn look(&mut self, voxels: &Voxels) {
        let directions = evenly_round();
        self.list.par_iter_mut().for_each(|sample| {
            sample.front = voxels.openness(&sample.place, &sample.normal, &directions);
            sample.back = voxels.openness(&sample.place, &-sample.normal, &directions);
        });
    }

    pub(super) fn at(&self, face: usize) -> &Sample {
        &self.list[self.of_face[face] as usize]
    }
}

/// Directions spread evenly by the golden angle, off the axes of grids.
pub(super) fn evenly_round() -> Vec<Vec3> {
    let golden = std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
    (0..DIRECTIONS)
        .map(|i| {
            let z = 1.0 - (2.0 * f64::from(i) + 1.0) / f64::from(DIRECTIONS);
            let across = (1.0 - z * z).sqrt();
            let (sin, cos) = (golden * f64::from(i) + 0.4).sin_cos();
            Vec3::new(across * cos, across * sin, z)
        })
        .collect()
}
