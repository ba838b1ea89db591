//! Parts as they sit on the craft, with what they are cut from.
use nalgebra::Vector2;

use super::{MassEntry, Role};
use crate::mesh::Surface;
use crate::numerics::Vec3;

/// One part as it sits on the craft.
#[derive(Debug, Clone)]
pub struct PartAboard {
    /// Its name.
    pub name: String,
    /// What it does to the envelope.
    pub role: Role,
    /// What it weighs and where; `None` where the file does not say. The same
    /// entry stands in [`Boat::masses`](super::Boat::masses).
    pub mass: Option<MassEntry>,
    /// What it changes of the envelope, as the faces that came with it and,
    /// turned over, those that went: a closed surface whose immersed volume is
    /// what the part adds to the displaced volume, negative where it takes
    /// away. Empty for a cover.
    pub change: Surface,
    /// The sheets that it is made of, where it is made of sheets.
    pub sheets: Vec<PartSheet>,
    /// The block that it fills the inside with, where it does.
    pub block: Option<FoamBlock>,
    /// Whether it is made along the outside of the hull or into that: a sponson, a skeg, a
    /// pocket.
    pub is_on_skin: bool,
}

impl PartAboard {
    /// The curves of the bulkheads that it puts inside the envelope, m.
    pub fn bulkheads(&self) -> impl Iterator<Item = &Vec<Vec3>> {
        let inside = self.sheets.iter().filter(|sheet| sheet.is_inside);
        inside.flat_map(|sheet| match &sheet.lies {
            SheetLies::Across(curves) => curves.as_slice(),
            _ => &[],
        })
    }
}

/// A sheet that a part is made of, as it lies on the craft.
#[derive(Debug, Clone)]
pub struct PartSheet {
    /// What of the part it is.
    pub name: &'static str,
    /// Its shape.
    pub lies: SheetLies,
    /// Whether it stands inside the envelope, as a bulkhead does.
    pub is_inside: bool,
}

impl PartSheet {
    /// One that is on the envelope.
    pub(super) fn outside(name: &'static str, lies: SheetLies) -> Self {
        Self {
            name,
            lies,
            is_inside: false,
        }
    }

    /// A bulkhead by its curves, m.
    pub(super) fn bulkhead(name: &'static str, curves: Vec<Vec<Vec3>>) -> Self {
        Self {
            name,
            lies: SheetLies::Across(curves),
            is_inside: true,
        }
    }
}

/// How a sheet lies, boat frame, m.
#[derive(Debug, Clone)]
pub enum SheetLies {
    /// Flat across the boat: its closed curves.
    Across(Vec<Vec<Vec3>>),
    /// As the pattern that it was drawn on the skin by: its corners to the right and up, m, as
    /// they are seen from outside along a direction.
    Drawn {
        /// In turn.
        corners: Vec<Vector2<f64>>,
        /// Out of the skin.
        out: Vec3,
    },
    /// All of it facing about one way, its outside.
    Facing(Surface),
    /// Standing: its outside faces away from what it goes round, the first side of its first
    /// face along its foot.
    Standing(Surface),
}

/// A block of foam fitted to the inside.
#[derive(Debug, Clone)]
pub struct FoamBlock {
    /// Its closed outward surface, boat frame, m.
    pub solid: Surface,
    /// Thickness of the sheets that it is cut from, m; `None` where the file says nothing.
    pub sheet_m: Option<f64>,
    /// Of the foam.
    pub density_kg_m3: f64,
}
