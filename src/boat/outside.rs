//! Things that stand outside the envelope, on an outrigger or in an open well:
//! they displace while they are under water.
use std::fmt;
use std::sync::Arc;

use super::MassEntry;
use super::envelope::{BooleanError, Envelope, Joinable, Operation};
use super::opening::ConvexMark;
use crate::immersion::MomentTree;
use crate::mesh::{Reach, Surface, solids};
use crate::numerics::Vec3;

/// Share of a thing's box below which nothing of it counts as outside (or inside):
/// the booleans' own rounding stays far below it.
const NOTHING: f64 = 1e-9;

/// What of a thing with a volume stands outside the envelope. Its volume is taken
/// as spread evenly over its box.
#[derive(Debug, Clone)]
pub struct Outside {
    /// Number of its entry in [`super::Boat::masses`].
    pub entry: usize,
    /// As much of its volume as stands outside, m³.
    pub volume_m3: f64,
    /// Whether the file gives the box (`size`) that its volume fills; where not,
    /// a cube of its volume stands for it.
    pub box_known: bool,
    /// Whether it reaches through the skin: part of it stands inside, and its box
    /// crosses more than caps over open edges.
    pub through_skin: bool,
    /// Bodies whose immersed volumes, each times its factor, add up to what it
    /// displaces: its box, less what of that lies in the envelope. They carry no
    /// skin: the wetted area stays the envelope's.
    pub terms: Vec<(f64, Arc<MomentTree>)>,
}

/// A thing as the box that it takes up.
#[derive(Debug, Clone, Copy)]
pub(super) struct Block {
    pub(super) middle_m: Vec3,
    /// m³.
    pub(super) volume_m3: f64,
    /// The box of the file, or a cube of the volume where it gives none or one
    /// that is too small.
    pub(super) size_m: Vec3,
    pub(super) box_known: bool,
}

impl Block {
    pub(super) fn new(middle_m: Vec3, volume_m3: f64, size_m: Option<Vec3>) -> Self {
        // A box of just its volume may come out less by rounding.
        let roomy = size_m.filter(|size| size.product() * (1.0 + NOTHING) >= volume_m3);
        Self {
            middle_m,
            volume_m3,
            size_m: roomy.unwrap_or_else(|| Vec3::repeat(volume_m3.cbrt())),
            box_known: roomy.is_some(),
        }
    }

    /// Share of the box that is the thing's.
    pub(super) fn share(&self) -> f64 {
        self.volume_m3 / self.size_m.product()
    }

    fn corners_m(&self) -> (Vec3, Vec3) {
        let half = self.size_m / 2.0;
        (self.middle_m - half, self.middle_m + half)
    }

    pub(super) fn surface(&self) -> Surface {
        let (low, high) = self.corners_m();
        solids::cuboid(low, high)
    }
}

/// How a box lies to the envelope.
pub(super) enum Lies {
    Inside,
    Outside,
    /// What of the box lies in the envelope, and whether it crosses skin.
    Across(Surface, bool),
}

/// Tells what of a thing stands outside a boat's envelope.
#[derive(Clone)]
pub struct OutsideFinder {
    whole: Joinable,
}

impl fmt::Debug for OutsideFinder {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("OutsideFinder")
    }
}

impl OutsideFinder {
    /// For the envelope of a boat.
    #[must_use]
    pub fn of(boat: &super::Boat) -> Self {
        Self {
            whole: Joinable::of(Arc::clone(&boat.envelope)),
        }
    }

    /// What of an entry of the boat's masses stands outside with its weight at a
    /// place, its volume moved with it; `None` where nothing does, or where the
    /// file gives it no volume.
    #[must_use]
    pub fn outside(&self, entry: usize, thing: &MassEntry, centre_m: &Vec3) -> Option<Outside> {
        let middle_m = thing.volume_centre_m() + (centre_m - thing.centre_m);
        let block = Block::new(middle_m, thing.solid_m3?, thing.under_water.size_m);
        outside(entry, &block, &lies(&self.whole, &block))
    }
}

/// How a box lies to an envelope. Where the file does not give the box, its middle
/// decides whether it stands inside, and all of it does.
pub(super) fn lies(whole: &Joinable, block: &Block) -> Lies {
    let surface = &whole.envelope().surface;
    let middle_inside = whole.encloses(&block.middle_m);
    if !block.box_known && middle_inside {
        return Lies::Inside;
    }
    let (low, high) = block.corners_m();
    let mark = ConvexMark::cuboid(&low, &high);
    let reaches = |[least, most]: &Reach| {
        (0..3).all(|axis| least[axis] <= high[axis] && most[axis] >= low[axis])
    };
    let meets = |face: usize| {
        let corners = surface.corners(face);
        let [a, b, c] = &corners;
        reaches(&[a.inf(b).inf(c), a.sup(b).sup(c)]) && !mark.part_of(&corners).is_empty()
    };
    let met: Vec<usize> = whole
        .runs()
        .faces(reaches)
        .filter(|&face| meets(face))
        .collect();
    if met.is_empty() {
        return if middle_inside {
            Lies::Inside
        } else {
            Lies::Outside
        };
    }
    let solid = Envelope::of_part(block.surface(), 0);
    match whole.combine(&solid, Operation::Keep) {
        Ok(both) => {
            let inside = both.envelope().surface.clone();
            let share = inside.signed_volume_m3() / block.size_m.product();
            if share >= 1.0 - NOTHING {
                Lies::Inside
            } else if share <= NOTHING {
                Lies::Outside
            } else {
                let sources = &whole.envelope().sources;
                let skin = met.iter().any(|&face| !sources[face].is_bare());
                Lies::Across(inside, skin)
            }
        }
        Err(BooleanError::NothingLeft) => Lies::Outside,
        // An envelope is closed, or the boat was refused.
        Err(BooleanError::NotSolid { .. }) if middle_inside => Lies::Inside,
        Err(BooleanError::NotSolid { .. }) => Lies::Outside,
    }
}

/// What of a box stands outside, of the entry with a number.
pub(super) fn outside(entry: usize, block: &Block, lies: &Lies) -> Option<Outside> {
    let share = block.share();
    let bare = |surface: &Surface| {
        let faces = 0..surface.faces.len();
        Arc::new(MomentTree::new(surface, std::slice::from_ref(&faces)))
    };
    let mut terms = vec![(share, bare(&block.surface()))];
    let mut volume_m3 = block.volume_m3;
    let mut through_skin = false;
    match lies {
        Lies::Inside => return None,
        Lies::Outside => {}
        Lies::Across(inside, skin) => {
            through_skin = *skin;
            volume_m3 -= share * inside.signed_volume_m3();
            terms.push((-share, bare(inside)));
        }
    }
    Some(Outside {
        entry,
        volume_m3,
        box_known: block.box_known,
        through_skin,
        terms,
    })
}
