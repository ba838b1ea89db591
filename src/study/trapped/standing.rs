//! What stands inside and takes room from air and water.
use std::collections::HashMap;

use super::nodes::Inside;
use super::pockets::over;
use crate::boat::Boat;
use crate::immersion::MomentTree;
use crate::mesh::Columns;

/// A thing in a compartment, with the vertical turned to z.
pub(super) struct Standing {
    pub(super) compartment: usize,
    tree: MomentTree,
    /// Share of its block that is solid.
    share: f64,
    /// Stretches of the columns through its block: column, bottom and top, m.
    stretches: Vec<(u32, [f64; 2])>,
}

impl Standing {
    /// Everything that stands in a compartment that floods.
    pub(super) fn of(inside: &Inside, boat: &Boat) -> Vec<Self> {
        let flooding = (0..).zip(&boat.compartments);
        let flooding = flooding.filter(|(_, space)| space.free_flooding);
        let things = flooding.flat_map(|(compartment, space)| {
            space.contents.iter().map(move |thing| (compartment, thing))
        });
        things
            .map(|(compartment, thing)| {
                let block = inside.turned(&thing.surface);
                let columns = Columns::cast(&block, &inside.grid);
                let stretches = (0..).take(inside.grid.columns()).filter_map(|column: u32| {
                    let heights = columns.crossings(column as usize).map(|(z, _)| z);
                    let ends = heights.fold(None, |ends: Option<[f64; 2]>, z| {
                        let [low, high] = ends.unwrap_or([z, z]);
                        Some([low.min(z), high.max(z)])
                    });
                    Some((column, ends?))
                });
                Self {
                    compartment,
                    stretches: stretches.collect(),
                    tree: MomentTree::new(&block, &[]),
                    share: thing.share,
                }
            })
            .collect()
    }

    /// What it takes of a pocket, m³: its volume over the pocket's level, and of that
    /// the share of its columns that lies in the pocket's. `caught` holds from where
    /// to where each column is.
    pub(super) fn within_m3(&self, caught: &HashMap<u32, Vec<[f64; 2]>>, level_m: f64) -> f64 {
        let (mut inside_m, mut over_m) = (0.0, 0.0);
        for (column, [bottom, top]) in &self.stretches {
            over_m += (top - bottom.max(level_m)).max(0.0);
            for [from, to] in caught.get(column).into_iter().flatten() {
                inside_m += (top.min(*to) - bottom.max(*from)).max(0.0);
            }
        }
        if inside_m <= 0.0 {
            return 0.0;
        }
        let solid_m3 = self.share * self.tree.immerse(&over(level_m)).volume_m3;
        solid_m3 * (inside_m / over_m)
    }
}
