//! Volumes by vertical columns: slower to converge than the exact integrals
//! but blind to how the faces are joined, so an independent check on them.
//!
//! Vertices are snapped sideways to a fine lattice of whole numbers, on which
//! "which side of the edge" is exact: a column centre is counted exactly once
//! by the faces round an edge or a vertex, and a closed surface gives every
//! column as many ways in as out. The grid stands askew to the boat's axes, so
//! that a straight side along x or y does not err the same way in every column.
//!
//! By hand: it has to share nothing with the integrals that it checks.
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use super::doubt::{id, point_as_array};
use super::surface::Surface;
use crate::numerics::Vec3;

/// Columns at most in [`volume_changed`]: a finer cell is made coarser.
pub const MAX_COLUMNS: f64 = 1e6;
/// Columns of an [`audit`].
pub const AUDIT_COLUMNS: f64 = 2.5e5;
/// Cell of a grid when nothing else is asked, m.
pub const DEFAULT_CELL_M: f64 = 0.002;
/// Cells at most along one side, so that lattice products fit 64 bits.
const MAX_SIDE: f64 = 32_768.0;
/// Lattice steps in a cell: at 3 mm a step is 0.2 µm.
const STEPS: i64 = 1 << 14;
/// Tangent of the angle between the grid and the boat's axes: a tenth of the
/// golden section, the number furthest from any simple ratio.
const SKEW: f64 = 0.061_803_398_874_989_49;
/// Doubled or inside-out volume below this share of the whole is what
/// snapping to the lattice can make of thin or sharp places.
pub const AUDIT_NOTICE_SHARE: f64 = 1e-6;

/// Crossings of columns and faces at most, about: 16 bytes each.
const MAX_CROSSINGS: f64 = 16e6;

/// Area of all faces seen from above, each counted, m².
fn plan_area_m2(surface: &Surface) -> f64 {
    (0..surface.faces.len())
        .into_par_iter()
        .map(|face| {
            let [a, b, c] = surface.corners(face);
            (b - a).cross(&(c - a)).z.abs() / 2.0
        })
        .sum()
}

/// A grid of vertical columns, askew in the x–y plane.
#[derive(Debug, Clone, PartialEq)]
pub struct Grid {
    cell_m: f64,
    along: [f64; 2],
    origin: [f64; 2],
    count: [usize; 2],
}

impl Grid {
    /// A grid over all the surfaces, with the cell asked for or, where that
    /// would need more than `most` columns, a coarser one. `None` when they
    /// have no extent in plan.
    #[must_use]
    pub fn over(surfaces: &[&Surface], cell_m: f64, most: f64) -> Option<Self> {
        let norm = SKEW.hypot(1.0);
        let along = [1.0 / norm, SKEW / norm];
        let empty = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        let (lo, hi) = surfaces
            .iter()
            .map(|s| {
                s.vertices
                    .par_iter()
                    .map(|v| skewed(along, v))
                    .fold(|| empty, |(lo, hi), p| (least(lo, p), most_of(hi, p)))
                    .reduce(|| empty, |a, b| (least(a.0, b.0), most_of(a.1, b.1)))
            })
            .fold(empty, |a, b| (least(a.0, b.0), most_of(a.1, b.1)));
        let extent = [hi[0] - lo[0], hi[1] - lo[1]];
        let usable = extent.iter().all(|e| e.is_finite() && *e > 0.0);
        if !usable || cell_m.is_nan() {
            return None;
        }
        // A column crosses a surface as often as it lies over or under it: many
        // sheets over each other ask for fewer columns.
        let layers: f64 = surfaces.iter().map(|s| plan_area_m2(s)).sum();
        let cell_m = cell_m
            .max((extent[0] * extent[1] / most).sqrt())
            .max((layers / MAX_CROSSINGS).sqrt())
            .max(extent[0].max(extent[1]) / MAX_SIDE);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most MAX_SIDE"
        )]
        let count = extent.map(|e| (e / cell_m).ceil().max(1.0) as usize);
        Some(Self {
            cell_m,
            along,
            origin: lo,
            count,
        })
    }

    /// Side of the square columns, m.
    #[must_use]
    pub fn cell_m(&self) -> f64 {
        self.cell_m
    }

    /// Number of columns.
    #[must_use]
    pub fn columns(&self) -> usize {
        self.count[0] * self.count[1]
    }

    fn lattice(&self, v: &Vec3) -> [i64; 2] {
        let p = skewed(self.along, v);
        let step = self.cell_m / STEPS as f64;
        // Only matters for a surface that the grid was not laid over: keeps
        // every product within 64 bits.
        let bound = MAX_SIDE * STEPS as f64;
        [0, 1].map(|k| {
            let steps = ((p[k] - self.origin[k]) / step).clamp(-bound, bound);
            #[expect(clippy::cast_possible_truncation, reason = "clamped")]
            let whole = steps.round() as i64;
            whole
        })
    }

    /// The eight columns round one, or fewer at the grid's edge.
    pub fn around(&self, column: usize) -> impl Iterator<Item = usize> + use<> {
        let [across, rows] = self.count;
        let [x, y] = [column % across, column / across];
        let rows = y.saturating_sub(1)..(y + 2).min(rows);
        rows.flat_map(move |row| {
            (x.saturating_sub(1)..(x + 2).min(across)).map(move |x| row * across + x)
        })
        .filter(move |other| *other != column)
    }

    /// The columns whose middles lie within a distance of a point in plan, m.
    #[must_use]
    pub fn within(&self, point: &Vec3, distance_m: f64) -> Vec<usize> {
        let at = skewed(self.along, point);
        let range = |k: usize| {
            let place = |offset: f64| (at[k] - self.origin[k] + offset) / self.cell_m;
            let most = self.count[k] as f64;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "clamped to the grid"
            )]
            let range = (place(-distance_m).floor().clamp(0.0, most) as usize)
                ..(place(distance_m).ceil().clamp(0.0, most) as usize);
            range
        };
        let mut columns = Vec::new();
        for row in range(1) {
            for x in range(0) {
                let column = row * self.count[0] + x;
                let away = self.centre(column, point.z) - point;
                if away.norm() <= distance_m {
                    columns.push(column);
                }
            }
        }
        columns
    }

    /// The point at a height over the middle of a column, m.
    #[must_use]
    pub fn centre(&self, column: usize, z: f64) -> Vec3 {
        let cell = [column % self.count[0], column / self.count[0]];
        let [u, v] = [0, 1].map(|k| self.origin[k] + (cell[k] as f64 + 0.5) * self.cell_m);
        let [c, s] = self.along;
        Vec3::new(c * u - s * v, s * u + c * v, z)
    }
}

fn skewed([c, s]: [f64; 2], v: &Vec3) -> [f64; 2] {
    [c * v.x + s * v.y, c * v.y - s * v.x]
}

fn least(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0].min(b[0]), a[1].min(b[1])]
}

fn most_of(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0].max(b[0]), a[1].max(b[1])]
}

/// Where a column passes through a face.
#[derive(Debug, Clone, Copy)]
struct Crossing {
    z: f64,
    column: u32,
    /// Going up: +1 into the solid, −1 out of it.
    enters: i32,
}

/// A surface's crossings with every column of a grid.
#[derive(Debug)]
pub struct Columns {
    grid: Grid,
    start: Vec<u32>,
    crossings: Vec<Crossing>,
}

impl Columns {
    /// Casts every column of the grid through the surface.
    #[must_use]
    pub fn cast(surface: &Surface, grid: &Grid) -> Self {
        let lattice: Vec<[i64; 2]> = surface
            .vertices
            .par_iter()
            .map(|v| grid.lattice(v))
            .collect();
        let found: Vec<Vec<Crossing>> = surface
            .faces
            .par_iter()
            .with_min_len(1 << 12)
            .fold(Vec::new, |mut hits, face| {
                raster(surface, face, &lattice, grid, &mut hits);
                hits
            })
            .collect();
        let mut start = vec![0_u32; grid.columns() + 1];
        for hit in found.iter().flatten() {
            start[hit.column as usize + 1] += 1;
        }
        for i in 1..start.len() {
            start[i] += start[i - 1];
        }
        let blank = Crossing {
            z: 0.0,
            column: 0,
            enters: 0,
        };
        let mut crossings = vec![blank; start[grid.columns()] as usize];
        let mut fill = start.clone();
        for hit in found.iter().flatten() {
            let slot = &mut fill[hit.column as usize];
            crossings[*slot as usize] = *hit;
            *slot += 1;
        }
        let mut rows = Vec::with_capacity(grid.count[1]);
        let mut rest = crossings.as_mut_slice();
        for row in start.windows(grid.count[0] + 1).step_by(grid.count[0]) {
            let (this, after) = rest.split_at_mut((row[grid.count[0]] - row[0]) as usize);
            rows.push(this);
            rest = after;
        }
        rows.into_par_iter().for_each(|row| {
            row.sort_unstable_by(|a, b| a.column.cmp(&b.column).then(a.z.total_cmp(&b.z)));
        });
        Self {
            grid: grid.clone(),
            start,
            crossings,
        }
    }

    /// Heights at which a column passes through the surface, from the lowest up, m,
    /// each with +1 where it goes in and −1 where it comes out.
    pub fn crossings(&self, column: usize) -> impl Iterator<Item = (f64, i32)> + '_ {
        self.column(column).iter().map(|c| (c.z, c.enters))
    }

    fn column(&self, column: usize) -> &[Crossing] {
        &self.crossings[self.start[column] as usize..self.start[column + 1] as usize]
    }

    /// Sums over all columns; see [`ColumnAudit`].
    #[must_use]
    pub fn audit(&self) -> ColumnAudit {
        let area_m2 = self.grid.cell_m * self.grid.cell_m;
        let tally = (0..self.grid.columns())
            .into_par_iter()
            .with_min_len(1 << 10)
            .fold(Tally::default, |tally, column| {
                tally.with_column(column, self.column(column))
            })
            .reduce(Tally::default, Tally::joined);
        let place = |worst: Option<Stretch>| worst.map(|w| self.grid.centre(w.column, w.middle_z));
        ColumnAudit {
            volume_m3: tally.volume * area_m2,
            doubled_volume_m3: tally.doubled * area_m2,
            excess_volume_m3: tally.excess * area_m2,
            doubled_at: place(tally.worst_doubled).map(Into::into),
            inside_out_volume_m3: tally.inside_out * area_m2,
            inside_out_at: place(tally.worst_inside_out).map(Into::into),
            cell_m: self.grid.cell_m,
        }
    }
}

/// A place in metres that writes itself as `[x, y, z]`.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
#[serde(transparent)]
pub struct Place(
    #[serde(serialize_with = "point_as_array")]
    #[schemars(with = "[f64; 3]")]
    pub Vec3,
);

impl From<Vec3> for Place {
    fn from(v: Vec3) -> Self {
        Self(v)
    }
}

/// What the columns say about a closed surface.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct ColumnAudit {
    /// Volume with every solid counted as often as it is wrapped, m³.
    pub volume_m3: f64,
    /// Volume of the space wrapped twice or more, m³: shells that overlap.
    pub doubled_volume_m3: f64,
    /// By how much that makes the volume too high, m³: space wrapped three times counts
    /// twice here.
    pub excess_volume_m3: f64,
    /// Middle of the longest doubled stretch.
    pub doubled_at: Option<Place>,
    /// Volume of the space wrapped the wrong way round, m³.
    pub inside_out_volume_m3: f64,
    /// Middle of the longest such stretch.
    pub inside_out_at: Option<Place>,
    /// Side of the columns, m: features much smaller than it can be missed.
    pub cell_m: f64,
}

impl ColumnAudit {
    fn notice_m3(&self) -> f64 {
        let whole = self.volume_m3.abs() + self.doubled_volume_m3 + self.inside_out_volume_m3;
        AUDIT_NOTICE_SHARE * whole
    }

    /// Whether more is doubled than snapping can explain.
    #[must_use]
    pub fn is_doubled(&self) -> bool {
        self.doubled_volume_m3 > self.notice_m3()
    }

    /// Whether more is inside out than snapping can explain.
    #[must_use]
    pub fn is_inside_out(&self) -> bool {
        self.inside_out_volume_m3 > self.notice_m3()
    }
}

/// Looks for space that a closed surface wraps twice or the wrong way round,
/// on about [`AUDIT_COLUMNS`] columns. `None` when it has no extent in plan.
#[must_use]
pub fn audit(surface: &Surface) -> Option<ColumnAudit> {
    let grid = Grid::over(&[surface], 0.0, AUDIT_COLUMNS)?;
    Some(Columns::cast(surface, &grid).audit())
}

/// How two solids are put together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Combine {
    /// Everything in either.
    Union,
    /// The first without the second.
    Difference,
}

/// By how much the union or difference of two closed outward surfaces is larger
/// than the first, m³ (less than nought where it is smaller), without making it: an
/// independent check on a boolean operation. Columns stand over and under the
/// second surface only.
///
/// The cell is made coarser where it would need more than [`MAX_COLUMNS`]
/// columns or too many crossings. The error allowed at the default cell is 2e-4 of a hull's
/// volume. Zero when the second has no extent in plan.
#[must_use]
pub fn volume_changed(a: &Surface, b: &Surface, how: Combine, cell_m: f64) -> f64 {
    // As coarse as the first surface asks for, too: its crossings must fit, and its
    // corners far from the grid must keep their places on the lattice.
    let crossings = ((plan_area_m2(a) + plan_area_m2(b)) / MAX_CROSSINGS).sqrt();
    let (lo, hi) = a.bounds().unwrap_or_default();
    let (lo_b, hi_b) = b.bounds().unwrap_or_default();
    let reach = (hi.sup(&hi_b) - lo.inf(&lo_b)).norm() / MAX_SIDE;
    let Some(grid) = Grid::over(&[b], cell_m.max(crossings).max(reach), MAX_COLUMNS) else {
        return 0.0;
    };
    let (first, second) = (Columns::cast(a, &grid), Columns::cast(b, &grid));
    let length: f64 = (0..grid.columns())
        .into_par_iter()
        .with_min_len(1 << 10)
        .map(|column| length_changed(first.column(column), second.column(column), how))
        .sum();
    length * grid.cell_m * grid.cell_m
}

/// What a column gains or, less than nought, loses.
fn length_changed(a: &[Crossing], b: &[Crossing], how: Combine) -> f64 {
    let (mut i, mut j) = (0, 0);
    let (mut in_a, mut in_b) = (0, 0);
    let mut from = f64::NEG_INFINITY;
    let mut length = 0.0;
    while j < b.len() {
        let from_a = i < a.len() && a[i].z <= b[j].z;
        let crossing = if from_a { a[i] } else { b[j] };
        if in_b > 0 {
            match how {
                Combine::Union if in_a <= 0 => length += crossing.z - from,
                Combine::Difference if in_a > 0 => length -= crossing.z - from,
                _ => {}
            }
        }
        from = crossing.z;
        if from_a {
            in_a += crossing.enters;
            i += 1;
        } else {
            in_b += crossing.enters;
            j += 1;
        }
    }
    length
}

#[derive(Debug, Clone, Copy)]
struct Stretch {
    length: f64,
    column: usize,
    middle_z: f64,
}

fn longer(a: Option<Stretch>, b: Option<Stretch>) -> Option<Stretch> {
    match (a, b) {
        (Some(x), Some(y)) => Some(if y.length > x.length { y } else { x }),
        (x, y) => x.or(y),
    }
}

#[derive(Debug, Default)]
struct Tally {
    volume: f64,
    doubled: f64,
    excess: f64,
    worst_doubled: Option<Stretch>,
    inside_out: f64,
    worst_inside_out: Option<Stretch>,
}

impl Tally {
    fn with_column(mut self, column: usize, crossings: &[Crossing]) -> Self {
        let mut wraps = 0;
        for pair in crossings.windows(2) {
            wraps += pair[0].enters;
            let length = pair[1].z - pair[0].z;
            self.volume += f64::from(wraps) * length;
            if (0..=1).contains(&wraps) || length <= 0.0 {
                continue;
            }
            let stretch = Some(Stretch {
                length,
                column,
                middle_z: f64::midpoint(pair[0].z, pair[1].z),
            });
            if wraps > 1 {
                self.doubled += length;
                self.excess += f64::from(wraps - 1) * length;
                self.worst_doubled = longer(self.worst_doubled, stretch);
            } else {
                self.inside_out += length;
                self.worst_inside_out = longer(self.worst_inside_out, stretch);
            }
        }
        self
    }

    fn joined(self, other: Self) -> Self {
        Self {
            volume: self.volume + other.volume,
            doubled: self.doubled + other.doubled,
            excess: self.excess + other.excess,
            worst_doubled: longer(self.worst_doubled, other.worst_doubled),
            inside_out: self.inside_out + other.inside_out,
            worst_inside_out: longer(self.worst_inside_out, other.worst_inside_out),
        }
    }
}

/// First and last cell whose centre lies between two lattice values.
fn cells_between(lo: i64, hi: i64, count: usize) -> (i64, i64) {
    let half = STEPS / 2;
    let first = -((half - lo).div_euclid(STEPS));
    let last = (hi - half).div_euclid(STEPS);
    let most = i64::try_from(count).unwrap_or(i64::MAX) - 1;
    (first.max(0), last.min(most))
}

/// Adds the crossings of one face. A centre that lies on an edge is taken to
/// be moved by an endlessly small step along the first grid axis and a yet
/// smaller one along the second, which puts it on one side for both faces.
fn raster(
    surface: &Surface,
    face: &[u32; 3],
    lattice: &[[i64; 2]],
    grid: &Grid,
    hits: &mut Vec<Crossing>,
) {
    let p = face.map(|v| lattice[v as usize]);
    let range = |k: usize| {
        let [a, b, c] = p.map(|q| q[k]);
        cells_between(a.min(b).min(c), a.max(b).max(c), grid.count[k])
    };
    let (first_column, last_column) = range(0);
    let (first_row, last_row) = range(1);
    if first_column > last_column || first_row > last_row {
        return;
    }
    let double_area =
        (p[1][0] - p[0][0]) * (p[2][1] - p[0][1]) - (p[2][0] - p[0][0]) * (p[1][1] - p[0][1]);
    if double_area == 0 {
        return;
    }
    let turn = double_area.signum();
    let half = STEPS / 2;
    let heights = face.map(|v| surface.vertices[v as usize].z);
    // Along a row the side function of each edge is `at_row + slope · column`.
    let edges = [0, 1, 2].map(|k| {
        let (a, b) = (p[k], p[(k + 1) % 3]);
        let (du, dv) = (turn * (b[0] - a[0]), turn * (b[1] - a[1]));
        let counts_on_edge = if dv == 0 { du > 0 } else { dv < 0 };
        (a, du, dv, i64::from(!counts_on_edge))
    });
    for row in first_row..=last_row {
        let v = row * STEPS + half;
        let mut lo = first_column;
        let mut hi = last_column;
        let mut at_row = [0_i64; 3];
        for (k, &(a, du, dv, least)) in edges.iter().enumerate() {
            at_row[k] = du * (v - a[1]) + dv * (a[0] - half);
            let slope = -dv * STEPS;
            if slope > 0 {
                lo = lo.max(-((at_row[k] - least).div_euclid(slope)));
            } else if slope < 0 {
                hi = hi.min((at_row[k] - least).div_euclid(-slope));
            } else if at_row[k] < least {
                hi = lo - 1;
            }
        }
        for column in lo..=hi {
            // Each edge's side function weighs the corner across from it.
            let weight = [0, 1, 2].map(|k| (at_row[k] - edges[k].2 * STEPS * column) as f64);
            let z = (weight[0] * heights[2] + weight[1] * heights[0] + weight[2] * heights[1])
                / (weight[0] + weight[1] + weight[2]);
            let index = usize::try_from(row).unwrap_or(0) * grid.count[0]
                + usize::try_from(column).unwrap_or(0);
            hits.push(Crossing {
                z,
                column: id(index),
                enters: if turn > 0 { -1 } else { 1 },
            });
        }
    }
}

#[cfg(test)]
#[path = "columns_tests.rs"]
mod tests;
