//! The inside as stretches of vertical columns, and the ways from one to the next.
use std::collections::HashMap;

use nalgebra::Rotation3;

use crate::boat::{Boat, Compartment, FaceSource, Opening};
use crate::equilibrium::OpeningSheet;
use crate::mesh::{AUDIT_COLUMNS, Columns, Grid, Surface};
use crate::numerics::Vec3;

/// How near a column's crossing must be to a cap's to be on it, m: rounding of
/// booleans that cut the cap into other triangles.
const ON_CAP_M: f64 = 1e-7;
/// How many cells from a rim point a stretch may lie and still be beside it.
const BESIDE_CELLS: f64 = 2.0;
/// Samples of an opening's sheet along its longest side at most.
const MOST_SAMPLES: f64 = 64.0;

/// A stretch of a column that lies inside a compartment. Heights are along the
/// vertical.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stretch {
    pub(super) column: u32,
    pub(super) compartment: u16,
    pub(super) bottom: f64,
    pub(super) top: f64,
}

/// A way out of a stretch: the height of its highest point.
#[derive(Debug, Clone, Copy)]
pub(super) struct Exit {
    pub(super) height: f64,
    pub(super) opening: usize,
}

/// The way out of each stretch that has one.
pub(super) type Exits = HashMap<u32, Exit>;

/// All stretches of the compartments that flood, with a vertical turned to z.
pub(super) struct Inside {
    pub(super) grid: Grid,
    pub(super) stretches: Vec<Stretch>,
    /// Where each column's stretches begin.
    start: Vec<u32>,
    /// Turned surfaces of the compartments, by number; `None` for those that do
    /// not flood.
    pub(super) surfaces: Vec<Option<Surface>>,
    to_z: Rotation3<f64>,
}

impl Inside {
    /// `None` where nothing that floods has an extent.
    pub(super) fn of(boat: &Boat, up: &Vec3) -> Option<Self> {
        let to_z = Rotation3::rotation_between(up, &Vec3::z())
            .unwrap_or_else(|| Rotation3::from_axis_angle(&Vec3::x_axis(), std::f64::consts::PI));
        let turned = |space: &Compartment| turned_by(&to_z, space.surface());
        let surfaces: Vec<Option<Surface>> = boat
            .compartments
            .iter()
            .map(|space| space.free_flooding.then(|| turned(space)))
            .collect();
        let present: Vec<&Surface> = surfaces.iter().flatten().collect();
        let grid = Grid::over(&present, 0.0, AUDIT_COLUMNS)?;
        let casts: Vec<(u16, Columns)> = (0..)
            .zip(&surfaces)
            .filter_map(|(number, surface)| Some((number, Columns::cast(surface.as_ref()?, &grid))))
            .collect();
        let mut stretches = Vec::new();
        let mut start = vec![0];
        for column in 0..grid.columns() {
            for (compartment, columns) in &casts {
                let mut wraps = 0;
                let mut bottom = 0.0;
                for (z, enters) in columns.crossings(column) {
                    let was = wraps;
                    wraps += enters;
                    if was <= 0 && wraps > 0 {
                        bottom = z;
                    } else if was > 0 && wraps <= 0 && z > bottom {
                        stretches.push(Stretch {
                            column: u32::try_from(column).unwrap_or(u32::MAX),
                            compartment: *compartment,
                            bottom,
                            top: z,
                        });
                    }
                }
            }
            start.push(u32::try_from(stretches.len()).unwrap_or(u32::MAX));
        }
        Some(Self {
            grid,
            stretches,
            start,
            surfaces,
            to_z,
        })
    }

    /// A surface with the vertical turned to z.
    pub(super) fn turned(&self, surface: &Surface) -> Surface {
        turned_by(&self.to_z, surface)
    }

    /// A point over a column's middle, in the boat frame.
    pub(super) fn point_m(&self, column: u32, height: f64) -> Vec3 {
        self.to_z.inverse() * self.grid.centre(column as usize, height)
    }

    fn in_column(&self, column: usize) -> std::ops::Range<u32> {
        self.start[column]..self.start[column + 1]
    }

    /// Stretches of the eight columns around that share some height with this one
    /// within its compartment, each with the highest height they share.
    pub(super) fn beside(&self, stretch: u32) -> impl Iterator<Item = (u32, f64)> + '_ {
        let here = self.stretches[stretch as usize];
        let around = self.grid.around(here.column as usize);
        around
            .flat_map(|column| self.in_column(column))
            .filter_map(move |other| {
                let there = self.stretches[other as usize];
                let shared = here.top.min(there.top);
                let open =
                    there.compartment == here.compartment && shared > here.bottom.max(there.bottom);
                open.then_some((other, shared))
            })
    }

    /// Of every stretch with ways out through openings that are not covered the
    /// highest, by the first opening where several are as high: many openings with
    /// rims of many points have millions.
    pub(super) fn exits(&self, boat: &Boat) -> Exits {
        let mut exits = Exits::new();
        for (number, opening) in boat.openings.iter().enumerate() {
            if !opening.lets_water_in() {
                continue;
            }
            for point in &opening.rim {
                self.push_exits_beside(number, opening, point, &mut exits);
            }
            match opening.cap {
                Some(cap) => self.push_exits_on_cap(number, boat, cap, &mut exits),
                None => {
                    if let Some(sheet) = OpeningSheet::of_rim(&opening.rim) {
                        for point in samples(sheet.corners_m(), self.grid.cell_m()) {
                            self.push_exits_beside(number, opening, &point, &mut exits);
                        }
                    }
                }
            }
        }
        exits
    }

    /// Every stretch that ends on an opening's cap goes out there.
    fn push_exits_on_cap(&self, opening: usize, boat: &Boat, cap: FaceSource, exits: &mut Exits) {
        let envelope = &boat.envelope;
        let faces = envelope.surface.faces.iter().zip(&envelope.sources);
        let surface = Surface {
            vertices: envelope
                .surface
                .vertices
                .iter()
                .map(|vertex| self.to_z * *vertex)
                .collect(),
            faces: faces
                .filter(|(_, source)| **source == cap)
                .map(|(face, _)| *face)
                .collect(),
        };
        let columns = Columns::cast(&surface, &self.grid);
        for column in 0..self.grid.columns() {
            for (z, _) in columns.crossings(column) {
                for stretch in self.in_column(column) {
                    let here = self.stretches[stretch as usize];
                    let ends = [here.bottom, here.top];
                    if ends.iter().any(|end| (end - z).abs() <= ON_CAP_M) {
                        keep_highest(exits, stretch, Exit { height: z, opening });
                    }
                }
            }
        }
    }

    /// The stretches within a few cells of a point of an opening that reach its
    /// height.
    fn push_exits_beside(&self, number: usize, opening: &Opening, point: &Vec3, exits: &mut Exits) {
        let mut spaces: Vec<Option<usize>> = opening.spaces().map(|(k, _)| Some(k)).collect();
        if spaces.is_empty() {
            spaces.push(None);
        }
        for (stretch, height) in spaces.into_iter().flat_map(|k| self.near(point, k)) {
            let opening = number;
            keep_highest(exits, stretch, Exit { height, opening });
        }
    }

    /// Stretches of a compartment within a few cells of a point that reach its
    /// height, and the height at which they are left for it.
    pub(super) fn near(&self, point: &Vec3, compartment: Option<usize>) -> Vec<(u32, f64)> {
        let turned = self.to_z * *point;
        let within = BESIDE_CELLS * self.grid.cell_m();
        self.grid
            .within(&turned, within)
            .into_iter()
            .flat_map(|column| self.in_column(column))
            .filter_map(|stretch| {
                let here = self.stretches[stretch as usize];
                let reaches = here.bottom - within <= turned.z && turned.z <= here.top + within;
                let belongs = compartment.is_none_or(|c| c == usize::from(here.compartment));
                (reaches && belongs).then(|| (stretch, turned.z.min(here.top)))
            })
            .collect()
    }

    /// Pairs of stretches that a passage through a bulkhead joins, and the highest
    /// height at which it does.
    pub(super) fn passages(&self, boat: &Boat) -> Vec<(u32, u32, f64)> {
        let mut joined = Vec::new();
        for passage in &boat.passages {
            for point in &passage.rim {
                let [one, other] = passage.between.map(|c| self.near(point, Some(c)));
                for (a, from) in &one {
                    for (b, to) in &other {
                        joined.push((*a, *b, from.min(*to)));
                    }
                }
            }
        }
        joined
    }
}

fn turned_by(to_z: &Rotation3<f64>, surface: &Surface) -> Surface {
    let mut turned = surface.clone();
    for vertex in &mut turned.vertices {
        *vertex = to_z * *vertex;
    }
    turned
}

fn keep_highest(exits: &mut Exits, stretch: u32, exit: Exit) {
    let kept = exits.entry(stretch).or_insert(exit);
    if exit.height > kept.height {
        *kept = exit;
    }
}

/// Points of a convex sheet, at most a cell apart or as many as are bearable.
fn samples(corners: &[Vec3], cell_m: f64) -> Vec<Vec3> {
    let Some((first, rest)) = corners.split_first() else {
        return Vec::new();
    };
    let mut points = Vec::new();
    for pair in rest.windows(2) {
        let [u, v] = [pair[0] - first, pair[1] - first];
        let longest = u.norm().max(v.norm());
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most MOST_SAMPLES"
        )]
        let steps = (longest / cell_m).ceil().clamp(1.0, MOST_SAMPLES) as u32;
        for i in 0..=steps {
            for j in 0..=steps - i {
                let [s, t] = [i, j].map(|k| f64::from(k) / f64::from(steps));
                points.push(first + u * s + v * t);
            }
        }
    }
    points
}
