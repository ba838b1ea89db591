//! The rims through which water comes in, and the lowest point of them all.
use crate::boat::{Opening, lowest_along};
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// The rims of the openings that let water in, boat frame, m.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Sills {
    rims: Vec<(usize, Vec<Vec3>)>,
}

/// The lowest rim point at one water plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sill {
    /// Number of the opening in the list that [`Sills::of`] was made of.
    pub opening: usize,
    /// The point, boat frame, m.
    pub point_m: Vec3,
    /// Its height above the water, m.
    pub height_m: f64,
}

impl Sills {
    /// Those of `openings` that are not covered.
    #[must_use]
    pub fn of(openings: &[Opening]) -> Self {
        Self {
            rims: openings
                .iter()
                .enumerate()
                .filter(|(_, opening)| opening.lets_water_in() && !opening.rim.is_empty())
                .map(|(index, opening)| (index, opening.rim.clone()))
                .collect(),
        }
    }

    /// The same rims, each moved up along the boat's z, m; `raised_m` goes by
    /// the number of the opening.
    #[must_use]
    pub fn raised(&self, raised_m: &[f64]) -> Self {
        let rims = self.rims.iter().map(|(index, rim)| {
            let up = Vec3::z() * raised_m[*index];
            (*index, rim.iter().map(|point| point + up).collect())
        });
        Self {
            rims: rims.collect(),
        }
    }

    /// Whether no opening lets water in.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.rims.is_empty()
    }

    /// Number of each opening and its rim.
    pub fn rims(&self) -> impl Iterator<Item = (usize, &[Vec3])> {
        self.rims
            .iter()
            .map(|(index, rim)| (*index, rim.as_slice()))
    }

    /// The lowest point of each rim above the water.
    pub fn each(&self, plane: &WaterPlane) -> impl Iterator<Item = Sill> {
        self.rims
            .iter()
            .filter_map(move |(index, rim)| lowest_of(*index, rim, plane))
    }

    /// The lowest point of all; `None` when nothing lets water in.
    #[must_use]
    pub fn lowest(&self, plane: &WaterPlane) -> Option<Sill> {
        self.each(plane)
            .min_by(|a, b| a.height_m.total_cmp(&b.height_m))
    }

    /// Height of the lowest point above the water, m; infinite when nothing
    /// lets water in.
    #[must_use]
    pub fn height_m(&self, plane: &WaterPlane) -> f64 {
        self.lowest(plane)
            .map_or(f64::INFINITY, |sill| sill.height_m)
    }
}

fn lowest_of(opening: usize, rim: &[Vec3], plane: &WaterPlane) -> Option<Sill> {
    let point_m = *rim.get(lowest_along(rim, &plane.up))?;
    Some(Sill {
        opening,
        point_m,
        height_m: plane.height_m(&point_m),
    })
}
