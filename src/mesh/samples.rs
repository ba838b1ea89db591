//! Points spread evenly over a surface, and normals smoothed over the
//! roughness of a scan.
use std::collections::HashMap;

use rayon::prelude::*;

use super::surface::Surface;
use crate::numerics::Vec3;

/// Cells along the diagonal over which normals are averaged: 3 cm on a hull of
/// 3.4 m, wider than the roughness of a phone's scan, narrower than its shape.
const CELLS_ALONG: f64 = 120.0;

/// Faces whose areas are summed at a time: blocks between two points are passed over.
const BLOCK: usize = 256;

/// `count` points spread evenly over the area of the faces that `wanted`
/// picks, the same every time: equal steps along the summed area, and in each
/// face a place from the golden ratio.
pub(super) fn spread_over(
    surface: &Surface,
    count: usize,
    wanted: impl Fn(usize) -> bool + Sync,
) -> Vec<Vec3> {
    let area = |face: usize| {
        if wanted(face) {
            surface.face_area_m2(face)
        } else {
            0.0
        }
    };
    let faces = surface.faces.len();
    let block = |number: usize| number * BLOCK..((number + 1) * BLOCK).min(faces);
    let areas: Vec<f64> = (0..faces.div_ceil(BLOCK))
        .into_par_iter()
        .map(|number| block(number).map(area).sum())
        .collect();
    let total: f64 = areas.iter().sum();
    let step = total / count as f64;
    if !step.is_finite() || step <= 0.0 {
        return Vec::new();
    }
    let mut points = Vec::with_capacity(count + 1);
    let mut next = step / 2.0;
    let mut before = 0.0;
    for (number, of_block) in areas.iter().enumerate() {
        let mut summed = before;
        before += of_block;
        if before <= next {
            continue;
        }
        for face in block(number) {
            summed += area(face);
            while summed > next && points.len() < count {
                let k = points.len() as f64;
                let (mut u, mut v) = ((k * 0.754_877_666).fract(), (k * 0.569_840_291).fract());
                if u + v > 1.0 {
                    (u, v) = (1.0 - u, 1.0 - v);
                }
                let [a, b, c] = surface.corners(face);
                points.push(a + (b - a) * u + (c - a) * v);
                next += step;
            }
        }
    }
    points
}

/// Normals averaged by area over cells of a grid.
#[derive(Debug)]
pub(super) struct SmoothNormals {
    cell_m: f64,
    sums: HashMap<[i32; 3], Vec3>,
}

impl SmoothNormals {
    pub(super) fn of(surface: &Surface) -> Self {
        let cell_m = surface.diagonal_m() / CELLS_ALONG;
        let mut smooth = Self {
            cell_m,
            sums: HashMap::new(),
        };
        for face in 0..surface.faces.len() {
            let [a, b, c] = surface.corners(face);
            let cell = smooth.cell(&((a + b + c) / 3.0));
            *smooth.sums.entry(cell).or_default() += (b - a).cross(&(c - a));
        }
        smooth
    }

    fn cell(&self, p: &Vec3) -> [i32; 3] {
        #[expect(
            clippy::cast_possible_truncation,
            reason = "the cast saturates, and a hull spans a few hundred cells"
        )]
        let cell = (p / self.cell_m).map(|c| c.floor() as i32).into();
        cell
    }

    /// Mean normal around a point of the surface; the face's own where the
    /// mean has no direction.
    pub(super) fn at(&self, p: &Vec3, own: Vec3) -> Vec3 {
        self.sums
            .get(&self.cell(p))
            .and_then(|sum| sum.try_normalize(0.0))
            .or_else(|| own.try_normalize(0.0))
            .unwrap_or_else(Vec3::z)
    }
}
