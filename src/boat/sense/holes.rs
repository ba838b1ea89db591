//! Openings at the skin and over the space that they flood; passages on the wall
//! between their spaces.
use super::super::compartment::{Compartment, Passage};
use super::super::file::{self, Weight, point_m};
use super::super::opening::Opening;
use super::super::ways::{NARROWEST_M, NOTICED_SHARE};
use super::super::winding::encloses_by_runs;
use super::{Loaded, Looked, Unlikely, shown, slip};
use crate::mesh::{NearSurface, Surface};
use crate::numerics::Vec3;
use crate::quantity::Dimension;

/// How far off a place is that was measured by tape along a hull, m: common practice,
/// no source.
pub(super) const TAPE_M: f64 = 0.01;
/// Highest coaming or lip that a mesh may lack, m; ours, no source. Further off the
/// skin there is no opening, unless inside, where a well may have its lip.
const COAMING_M: f64 = 0.3;
/// How far two walls may be apart and still be one, m: the booleans' rounding.
const SAME_WALL_M: f64 = 1e-6;

/// Rims that somebody may have meant instead of a pinhole, m; ours, no source.
const LIKELY_RIMS_M: (f64, f64) = (0.01, 1.0);

/// Looks at every opening and passage.
pub(super) fn look(boat: &Loaded<'_>, looked: &mut Looked) {
    let off_m = TAPE_M + skin_m(boat) + boat.file.hull.scan_error.map_or(0.0, |off| off.value);
    rims(boat, off_m, looked);
    for (opening, under) in boat.openings.iter().zip(&boat.inside.under) {
        let given = boat.file.openings.iter().find(|o| o.name == opening.name);
        if let Some(given) = given {
            let spaces = &boat.inside.compartments;
            looked
                .doubted
                .extend(elsewhere(spaces, under, opening, given));
            looked.doubted.extend(pinhole(opening, given));
        }
    }
    for passage in &boat.inside.passages {
        let given = boat.file.passages.iter().find(|p| p.name == passage.name);
        if let Some(given) = given {
            looked.refused.extend(off_wall(boat, passage, given, off_m));
        }
    }
}

/// The thickest skin that the file gives, m.
fn skin_m(boat: &Loaded<'_>) -> f64 {
    let parts = boat.file.parts.iter().map(|part| &part.weight);
    let weights = parts.chain([&boat.file.hull.weight]);
    let skins = weights.filter_map(|weight| match weight {
        Weight::Skin(skin) => Some(skin.thickness.value),
        _ => None,
    });
    skins.fold(0.0, f64::max)
}

/// Rims by tape off the skin.
fn rims(boat: &Loaded<'_>, off_m: f64, looked: &mut Looked) {
    let by_tape = boat
        .file
        .openings
        .iter()
        .filter(|given| given.rim.is_some());
    let by_tape: Vec<&file::Opening> = by_tape.collect();
    if by_tape.is_empty() {
        return;
    }
    let skin = &boat.envelope.surface;
    for given in by_tape {
        let known_m = given.height_error.map_or(0.0, |off| off.value);
        // How far each point lies off beyond what it is said to be off.
        let points = given.rim.iter().flatten();
        let Some((past_m, distance_m, point)) = points
            .map(|point| {
                let spread_m = point.iter().map(|q| q.spread).fold(known_m, f64::hypot);
                let distance_m = boat.runs.distance_m(skin, &point_m(point));
                (distance_m - spread_m - off_m, distance_m, point)
            })
            .max_by(|a, b| a.0.total_cmp(&b.0))
        else {
            continue;
        };
        if past_m <= 0.0 {
            continue;
        }
        let far = past_m > COAMING_M && !encloses_by_runs(skin, boat.runs, &point_m(point));
        let (low, high) = boat.hull_box_m;
        let farthest = (0..3)
            .map(|axis| {
                let value = point[axis].value;
                ((low[axis] - value).max(value - high[axis]), axis)
            })
            .max_by(|a, b| a.0.total_cmp(&b.0));
        let meant = farthest.filter(|_| far).map_or(String::new(), |(_, axis)| {
            let room = (low[axis] - COAMING_M, high[axis] + COAMING_M);
            slip(Dimension::Length, point[axis].value, room).to_string()
        });
        let [x, y, z] = point.map(|q| shown(q.value, Dimension::Length));
        let what = format!(
            "its `rim` lies {} off the skin at [{x}, {y}, {z}]",
            shown(distance_m, Dimension::Length)
        );
        let owner = format!("opening \"{}\"", given.name);
        if far {
            let text = format!("{what}, where no opening can be{meant}");
            looked
                .refused
                .push(Unlikely::new(owner, &given.place, text));
        } else {
            let text = format!(
                "{what}: measure it again, or add what it is the edge of, a coaming as a part with a `wall`, a well as a `recess`"
            );
            looked
                .doubted
                .push(Unlikely::new(owner, &given.place, text));
        }
    }
}

/// An opening too narrow for water: rather a slip of the unit.
fn pinhole(opening: &Opening, given: &file::Opening) -> Option<Unlikely> {
    let rim = &opening.rim;
    let first = rim.first()?;
    // A scanned rim has thousands of points, and nearly all are wider.
    if rim
        .iter()
        .any(|point| (point - first).norm() >= NARROWEST_M)
    {
        return None;
    }
    let apart = rim
        .iter()
        .flat_map(|a| rim.iter().map(move |b| (a - b).norm()));
    let across_m = apart.fold(0.0, f64::max);
    let is_pinhole = opening.lets_water_in() && across_m > 0.0 && across_m < NARROWEST_M;
    is_pinhole.then(|| {
        let meant = slip(Dimension::Length, across_m, LIKELY_RIMS_M);
        Unlikely::new(
            format!("opening \"{}\"", opening.name),
            &given.place,
            format!(
                "its rim is {} across, a pinhole that hardly lets water pass, and is judged as an opening{meant}",
                shown(across_m, Dimension::Length)
            ),
        )
    })
}

/// An opening over another space than the one that it is said to flood.
fn elsewhere(
    spaces: &[Compartment],
    under: &[f64],
    opening: &Opening,
    given: &file::Opening,
) -> Option<Unlikely> {
    let said = given.floods.as_deref()?;
    let floods = opening.floods.filter(|_| opening.lets_water_in())?;
    let most = (0..under.len()).max_by(|&a, &b| under[a].total_cmp(&under[b]))?;
    (under[floods] <= NOTICED_SHARE && under[most] > NOTICED_SHARE).then(|| {
        Unlikely::new(
            format!("opening \"{}\"", opening.name),
            &given.place,
            format!(
                "`floods` says \"{said}\", but it lies over \"{}\": right only where a hose or a trunk leads the water there",
                spaces[most].name
            ),
        )
    })
}

/// A passage that is not in a wall between its spaces, or larger than that wall.
fn off_wall(
    boat: &Loaded<'_>,
    passage: &Passage,
    given: &file::Passage,
    off_m: f64,
) -> Option<Unlikely> {
    let spaces = passage
        .between
        .map(|number| &boat.inside.compartments[number]);
    let walls = spaces.map(Compartment::bulkheads);
    let names = spaces.map(|space| space.name.as_str());
    let at = point_m(&given.at);
    let hole_m = (given.area_m2 / std::f64::consts::PI).sqrt();
    let spread_m = given.at.iter().map(|q| q.spread).fold(0.0, f64::hypot);
    let owner = format!("passage \"{}\"", given.name);
    let refused = |text: String| Some(Unlikely::new(&owner, &given.place, text));
    let area_m2 = walls[0].area_m2().min(walls[1].area_m2());
    if given.area_m2 > area_m2 && area_m2 > 0.0 {
        let side_m = area_m2.sqrt();
        let meant = slip(Dimension::Length, 2.0 * hole_m, (0.0, side_m));
        return refused(format!(
            "its `diameter` or `area` makes {}, larger than the wall between \"{}\" and \"{}\" of {}{meant}",
            shown(given.area_m2, Dimension::Area),
            names[0],
            names[1],
            shown(area_m2, Dimension::Area),
        ));
    }
    let within_m = off_m + spread_m + hole_m.min(area_m2.sqrt());
    let distance_m = walls
        .iter()
        .map(|wall| NearSurface::of(wall).distance_m(&at))
        .fold(0.0, f64::max);
    if distance_m <= within_m {
        return None;
    }
    if !share_a_wall(&walls) {
        return refused(format!(
            "no wall stands between \"{}\" and \"{}\", so no hole leads from one to the other; name two spaces that lie side by side in `between`",
            names[0], names[1]
        ));
    }
    refused(format!(
        "its `at` lies {} off the wall between \"{}\" and \"{}\"{}; give a point on that bulkhead",
        shown(distance_m, Dimension::Length),
        names[0],
        names[1],
        meant_on(&at, &walls[0])
    ))
}

fn share_a_wall([one, other]: &[Surface; 2]) -> bool {
    crate::mesh::lies_on(one, other, SAME_WALL_M) || crate::mesh::lies_on(other, one, SAME_WALL_M)
}

/// The unit that puts a place within a wall's box.
fn meant_on(at: &Vec3, wall: &Surface) -> String {
    let Some((low, high)) = wall.bounds() else {
        return String::new();
    };
    let past = |axis: usize| (low[axis] - at[axis]).max(at[axis] - high[axis]);
    let axis = (0..3).max_by(|&a, &b| past(a).total_cmp(&past(b)));
    axis.map_or(String::new(), |axis| {
        slip(
            Dimension::Length,
            at[axis],
            (low[axis] - TAPE_M, high[axis] + TAPE_M),
        )
        .to_string()
    })
}
