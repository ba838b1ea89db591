//! What a mesh file holds, nothing shared or judged yet.
use super::cap::triangulate_ring;
use super::doubt::{Doubt, DoubtKind, first_few, id};
use super::not_seen::Carried;
use super::surface::Surface;
use super::weld::weld_equal;
use crate::numerics::Vec3;

/// Share of a polygon's size cubed within which it counts as flat: rounding of single
/// precision.
const FLAT_SHARE: f64 = 1e-6;
/// Share of the volume from which it is told that faces are not flat.
const TOLD_SHARE: f64 = 1e-4;
/// Polygons with more corners than this are no part of a scan or a model but
/// damage, and would take long to cut into triangles.
const MOST_CORNERS: usize = 1000;

/// The facets of a file as triangles.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct RawMesh {
    /// In the file's own unit; corners that are equal are one vertex.
    pub surface: Surface,
    /// Which facet of the file each triangle is.
    pub facets: FacetNumbers,
    /// What had to be forgiven.
    pub doubts: Vec<Doubt>,
    /// Metres in one unit, where the file's format fixes it.
    pub metres_a_unit: Option<f64>,
    /// What a mended mesh tells of itself.
    pub carried: Option<Carried>,
}

impl RawMesh {
    /// Three corners a facet.
    #[must_use]
    pub fn triangles(&self) -> Vec<[[f64; 3]; 3]> {
        let faces = 0..self.surface.faces.len();
        let corners = |face| self.surface.corners(face).map(Into::into);
        faces.map(corners).collect()
    }

    /// Longest side of the facets' box along x, y or z, in the file's unit.
    #[must_use]
    pub fn longest_side(&self) -> f64 {
        let bounds = self.surface.bounds();
        bounds.map_or(0.0, |(lo, hi)| (hi - lo).max())
    }
}

/// Maps a face to the facet of the file it came from, so that a report can
/// name a facet that the user can find.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct FacetNumbers {
    /// Facets of the file that were left out, from 1, ascending.
    dropped: Vec<usize>,
    /// The facet (from 1) of each triangle, where facets of more than three
    /// corners were cut up, or all were put in another order; empty otherwise.
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

    /// Numbers for a file whose facets came in another order: that of each, from 1, and
    /// those that were left out, ascending.
    pub(super) fn in_order(of_triangle: Vec<u32>, dropped: Vec<usize>) -> Self {
        Self {
            dropped,
            of_triangle,
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
    twisted: Twisted,
}

/// Four-sided polygons that are not flat: where their surface runs is not known. Cut
/// along one diagonal or the other they enclose more or less; half way between lies the
/// evenly twisted face over them (its volume is the mean of the two: the diagonals bound
/// a tetrahedron that it halves).
#[derive(Debug, Default)]
struct Twisted {
    /// Numbers of those polygons, from 1.
    numbers: Vec<usize>,
    /// By how much the cuts so far enclose more than the twisted faces, mesh units³.
    over: f64,
    /// By how much cuts all the one or all the other way would, mesh units³.
    either_way: f64,
}

impl Twisted {
    /// Cuts a twisted polygon of four corners so that the sum stays nearest to that of
    /// the twisted faces; `None` for one that is flat, or that only one cut fits.
    fn cut(&mut self, number: usize, ring: &[Vec3]) -> Option<[[u32; 3]; 2]> {
        let [a, b, c, d] = *ring else {
            return None;
        };
        let (ab, ac, ad) = (b - a, c - a, d - a);
        // The tetrahedron between the two cuts: from a–c to b–d it is added.
        let between = ab.dot(&ac.cross(&ad)) / 6.0;
        let size = ac.norm().max((d - b).norm());
        let fits = |one: Vec3, other: Vec3| one.dot(&other) > 0.0;
        let along_ac = fits(ab.cross(&ac), ac.cross(&ad));
        let along_bd = fits(ab.cross(&ad), (c - b).cross(&(d - b)));
        if between.abs() <= FLAT_SHARE * size.powi(3) || !along_ac || !along_bd {
            return None;
        }
        self.numbers.push(number);
        self.either_way += between.abs() / 2.0;
        let [one, other] = [self.over - between / 2.0, self.over + between / 2.0];
        if one.abs() <= other.abs() {
            self.over = one;
            Some([[0, 1, 2], [0, 2, 3]])
        } else {
            self.over = other;
            Some([[0, 1, 3], [1, 2, 3]])
        }
    }

    fn doubt(&self, triangles: &[[[f64; 3]; 3]]) -> Option<Doubt> {
        let volume: f64 = triangles
            .iter()
            .map(|triangle| {
                let [a, b, c] = triangle.map(Vec3::from);
                a.dot(&b.cross(&c)) / 6.0
            })
            .sum();
        let share = self.either_way / volume.abs();
        (share > TOLD_SHARE).then(|| {
            Doubt::new(
                DoubtKind::Defect,
                format!(
                    "{} four-sided faces are not flat (facet {}), so their surface is a guess: they are taken as evenly twisted; split all one way or all the other, the volume would be up to {:.2} % less or more",
                    self.numbers.len(),
                    first_few(self.numbers.iter().copied()),
                    100.0 * share
                ),
            )
        })
    }
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
            twisted: Twisted::default(),
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
        let cut = match self.twisted.cut(number, &self.ring) {
            Some(cut) => cut.to_vec(),
            None => triangulate_ring(&self.ring, |_, _| false).0,
        };
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
        doubts.extend(self.twisted.doubt(&self.triangles));
        doubts.extend(more);
        let mut dropped = self.not_finite;
        dropped.extend(self.wrong_corners);
        dropped.sort_unstable();
        RawMesh {
            surface: weld_equal(self.triangles.len(), |i| Some(self.triangles[i])).0,
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
            carried: None,
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

#[cfg(test)]
mod tests {
    use super::*;

    /// A box 2 × 1 × 1 whose top is one four-sided face with two opposite corners raised
    /// by h: evenly twisted it holds 2 (1 + h/2); cut along the raised corners 2 (1 + h·2/3),
    /// along the others 2 (1 + h/3).
    #[test]
    fn a_twisted_face_is_cut_with_a_doubt_that_says_what_the_other_cut_gives() {
        let h = 0.3;
        let top = [h, 0.0, h, 0.0];
        let corners = [[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [0.0, 1.0]];
        let mut places: Vec<[f64; 3]> = corners.iter().map(|[x, y]| [*x, *y, 0.0]).collect();
        places.extend((0..4).map(|k| [corners[k][0], corners[k][1], 1.0 + top[k]]));
        let mut box_of = Polygons::over(&places);
        for face in [
            [3, 2, 1, 0],
            [4, 5, 6, 7],
            [0, 1, 5, 4],
            [1, 2, 6, 5],
            [2, 3, 7, 6],
            [3, 0, 4, 7],
        ] {
            box_of.add(&face).unwrap();
        }
        let raw = box_of.finish(Vec::new());
        assert_eq!(raw.triangles().len(), 12);
        let volume: f64 = raw
            .triangles()
            .iter()
            .map(|t| {
                let [a, b, c] = t.map(Vec3::from);
                a.dot(&b.cross(&c)) / 6.0
            })
            .sum();
        let twisted = 2.0 * (1.0 + h / 2.0);
        let off = 2.0 * h * (2.0 / 3.0 - 0.5);
        assert!(((volume - twisted).abs() - off).abs() < 1e-12, "{volume}");
        let text = raw.doubts[0].to_string();
        assert!(
            text.contains("1 four-sided faces are not flat (facet 2)"),
            "{text}"
        );
        let said = format!("up to {:.2} %", 100.0 * off / volume);
        assert!(text.contains(&said), "{text}");
    }

    /// A row of faces all twisted alike: the cuts take turns, and the sum comes out.
    #[test]
    fn cuts_of_many_twisted_faces_make_up_for_each_other() {
        let mut twisted = Twisted::default();
        let ring = [
            [0.0, 0.0, 0.1],
            [1.0, 0.0, 0.0],
            [1.0, 1.0, 0.1],
            [0.0, 1.0, 0.0],
        ]
        .map(Vec3::from);
        let cuts: Vec<_> = (0..10).map(|k| twisted.cut(k, &ring).unwrap()).collect();
        assert!(cuts.windows(2).all(|two| two[0] != two[1]));
        assert!(twisted.over.abs() < 1e-15);
        let flat = ring.map(|corner| Vec3::new(corner.x, corner.y, 0.0));
        assert!(twisted.cut(11, &flat).is_none());
    }
}
