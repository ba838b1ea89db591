//! Parts made from the hull by few numbers: decks laid over openings, bulkheads fitted to
//! the inside, sponsons and skegs along the outside.
mod along;
mod deck;
mod fill;

pub(super) use along::{skeg, sponson};
pub(super) use deck::laid;
pub(super) use fill::filling;

use super::envelope::{AreaMoment, Envelope};
use crate::boat::NotOnSkin;
use crate::mesh::Slicer;
use crate::numerics::Vec3;
use crate::quantity::{Dimension, Quantity, UnitSystem};

/// Why the hull gives no such part.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CannotBuild {
    /// The opening is none that has an edge of its own.
    #[error(
        "there is no open edge \"{0}\" to lay it over: `over` takes the name of an [[opening]] with `loop = n`, or with the `wall` of a part before this one"
    )]
    NoEdge(String),
    /// Something passes through the opening.
    #[error(
        "the opening has {0} edges: something passes through it, or a deck before this one has split it. Put this part before that one in the file, or give an end that lies in the stretch that is meant"
    )]
    SeveralEdges(usize),
    /// The opening's edge does not lie round a level middle.
    #[error(
        "the opening does not face up: a deck goes from side to side over an opening that does"
    )]
    NotLevel,
    /// A station that does not cross the opening.
    #[error("it would {end} at x {}, and the opening runs from x {} to {}", length(*.at_m), length(*.from_m), length(*.to_m))]
    EndOffOpening {
        /// "begin" or "end".
        end: &'static str,
        /// The station, m.
        at_m: f64,
        /// The opening's least x, m.
        from_m: f64,
        /// Its greatest, m.
        to_m: f64,
    },
    /// The edge runs back on itself.
    #[error(
        "the edge of the opening runs back on itself at x {}, so a deck cannot span it there: end the deck before that, or draw it by points (`outline`)", length(*.0)
    )]
    RunsBack(f64),
    /// A filling of nothing.
    #[error("nothing of the hull's inside lies between its bounds that no item takes")]
    NothingInside,
    /// A pocket off the skin.
    #[error(transparent)]
    NotOnSkin(#[from] NotOnSkin),
    /// A pocket that comes out again.
    #[error(
        "its floor lies outside the hull at x {}, y {}, z {}: it breaks through the hull or runs over its edge; make it shallower or smaller",
        length(_0[0]), length(_0[1]), length(_0[2])
    )]
    Through([f64; 3]),
    /// No hull at a station.
    #[error("there is no hull at x {}", length(*.0))]
    NoHull(f64),
    /// No side of the hull at a height.
    #[error("at x {} the hull has no {side} side at height z {}", length(*.x_m), length(*.z_m))]
    NoSide {
        /// "port" or "starboard".
        side: &'static str,
        /// The station, m.
        x_m: f64,
        /// The height, m.
        z_m: f64,
    },
    /// No bottom of the hull beneath a line.
    #[error("at x {} the hull has no bottom at y {}", length(*.x_m), length(*.y_m))]
    NoBottom {
        /// The station, m.
        x_m: f64,
        /// Across, m.
        y_m: f64,
    },
}

/// On the hull's very end there is no section: it is taken this share of its length inside.
const INSIDE: f64 = 1e-6;

fn length(metres: f64) -> String {
    Quantity::exact(metres).show(Dimension::Length, UnitSystem::Metric)
}

/// The area inside an envelope at a station, as a sheet fitted there has it, and its curves.
///
/// # Errors
/// [`CannotBuild::NoHull`] where there is none.
pub(super) fn across(
    envelope: &Envelope,
    x_m: f64,
) -> Result<(AreaMoment, Vec<Vec<Vec3>>), CannotBuild> {
    let measured_m = just_inside(envelope, 0.0)(x_m);
    let section = Slicer::of(&envelope.surface).section(0, measured_m);
    let middle = section.centroid_m().ok_or(CannotBuild::NoHull(x_m))?;
    let area_m2 = section.area_m2();
    let area = AreaMoment {
        area_m2,
        moment_m3: middle * area_m2,
    };
    let curves = section.loops.into_iter().map(|one| one.points);
    Ok((area, curves.collect()))
}

/// Where the hull is measured for a station: there, or a little inside the hull's own end where
/// the station lies at that, or past it by no more than `within_m`.
fn just_inside(hull: &Envelope, within_m: f64) -> impl Fn(f64) -> f64 + use<> {
    let (lo, hi) = hull.surface.bounds().unwrap_or_default();
    let inside_m = INSIDE * (hi.x - lo.x);
    move |x_m| {
        let near_m = x_m.clamp(lo.x + inside_m, hi.x - inside_m);
        match (near_m - x_m).abs() <= inside_m.max(within_m) {
            true => near_m,
            false => x_m,
        }
    }
}
