//! What a boat file leaves out and its shapes make up for, each told by name; and bare
//! numbers that look like another unit.
use nalgebra::Vector2;

use super::file::{self, BoatFile, BoxShape, Mark, Plug, Shape, Weight};
use super::opening::Opening;
use super::plausible::plain_metres;
use super::{OpeningState, PartAboard};
use crate::mesh::{Doubt, DoubtKind, Surface, place_in_text};
use crate::numerics::{Vec3, convex_hull};
use crate::quantity::sentence;

/// The doubt about a hull whose mass has no centre, and what is taken for it, m.
pub(super) fn hull_centre(at: &Vec3) -> Doubt {
    Doubt::new(
        DoubtKind::Place,
        sentence![
            "[hull] has a mass and no `centre`: its balance is taken at the middle of its skin, ",
            place_in_text(at),
            ", as if that were equally thick all over; balance the bare hull, or weigh it on two scales, and give `centre`"
        ],
    )
}

/// Lays each cover without a shape of its own on its opening's rim.
pub(super) fn lay_covers(file: &BoatFile, openings: &[Opening], parts: &mut [PartAboard]) {
    for (given, part) in file.parts.iter().zip(parts) {
        let is_placed = matches!(
            given.weight,
            Weight::Weighed {
                centre: Some(_),
                ..
            }
        );
        let opening = openings
            .iter()
            .find(|opening| given.covers.as_ref() == Some(&opening.name));
        if let (Shape::OnRim, false, Some(opening), Some(mass)) =
            (&given.shape, is_placed, opening, &mut part.mass)
        {
            mass.centre_m = middle_of_rim(&opening.rim);
        }
    }
}

/// Middle of the area that a rim goes round in plan, at the mean height of its points;
/// half-way between its ends where it stands upright, m.
fn middle_of_rim(rim: &[Vec3]) -> Vec3 {
    let (lo, hi) = rim.iter().fold(
        (Vec3::repeat(f64::INFINITY), Vec3::repeat(f64::NEG_INFINITY)),
        |(lo, hi), p| (lo.inf(p), hi.sup(p)),
    );
    let half_way = (lo + hi) / 2.0;
    let ring = convex_hull(rim.iter().map(|p| (p - half_way).xy()).collect());
    let runs = ring.iter().zip(ring.iter().cycle().skip(1));
    let (area2, moment) = runs.fold((0.0, Vector2::zeros()), |(area2, moment), (a, b)| {
        let part = a.perp(b);
        (area2 + part, moment + (a + b) * (part / 3.0))
    });
    if area2.abs() < 1e-3 * (hi - lo).xy().norm_squared() {
        return half_way;
    }
    let at = moment / area2;
    let height = rim.iter().map(|p| p.z).sum::<f64>() / rim.len() as f64;
    Vec3::new(half_way.x + at.x, half_way.y + at.y, height)
}

/// The doubts about parts made from the hull whose weight the file does not say.
pub(super) fn usual_laminates(file: &BoatFile) -> impl Iterator<Item = Doubt> + '_ {
    let parts = file.parts.iter().filter(|part| part.laid_up_as_usual);
    parts.map(|part| {
        Doubt::new(
            DoubtKind::Place,
            format!(
                "part \"{}\": its weight is not given; it is taken as 3 layers of 200 g/m² cloth with as much resin, 1.2 kg/m²: give its `laminate`, or its `mass`",
                part.name
            ),
        )
    })
}

/// What was found of how walls lie whose tops are level at rest.
pub(super) fn level_walls(file: &BoatFile) -> impl Iterator<Item = Doubt> + '_ {
    file.parts.iter().filter_map(|part| {
        let file::Shape::Wall(wall) = &part.shape else {
            return None;
        };
        let [heel, pitch] = wall.level_at.filter(|_| wall.level_at_rest)?;
        // Never minus nought.
        let [heel, pitch] = [heel, pitch].map(|q| (q.value * 100.0).round() / 100.0 + 0.0);
        let text = format!(
            "part \"{}\": its top is level as the craft lies at rest with what the file has aboard, at heel {heel:.2}° and pitch {pitch:.2}°; it stays so whatever is moved, added or left out then",
            part.name
        );
        Some(Doubt::new(DoubtKind::Place, text))
    })
}

/// Something that the boat file leaves open, and that is taken for the worse.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LeftOpen {
    /// Whether a drain's plug is in: taken as out.
    Plug {
        /// The drain.
        drain: String,
    },
    /// What a part weighs: taken as nothing.
    Mass {
        /// The part.
        part: String,
    },
}

/// Drains of which the file does not say whether their plug is in.
pub(super) fn plugs(file: &BoatFile) -> impl Iterator<Item = LeftOpen> + '_ {
    let drains = file
        .openings
        .iter()
        .filter(|opening| opening.state == OpeningState::Drain && opening.plug != Some(Plug::Out));
    drains.map(|drain| LeftOpen::Plug {
        drain: drain.name.clone(),
    })
}

/// Doubts about openings whose mark is wider than the hull, whose size is this, m.
pub(super) fn wide_marks<'a>(
    file: &'a BoatFile,
    size_m: &Vec3,
) -> impl Iterator<Item = Doubt> + 'a {
    let size_m = *size_m;
    file.openings.iter().filter_map(move |opening| {
        let wide = width_m(opening)?;
        let text = too_wide(wide, &size_m)?;
        let text = format!("opening \"{}\" ({}): {text}", opening.name, opening.place);
        Some(Doubt::new(DoubtKind::Unit, text))
    })
}

/// The same as a hint behind an error.
pub(super) fn wide_mark(opening: &file::Opening, craft: &Surface) -> Option<String> {
    let (lo, hi) = craft.bounds()?;
    let text = too_wide(width_m(opening)?, &(hi - lo))?;
    Some(format!(" ({text})"))
}

/// How wide the mark of an opening is across its second longest side, m: the longest
/// only says how far it reaches through the skin.
fn width_m(opening: &file::Opening) -> Option<f64> {
    match opening.mark.as_ref()? {
        Mark::Cylinder(cylinder) => Some(2.0 * cylinder.radius.value),
        Mark::Box(shape) => {
            let (lo, hi) = BoxShape::corners_m(shape);
            let mut sides: [f64; 3] = (hi - lo).into();
            sides.sort_by(f64::total_cmp);
            Some(sides[1])
        }
        _ => None,
    }
}

fn too_wide(wide_m: f64, size_m: &Vec3) -> Option<String> {
    let mut sides: [f64; 3] = (*size_m).into();
    sides.sort_by(f64::total_cmp);
    (wide_m > sides[1]).then(|| {
        format!(
            "its mark is {} wide, wider than the hull: bare numbers are metres; write its numbers with \"mm\" if millimetres are meant",
            plain_metres(wide_m)
        )
    })
}
