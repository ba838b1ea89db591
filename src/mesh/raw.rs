//! What a mesh file holds, nothing shared or judged yet.
use super::cap::triangulate_ring;
use super::doubt::{Doubt, DoubtKind, first_few, id};
use crate::numerics::Vec3;

/// Polygons with more corners than this are no part of a scan or a model but
/// damage, and would take long to cut into triangles.
const MOST_CORNERS: usize = 1000;

/// The facets of a file as triangles.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct RawMesh {
    /// Three corners a facet, in the file's own unit.
    pub triangles: Vec<[[f64; 3]; 3]>,
    /// Which facet of the file each triangle is.
    pub facets: FacetNumbers,
    /// What had to be forgiven.
    pub doubts: Vec<Doubt>,
    /// Metres in one unit, where the file's format fixes it.
    pub metres_a_unit: Option<f64>,
}

impl RawMesh {
    /// Longest side of the facets' box along x, y or z, in the file's unit.
    #[must_use]
    pub fn longest_side(&self) -> f64 {
        let sides = (0..3).map(|axis| {
            let values = self.triangles.iter().flatten().map(|corner| corner[axis]);
            let (lo, hi) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), x| {
                (lo.min(x), hi.max(x))
            });
            hi - lo
        });
        sides.fold(0.0, f64::max)
    }
}

/// Maps a face to the facet of the file it came from, so that a report can
/// name a facet that the user can find.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct FacetNumbers {
    /// Facets of the file that were left out, from 1, ascending.
    dropped: Vec<usize>,
    /// The facet (from 1) of each triangle, where facets of more than three
    /// corners were cut up; empty otherwise.
    of_triangle: Vec<u32>,
}

impl FacetNumbers {
    /// Numbers for a file of which the given facets (from 1, ascending) were
    /// left out.
    #[must_use]
    pub fn without(dropped: Vec<usize>) -> Self {
        Self {
            dropped,
            of_triangle: Vec::new(),
        }
    }

    /// The facets that were left out, from 1.
    #[must_use]
    pub fn dropped(&self) -> &[usize] {
        &self.dropped
    }

    /// Number of the facet, from 1, that became `face` (from 0).
    #[must_use]
    pub fn of(&self, face: usize) -> usize {
        if let Some(number) = self.of_triangle.get(face) {
            return *number as usize;
        }
        let mut number = face + 1;
        // Dropped facets before this one push its number up, which may in
        // turn bring further dropped ones before it.
        for &gone in &self.dropped {
            if gone > number {
                break;
            }
            number += 1;
        }
        number
    }
}

/// Cuts polygons over shared corners into triangles, and keeps count.
#[derive(Debug)]
pub(super) struct Polygons<'a> {
    positions: &'a [[f64; 3]],
    triangles: Vec<[[f64; 3]; 3]>,
    of_triangle: Vec<u32>,
    /// Polygons seen so far.
    seen: usize,
    any_cut: bool,
    not_finite: Vec<usize>,
    wrong_corners: Vec<usize>,
    ring: Vec<Vec3>,
}

impl<'a> Polygons<'a> {
    pub(super) fn over(positions: &'a [[f64; 3]]) -> Self {
        Self {
            positions,
            triangles: Vec::new(),
            of_triangle: Vec::new(),
            seen: 0,
            any_cut: false,
            not_finite: Vec::new(),
            wrong_corners: Vec::new(),
            ring: Vec::new(),
        }
    }

    /// Polygons seen so far.
    pub(super) fn seen(&self) -> usize {
        self.seen
    }

    /// Takes the next polygon by its corners' places in the list.
    ///
    /// # Errors
    /// The first corner that there is none of.
    pub(super) fn add(&mut self, corners: &[usize]) -> Result<(), usize> {
        self.seen += 1;
        let number = self.seen;
        if let Some(none) = corners.iter().find(|c| **c >= self.positions.len()) {
            return Err(*none);
        }
        if !(3..=MOST_CORNERS).contains(&corners.len()) {
            self.wrong_corners.push(number);
            return Ok(());
        }
        let place = |c: usize| self.positions[corners[c]];
        if (0..corners.len()).any(|c| !place(c).iter().all(|v| v.is_finite())) {
            self.not_finite.push(number);
            return Ok(());
        }
        if let [a, b, c] = *corners {
            self.triangles.push([a, b, c].map(|v| self.positions[v]));
            self.of_triangle.push(id(number));
            return Ok(());
        }
        self.any_cut = true;
        self.ring.clear();
        self.ring
            .extend((0..corners.len()).map(|c| Vec3::from(place(c))));
        let (cut, _) = triangulate_ring(&self.ring, |_, _| false);
        for t in cut {
            let triangle = t.map(|c| self.positions[corners[c as usize]]);
            self.triangles.push(triangle);
            self.of_triangle.push(id(number));
        }
        Ok(())
    }

    /// The mesh, with what had to be left out before the given doubts.
    pub(super) fn finish(self, more: Vec<Doubt>) -> RawMesh {
        let mut doubts = Vec::new();
        if !self.not_finite.is_empty() {
            doubts.push(not_finite(&self.not_finite));
        }
        if !self.wrong_corners.is_empty() {
            doubts.push(Doubt::new(
                DoubtKind::DroppedFacets,
                format!(
                    "{} facets have fewer than 3 or more than {MOST_CORNERS} corners and are left out: facet {}",
                    self.wrong_corners.len(),
                    first_few(self.wrong_corners.iter().copied())
                ),
            ));
        }
        doubts.extend(more);
        let mut dropped = self.not_finite;
        dropped.extend(self.wrong_corners);
        dropped.sort_unstable();
        RawMesh {
            triangles: self.triangles,
            facets: FacetNumbers {
                dropped,
                of_triangle: if self.any_cut {
                    self.of_triangle
                } else {
                    Vec::new()
                },
            },
            doubts,
            metres_a_unit: None,
        }
    }
}

pub(super) fn is_finite(triangle: &[[f64; 3]; 3]) -> bool {
    triangle.iter().flatten().all(|v| v.is_finite())
}

pub(super) fn not_finite(dropped: &[usize]) -> Doubt {
    Doubt::new(
        DoubtKind::DroppedFacets,
        format!(
            "{} facets have a corner that is no finite number and are left out: facet {}",
            dropped.len(),
            first_few(dropped.iter().copied())
        ),
    )
}
