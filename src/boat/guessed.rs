//! What a boat file leaves out and its shapes make up for, each told by name; and bare
//! numbers that look like another unit.
use nalgebra::Vector2;

use super::file::{self, BoatFile, BoxShape, Built, Mark, Plug, Shape, Weight};
use super::opening::Opening;
use super::plausible::plain_metres;
use super::winding::encloses;
use super::{OpeningState, PartAboard, SheetLies};
use crate::mesh::{Doubt, DoubtKind, Surface, place_in_text};
use crate::numerics::{Vec3, convex_hull, go_round};
use crate::quantity::{Dimension, Piece, sentence};

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

/// How far beside an item's room foam is looked for, m, and how long a deck with one end given
/// is, m, that is doubted. Ours.
const BESIDE_M: f64 = 0.005;
const LONG_DECK_M: f64 = 2.0;

/// A box that reaches no farther past a bulkhead than this stands against it, m. Ours.
const JUST_TOUCHES_M: f64 = 0.001;

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

/// The doubts about laminates whose resin the file does not say.
pub(super) fn usual_resin(file: &BoatFile) -> impl Iterator<Item = Doubt> + '_ {
    let is_usual = |weight: &Weight| match weight {
        Weight::Skin(skin) => skin.resin_as_usual,
        Weight::Foam(foam) => foam.glass.is_some_and(|glass| glass.resin_as_usual),
        Weight::Weighed { .. } | Weight::Unknown => false,
    };
    let hull = is_usual(&file.hull.weight).then(|| "[hull]".to_owned());
    let parts = file.parts.iter().filter(move |part| is_usual(&part.weight));
    let parts = parts.map(|part| format!("part \"{}\"", part.name));
    hull.into_iter().chain(parts).map(|owner| {
        let text = format!(
            "{owner}: its laminate's resin is not given; it is taken as 1:1, glass to resin by weight: give `resin`"
        );
        Doubt::new(DoubtKind::Place, text)
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
            "part \"{}\": its top is level as the craft lies at rest with what the file has aboard, at heel {heel:.2}° and pitch {pitch:.2}°; it stays so whatever is moved, added or left out later",
            part.name
        );
        Some(Doubt::new(DoubtKind::Place, text))
    })
}

/// The doubts about items whose box passes through a bulkhead that a part puts inside.
pub(super) fn through_bulkheads<'a>(
    file: &'a BoatFile,
    parts: &'a [PartAboard],
) -> impl Iterator<Item = Doubt> + 'a {
    file.items.iter().flat_map(move |item| {
        through(item, parts).map(move |part| {
            let text = format!(
                "item \"{}\" passes through the bulkhead of part \"{}\": by its `size` it stands on both sides of it, and no hole is cut for it; move either, or give the item as two with a `size` each, one on each side",
                item.name, part.name
            );
            Doubt::new(DoubtKind::Place, text)
        })
    })
}

/// The parts whose bulkhead an item's box passes through.
pub(super) fn through<'a>(
    item: &file::Item,
    parts: &'a [PartAboard],
) -> impl Iterator<Item = &'a PartAboard> {
    let ends = item.box_m();
    let ends = ends.map(|(middle, half)| (middle - half, middle + half));
    parts.iter().filter(move |part| {
        let mut curves = part.bulkheads();
        let at_m = curves.next().and_then(|curve| curve.first()).map(|p| p.x);
        let (Some((lo, hi)), Some(at_m)) = (ends, at_m) else {
            return false;
        };
        lo.x + JUST_TOUCHES_M < at_m && at_m < hi.x - JUST_TOUCHES_M && meets_inside(part, &lo, &hi)
    })
}

/// The doubts about items that foam lies over and round, so that nobody gets at them.
pub(super) fn buried<'a>(
    file: &'a BoatFile,
    parts: &'a [PartAboard],
) -> impl Iterator<Item = Doubt> + 'a {
    let fillings = file.parts.iter().zip(parts).filter_map(|(given, part)| {
        let Shape::Built(Built::Filling(filling)) = &given.shape else {
            return None;
        };
        Some((
            filling.clear.value,
            part.name.as_str(),
            part.block.as_ref()?,
        ))
    });
    fillings.flat_map(move |(clear_m, name, block)| {
        let shut = file.items.iter().filter(move |item| {
            let Some((middle, half)) = item.box_m() else {
                return false;
            };
            let half = half + Vec3::repeat(clear_m + BESIDE_M);
            let is_foam = |axis: usize, way: f64| {
                let place = middle + Vec3::ith(axis, way * half[axis]);
                encloses(&block.solid, &place)
            };
            // The hull may stand on one side of it, and under it.
            let sides = [(0, -1.0), (0, 1.0), (1, -1.0), (1, 1.0)];
            let shut = sides.iter().filter(|(axis, way)| is_foam(*axis, *way));
            is_foam(2, 1.0) && shut.count() >= 3
        });
        shut.map(move |item| {
            let text = format!(
                "part \"{name}\": its foam lies round item \"{}\" and over it, so that it cannot be got at; end the foam at the item's top (`below`), or stop it short of the item",
                item.name
            );
            Doubt::new(DoubtKind::Place, text)
        })
    })
}

/// The doubts about decks of which one end is given, and the rest of the opening is covered.
pub(super) fn long_decks<'a>(
    file: &'a BoatFile,
    parts: &'a [PartAboard],
) -> impl Iterator<Item = Doubt> + 'a {
    file.parts.iter().zip(parts).filter_map(|(given, part)| {
        let Shape::Built(Built::Deck(deck)) = &given.shape else {
            return None;
        };
        let sheet = part.sheets.first()?;
        let SheetLies::Facing(surface) = &sheet.lies else {
            return None;
        };
        let (lo, hi) = surface.bounds()?;
        let is_one_ended = deck.ends.iter().filter(|end| end.is_some()).count() == 1;
        (is_one_ended && hi.x - lo.x > LONG_DECK_M).then(|| {
            let text = sentence![
                format!("part \"{}\": its deck is ", part.name),
                shown_length(hi.x - lo.x),
                " long, from x ",
                shown_length(lo.x),
                " to ",
                shown_length(hi.x),
                ": a bare `aft` or `forward` is x, which grows towards the bow; one by tape is { from_stem = \"80 cm\" }; give both ends if it is meant"
            ];
            Doubt::new(DoubtKind::Place, text)
        })
    })
}

fn shown_length(metres: f64) -> Piece {
    Piece::Shown(metres, Dimension::Length)
}

/// Whether any of even places over a box's section lies inside a part's bulkheads.
fn meets_inside(part: &PartAboard, lo: &Vec3, hi: &Vec3) -> bool {
    const EVEN: u32 = 8;
    let places = (0..=EVEN * EVEN + 2 * EVEN).map(|k| {
        let share = |n: u32| f64::from(n) / f64::from(EVEN);
        let (across, up) = (share(k % (EVEN + 1)), share(k / (EVEN + 1)));
        Vector2::new(lo.y + (hi.y - lo.y) * across, lo.z + (hi.z - lo.z) * up)
    });
    let sides = || {
        part.bulkheads().flat_map(|curve| {
            let flat = |p: &Vec3| Vector2::new(p.y, p.z);
            let next = curve.iter().cycle().skip(1);
            curve.iter().zip(next).map(move |(a, b)| [flat(a), flat(b)])
        })
    };
    let mut places = places;
    places.any(|place| go_round(sides(), &place))
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
