//! How far off masses and places may be: independent errors, each with what it does
//! to the mass and to the moment of all aboard.
use serde::Serialize;

use super::file::{Point, point_m};
use super::{Boat, MassEntry, MassKind};
use crate::numerics::Vec3;
use crate::quantity::Quantity;

/// One thing about what is aboard that is not known exactly, independent of all
/// others; to the first order.
#[derive(Debug, Clone, PartialEq)]
pub struct MassError {
    /// What is not known.
    pub name: String,
    /// What its ± adds to the mass of all aboard, kg.
    pub mass_kg: f64,
    /// And to that mass times its centre, about the boat frame's origin, kg·m.
    pub moment_kg_m: Vec3,
    /// So many ± the other way and nothing of the mass is left; infinite where no one
    /// mass is in error.
    pub most_down: f64,
}

/// Mass and centre of all that was aboard when it was measured, `[hull] measured`:
/// they are known better than those of its things, and the hull makes up the rest.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MeasuredWhole {
    /// Mass of all aboard then, kg.
    pub mass: Quantity,
    /// Its centre, boat frame, m.
    pub centre: Point,
    /// How much mass, x, y and z with their ± go together, −1 to 1.
    pub correlation: [[f64; 4]; 4],
    /// Whatever had a ± then, the hull excepted.
    pub aboard: Vec<AboardThen>,
}

/// A thing that was aboard when all was measured.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AboardThen {
    /// Its name.
    pub name: String,
    /// Its mass then, kg.
    pub mass: Quantity,
    /// Where it was, boat frame, m.
    pub at: Point,
}

/// The axes of the boat frame, in words.
const AXES: [&str; 3] = ["fore and aft", "across", "up"];
/// Two numbers of a file that was written and read again are one within this share.
const SAME_WITHIN: f64 = 1e-9;

impl MassError {
    fn of_mass(name: &str, mass_kg: f64, spread_kg: f64, centre_m: Vec3) -> Self {
        Self {
            name: format!("mass of {name}"),
            mass_kg: spread_kg,
            moment_kg_m: centre_m * spread_kg,
            most_down: mass_kg / spread_kg,
        }
    }

    fn of_place(name: &str, mass_kg: f64, spread_m: Vec3) -> Vec<Self> {
        let axes = AXES.iter().enumerate();
        let errors = axes.map(|(axis, words)| {
            let mut moment_kg_m = Vec3::zeros();
            moment_kg_m[axis] = mass_kg * spread_m[axis];
            Self {
                name: format!("place of {name} {words}"),
                mass_kg: 0.0,
                moment_kg_m,
                most_down: f64::INFINITY,
            }
        });
        errors.collect()
    }

    fn is_any(&self) -> bool {
        self.mass_kg != 0.0 || self.moment_kg_m != Vec3::zeros()
    }
}

impl MeasuredWhole {
    /// The errors of the whole, apart from each other: the first is the mass's with
    /// what goes along with it, then x's, y's and z's (Cholesky's factor of the
    /// covariance).
    #[must_use]
    pub fn errors(&self) -> Vec<MassError> {
        const WHAT: [&str; 4] = ["mass", "place fore and aft", "place across", "height"];
        let Some(lower) = lower_factor(&self.correlation) else {
            return Vec::new();
        };
        let spread = [self.mass, self.centre[0], self.centre[1], self.centre[2]].map(|q| q.spread);
        let row = |row: usize, column: usize| spread[row] * lower[row][column];
        WHAT.iter()
            .enumerate()
            .map(|(column, what)| {
                let mass_kg = row(0, column);
                let off = Vec3::new(row(1, column), row(2, column), row(3, column));
                MassError {
                    name: format!("{what} of all aboard, as measured (measure more, or finer, and run awash calibrate)"),
                    mass_kg,
                    moment_kg_m: point_m(&self.centre) * mass_kg + off * self.mass.value,
                    most_down: f64::INFINITY,
                }
            })
            .filter(MassError::is_any)
            .collect()
    }

    /// The errors of what else was aboard then.
    #[must_use]
    pub fn errors_aboard(&self) -> Vec<MassError> {
        let errors = self.aboard.iter().flat_map(AboardThen::errors);
        errors.filter(MassError::is_any).collect()
    }
}

/// `L` with `L Lᵀ` the matrix; a row of noughts where nothing is left of the diagonal.
/// `None` where it is no matrix of correlations.
#[must_use]
pub(crate) fn lower_factor(matrix: &[[f64; 4]; 4]) -> Option<[[f64; 4]; 4]> {
    /// Correlations are written with some ten digits.
    const LEFT_WITHIN: f64 = 1e-7;
    let mut lower = [[0.0_f64; 4]; 4];
    for column in 0..4 {
        for row in column..4 {
            let done: f64 = (0..column).map(|k| lower[row][k] * lower[column][k]).sum();
            let left: f64 = matrix[row][column] - done;
            if row == column {
                if left < -LEFT_WITHIN {
                    return None;
                }
                lower[row][row] = left.max(0.0).sqrt();
            } else if lower[column][column] > LEFT_WITHIN {
                lower[row][column] = left / lower[column][column];
            }
        }
    }
    Some(lower)
}

impl Boat {
    /// Everything about masses and their places that carries a ±. Where the whole was
    /// measured the hull is what is left of it: what a thing then aboard weighs more,
    /// the hull weighs less.
    #[must_use]
    pub fn mass_errors(&self) -> Vec<MassError> {
        let mut errors = Vec::new();
        let whole = self.measured.as_ref().filter(|_| self.has_hull_mass);
        errors.extend(whole.into_iter().flat_map(MeasuredWhole::errors));
        let mut then: Vec<&AboardThen> = whole.map_or_else(Vec::new, |w| w.aboard.iter().collect());
        let left_over = |entry: &&MassEntry| whole.is_some() && entry.kind == MassKind::Hull;
        for entry in self.masses.iter().filter(|entry| !left_over(entry)) {
            let same = then.iter().position(|then| then.is(entry));
            let same = same.map(|index| then.swap_remove(index));
            let mut mass =
                MassError::of_mass(&entry.name, entry.mass_kg, entry.spread_kg, entry.centre_m);
            let mut places = Vec::new();
            if let Some(then) = same {
                mass.mass_kg = 0.0;
                mass.moment_kg_m -= point_m(&then.at) * then.mass.spread;
                if !then.is_there(entry) {
                    places.extend(then.place_on_the_hull());
                    places.extend(entry.place_errors());
                }
            } else {
                places.extend(entry.place_errors());
            }
            errors.extend(std::iter::once(mass).chain(places));
        }
        errors.extend(then.iter().flat_map(|gone| gone.errors()));
        errors.retain(MassError::is_any);
        errors
    }

    /// How far off the mass of everything aboard may be, kg: root of the sum of the
    /// squares of the independent errors.
    #[must_use]
    pub fn mass_spread_kg(&self) -> f64 {
        let errors = self.mass_errors();
        errors.iter().map(|e| e.mass_kg.powi(2)).sum::<f64>().sqrt()
    }

    /// How far off its centre may be along x, y, z, m, likewise.
    #[must_use]
    pub fn centre_spread_m(&self) -> Vec3 {
        let (mass, centre) = (self.mass_kg(), self.centre_of_gravity_m());
        if mass <= 0.0 {
            return Vec3::zeros();
        }
        let squares = self.mass_errors().iter().fold(Vec3::zeros(), |sum, error| {
            let off = (error.moment_kg_m - centre * error.mass_kg) / mass;
            sum + off.component_mul(&off)
        });
        squares.map(f64::sqrt)
    }
}

impl MassEntry {
    fn place_errors(&self) -> Vec<MassError> {
        MassError::of_place(&self.name, self.mass_kg, self.centre_spread_m)
    }
}

impl AboardThen {
    /// Whether a thing aboard is this one, so that its mass is off by as much.
    fn is(&self, entry: &MassEntry) -> bool {
        self.name == entry.name
            && is_one(self.mass.value, entry.mass_kg)
            && is_one(self.mass.spread, entry.spread_kg)
    }

    /// Whether it still stands where it stood, so that its place is off by as much.
    fn is_there(&self, entry: &MassEntry) -> bool {
        (0..3).all(|axis| {
            is_one(self.at[axis].value, entry.centre_m[axis])
                && is_one(self.at[axis].spread, entry.centre_spread_m[axis])
        })
    }

    /// What its mass and place then, off, make of the hull's.
    fn errors(&self) -> Vec<MassError> {
        let name = format!("{} when all was measured", self.name);
        let mass = MassError {
            most_down: f64::INFINITY,
            ..MassError::of_mass(&name, self.mass.value, self.mass.spread, point_m(&self.at))
        };
        std::iter::once(mass)
            .chain(self.place_on_the_hull())
            .collect()
    }

    /// What its place then, off, makes of the hull's.
    fn place_on_the_hull(&self) -> Vec<MassError> {
        let name = format!("{} when all was measured", self.name);
        MassError::of_place(&name, self.mass.value, spread_m(&self.at))
    }
}

fn spread_m(point: &Point) -> Vec3 {
    Vec3::new(point[0].spread, point[1].spread, point[2].spread)
}

fn is_one(a: f64, b: f64) -> bool {
    (a - b).abs() <= SAME_WITHIN * (1.0 + a.abs())
}
